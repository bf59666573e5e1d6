"""Sorted keys in blocks, found by how they begin."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from functools import lru_cache

from scheduler.places.packed import KEYS_A_BLOCK, Blocks, line_at

_KEPT = 2  # blocks of about 60 kB
_LAST = b"\xff"  # after every letter in UTF-8


class SortedKeys:
    """The keys of a table of blocks; a key's position counts from 0 through all blocks."""

    def __init__(self, blocks: Blocks) -> None:
        self._blocks = blocks
        self._heads = blocks[0].split(b"\n")
        self._kept = lru_cache(maxsize=_KEPT)(self._lines)

    def _lines(self, number: int) -> bytes:
        return self._blocks[1 + number]

    def each(self) -> Iterator[tuple[int, bytes]]:
        """Each block's first position and its keys, with a line feed before and after each."""
        for number in range(len(self._heads)):
            yield number * KEYS_A_BLOCK, self._lines(number)

    def at(self, position: int) -> str:
        """The key at that position."""
        number, line = divmod(position, KEYS_A_BLOCK)
        return line_at(self._kept(number), line + 1)

    def beginning(self, letters: str) -> range:
        """The positions of the keys that begin so."""
        wanted = letters.encode()
        last = bisect_left(self._heads, wanted + _LAST) - 1
        return self._between(b"\n" + wanted, bisect_left(self._heads, wanted) - 1, last)

    def equal(self, key: str) -> range:
        """The positions of that key."""
        wanted = key.encode()
        last = bisect_right(self._heads, wanted) - 1
        return self._between(b"\n" + wanted + b"\n", bisect_left(self._heads, wanted) - 1, last)

    def _between(self, wanted: bytes, first: int, last: int) -> range:
        """From the first that is wanted, in the block `first` or at the next one's head."""
        if last < 0:
            return range(0)
        begins = self._line(max(first, 0), self._kept(max(first, 0)).find(wanted))
        ends = self._line(last, self._kept(last).rfind(wanted))
        if ends is None:
            return range(0)
        return range((max(first, 0) + 1) * KEYS_A_BLOCK if begins is None else begins, ends + 1)

    def _line(self, number: int, found: int) -> int | None:
        if found < 0:
            return None
        return number * KEYS_A_BLOCK + self._kept(number).count(b"\n", 0, found)
