"""Countries and their regions: of which a place is, and which somebody means.

The text has three lists, a line each, with an empty line between them: zone names; countries (code,
name, folded name); regions (how many places, the country's number, code where it has letters, name,
folded name, the numbers of its zones). What a line has is parted by tabs, zones by spaces. A
region whose name is not known has an empty one. A region's places follow one another.
"""

import re
from array import array
from bisect import bisect_right
from collections.abc import Callable, Iterator
from itertools import accumulate
from typing import NamedTuple

_LINE = re.compile(rb".+")
# What people write for these countries besides name and code; common practice, no source.
_ALSO = {"uk": "GB", "britain": "GB", "usa": "US", "america": "US"}


class Region(NamedTuple):
    """A region, as its line has it."""

    country: str
    country_code: str
    name: str
    zones: tuple[str, ...]


class Regions:
    """All regions; a region's number is its line."""

    def __init__(self, text: str) -> None:
        zones, countries, regions = text.split("\n\n")
        self._zones = zones.split("\n")
        self._countries = [line.split("\t") for line in countries.split("\n")]
        # One text and numbers instead of thousands of lines, which would take three times as much.
        self._text = regions.encode() + b"\n"
        self._begins = array("I", (found.start() for found in _LINE.finditer(self._text)))
        self._ends = array("I", accumulate(int(line.split(b"\t", 1)[0]) for line in self._each()))

    def number_of(self, place: int) -> int:
        """The number of the region in which the place of that number is."""
        return bisect_right(self._ends, place)

    def __getitem__(self, number: int) -> Region:
        """The region of that number."""
        begin = self._begins[number]
        end = self._text.index(b"\n", begin)
        _, country, _, name, _, zones = self._text[begin:end].decode().split("\t")
        code, shown, _ = self._countries[int(country)]
        return Region(shown, code, name, tuple(self._zones[int(n)] for n in zones.split()))

    def called(self, word: str) -> frozenset[int]:
        """The regions that have this name or code, or whose country has."""
        also = _ALSO.get(word)
        is_code = len(word) > 1  # a single letter is the beginning of one
        countries = {
            number for number, (code, _, name) in enumerate(self._countries)
            if word in {code.lower(), name} or code == also
        }  # fmt: skip
        return self._those(countries, lambda code, name: word == name or (is_code and word == code))

    def beginning(self, word: str) -> frozenset[int]:
        """The regions whose name begins so, or whose country's does."""
        countries = {n for n, (_, _, name) in enumerate(self._countries) if name.startswith(word)}
        return self._those(countries, lambda _, name: name.startswith(word))

    def _those(self, countries: set[int], fits: Callable[[str, str], bool]) -> frozenset[int]:
        found = set()
        for number, line in enumerate(self._each()):
            _, country, code, _, name, _ = line.decode().split("\t")
            if int(country) in countries or fits(code.lower(), name):
                found.add(number)
        return frozenset(found)

    def _each(self) -> Iterator[bytes]:
        return (found[0] for found in _LINE.finditer(self._text))
