"""`duskfold init` at a real terminal: questions, defaults, a second thought about replacing."""

import os
import pty
import select
import signal
import stat
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.unhurried import unhurried

DEADLINE_S = 60.0
CTRL_C = "\x03"
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminals on Windows")


def converse(folder: Path, answers: list[tuple[str, str]], *arguments: str) -> tuple[int, str]:
    """Runs `init` under a pseudo-terminal, answering each prompt when it has appeared."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(folder)
        os.environ["COLUMNS"] = "200"  # what is said, not where it is broken
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # whoever runs us in the background ignores it
        command = [sys.executable, "-m", "scheduler", "init", *arguments]
        os.execv(command[0], command)  # noqa: S606 - a program of ours under a terminal of ours
    said = ""
    seen = 0
    for prompt, answer in answers:
        while prompt not in said[seen:]:
            ready, _, _ = select.select([terminal], [], [], DEADLINE_S)
            assert ready, f"no prompt {prompt!r} after: {said}"
            said += os.read(terminal, 4096).decode()
        seen = said.index(prompt, seen) + len(prompt)
        os.write(terminal, answer.encode() if answer == CTRL_C else f"{answer}\n".encode())
    presses = int(DEADLINE_S) if answers[-1][1] == CTRL_C else 0
    while True:
        ready, _, _ = select.select([terminal], [], [], 1 if presses else DEADLINE_S)
        # It came between the prompt and the reading: it is pressed again.
        if presses and not ready and "stopped" not in said:
            os.write(terminal, CTRL_C.encode())
            presses -= 1
            continue
        assert ready, f"no end after: {said}"
        try:
            more = os.read(terminal, 4096)
        except OSError:  # the other end has closed
            break
        if not more:
            break
        said += more.decode()
    _, status = os.waitpid(pid, 0)
    return os.waitstatus_to_exitcode(status), said


PLACE = [("Where are they?", "51.5, -0.1"), ("Time zone [Europe/London]", "")]
QUESTIONS = [
    *PLACE,
    ("[UK]", ""),
    ("[uk]", ""),
    ("the place [Home]", "Mill Yard"),
    ("the house [Coop]", ""),
    ("Floor inside", "4 ft x 8 ft"),
    ("[open]", "secure"),
    ("Size of the run", ""),
    ("Door (manual, automatic) [manual]", "automatic"),
    ("[supervised]", ""),
    ("How many hens [6]", "5"),
    ("How many roosters [0]", "1"),
    ("coldest month", "2 °C"),
    ("warmest month", "23 °C"),
    ("follow the usual weather here. (yes, no) [no]", "yes"),
    ("Who looks after them", "Ana"),
    ("push server", "push.example.net"),
    ("Their email address", "ana@example.org"),
]


def read(folder: Path) -> dict[str, Any]:
    return tomllib.loads((folder / "duskfold.toml").read_text(encoding="utf-8"))


def test_k13_questions_have_defaults_and_give_a_usable_profile(tmp_path: Path) -> None:
    status, said = converse(tmp_path, QUESTIONS)
    assert status == 0, said
    assert "At most 20 short questions." in said
    assert "Wrote duskfold.toml" in said
    written = read(tmp_path)
    assert written["site"]["name"] == "Mill Yard"
    assert written["climate"] == {"coldest_month_low": "2 °C", "warmest_month_high": "23 °C"}
    assert "Your rough location goes to MET Norway." in said
    assert written["forecast"] == {"sources": ["met-norway"]}
    [coop], [flock], [person] = written["coop"], written["flock"], written["person"]
    assert (coop["door"], coop["floor"], coop["run"]["type"]) == (
        "automatic", "4 ft x 8 ft", "secure",
    )  # fmt: skip
    assert (flock["hens"], flock["roosters"]) == (5, 1)
    assert person["mail"] == "ana@example.org"
    assert all(table["id"] for table in (written["site"], coop, flock, person))
    # Whoever knows the topic can answer: nobody may guess it, nobody else may read the file.
    server, _, topic = person["push"].rpartition("/")
    assert server == "https://push.example.net"
    assert len(topic) >= 22
    assert topic[0].isalpha()
    assert person["push"] in said
    assert stat.S_IMODE((tmp_path / "duskfold.toml").stat().st_mode) == 0o600


def test_k13_enter_takes_the_default_everywhere_but_the_place(tmp_path: Path) -> None:
    keys = [prompt for prompt, _ in QUESTIONS[1:14] if prompt != "the place [Home]"]
    keys += ["usual weather here", "Who looks after"]
    answers = [(key, "") for key in [*keys[:3], "the place [Home]", *keys[3:]]]
    status, said = converse(tmp_path, [QUESTIONS[0], *answers])
    assert status == 0, said
    assert "nobody can be told" in said
    assert read(tmp_path)["flock"][0]["hens"] == 6
    assert "climate" not in read(tmp_path)
    assert read(tmp_path)["forecast"] == {"sources": []}  # no yes, no forecast


def test_k13_a_wrong_answer_is_asked_again_and_the_others_are_kept(tmp_path: Path) -> None:
    answers = [
        ("Where are they?", "fifty-one"),
        ("accepted: degrees from -90 to 90", "51.5° N"),
        ("Longitude", "east"),
        ("accepted: degrees from -180 to 180", "0°6'W"),
        ("Time zone [Europe/London]", "Europe/Lundon"),
        ('Did you mean "Europe/London"', ""),
        ("[UK]", "Texas"),
        ("accepted: US, UK, EU, AU, other", "UK"),
        *QUESTIONS[3:6],
        ("Floor inside", "huge"),
        ("accepted: an area", ""),
        *QUESTIONS[7:11],
        ("How many hens", "six"),
        ("accepted: a whole number", "0"),
        ("accepted: at least one bird", "6"),
        *QUESTIONS[12:14],
        ("warmest month", "-3 °C"),
        ("accepted: a low that is below the high", "23 °C"),
        ("usual weather here", "yr"),
        ('For MET Norway, write "met-norway".', "US-NWS"),
        ("only. Is that right?", "n"),
        ("usual weather here", "maybe"),
        ("accepted: yes, no, met-norway, open-meteo, us-nws", "n"),
        ("Who looks after them", "Ana"),
        ("push server", "https://push.example.net/account"),
        ("accepted: a push topic address", ""),
        ("Their email address", "x"),
        ("accepted: one email address", "ana@example.org"),
    ]
    status, said = converse(tmp_path, answers)
    assert status == 0, said
    assert "Traceback" not in said
    written = read(tmp_path)
    assert written["site"]["longitude"] == pytest.approx(-0.1)
    assert written["flock"][0]["hens"] == 6
    assert written["person"][0]["mail"] == "ana@example.org"


def test_k16_what_is_odd_is_asked_about_and_can_be_taken_back(tmp_path: Path) -> None:
    answers = [
        ("Where are they?", "-71.2, 44.3"),
        ("Are the two swapped? latitude = 44.3, longitude = -71.2", "0, -30"),
        ("The map shows open sea", "n"),
        ("Where are they?", "44.3, -71.2"),
        ("Time zone [America/New_York]", "America/Denver"),
        ("The map shows the time zone America/New_York here", "n"),
        ("Time zone [America/New_York]", ""),
        ("[US]", ""),
        ("[us]", ""),
        *((prompt, "") for prompt, _ in QUESTIONS[4:11]),
        ("How many hens", "5000"),
        ("accepted: a whole number from 0 to 1000", "500"),
        ("500 birds: Duskfold is made for 4 to 50.", "n"),
        ("How many hens", "50"),
        ("How many roosters", ""),
        ("coldest month", ""),
        ("Your rough location goes to the US National Weather Service.", "y"),
        ("Who looks after", ""),
    ]
    status, said = converse(tmp_path, answers)
    assert status == 0, said
    assert read(tmp_path)["site"]["timezone"] == "America/New_York"
    assert read(tmp_path)["forecast"] == {"sources": ["us-nws"]}
    assert read(tmp_path)["flock"][0]["hens"] == 50


def test_the_height_is_asked_for_among_hills(tmp_path: Path) -> None:
    answers = [
        ("Where are they?", "46.6, 8.0"),
        ("Time zone [Europe/Zurich]", ""),
        ("[EU]", ""),
        ("[metric]", "us"),
        ("Enter to use the mean of the land around, about 5900\u00a0ft", "high"),
        ("accepted: a length", "3400 ft"),
        *((prompt, "") for prompt, _ in QUESTIONS[4:14]),
        ("(yes, no) [no]", ""),
        ("Who looks after", ""),
    ]
    status, said = converse(tmp_path, answers)
    assert status == 0, said
    assert read(tmp_path)["site"]["elevation"] == "3400 ft"


@pytest.mark.parametrize("after", [0, 3, 18])
@unhurried
def test_k13_ctrl_c_ends_with_130_and_nothing_is_written(tmp_path: Path, after: int) -> None:
    answers = [*QUESTIONS[:after], (QUESTIONS[after][0], CTRL_C)]
    status, said = converse(tmp_path, answers)
    assert status == 130, said
    assert "nothing was written" in said
    assert "Traceback" not in said
    assert list(tmp_path.iterdir()) == []


def test_a_profile_that_is_there_is_replaced_only_after_a_yes(tmp_path: Path) -> None:
    profile = tmp_path / "duskfold.toml"
    profile.write_text("# mine\n")
    status, _ = converse(tmp_path, [("Replace duskfold.toml?", "n")])
    assert status == 2
    assert profile.read_text() == "# mine\n"
    status, said = converse(tmp_path, [("Replace duskfold.toml?", "y"), *QUESTIONS])
    assert status == 0, said
    assert "Mill Yard" in profile.read_text()


def test_c1_ids_come_from_names_in_any_script(tmp_path: Path) -> None:
    options = ["--latitude", "51.5, -0.1", "--hens", "4", "--name", "谷仓", "--coop", "鸡舍"]
    for name in ("アナ", "アンナ"):
        path = tmp_path / f"{name}.toml"
        command = [sys.executable, "-m", "scheduler", "init", "-p", str(path), *options]
        done = subprocess.run(
            [*command, "--person", name], capture_output=True, text=True, check=False, stdin=-3
        )
        assert done.returncode == 0, done.stderr
    first, second = (tomllib.loads(path.read_text("utf-8")) for path in tmp_path.glob("*.toml"))
    assert first["coop"][0]["id"] == second["coop"][0]["id"]
    assert first["person"][0]["id"] != second["person"][0]["id"]
    assert not first["person"][0]["id"].endswith("-1")
