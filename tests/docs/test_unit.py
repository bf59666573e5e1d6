"""deploy/duskfold.service: what the unit may do, by systemd's own measure."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

UNIT = Path(__file__).parents[2] / "deploy" / "duskfold.service"


def test_s1_memory_that_runs_out_ends_one_process_alone() -> None:
    assert "\nOOMPolicy=continue\n" in UNIT.read_text()


@pytest.mark.debian
def test_s16_the_unit_is_shut_off_from_what_it_does_not_need() -> None:
    program = shutil.which("systemd-analyze")
    if program is None:
        pytest.skip("systemd-analyze is not installed; apt-get install systemd")
    done = subprocess.run(
        [program, "security", "--offline=true", str(UNIT)],
        capture_output=True,
        text=True,
        check=False,
    )
    found = re.search(r"Overall exposure level for \S+: ([\d.]+)", done.stdout)
    if found is None:
        pytest.skip("systemd-analyze is older than version 250; it cannot judge a file")
    assert float(found[1]) <= 1.5
