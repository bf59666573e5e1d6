"""Whether somebody sits at the other end of a stream."""

from typing import TextIO


def is_terminal(stream: TextIO | None) -> bool:
    """Whether the stream is a terminal; a program started with it closed has None in its place."""
    return stream is not None and stream.isatty()
