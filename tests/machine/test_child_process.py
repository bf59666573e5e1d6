import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from scheduler.machine.child_process import KeptRunning

# Writes down that it lives, and lives until its standard input ends.
CHILD = """
import os, sys
with open(sys.argv[1], "a") as file:
    print(os.getpid(), file=file)
sys.stdin.read()
"""


@pytest.fixture
def births(tmp_path: Path) -> Iterator[Callable[[], list[int]]]:
    """Keeps a child running; says which were born."""
    file = tmp_path / "births"
    file.touch()
    kept = KeptRunning([sys.executable, "-c", CHILD, str(file)])
    kept.start()
    try:
        yield lambda: [int(line) for line in file.read_text().split()]
    finally:
        kept.stop()
        last = int(file.read_text().split()[-1])
        with pytest.raises(ProcessLookupError):
            os.kill(last, 0)


def waited(true: Callable[[], bool]) -> None:
    deadline = time.monotonic() + 20
    while not true():
        assert time.monotonic() < deadline
        time.sleep(0.02)  # another process cannot notify this one


def test_a_child_that_dies_is_born_again(births: Callable[[], list[int]]) -> None:
    waited(lambda: len(births()) == 1)
    os.kill(births()[0], signal.SIGKILL)
    waited(lambda: len(births()) == 2)


def test_what_is_pressed_on_our_terminal_does_not_reach_it(
    births: Callable[[], list[int]],
) -> None:
    waited(lambda: len(births()) == 1)
    assert os.getpgid(births()[0]) == births()[0] != os.getpgid(0)


def test_a_program_that_is_not_there_can_be_stopped(caplog: pytest.LogCaptureFixture) -> None:
    kept = KeptRunning(["/nowhere/at-all"])
    kept.start()
    waited(lambda: "beside.ended status=2" in caplog.text)
    kept.stop()
