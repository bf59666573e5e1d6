"""The index's file, places.bin: what lies where in it.

It begins `places1` and a line feed, then come eleven little-endian uint32: how many names and how
many other names there are, then where each of the nine parts begins. They follow one another:

names     the keys of the names, sorted: a table of blocks (below) of 4096 keys; before those, as
          the block 0, the first key of each
spelling  a table of blocks beside those: how each name is written, see spelling.py
people    a byte a name: four times the binary logarithm of its people, 0 for nobody known
places    the number of each name's place: uint16 a name, then two bits more, four names a byte
others    the keys of the other names, sorted, as in `names`
their_people  as `people`, of the places that have the other names
other_of  whose other name it is: the name's number, as in `places`
globe     the places by their number: a table of blocks of 512, and before those, as the block 0,
          where each lies, see globe.py
regions   one block of text, see regions.py

A table of blocks is how many there are (uint32), where each begins and where the last ends, after
the table (uint32 each), then the blocks, each a zlib stream. Keys are folded names in UTF-8, with a
line feed before and after each. tests/reference/places_build.py makes the file; LICENCE.md says
whose data it has.
"""

import struct
import zlib
from dataclasses import dataclass

MAGIC = b"places1\n"
KEYS_A_BLOCK = 4096
PLACES_A_BLOCK = 512
_PARTS = 9
HEAD = struct.Struct(f"<{2 + _PARTS}I")


class NotAnIndex(ValueError):  # noqa: N818 - what the data is, not that we failed
    """The data is no index of places, or a damaged one."""


@dataclass(frozen=True, slots=True)
class Blocks:
    """A table of blocks, each unpacked when it is asked for."""

    data: bytes
    start: int

    def __len__(self) -> int:
        """How many blocks there are."""
        (count,) = struct.unpack_from("<I", self.data, self.start)
        return int(count)

    def __getitem__(self, number: int) -> bytes:
        """The block, unpacked.

        Raises:
            NotAnIndex: it is damaged.
        """
        begin, end = struct.unpack_from("<2I", self.data, self.start + 4 + 4 * number)
        first = self.start + 4 + 4 * (len(self) + 1)
        return unpacked(self.data[first + begin : first + end])


def unpacked(block: bytes) -> bytes:
    """What a block holds.

    Raises:
        NotAnIndex: it is damaged.
    """
    try:
        return zlib.decompress(block)
    except zlib.error as error:
        raise NotAnIndex from error


def line_at(lines: bytes, number: int) -> str:
    """The line after so many line feeds."""
    at = 0
    # Without splitting it: thousands of lines take far more room than their block.
    for _ in range(number):
        at = lines.index(b"\n", at) + 1
    end = lines.find(b"\n", at)
    return lines[at : len(lines) if end < 0 else end].decode()


@dataclass(frozen=True, slots=True)
class Numbers:
    """Numbers of eighteen bits each: sixteen, and two more of four numbers in a byte."""

    data: bytes
    start: int
    count: int

    def __len__(self) -> int:
        """How many numbers there are."""
        return self.count

    def __getitem__(self, at: int) -> int:
        """The number at that position."""
        low = self.start + 2 * at
        high = self.data[self.start + 2 * self.count + at // 4] >> (at % 4 * 2) & 3
        return self.data[low] | self.data[low + 1] << 8 | high << 16

    def position(self, number: int) -> int | None:
        """The first position of that number; None where it is nowhere."""
        wanted, end = struct.pack("<H", number & 0xFFFF), self.start + 2 * self.count
        found = self.data.find(wanted, self.start, end)
        while found >= 0:
            at, odd = divmod(found - self.start, 2)
            if not odd and self[at] == number:
                return at
            found = self.data.find(wanted, found + 1, end)
        return None


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of the file."""

    names: Blocks
    spelling: Blocks
    people: memoryview
    places: Numbers
    others: Blocks
    their_people: memoryview
    other_of: Numbers
    globe: Blocks
    regions: str


def parts(data: bytes) -> Parts:
    """What lies where in these bytes.

    Raises:
        NotAnIndex: they are none.
    """
    if not data.startswith(MAGIC) or len(data) < len(MAGIC) + HEAD.size:
        raise NotAnIndex
    name_count, other_count, *starts = HEAD.unpack_from(data, len(MAGIC))
    if starts != sorted(starts) or starts[-1] > len(data):
        raise NotAnIndex
    names, spelling, people, places, others, theirs, other_of, globe, regions = starts
    return Parts(
        names=Blocks(data, names),
        spelling=Blocks(data, spelling),
        people=memoryview(data)[people : people + name_count],
        places=Numbers(data, places, name_count),
        others=Blocks(data, others),
        their_people=memoryview(data)[theirs : theirs + other_count],
        other_of=Numbers(data, other_of, other_count),
        globe=Blocks(data, globe),
        regions=unpacked(data[regions:]).decode(),
    )
