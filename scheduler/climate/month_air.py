"""The air of a date or a month in an average year: how far it strays, and how often it freezes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from scheduler.climate.chance import FROST, chance
from scheduler.climate.curve import Averages, averages
from scheduler.profile.values import Profile

ONE_IN_TEN = 1.2816  # standard deviations: one value in ten lies further off on that side


@dataclass(frozen=True, slots=True, kw_only=True)
class DayAir:
    """The usual low and high of a date in °C, and the chance of frost in the night before it.

    One night in ten is colder than `cold_c`, one day in ten hotter than `hot_c`.
    """

    low_c: float
    high_c: float
    cold_c: float
    hot_c: float
    frost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthAir:
    """The same for a month on average; in `frost_nights` of its `nights` it freezes."""

    first: date
    low_c: float
    high_c: float
    cold_c: float
    hot_c: float
    frost_nights: float
    nights: int


def day_air(at: Averages, day: date) -> DayAir:
    """The air of that date in an average year."""
    share = at.share_of_year(day)
    low_c, high_c = at.low.at(share), at.high.at(share)
    return DayAir(
        low_c=low_c,
        high_c=high_c,
        cold_c=low_c - ONE_IN_TEN * at.low_sd_at(share),
        hot_c=high_c + ONE_IN_TEN * at.high_sd_at(share),
        frost=chance(at, FROST, share),
    )


def airs_of(profile: Profile, days: Iterable[date]) -> tuple[tuple[date, DayAir], ...]:
    """The air of each of the dates where the birds live on it, in their order."""
    return tuple((day, day_air(averages(profile.on(day)), day)) for day in days)


def month_airs(airs_by_day: Iterable[tuple[date, DayAir]]) -> tuple[MonthAir, ...]:
    """The air of each month that any of the dates lies in, of those dates, in their order."""
    by_month: dict[date, list[DayAir]] = {}
    for day, air in airs_by_day:
        by_month.setdefault(day.replace(day=1), []).append(air)
    return tuple(
        MonthAir(
            first=first,
            low_c=fmean(one.low_c for one in airs),
            high_c=fmean(one.high_c for one in airs),
            cold_c=fmean(one.cold_c for one in airs),
            hot_c=fmean(one.hot_c for one in airs),
            frost_nights=sum(one.frost for one in airs),
            nights=len(airs),
        )
        for first, airs in by_month.items()
    )
