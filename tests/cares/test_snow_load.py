"""Snow on a roof: 18 cm of fresh snow since the last thaw weigh 25 kg on a square metre."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.decided import DecidedDay
from scheduler.cares.plan import plan
from scheduler.cares.records import Records
from scheduler.cares.snow_load import snow_load_kg_m2
from scheduler.climate.weather import Reading
from scheduler.profile.values import Profile
from tests.weather_decided import decided

DAY = date(2026, 12, 21)
ONE = timedelta(days=1)


def days(*snow_cm: float, high_c: float = -1.0) -> list[DecidedDay]:
    """So much snow on each day up to DAY, all of them as cold."""
    found = []
    for ago, fell_cm in enumerate(reversed(snow_cm)):
        of = decided(DAY - ago * ONE)
        weather = replace(
            of.weather,
            high_c=replace(of.weather.high_c, value=high_c),
            snow_cm=Reading(value=fell_cm, source="forecast"),
        )
        found.append(replace(of, weather=weather))
    return found


def test_seven_centimetres_are_ten_kilograms_on_a_square_metre() -> None:
    assert snow_load_kg_m2(days(7.0), DAY) == pytest.approx(9.8)
    assert snow_load_kg_m2(days(5.0, 0.0, 13.0), DAY) == pytest.approx(25.2)


def test_a_day_that_thaws_or_of_which_nothing_is_known_begins_it_anew() -> None:
    thawed = [*days(10.0, high_c=-1.0), *(d for d in days(20.0, 0.0, high_c=3.0) if d.day < DAY)]
    assert snow_load_kg_m2(thawed, DAY) == pytest.approx(14.0)
    assert snow_load_kg_m2([one for one in days(20.0, 0.0, 5.0) if one.day != DAY - ONE], DAY) == (
        pytest.approx(7.0)
    )
    assert snow_load_kg_m2([], DAY) == 0


@pytest.mark.parametrize(("snow_cm", "is_due"), [((9.0, 8.8), False), ((9.0, 9.0), True)])
def test_the_roof_is_cleared_from_25_kilograms_on(
    small: Profile, catalogue: Catalogue, snow_cm: tuple[float, ...], is_due: bool
) -> None:
    records = Records(weather=tuple(days(*snow_cm)))
    planned = plan(small, records, DAY, DAY, catalogue).days[0]
    assert ("roof-snow" in {task.care_id for task in planned.tasks}) is is_due
