"""A command that a test begins, and that never outlives it."""

import subprocess
from collections.abc import Iterator, Sequence
from contextlib import contextmanager


@contextmanager
def begun(command: Sequence[str]) -> Iterator["subprocess.Popen[str]"]:
    """The command, running; a test that fails before it ends the command does not wait for it."""
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            yield process
        except BaseException:
            process.kill()
            raise
