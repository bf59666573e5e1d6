"""How a name is written, told by what differs from its key with capitals at its words.

Nothing for most; else pairs of a step, as a letter that many after the space, and the letter that
stands there; or an equals sign and all of the name.
"""

from functools import lru_cache

from scheduler.places.packed import KEYS_A_BLOCK, Blocks, line_at

_KEPT = 2  # blocks of about 12 kB
WHOLE = "="
NO_STEP = ord(" ")


class Spelling:
    """How each name is written, in blocks beside those of the keys."""

    def __init__(self, blocks: Blocks) -> None:
        self._blocks = blocks
        self._kept = lru_cache(maxsize=_KEPT)(blocks.__getitem__)

    def written(self, position: int, key: str) -> str:
        """The name at that position, which has that key."""
        number, line = divmod(position, KEYS_A_BLOCK)
        return written(key, line_at(self._kept(number), line))


def written(key: str, spelling: str) -> str:
    """The name as people write it."""
    if spelling.startswith(WHOLE):
        return spelling[len(WHOLE) :]
    letters, at = list(key.title()), -1
    for step, letter in zip(spelling[::2], spelling[1::2], strict=True):
        at += ord(step) - NO_STEP
        letters[at] = letter
    return "".join(letters)
