"""The file of places read a second time, all at once, as packed.py and globe.py describe it."""

import struct
import zlib
from functools import cache
from itertools import accumulate, pairwise
from typing import NamedTuple

from scheduler.places.spelling import written
from scheduler.profile.package_data import places


class Told(NamedTuple):
    """A place, as the file tells it."""

    name: str
    key: str
    country_code: str
    zone_name: str
    latitude_deg: float
    longitude_deg: float
    steps: int  # of its people


@cache
def every_place() -> tuple[Told, ...]:
    """All places in the order of their names."""
    data = places()
    assert data[:8] == b"places1\n"
    count, _, names, spelling, people, numbers, *_, globe, regions = struct.unpack_from(
        "<11I", data, 8
    )
    keys = b"".join(_blocks(data, names)[1:]).decode().replace("\n\n", "\n").strip("\n").split("\n")
    spellings = "\n".join(block.decode() for block in _blocks(data, spelling)).split("\n")
    zones, countries, lines = zlib.decompress(data[regions:]).decode().split("\n\n")
    spots = [spot for block in _blocks(data, globe)[1:] for spot in _spots(block)]
    homes = []
    for line in lines.split("\n"):
        inside, country, _, _, _, which = line.split("\t")
        code = countries.split("\n")[int(country)].partition("\t")[0]
        homes += [(code, [zones.split("\n")[int(zone)] for zone in which.split()])] * int(inside)
    assert len(keys) == len(spellings) == len(spots) == len(homes) == count
    told = []
    for at, (key, spelled) in enumerate(zip(keys, spellings, strict=True)):
        (low,) = struct.unpack_from("<H", data, numbers + 2 * at)
        high = data[numbers + 2 * count + at // 4] >> (at % 4 * 2) & 3
        lat_deg, lon_deg, zone = spots[high << 16 | low]
        code, names_of_zones = homes[high << 16 | low]
        name, zone_name = written(key, spelled), names_of_zones[zone]
        told.append(Told(name, key, code, zone_name, lat_deg, lon_deg, data[people + at]))
    return tuple(told)


def _blocks(data: bytes, start: int) -> list[bytes]:
    (count,) = struct.unpack_from("<I", data, start)
    ends = struct.unpack_from(f"<{count + 1}I", data, start + 4)
    first = start + 4 + 4 * (count + 1)
    return [zlib.decompress(data[first + begin : first + end]) for begin, end in pairwise(ends)]


def _spots(block: bytes) -> list[tuple[float, float, int]]:
    count = len(block) // 8
    planes = [block[n * count : (n + 1) * count] for n in range(8)]
    steps = [sum(planes[n][at] << 8 * n for n in range(4)) for at in range(count)]
    east = [sum(planes[4 + n][at] << 8 * n for n in range(3)) for at in range(count)]
    return [
        (north % 2**32 / 1000 - 90, lon / 1000 - 180, zone)
        for north, lon, zone in zip(accumulate(steps), east, planes[7], strict=True)
    ]
