"""On which dates the averages of the year pass what a care waits for."""

from collections.abc import Iterable
from datetime import date
from itertools import pairwise
from typing import NamedTuple

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.triggers import ChancePasses, ClimatePasses
from scheduler.climate.chance import Extreme, turns
from scheduler.climate.curve import TROPICAL_YEAR_DAYS, Averages
from scheduler.climate.wave import passings


class _Change(NamedTuple):
    share: float
    apart: float
    care_id: str


def passes(averages: Averages, shares: Iterable[float], after: date, day: date) -> bool:
    """Whether one of the shares of the year lies after that day, up to `day`."""
    before, today = averages.share_of_year(after), averages.share_of_year(day)
    if before <= today:
        return any(before < share <= today for share in shares)
    return any(share > before or share <= today for share in shares)


def changes_of_the_year(cares: Catalogue, averages: Averages) -> dict[str, list[float]]:
    """Shares of the year of each climate care, thinned to the distance its group keeps."""
    groups: dict[str, list[_Change]] = {}
    for care in cares:
        if isinstance(care.due, ClimatePasses | ChancePasses):
            for share in _shares(care.due, averages):
                change = _Change(share, care.due.apart / TROPICAL_YEAR_DAYS, care.id)
                groups.setdefault(care.due.group, []).append(change)
    kept: dict[str, list[float]] = {}
    for group in groups.values():
        for change in _thinned(sorted(group)):
            kept.setdefault(change.care_id, []).append(change.share)
    return kept


def _shares(due: ClimatePasses | ChancePasses, averages: Averages) -> tuple[float, ...]:
    if isinstance(due, ChancePasses):
        return turns(averages, Extreme(due.of, due.at), begins=due.passing == "begins")
    wave = averages.low if due.of == "low" else averages.high
    return passings(wave, due.at, rising=due.passing == "rising")


def _thinned(changes: list[_Change]) -> list[_Change]:
    """Of changes that follow each other too closely the last: it is the setting that stays.

    The year is a circle, so the walk begins behind its largest gap.
    """
    gaps = [change.share - before.share for before, change in pairwise(changes)]
    gaps.insert(0, changes[0].share + 1 - changes[-1].share)
    start = gaps.index(max(gaps))
    around = changes[start:] + changes[:start]
    return [
        change
        for change, following in pairwise([*around, around[0]])
        if len(around) == 1 or (following.share - change.share) % 1 >= change.apart
    ]
