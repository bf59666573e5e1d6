"""T4: heat goes by the temperature or by the index with damp, whichever comes first."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.hot_day import index_f, noon
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.cares.triggers import WeatherSign
from scheduler.cares.usual_day import usual_day
from scheduler.cares.weather_signs import is_ordinary
from scheduler.climate.curve import averages
from scheduler.husbandry.figures import figures
from scheduler.husbandry.heat import heat_index_f, stress_class
from scheduler.profile.values import Profile
from tests.conftest import declared

Declare = Callable[[str], Profile]
DAY = timedelta(days=1)
SUMMER = date(2026, 7, 20)
PLACE = """
[site]
name = "Orchard"
latitude = 30.0
longitude = -95.0
timezone = "America/Chicago"
region = "US"
[climate]
lows = [{low}]
highs = [{high}]
humidity = {damp}
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
"""


def place(declare: Declare, high_c: float, percent: int) -> Profile:
    low, high = (", ".join([f'"{each_c} °C"'] * 12) for each_c in (high_c - 10, high_c))
    text = PLACE.replace("{low}", low).replace("{high}", high)
    return declare(text.replace("{damp}", str(percent)))


def heat(air_c: float | None, first: date, days: int = 1) -> Records:
    spell = Spell(first=first, last=first + (days - 1) * DAY)
    return Records(reports=(Report(kind="heat", spell=spell, air_c=air_c),))


def due(
    profile: Profile, catalogue: Catalogue, day: date, records: Records = NO_RECORDS
) -> DayPlan:
    return plan(profile, records, day, day, catalogue).days[0]


def ids(day: DayPlan) -> set[str]:
    return {task.care_id for task in day.tasks}


@pytest.mark.parametrize(
    ("high_c", "percent", "zone"),
    [
        (31.0, 85, "emergency"),
        (29.0, 90, "danger"),
        (26.0, 60, "alert"),
        (34.0, 60, "emergency"),
    ],
)
def test_t4_the_plan_asks_for_what_the_zone_of_the_figures_says(
    declare: Declare, catalogue: Catalogue, high_c: float, percent: int, zone: str
) -> None:
    index = index_f(averages(place(declare, high_c, percent)), SUMMER, high_c)
    assert stress_class(index) == zone
    profile = place(declare, high_c, percent)
    at = usual_day(profile, SUMMER)
    (shown,) = (one for one in figures(profile, profile.coop[0], at) if one.key == "heat-index")
    assert shown.value
    assert stress_class(shown.value) == zone
    # Told of where it is out of the usual: of a place whose days are ten degrees cooler, and whose
    # air is as damp on that day.
    cooler = place(declare, high_c - 10, 100)
    told = heat(high_c, SUMMER - 5 * DAY, days=6)
    care_ids = ids(due(cooler, catalogue, SUMMER, told))
    told_zone = stress_class(index_f(averages(cooler), SUMMER, high_c))
    wants = {"emergency": high_c >= 33 or told_zone == "emergency"}
    assert ("heat-emergency" in care_ids) is wants["emergency"]
    assert ("heat-look" in care_ids) is (high_c >= 30 or told_zone in {"danger", "emergency"})


@pytest.mark.parametrize(("high_c", "percent"), [(31.0, 85), (29.0, 90), (34.0, 60), (38.0, 15)])
def test_t18_what_is_hot_all_year_asks_for_nothing_every_day(
    declare: Declare, catalogue: Catalogue, high_c: float, percent: int
) -> None:
    profile = place(declare, high_c, percent)
    days = [due(profile, catalogue, SUMMER + n * DAY) for n in range(14)]
    assert not any(ids(day) & {"heat-look", "heat-eggs", "heat-emergency"} for day in days)
    # The standing arrangement is looked at once a week.
    assert sum("heat-shade" in ids(day) for day in days) == 2


@given(st.floats(15, 45), st.integers(10, 100), st.none() | st.floats(20, 48))
def test_t4_no_day_is_milder_in_the_plan_than_by_temperature_or_by_index(
    catalogue: Catalogue, high_c: float, percent: int, told_c: float | None
) -> None:
    profile = place(declared, round(high_c, 1), percent)
    records = NO_RECORDS if told_c is None else heat(told_c, SUMMER - 5 * DAY, days=6)
    care_ids = ids(due(profile, catalogue, SUMMER, records))
    yearly = averages(profile)
    by_id = {care.id: care.due for care in catalogue}
    look, emergency = by_id["heat-look"], by_id["heat-emergency"]
    assert isinstance(look, WeatherSign)
    assert isinstance(emergency, WeatherSign)
    is_rule = is_ordinary(look, yearly)
    hottest_c = told_c or 0.0
    index = index_f(yearly, SUMMER, hottest_c)
    if not is_rule and (hottest_c >= 30 or index >= 76):
        assert "heat-look" in care_ids
    if is_rule and hottest_c > yearly.high_c(SUMMER) + yearly.high_sd_at(0.55) + 0.5:
        assert ("heat-look" in care_ids) is (hottest_c >= 30 or index >= 76)
    if "heat-look" in care_ids and told_c is None:  # one day in five is so hot, and no rule
        assert not is_rule
        assert yearly.high_c(SUMMER) < 30
    if hottest_c >= 40 or (not is_rule and index >= 81 and yearly.high_c(SUMMER) < 20):
        assert "heat-emergency" in care_ids
    if told_c is None:
        assert "heat-emergency" not in care_ids  # never by the year alone
    if "heat-emergency" in care_ids:
        assert hottest_c >= 33 or index >= 81
        if told_c is not None and told_c >= 30:
            assert "heat-look" in care_ids or is_rule


@pytest.mark.parametrize("nth", range(1, 8))
def test_t4_forty_degrees_are_an_emergency_on_every_day_and_wherever_it_is_ordinary(
    declare: Declare, catalogue: Catalogue, nth: int
) -> None:
    profile = place(declare, 38.0, 15)
    day = due(profile, catalogue, SUMMER, heat(42.0, SUMMER - (nth - 1) * DAY, days=8))
    (emergency,) = (task for task in day.tasks if task.care_id == "heat-emergency")
    assert emergency.urgent


def test_t4_dry_heat_that_is_ordinary_has_a_limit_of_its_own(
    declare: Declare, catalogue: Catalogue
) -> None:
    # 35 °C at 10 %: index 79. The sixth day of it is no emergency where it is the average.
    profile = place(declare, 34.0, 10)
    told = heat(35.0, SUMMER - 5 * DAY, days=6)
    assert "heat-emergency" not in ids(due(profile, catalogue, SUMMER, told))
    assert "heat-emergency" in ids(due(profile, catalogue, SUMMER, heat(40.0, SUMMER - 5 * DAY, 6)))
    # 40 °C at 8 %: index 80.7, and not five degrees above an average of 36 °C.
    hotter = place(declare, 36.0, 10)
    for told_c, is_one in ((39.8, False), (40.0, True)):
        assert index_f(averages(hotter), SUMMER, told_c) < 81
        found = ids(due(hotter, catalogue, SUMMER, heat(told_c, SUMMER - 5 * DAY, 6)))
        assert ("heat-emergency" in found) is is_one


def test_t4_hotter_air_than_the_average_holds_the_water_of_the_average_noon(
    declare: Declare,
) -> None:
    yearly = averages(place(declare, 30.0, 50))
    usual = noon(yearly, SUMMER)
    assert index_f(yearly, SUMMER, usual.air_c) == heat_index_f(usual.air_c, usual.humidity)
    # A day of 20 to 30 °C at 50 %: 1.58 kPa of 3.16 at 25 °C. That is 37 % of 4.24 kPa at its noon
    # and 28 % of 5.62 kPa at 35 °C (Magnus form, recomputed).
    assert usual.humidity == pytest.approx(0.373, abs=0.001)
    assert index_f(yearly, SUMMER, 35.0) == pytest.approx(heat_index_f(35.0, 0.281), abs=0.3)
