"""The figures of the day's length and of a lamp."""

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.husbandry.age import lays, weeks_old
from scheduler.husbandry.figure import Figure, Source
from scheduler.husbandry.lighting import LUX_LEAST, LUX_MOST, LUX_SOURCE, MORRIS, NOT_BEFORE_WEEKS
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock


def lamp(coop: Coop) -> Iterator[Figure]:
    """The light of the lamp against what layers are given."""
    lux = coop.light.lux if coop.light else None
    if lux is None:
        return
    note = f"{LUX_LEAST} to {LUX_MOST} lux are usual"
    if lux < LUX_LEAST:
        note = f"dim: {note}, measured at the birds' heads"
    elif lux > LUX_MOST:
        note = f"bright: {note}; in bright light birds peck more"
    yield Figure(
        key="lamp-lux", label="light of the lamp", value=float(lux), unit="lux",
        source=LUX_SOURCE, inputs=("at bird height",), note=note,
    )  # fmt: skip


def may_be_lit(flock: Flock, day: date) -> bool:
    weeks = weeks_old(flock, day)
    return lays(flock, day) or (weeks is not None and weeks >= NOT_BEFORE_WEEKS)


def day_length(coop: Coop, at: Day, of_age: bool) -> Iterator[Figure]:
    yield Figure(
        key="daylight", label="day length", value=at.daylight / timedelta(hours=1), unit="h",
        source=Source("sunrise to sunset at the site", "D"),
    )  # fmt: skip
    chosen = coop.light is not None and coop.light.programme
    label = f"light programme, {'as chosen' if chosen else 'if you choose one'}"
    short_days = ""
    if at.lamp_season:
        first, last = (f"{day.day} {day:%B %Y}" for day in at.lamp_season)
        short_days = f"days are shorter from {first} to {last}"
    choice = "; ".join(
        filter(None, (short_days, "" if chosen else "no lamp is just as good a choice"))
    )
    too_young = f"not for birds under {NOT_BEFORE_WEEKS} weeks: they need short days"
    yield Figure(
        key="light-hours", label=label,
        value=at.light_hours, unit="h", source=MORRIS, note=choice if of_age else too_young,
    )  # fmt: skip
