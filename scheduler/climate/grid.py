"""The climate map: what the year is like at a place on land, from the package's file.

The file begins `climate1`, then come 127 little-endian uint32 offsets, then 126 tiles of 20° × 20°:
7 rows from 84° N south, 18 columns from 0° east; equal offsets: no land. A tile is raw LZMA2 behind
a delta filter; unpacked, signed bytes: 6 planes of 41 × 41 nodes, then 21 of 21 × 21, rows from the
north-west, edges shared. Between nodes a value is bilinear. It is made from ERA5 and station
averages, see LICENCE.md beside it.
"""

import lzma
import struct
from array import array
from collections.abc import Sequence
from dataclasses import dataclass

from scheduler.climate.wave import Wave

_MAGIC = b"climate1"
_NORTH_DEG, _TILE_DEG = 84.0, 20.0
_ROWS, _COLUMNS = 7, 18
_FINE, _COARSE = 41, 21  # nodes along a tile's side
_FINE_PLANES, _COARSE_PLANES = 6, 21
_NODES = _FINE_PLANES * _FINE**2 + _COARSE_PLANES * _COARSE**2
_TILES_FROM = len(_MAGIC) + 4 * (_ROWS * _COLUMNS + 1)
_FILTERS = [
    {"id": lzma.FILTER_DELTA, "dist": 1},
    {"id": lzma.FILTER_LZMA2, "dict_size": 1 << 16, "lc": 0, "lp": 0, "pb": 0},
]
# What a step of each plane is worth; the planes of a curve are its mean and its waves.
_HEIGHT_STEP_M, _HEIGHT_M = 25.0, 2800.0
_MEAN_STEP_C, _MEAN_C = 0.3, 5.0
_RANGE_STEP_C = 0.25
_LN_SD_STEP = 0.04
_HUMIDITY_STEP = 0.015
# Common practice, no source: 29 % of 2,845 stations lie so, and 82 % of those that are more than
# 300 m above or below the mean of their land.
_HILLY_APART_M, _HIGH_M = 300.0, 1000.0
LAPSE_C_PER_M = 0.0055  # fitted over 2,845 stations; the standard atmosphere has 0.0065


class NotAMap(ValueError):  # noqa: N818 - what the data is, not that we failed
    """The data is no climate map, or a damaged one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MappedYear:
    """The year at a place: curves in °C, of the logarithm of the spread of days, and of humidity.

    `humidity` is a share, the day's mean. `land_m` is the mean height of the land around.
    """

    low: Wave
    high: Wave
    low_ln_sd: Wave
    high_ln_sd: Wave
    humidity: Wave
    land_m: float


def year_at(
    data: bytes, latitude_deg: float, longitude_deg: float, elevation_m: float | None
) -> MappedYear | None:
    """The year there, at that height or, where none is told, at that of the land around.

    None at sea far from land, beyond 84° N and 56° S, and without a map.

    Raises:
        NotAMap: the data is none.
    """
    nodes = _tile_at(data, latitude_deg, longitude_deg)
    if nodes is None:
        return None
    land_m = _height_m(nodes.at(0))
    height_m = land_m if elevation_m is None else elevation_m
    at_sea_level = nodes.wave(1, 5, _MEAN_STEP_C)
    mean = at_sea_level.raised(_MEAN_C - LAPSE_C_PER_M * height_m)
    return MappedYear(
        low=mean.plus(nodes.wave(6, 5, _RANGE_STEP_C)),
        high=mean.plus(nodes.wave(11, 5, _RANGE_STEP_C)),
        low_ln_sd=nodes.wave(16, 3, _LN_SD_STEP),
        high_ln_sd=nodes.wave(19, 3, _LN_SD_STEP),
        humidity=nodes.wave(22, 5, _HUMIDITY_STEP),
        land_m=land_m,
    )


@dataclass(frozen=True, slots=True)
class Land:
    """The height of the land around a place: its mean there, and of the four nodes around."""

    mean_m: float
    nodes_m: tuple[float, ...]

    @property
    def is_hilly(self) -> bool:
        """Whether the year depends on how high in it one lives: by 1 to 2 °C in the mountains."""
        apart_m = max(self.nodes_m) - min(self.nodes_m)
        return apart_m > _HILLY_APART_M or self.mean_m > _HIGH_M


def land_at(data: bytes, latitude_deg: float, longitude_deg: float) -> Land | None:
    """The land around the place; None where `year_at` has no year.

    Raises:
        NotAMap: the data is none.
    """
    nodes = _tile_at(data, latitude_deg, longitude_deg)
    if nodes is None:
        return None
    return Land(_height_m(nodes.at(0)), tuple(map(_height_m, nodes.around(0))))


def _height_m(steps: float) -> float:
    return _HEIGHT_M + _HEIGHT_STEP_M * steps


def _tile_at(data: bytes, latitude_deg: float, longitude_deg: float) -> "_Tile | None":
    row, column = (_NORTH_DEG - latitude_deg) / _TILE_DEG, longitude_deg % 360 / _TILE_DEG
    if not data or not 0 <= row < _ROWS:
        return None
    if not data.startswith(_MAGIC):
        raise NotAMap
    packed = _packed(data, int(row) * _COLUMNS + int(column) % _COLUMNS)
    return _Tile(_unpacked(packed), row % 1, column % 1) if packed else None


def _packed(data: bytes, tile: int) -> bytes:
    if len(data) < _TILES_FROM:
        raise NotAMap
    start, end = struct.unpack_from("<2I", data, len(_MAGIC) + 4 * tile)
    if not start <= end <= len(data):
        raise NotAMap
    return data[start:end]


def _unpacked(packed: bytes) -> Sequence[int]:
    try:
        nodes = array("b", lzma.decompress(packed, lzma.FORMAT_RAW, filters=_FILTERS))
    except lzma.LZMAError as error:
        raise NotAMap from error
    if len(nodes) != _NODES:
        raise NotAMap
    return nodes


@dataclass(frozen=True, slots=True)
class _Tile:
    """A tile's nodes and how far into it, from the north and from the west, the place lies."""

    nodes: Sequence[int]
    south: float
    east: float

    def at(self, plane: int) -> float:
        """The plane's value at the place, in steps."""
        side, _ = _plane(plane)
        south, east = self.south * (side - 1) % 1, self.east * (side - 1) % 1
        north_west, north_east, south_west, south_east = self.around(plane)
        upper = north_west + (north_east - north_west) * east
        lower = south_west + (south_east - south_west) * east
        return upper + (lower - upper) * south

    def around(self, plane: int) -> tuple[int, int, int, int]:
        """The plane's values at the nodes around: north-west, north-east, then the southern two."""
        side, first = _plane(plane)
        at = first + int(self.south * (side - 1)) * side + int(self.east * (side - 1))
        return self.nodes[at], self.nodes[at + 1], self.nodes[at + side], self.nodes[at + side + 1]

    def wave(self, first: int, planes: int, step: float) -> Wave:
        """The curve whose mean is the plane `first`, with its waves in the planes after it."""
        mean, *parts = (step * self.at(first + n) for n in range(planes))
        yearly, half_yearly = (parts[0], parts[1]), (0.0, 0.0)
        if len(parts) > len(yearly):
            half_yearly = (parts[2], parts[3])
        return Wave(mean, yearly, half_yearly)


def _plane(number: int) -> tuple[int, int]:
    """How many nodes a side of the plane has, and where among a tile's numbers it begins."""
    if number < _FINE_PLANES:
        return _FINE, number * _FINE**2
    return _COARSE, _FINE_PLANES * _FINE**2 + (number - _FINE_PLANES) * _COARSE**2
