"""What a keeper's own thermometer shows: read as somebody types it, kept, and told with its age."""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from scheduler.climate.forecast import Measured
from scheduler.journal.store import Journal
from scheduler.journal.weather import last_measured
from scheduler.profile.by_name import Named, from_id
from scheduler.profile.load import Problems
from scheduler.profile.problem import Problem, Unreadable, shown
from scheduler.profile.quantity import reckoned, write, write_quantity
from scheduler.profile.units import Region, Units, read_quantity
from scheduler.profile.values import Profile
from scheduler.sources.thermometer import COLDEST_C, WARMEST_C
from scheduler.wording.service.measured import MeasuredAccepted, MeasuredAge, MeasuredShown

Field = Literal["air", "humidity"]
LOOKED_BACK = timedelta(days=3)  # longer nothing is kept
_PERCENT = re.compile(r"(\d{1,3}(?:\.\d{1,9})?) ?%?")
_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Garden:
    """The thermometer of a household that has declared none outside."""

    id: str = "garden"

    @property
    def name(self) -> str:
        """What it is called."""
        return from_id(self.id)


def thermometers(profile: Profile) -> tuple[Named, ...]:
    """The profile's sensors, one outside first: the garden's where it has none there."""
    outside: list[Named] = [one for one in profile.sensor if one.where == "outside"]
    inside = [one for one in profile.sensor if one.where != "outside"]
    return (*(outside or [Garden()]), *inside)


def read_measured(
    air: str, humidity: str, units: Units, region: Region, now: datetime
) -> Measured | Problems:
    """What was measured now, or one problem for each text that cannot be used; `found` is quoted.

    Without a humidity its text is empty.
    """
    problems: list[Problem] = []
    air_c = share = None
    try:
        air_c = _air_c(air, region)
    except Unreadable as unreadable:
        problems.append(_wrong("air", air, unreadable))
    try:
        share = _share(humidity, units) if humidity else None
    except Unreadable as unreadable:
        problems.append(_wrong("humidity", humidity, unreadable))
    if problems or air_c is None:
        return tuple(problems)
    return Measured(at=now, air_c=air_c, humidity=share)


def _wrong(field: Field, found: str, why: Unreadable) -> Problem:
    return Problem(key=(field,), found=shown(found), accepted=why.accepted, hint=why.hint)


def _air_c(text: str, region: Region) -> float:
    air_c = read_quantity(text, "temperature", region)
    if COLDEST_C <= air_c <= WARMEST_C:
        return air_c
    of_text: Units = "us" if text.strip().lower().endswith("f") else "metric"
    least, most = (write_quantity(c, "temperature", of_text) for c in (COLDEST_C, WARMEST_C))
    raise Unreadable(MeasuredAccepted.air(least=least, most=most))


def _share(text: str, units: Units) -> float:
    """From 1 to 100 %: who means 81 % and writes 0.81 is asked again."""
    found = _PERCENT.fullmatch(text.strip())
    percent = float(found[1]) if found else 0.0
    if 1 <= percent <= 100:  # noqa: PLR2004 - per cent
        return percent / 100
    least, most = (write(reckoned(end, "%", 0), units) for end in (1, 100))
    raise Unreadable(MeasuredAccepted.humidity(least=least, most=most))


def last_of_each(
    journal: Journal, profile: Profile, now: datetime
) -> tuple[tuple[str, Measured], ...]:
    """What each sensor showed last up to `now`, by its id, in the profile's order; nothing old.

    Raises:
        JournalFault: the journal cannot be read.
    """
    with journal.reading() as connection:
        found = last_measured(connection, profile.site.id, now - LOOKED_BACK, now)
    order = [one.id for one in thermometers(profile)]
    return tuple(
        (sensor_id, found[sensor_id])
        for sensor_id in (*order, *sorted(found.keys() - set(order)))
        if sensor_id in found
    )


def line_of(profile: Profile, sensor_id: str, measured: Measured, now: datetime) -> str:
    """What a sensor showed last, in one sentence."""
    return MeasuredShown.last(
        values=values_of(measured, profile.units),
        sensor=name_of(profile, sensor_id),
        age=age_of(measured, now),
    )


def values_of(measured: Measured, units: Units) -> str:
    """The air, and the humidity where there is one: "3.4 °C and 81 % humidity"."""
    air = write_quantity(measured.air_c, "temperature", units, to=_nearest)
    if measured.humidity is None:
        return air
    percent = write(reckoned(measured.humidity * 100, "%", 0), units)
    return MeasuredShown.both(air=air, humidity=percent)


def _nearest(value: float, digits: int) -> float:
    """As a thermometer shows it: a tenth of a degree is told, as of a limit."""
    return round(value, digits)


def age_of(measured: Measured, now: datetime) -> str:
    """How long ago it was measured."""
    age = now - measured.at
    if age < 2 * _HOUR:
        minutes = int(age / timedelta(minutes=1))
        return MeasuredAge.minutes(minutes=minutes) if minutes else MeasuredAge.now()
    return MeasuredAge.hours(hours=int(age / _HOUR))


def name_of(profile: Profile, sensor_id: str) -> str:
    """What the sensor is called; one that the profile has no more is called by its id."""
    names = {one.id: one.name for one in thermometers(profile)}
    return names.get(sensor_id, from_id(sensor_id))
