"""A day's weather to look at: the best that is known of each value, from where, how old it is."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_plan import DayPlan, Task
from scheduler.cares.records import Records, Report
from scheduler.cares.weather_jobs import weather_jobs
from scheduler.climate.blend import usual
from scheduler.climate.curve import averages
from scheduler.climate.forecast import OfficialWarning
from scheduler.climate.weather import Reading, Weather
from scheduler.profile.quantity import reckoned, write, write_quantity
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.wording.service.outlook import NightAndDay, OutlookFrom, OutlookOf, OutlookValues
from scheduler.wording.sources.question import ForecastServices
from scheduler.wording.spoken import in_a_row, one_by_one, short_weekday
from scheduler.wording.words import Words, by_code

_DAY, _HOUR = timedelta(days=1), timedelta(hours=1)
_AGE_SAID_FROM = timedelta(hours=12)
_KM_H = 3.6  # of a metre a second
_NIGHT_UNTIL_H = 6  # before it, tonight is the night under way


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """The weather of a day as it is known at `now`, and the jobs that it brings.

    The low is that of the night before; what nothing tells of is None. What people reported counts
    where it is worse.
    """

    day: date
    now: datetime
    low_c: Reading
    high_c: Reading
    gust_m_s: Reading | None = None
    snow_cm: Reading | None = None
    jobs: tuple[Task, ...] = ()
    warnings: tuple[OfficialWarning, ...] = ()


def outlooks(
    profile: Profile,
    records: Records,
    days: Sequence[DayPlan],
    catalogue: Catalogue,
    now: datetime,
) -> tuple[Outlook, ...]:
    """One for each of the planned days."""
    return tuple(
        outlook(profile, records, one.day, now, weather_jobs(one, catalogue)) for one in days
    )


def outlook(
    profile: Profile,
    records: Records,
    day: date,
    now: datetime,
    jobs: tuple[Task, ...] = (),
) -> Outlook:
    """What was decided of the day, else what is usual for it; with what people reported."""
    found = weather_of(profile, records, day)
    return Outlook(
        day=day,
        now=now,
        low_c=_worst(found.low_c, records.of("frost", day), min),
        high_c=_worst(found.high_c, records.of("heat", day), max),
        gust_m_s=found.gust_m_s,
        snow_cm=found.snow_cm if found.snow_cm and round(found.snow_cm.value) else None,
        jobs=jobs,
        warnings=tuple(one for one in found.warnings if one.ends > now),
    )


def weather_of(profile: Profile, records: Records, day: date) -> Weather:
    """The weather that the plan of that day goes by, but for what people reported."""
    decided = records.weather_on(day)
    return decided.weather if decided else usual(averages(profile.on(day)), day)


def _worst(
    known: Reading, told: Sequence[Report], worst: Callable[[float, float], float]
) -> Reading:
    for one in told:
        air_c = one.air_c
        if air_c is not None and not one.forecast and worst(air_c, known.value) != known.value:
            known = Reading(value=air_c, source="told", at=one.stands_since)
    return known


# -- as a keeper reads it ---------------------------------------------------------------------


def temperatures(profile: Profile, of: Outlook) -> str:
    """From the low to the high, in the keeper's unit."""
    both_usual = of.low_c.source == of.high_c.source == "climate"
    says = OutlookValues.about_night_to_day if both_usual else OutlookValues.night_to_day
    return says(low=degrees(profile, of.low_c.value), high=degrees(profile, of.high_c.value))


def degrees(profile: Profile, air_c: float) -> str:
    """The temperature in the keeper's unit."""
    return write_quantity(air_c, "temperature", profile.units)


def wind_and_snow(profile: Profile, of: Outlook) -> str:
    """The strongest gusts and the snow that falls; empty where nothing tells of either."""
    told = []
    if of.gust_m_s:
        speed = write_quantity(of.gust_m_s.value * _KM_H, "speed", profile.units)
        told.append(OutlookValues.gusts(speed=speed))
    if of.snow_cm:
        depth = write(reckoned(round(of.snow_cm.value), "cm"), profile.units)
        told.append(OutlookValues.snow(depth=depth))
    return in_a_row(told)


