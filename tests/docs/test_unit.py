"""deploy/*.service: what the units may do, by systemd's own measure, and that they do it alike."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

DEPLOY = Path(__file__).parents[2] / "deploy"
UNITS = ("duskfold.service", "duskfold-watch.service", "duskfold-web.service")
PROGRAM = "/opt/duskfold/.venv/bin/duskfold --profile /etc/duskfold/duskfold.toml"
SHARED = {
    "LoadCredential=journal:/etc/duskfold/journal",
    "Environment=DUSKFOLD_KEY_FILE=/etc/duskfold/signing.key",
}


def lines(unit: str) -> set[str]:
    """The settings of the unit."""
    text = (DEPLOY / unit).read_text(encoding="utf-8")
    return {line for line in text.splitlines() if "=" in line and not line.startswith("#")}


def test_s1_memory_that_runs_out_ends_one_process_alone() -> None:
    # Of two units each has a limit of its own; the one that runs both must not end both.
    assert "OOMPolicy=continue" in lines("duskfold.service")


@pytest.mark.debian
@pytest.mark.parametrize("unit", UNITS)
def test_s16_the_unit_is_shut_off_from_what_it_does_not_need(unit: str) -> None:
    program = shutil.which("systemd-analyze")
    if program is None:
        pytest.skip("systemd-analyze is not installed; apt-get install systemd")
    done = subprocess.run(
        [program, "security", "--offline=true", str(DEPLOY / unit)],
        capture_output=True,
        text=True,
        check=False,
    )
    found = re.search(r"Overall exposure level for \S+: ([\d.]+)", done.stdout)
    if found is None:
        pytest.skip("systemd-analyze is older than version 250; it cannot judge a file")
    assert float(found[1]) <= 1.5


@pytest.mark.parametrize(
    ("unit", "command", "own"),
    [
        ("duskfold-watch.service", "watch", set()),
        # The pages answer no watchdog and send nothing that would have to end.
        ("duskfold-web.service", "web", {"Type=", "WatchdogSec=", "TimeoutStopSec="}),
    ],
)
def test_p1_a_unit_for_one_process_differs_from_that_for_both_in_what_it_must(
    unit: str, command: str, own: set[str]
) -> None:
    both, one = lines("duskfold.service"), lines(unit)
    differs = {line.partition("=")[0] + "=" for line in both - one}
    assert differs - own <= {"Description=", "Documentation=", "After=", "Wants="} | {
        "ExecStart=", "DynamicUser=", "MemoryMax=", "OOMPolicy=",
    }  # fmt: skip
    assert f"ExecStart={PROGRAM} {command}" in one
    assert one - both >= SHARED


def test_the_page_names_the_files_that_the_units_hand_over() -> None:
    page = (DEPLOY / "postgresql.md").read_text(encoding="utf-8")
    assert set(page.splitlines()) >= SHARED


@pytest.mark.debian
@pytest.mark.parametrize("unit", UNITS)
def test_systemd_knows_every_line_of_the_unit(unit: str, tmp_path: Path) -> None:
    program = shutil.which("systemd-analyze")
    if program is None:
        pytest.skip("systemd-analyze is not installed; apt-get install systemd")
    text = (DEPLOY / unit).read_text(encoding="utf-8")
    here = tmp_path / unit
    here.write_text(re.sub(r"(?m)^ExecStart=\S+", "ExecStart=/bin/true", text))
    done = subprocess.run(
        [program, "verify", "--man=no", str(here)], capture_output=True, text=True, check=False
    )
    # These came with systemd 254; an older one waits five seconds before each start.
    known = re.compile(r"Unknown key(?: name)? '(?:RestartSteps|RestartMaxDelaySec)'")
    said = [line for line in done.stderr.splitlines() if unit in line and not known.search(line)]
    assert said == []
