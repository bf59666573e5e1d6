"""`duskfold init` at a real terminal: questions, defaults, a second thought about replacing."""

import os
import pty
import select
import sys
from pathlib import Path

import pytest

DEADLINE_S = 30.0


def converse(folder: Path, answers: list[tuple[str, str]], *arguments: str) -> tuple[int, str]:
    """Runs `init` under a pseudo-terminal, answering each prompt when it has appeared."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(folder)
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
        os.write(terminal, f"{answer}\n".encode())
    while True:
        ready, _, _ = select.select([terminal], [], [], DEADLINE_S)
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


QUESTIONS = [
    ("Latitude", "51.5"),
    ("Longitude", "-0.1"),
    ("Time zone [Europe/London]", ""),
    ("[UK]", ""),
    ("[uk]", ""),
    ("the place [Home]", "Mill Yard"),
    ("the house [Coop]", ""),
    ("[open]", "secure"),
    ("[supervised]", ""),
    ("How many hens", "5"),
    ("Who looks after them", "Ana"),
    ("Their mail address", "ana@example.org"),
]


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminals on Windows")
def test_questions_have_defaults_and_give_a_usable_profile(tmp_path: Path) -> None:
    status, said = converse(tmp_path, QUESTIONS)
    assert status == 0, said
    assert "Wrote duskfold.toml" in said
    written = (tmp_path / "duskfold.toml").read_text()
    assert 'name = "Mill Yard"' in written
    assert "hens = 5" in written
    assert 'type = "secure"' in written
    assert 'mail = "ana@example.org"' in written


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminals on Windows")
def test_a_wrong_answer_is_asked_again_and_the_others_are_kept(tmp_path: Path) -> None:
    answers = [
        ("Latitude", "fifty-one"),
        ("accepted: degrees from -90 to 90", "51.5"),
        ("Longitude", "-0.1"),
        ("Time zone [Europe/London]", "Europe/Lundon"),
        ('Did you mean "Europe/London"', ""),
        ("[UK]", "Texas"),
        ("accepted: US, UK, EU, AU, other", "UK"),
        *QUESTIONS[4:9],
        ("How many hens", "six"),
        ("accepted: a whole number", "6"),
        ("Who looks after them", ""),
    ]
    status, said = converse(tmp_path, answers)
    assert status == 0, said
    assert "Traceback" not in said
    assert "hens = 6" in (tmp_path / "duskfold.toml").read_text()


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminals on Windows")
def test_a_profile_that_is_there_is_replaced_only_after_a_yes(tmp_path: Path) -> None:
    profile = tmp_path / "duskfold.toml"
    profile.write_text("# mine\n")
    status, _ = converse(tmp_path, [("Replace duskfold.toml?", "n")])
    assert status == 2
    assert profile.read_text() == "# mine\n"
    status, said = converse(tmp_path, [("Replace duskfold.toml?", "y"), *QUESTIONS])
    assert status == 0, said
    assert "Mill Yard" in profile.read_text()