def sources(profile: Profile, of: Outlook) -> str:
    """Where the values are from; where that is not one place, of each."""
    told: tuple[tuple[Words, Reading | None], ...] = (
        (OutlookOf.low, of.low_c),
        (OutlookOf.high, of.high_c),
        (OutlookOf.gusts, of.gust_m_s),
        (OutlookOf.snow, of.snow_cm),
    )
    said = [(words, source(profile, one, of.now)) for words, one in told if one]
    if len({each for _, each in said}) == 1:
        return said[0][1]
    return one_by_one([words(source=each) for words, each in said])


def source(profile: Profile, of: Reading, now: datetime) -> str:
    """Where the value is from: "forecast of 14:00, MET Norway"."""
    if of.at is None:
        return OutlookFrom.told_once() if of.source == "told" else OutlookFrom.climate()
    at = instant_said(profile, of.at, now)
    if of.source == "measured":
        return OutlookFrom.measured(at=at)
    if of.source == "told":
        return OutlookFrom.told(at=at)
    if of.by is None:
        return OutlookFrom.forecast_at(at=at)
    service = by_code(ForecastServices, of.by)()
    if (age := now - of.at) > _AGE_SAID_FROM:
        return OutlookFrom.old_forecast(at=at, service=service, hours=age // _HOUR)
    return OutlookFrom.forecast(at=at, service=service)


def instant_said(profile: Profile, at: datetime, now: datetime) -> str:
    """The time by the clock at the site: "14:00", or "Tue 14:00" on another day."""
    site = profile.at(now).site
    zone, region = site.zone, site.region
    local, time = at.astimezone(zone), local_clock(at, zone, region)
    if local.date() == now.astimezone(zone).date():
        return time
    return OutlookFrom.on_a_day(weekday=short_weekday(local), time=time)


def coming(profile: Profile, records: Records, now: datetime) -> Outlook:
    """Tonight's low and the high of the day after it: before six, of the night under way."""
    local = now.astimezone(profile.at(now).site.zone)
    day = profile.date_at(now) + (local.hour >= _NIGHT_UNTIL_H) * _DAY
    return outlook(profile, records, day, now)


def night_and_day(profile: Profile, of: Outlook) -> tuple[str, str]:
    """Its low and its high in a line each, with their sources."""
    is_today = of.day == profile.date_at(of.now)
    by_day = NightAndDay.today if is_today else NightAndDay.tomorrow
    return (
        _said(profile, NightAndDay.tonight, of.low_c, of.now),
        _said(profile, by_day, of.high_c, of.now),
    )


def _said(profile: Profile, words: Words, of: Reading, now: datetime) -> str:
    value = degrees(profile, of.value)
    if of.source == "climate":
        value = OutlookValues.about(value=value)
    return words(value=value, source=source(profile, of, now))


# -- as a program reads it --------------------------------------------------------------------


def outlook_facts(of: Outlook) -> dict[str, object]:
    """The JSON of one day's weather; null for what nothing tells of."""
    return {
        "date": of.day,
        "low": _facts("c", of.low_c),
        "high": _facts("c", of.high_c),
        "gusts": _facts("m_s", of.gust_m_s),
        "snow": _facts("cm", of.snow_cm),
        "jobs": [task.care_id for task in of.jobs],
        "warnings": warning_facts(of.warnings),
    }


def warning_facts(warnings: Sequence[OfficialWarning]) -> list[dict[str, object]]:
    """The JSON of official warnings, in their senders' own words."""
    return [
        {
            "event": one.event,
            "headline": one.headline,
            "sender": one.sender,
            "from": one.onset,
            "to": one.ends,
        }
        for one in warnings
    ]


def _facts(unit: str, of: Reading | None) -> dict[str, object] | None:
    if of is None:
        return None
    return {
        unit: round(of.value, 1),
        "sd": round(of.sd, 1),
        "source": of.source,
        "by": of.by,
        "at": of.at,
    }
