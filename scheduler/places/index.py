"""The places of the world by name, by a name with a slip, and by where one is."""

import re
from collections.abc import Callable, Iterable, Iterator
from heapq import merge, nsmallest
from itertools import chain, islice
from math import isfinite
from operator import itemgetter

from scheduler.places.folded import folded
from scheduler.places.globe import Globe
from scheduler.places.most_people import STEPS_A_DOUBLING, most_first, people
from scheduler.places.packed import parts
from scheduler.places.place import Place
from scheduler.places.regions import Regions
from scheduler.places.slips import Fit, near_lines, one_slip, two_slips
from scheduler.places.sorted_keys import SortedKeys
from scheduler.places.spelling import Spelling

# Common practice, no source: what has the name itself comes before what is sixteen times as large
# and only called so elsewhere, or once was.
_BEHIND = 4 * STEPS_A_DOUBLING
_FEWEST_BYTES = 3  # of a name that may have a slip: with fewer, everything has
_FEWEST_FOR_TWO = 7  # letters
_FEWEST_LEFT = 2  # letters, where nothing is like it
_MOST_WORDS_AFTER = 3  # new south wales
_ENOUGH = 500  # that fit, of which the better half is kept
_COMMA = re.compile("[,،、，;]")

_Where = frozenset[int] | None  # numbers of regions; None: anywhere
_Reading = tuple[str, _Where]  # a name and where it is
_Judge = Callable[[str, str], Fit | None]


