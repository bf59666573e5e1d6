"""What a person sees when the outside world fails."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from scheduler.cli.terminal import is_terminal
from scheduler.machine.paths import PROFILE_NAME
from scheduler.wording.cli.refusals import Faults

PROGRAM = "duskfold"
CANNOT_USE = 2  # exit status: the profile or the command line cannot be used
FAILED = 1  # exit status: the outside world failed
STOPPED = 130  # exit status: Ctrl-C


def by_program(what: str, command: str = "") -> str:
    """The line in which the program, or that command of it, says so."""
    program = f"{PROGRAM} {command}" if command else PROGRAM
    return Faults.by_program(program=program, what=what)


def complain(*lines: str) -> None:
    """Writes the lines to standard error."""
    print(*lines, sep="\n", file=sys.stderr)


def failed_on(profile: Path, error: OSError) -> int:
    """Says what failed; the exit status is 2 where it is the profile that cannot be read."""
    if str(error.filename) != str(profile):
        complain(by_program(_what_failed(error)))
        return FAILED
    why = error.strerror or error
    if isinstance(error, FileNotFoundError):
        said = Faults.no_profile(file=profile, error=why)
    elif isinstance(error, IsADirectoryError):
        example = profile / PROFILE_NAME
        said = Faults.profile_is_folder(file=profile, error=why, example=example)
    else:
        said = Faults.of_file(file=profile, error=why)
    complain(by_program(said))
    return CANNOT_USE


def _what_failed(error: OSError) -> str:
    why = error.strerror or str(error)  # the system's own words
    return Faults.of_file(file=error.filename, error=why) if error.filename else why


def go_on_after(question: str) -> None:
    """Goes on when somebody says yes; else nothing was done, and the exit status is 2."""
    if not is_terminal(sys.stdin):
        complain(Faults.run_again(question=question))
        sys.exit(CANNOT_USE)
    try:
        answer = input(Faults.yes_or_no(question=question))
    except EOFError:
        print()
        answer = ""
    if not is_yes(answer):
        complain(Faults.nothing_done())
        sys.exit(CANNOT_USE)


def is_yes(answer: str) -> bool:
    """Whether what was typed is a yes; an empty line is none."""
    return answer.strip().casefold() in {"y", "yes"}


@contextmanager
def told() -> Iterator[None]:
    """Turns a fault of disk or journal into one sentence and exit status 1."""
    try:
        yield
    except OSError as error:
        complain(by_program(_what_failed(error)))
        sys.exit(FAILED)
