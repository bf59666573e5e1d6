"""What a person sees when the outside world fails."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from scheduler.cli.terminal import is_terminal
from scheduler.machine.paths import PROFILE_NAME

CANNOT_USE = 2  # exit status: the profile or the command line cannot be used
FAILED = 1  # exit status: the outside world failed
STOPPED = 130  # exit status: Ctrl-C


def complain(*lines: str) -> None:
    """Writes the lines to standard error."""
    print(*lines, sep="\n", file=sys.stderr)


def failed_on(profile: Path, error: OSError) -> int:
    """Says what failed; the exit status is 2 where it is the profile that cannot be read."""
    if str(error.filename) != str(profile):
        place = f"{error.filename}: " if error.filename else ""
        complain(f"duskfold: {place}{error.strerror or error}")
        return FAILED
    next_step = ""
    if isinstance(error, FileNotFoundError):
        next_step = f". Write one with: duskfold init --profile {profile}"
    elif isinstance(error, IsADirectoryError):
        next_step = f". A profile is a file, such as {profile / PROFILE_NAME}"
    complain(f"duskfold: {profile}: {error.strerror or error}{next_step}")
    return CANNOT_USE


def go_on_after(question: str) -> None:
    """Goes on when somebody says yes; else nothing was done, and the exit status is 2."""
    if not is_terminal(sys.stdin):
        complain(f"{question} If so, run it again with --yes.")
        sys.exit(CANNOT_USE)
    try:
        answer = input(f"{question} [y/N] ")
    except EOFError:
        print()
        answer = ""
    if not is_yes(answer):
        complain("Nothing was done.")
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
        place = f"{error.filename}: " if error.filename else ""
        complain(f"duskfold: {place}{error.strerror or error}")
        sys.exit(FAILED)