class Index:
    """What `places.bin` holds; it unpacks what it needs and keeps little of that.

    Raises:
        NotAnIndex: the data is none, or damaged.
    """

    def __init__(self, data: bytes) -> None:
        self._parts = parts(data)
        self._names = SortedKeys(self._parts.names)
        self._others = SortedKeys(self._parts.others)
        self._spelling = Spelling(self._parts.spelling)
        self._globe = Globe(self._parts.globe)
        self._regions = Regions(self._parts.regions)

    def __len__(self) -> int:
        """How many places there are."""
        return len(self._parts.people)

    def __getitem__(self, at: int) -> Place:
        """The place whose name is so far on in the alphabet."""
        number = self._parts.places[at]
        region = self._regions[self._regions.number_of(number)]
        spot = self._globe[number]
        return Place(
            name=self._spelling.written(at, self._names.at(at)),
            region=region.name,
            country=region.country,
            country_code=region.country_code,
            latitude_deg=spot.latitude_deg,
            longitude_deg=spot.longitude_deg,
            zone_name=region.zones[spot.zone],
            people=people(self._parts.people[at]),
        )

    def starting(self, typed: str, most: int = 8) -> tuple[Place, ...]:
        """The places with a name that begins so: what is called so first, then by their people.

        After a comma come region or country, as "lewes, england" or "lewes, uk"; a word there that
        nobody knows narrows nothing. Without a comma the last words may be one, where no name has
        them.
        """
        for name, regions in self._readings(typed):
            there = (at for at in self._beginning(name) if self._is_in(at, regions))
            if found := self._places(_once(there), most):
                return found
        return ()

    def like(self, typed: str, most: int = 5) -> tuple[Place, ...]:
        """The places whose name may be meant: a slip or two away, else with fewer first letters."""
        readings = dict(self._readings(typed))
        found = self._places(self._resembling(readings), most)
        return found or self._places(self._shortened(next(iter(readings), "")), most)

    def near(self, latitude_deg: float, longitude_deg: float) -> Place | None:
        """The place with the shortest way over the globe; None for no place on earth."""
        if not (isfinite(longitude_deg) and abs(latitude_deg) <= 90):  # noqa: PLR2004 - the pole
            return None
        number = self._globe.nearest(latitude_deg, longitude_deg)
        at = None if number is None else self._parts.places.position(number)
        return None if at is None else self[at]

    def _readings(self, typed: str) -> Iterator[_Reading]:
        """What may be meant by it, the likeliest first."""
        name, *after = map(folded, _COMMA.split(typed))
        words = [word for word in after if word]
        whole = folded(typed)
        if name and words:
            called = [self._regions.called(word) for word in words]
            if all(called):
                yield name, frozenset.intersection(*called)
            begun = [
                exact | self._regions.beginning(word)
                for exact, word in zip(called, words, strict=True)
            ]
            known = [regions for regions in begun if regions]
            yield name, frozenset.intersection(*known) if known else None
            if all(begun):
                return
        if whole:
            yield whole, None
        split = whole.split()
        for count in range(1, min(len(split), _MOST_WORDS_AFTER + 1)):
            if regions := self._regions.called(" ".join(split[-count:])):
                yield " ".join(split[:-count]), regions

    def _is_in(self, at: int, regions: _Where) -> bool:
        return regions is None or self._regions.number_of(self._parts.places[at]) in regions

    def _beginning(self, name: str) -> Iterator[int]:
        """The names that begin so, the best first, some twice."""
        exact = self._ranked(self._names.equal(name), self._others.equal(name))
        begun = self._ranked(self._names.beginning(name), self._others.beginning(name))
        return chain(exact, begun)

    def _ranked(self, names: range, others: range) -> Iterator[int]:
        """The names at these positions, and whose the other names at those are."""
        theirs = (
            (rank + _BEHIND, self._parts.other_of[at])
            for rank, at in most_first(self._parts.their_people, others)
        )
        return (at for _, at in merge(most_first(self._parts.people, names), theirs))

    def _resembling(self, readings: dict[str, _Where]) -> list[int]:
        """The names that may be meant, the best first."""
        long = {n: where for n, where in readings.items() if len(n.encode()) >= _FEWEST_BYTES}
        fits = self._fitting(long, 1, one_slip)
        if all(fit > Fit.ONE_SLIP for fit, _ in fits.values()):
            longer = {n: where for n, where in long.items() if len(n) >= _FEWEST_FOR_TWO}
            fits = self._fitting(longer, 2, two_slips) | fits
        return sorted(fits, key=lambda at: (fits[at], at))

    def _fitting(
        self, readings: dict[str, _Where], slips: int, judge: _Judge
    ) -> dict[int, tuple[Fit, int]]:
        """By name how it fits, and its steps below zero; where many do, the best of them."""
        fits: dict[int, tuple[Fit, int]] = {}
        for at, fit in self._each_fitting(readings, slips, judge):
            fits[at] = min(fit, fits.get(at, fit))
            if len(fits) > _ENOUGH:
                fits = dict(nsmallest(_ENOUGH // 2, fits.items(), key=itemgetter(1)))
        return fits

    def _each_fitting(
        self, readings: dict[str, _Where], slips: int, judge: _Judge
    ) -> Iterator[tuple[int, tuple[Fit, int]]]:
        for keys, is_other in ((self._names, False), (self._others, True)):
            for first, lines in keys.each() if readings else ():
                for name, regions in readings.items():
                    for line, fit in near_lines(lines, name, slips, judge):
                        at = self._parts.other_of[first + line] if is_other else first + line
                        if self._is_in(at, regions):
                            yield at, (fit, is_other * _BEHIND - self._parts.people[at])

    def _shortened(self, name: str) -> Iterator[int]:
        """The names with as many of these first letters as any has."""
        for length in range(len(name), _FEWEST_LEFT - 1, -1):
            if self._names.beginning(name[:length]) or self._others.beginning(name[:length]):
                return _once(self._beginning(name[:length]))
        return iter(())

    def _places(self, names: Iterable[int], most: int) -> tuple[Place, ...]:
        return tuple(map(self.__getitem__, islice(names, most)))


def _once(numbers: Iterable[int]) -> Iterator[int]:
    seen = set()
    for number in numbers:
        if number not in seen:
            seen.add(number)
            yield number
