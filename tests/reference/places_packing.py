"""Writes what `scheduler.places` reads: blocks, numbers, spellings, and the file of its parts."""

import struct
import zlib
from collections.abc import Sequence

from scheduler.places.packed import HEAD, MAGIC
from scheduler.places.spelling import NO_STEP, WHOLE


def packed_blocks(blocks: Sequence[bytes]) -> bytes:
    """The table of these blocks, as `Blocks` reads it."""
    streams = [zlib.compress(block, 9) for block in blocks]
    ends = [0]
    for stream in streams:
        ends.append(ends[-1] + len(stream))
    return struct.pack(f"<{1 + len(ends)}I", len(blocks), *ends) + b"".join(streams)


def packed_numbers(numbers: Sequence[int]) -> bytes:
    """These numbers, each below 2**18, as `Numbers` reads them."""
    high = bytearray((len(numbers) + 3) // 4)
    for at, number in enumerate(numbers):
        high[at // 4] |= number >> 16 << (at % 4 * 2)
    return struct.pack(f"<{len(numbers)}H", *(n & 0xFFFF for n in numbers)) + bytes(high)


def packed_parts(name_count: int, other_count: int, sections: Sequence[bytes]) -> bytes:
    """The whole file of its parts, in their order."""
    starts, at = [], len(MAGIC) + HEAD.size
    for section in sections:
        starts.append(at)
        at += len(section)
    return MAGIC + HEAD.pack(name_count, other_count, *starts) + b"".join(sections)


def spelling_of(key: str, name: str) -> str:
    """What `written` makes the name of."""
    usual = key.title()
    if len(usual) != len(name):
        return WHOLE + name
    told, last = "", -1
    for at, (expected, letter) in enumerate(zip(usual, name, strict=True)):
        if expected != letter:
            told += chr(NO_STEP + at - last) + letter
            last = at
    # "=" would be read as the sign of a whole name: a first step of 29 letters.
    return WHOLE + name if len(told) > len(name) or told.startswith(WHOLE) else told
