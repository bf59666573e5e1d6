"""Where the places are, and which is nearest.

The block 0 tells of each other block a circle around its places: latitude and longitude of the
middle and the radius, three little-endian int16 in hundredths of a degree. A block has up to 512
places, in their order: four planes of bytes of how far north each is of the one before (uint32, the
first from the south pole, turned round at 2**32), three of how far east each is of 180° W (uint24),
both in thousandths of a degree; then a byte each, which of its region's zones is the place's.
"""

import struct
import sys
from array import array
from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate
from math import asin, cos, degrees, radians, sin, sqrt
from typing import NamedTuple

from scheduler.places.packed import PLACES_A_BLOCK, Blocks

_KEPT = 4  # blocks
_CIRCLE = struct.Struct("<3h")
_PLANES = 8
_WRAPPED = 1 << 32


class Spot(NamedTuple):
    """Where a place is, in degrees, and which of its region's zones it has."""

    latitude_deg: float
    longitude_deg: float
    zone: int


class _Group(NamedTuple):
    """The places of a block, in thousandths of a degree from the south pole and from 180° W."""

    north: Sequence[int]
    east: Sequence[int]
    zones: bytes


class Globe:
    """The places by their number."""

    def __init__(self, blocks: Blocks) -> None:
        self._blocks = blocks
        self._kept = lru_cache(maxsize=_KEPT)(self._read)

    def __getitem__(self, place: int) -> Spot:
        """The place of that number."""
        group, at = self._kept(place // PLACES_A_BLOCK), place % PLACES_A_BLOCK
        return Spot(group.north[at] / 1000 - 90, group.east[at] / 1000 - 180, group.zones[at])

    def nearest(self, latitude_deg: float, longitude_deg: float) -> int | None:
        """The number of the place with the shortest way over the globe; None without places."""
        circles = (
            (apart_deg(latitude_deg, longitude_deg, lat / 100, lon / 100) - radius / 100, number)
            for number, (lat, lon, radius) in enumerate(_CIRCLE.iter_unpack(self._blocks[0]))
        )
        found, best_deg = None, 360.0
        for least_deg, number in sorted(circles):
            if least_deg > best_deg:
                break
            group = self._read(number)
            for at, (north, east) in enumerate(zip(group.north, group.east, strict=True)):
                lat_deg = north / 1000 - 90
                # Degrees of latitude are never shorter: most need no more than this.
                if abs(lat_deg - latitude_deg) > best_deg:
                    continue
                away_deg = apart_deg(latitude_deg, longitude_deg, lat_deg, east / 1000 - 180)
                if away_deg < best_deg:
                    found, best_deg = number * PLACES_A_BLOCK + at, away_deg
        return found

    def _read(self, number: int) -> _Group:
        block = self._blocks[1 + number]
        count = len(block) // _PLANES
        steps = _joined(block[: 4 * count], count)
        # The fourth plane of these would be of zeros.
        east = _joined(block[4 * count : 7 * count] + bytes(count), count)
        north = array("I", (north % _WRAPPED for north in accumulate(steps)))
        return _Group(north, east, block[7 * count :])


def _joined(planes: bytes, count: int) -> Sequence[int]:
    """Numbers of four bytes, from planes that begin with the lowest."""
    whole = bytearray(4 * count)
    for n in range(4):
        whole[n::4] = planes[n * count : (n + 1) * count]
    numbers = array("I", bytes(whole))
    if sys.byteorder == "big":
        numbers.byteswap()
    return numbers


def apart_deg(a_lat_deg: float, a_lon_deg: float, b_lat_deg: float, b_lon_deg: float) -> float:
    """The angle between two places as seen from the middle of the earth (haversine)."""
    a, b = radians(a_lat_deg), radians(b_lat_deg)
    turned = sin(radians(b_lon_deg - a_lon_deg) / 2)
    square = sin((b - a) / 2) ** 2 + cos(a) * cos(b) * turned * turned
    return degrees(2 * asin(min(1.0, sqrt(square))))
