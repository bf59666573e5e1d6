"""What a person sees when the outside world fails."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

CANNOT_USE = 2  # exit status: the profile or the command line cannot be used
FAILED = 1  # exit status: the outside world failed
STOPPED = 130  # exit status: Ctrl-C


def complain(*lines: str) -> None:
    """Writes the lines to standard error."""
    print(*lines, sep="\n", file=sys.stderr)


@contextmanager
def told() -> Iterator[None]:
    """Turns a fault of disk or journal into one sentence and exit status 1."""
    try:
        yield
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        complain(f"duskfold: {place}{error.strerror or error}")
        sys.exit(FAILED)
