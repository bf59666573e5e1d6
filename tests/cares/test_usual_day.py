"""The day that the figures are reckoned with, and what the vents give."""

from collections.abc import Callable
from datetime import date

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.cares.usual_day import air_lines, usual_day, vent_settings
from scheduler.climate.curve import averages
from scheduler.husbandry.figure import Figure
from scheduler.husbandry.figures import figures
from scheduler.profile.values import Profile

WINTER, SUMMER = date(2026, 12, 21), date(2026, 6, 21)
VENTED = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "{region}"
[climate]
coldest_month_low = "-2 °C"
warmest_month_high = "24 °C"
[[coop]]
name = "Walnut"
{size}
[[coop.vent]]
size = "1 m x 20 cm"
place = "high"
steps = 4
[[flock]]
name = "Girls"
hens = 12
"""
SIZE = 'floor = "2 m x 2 m"\nheight = "2 m"'
Declare = Callable[[str], Profile]


def test_the_usual_day_has_the_averages_of_its_date(small: Profile) -> None:
    yearly = averages(small)
    winter = usual_day(small, WINTER)
    assert winter.night.air_c == yearly.low_c(WINTER)
    assert winter.noon.air_c == yearly.high_c(WINTER)
    assert winter.noon.humidity <= winter.night.humidity
    assert winter.daylight < usual_day(small, SUMMER).daylight


@pytest.mark.parametrize("day", [WINTER, SUMMER, date(2026, 2, 1)])
def test_the_lamp_season_holds_the_day_or_follows(small: Profile, day: date) -> None:
    season = usual_day(small, day).lamp_season
    assert season
    first, last = season
    assert day <= last
    assert (first <= day) == (day != SUMMER)


def test_on_the_equator_where_days_are_alike_there_is_no_lamp_season(declare: Declare) -> None:
    alike = VENTED.format(region="other", size="").replace("latitude = 51.5", "latitude = 0.0")
    assert usual_day(declare(alike), WINTER).lamp_season is None


def test_each_season_has_a_line_and_the_present_one_is_marked(declare: Declare) -> None:
    profile = declare(VENTED.format(region="UK", size=SIZE))
    lines = air_lines(profile, profile.coop[0], WINTER)
    assert [line.label for line in lines] == ["cold (now)", "mild", "hot"]
    assert all("Expect about" in line.sums for line in lines)
    summer = air_lines(profile, profile.coop[0], date(2026, 7, 25))
    assert [line.label for line in summer] == ["cold", "mild", "hot (now)"]


@pytest.mark.parametrize(
    ("low_c", "high_c", "labels"),
    [
        (22, 40, ["hot (now)"]),
        (12, 24, ["mild (now)", "hot"]),
        (-30, 4, ["cold (now)"]),
    ],
)
def test_a_season_that_the_place_does_not_have_is_not_listed(
    declare: Declare, low_c: int, high_c: int, labels: list[str]
) -> None:
    text = VENTED.format(region="UK", size=SIZE).replace('"-2 °C"', f'"{low_c} °C"')
    profile = declare(text.replace('"24 °C"', f'"{high_c} °C"'))
    lines = air_lines(profile, profile.coop[0], WINTER)
    assert [line.label for line in lines] == labels
    assert "0\u00a0°C warmer" not in " ".join(line.sums for line in lines)


def test_the_air_is_told_in_the_keepers_units(declare: Declare) -> None:
    profile = declare(VENTED.format(region="US", size=SIZE))
    text = " ".join(line.sums for line in air_lines(profile, profile.coop[0], WINTER))
    assert "°F" in text
    assert "°C" not in text


def test_what_is_missing_is_asked_for(declare: Declare, small: Profile) -> None:
    assert vent_settings(small, small.coop[0], WINTER) == ()
    (vents,) = air_lines(small, small.coop[0], WINTER)
    assert vents == ("vents", "unknown: give [[coop.vent]] with size, place and steps", "")
    unmeasured = declare(VENTED.format(region="UK", size=""))
    lines = air_lines(unmeasured, unmeasured.coop[0], WINTER)
    assert all(line.sums == "Unknown: give floor and height." for line in lines)
    assert all("Damp nights" not in line.text for line in lines)


DRAUGHTY = """
[site]
name = "Orchard"
latitude = 60.0
longitude = 25.0
timezone = "Europe/Helsinki"
[climate]
coldest_month_low = "-14 °C"
warmest_month_high = "31 °C"
[[coop]]
name = "Walnut"
floor = "2 m x 2 m"
height = "1.9 m"
[coop.perches]
height = "80 cm"
[[coop.vent]]
size = "10 cm x 40 cm"
height = "90 cm"
steps = {steps}
[[coop.vent]]
size = "10 cm x 40 cm"
place = "low"
steps = 3
[[flock]]
name = "Girls"
hens = 6
"""


@pytest.mark.parametrize("steps", [1, 2])
def test_t6_the_draught_is_told_by_the_figures_and_by_the_job_of_the_cold(
    declare: Declare, catalogue: Catalogue, steps: int
) -> None:
    profile = declare(DRAUGHTY.format(steps=steps))
    cold = next(
        line for line in air_lines(profile, profile.coop[0], WINTER) if "cold" in line.label
    )
    assert "in the cold it blows on them" in cold.text
    year = plan(profile, NO_RECORDS, date(2026, 1, 1), date(2026, 12, 31), catalogue)
    whys = [t.why for day in year.days for t in day.tasks if t.care_id == "vents-cold"]
    assert whys
    assert all("in the cold it blows on them" in why for why in whys)


def test_t5_in_summer_every_vent_is_said_to_be_open(declare: Declare, catalogue: Catalogue) -> None:
    profile = declare(DRAUGHTY.format(steps=2))
    (hot,) = (
        line
        for line in air_lines(profile, profile.coop[0], date(2026, 7, 25))
        if line.label == "hot (now)"
    )
    assert hot.text.startswith("low vents open, high vents open.")
    by_id = {care.id: care for care in catalogue}
    for care_id in ("vents-open", "heat-look", "heat-emergency"):
        assert "at night" in str(by_id[care_id].why)


LIT = VENTED.replace("[[flock]]", "[coop.light]\nprogramme = {lamp}\n[[flock]]") + (
    "hatched = 2025-12-01\n"
)


def of_winter(profile: Profile) -> dict[str, Figure]:
    found = figures(profile, profile.coop[0], usual_day(profile, WINTER))
    return {figure.key: figure for figure in found}


def test_hens_under_a_lamp_lay_and_eat_by_the_light_that_it_gives(declare: Declare) -> None:
    dark, lit = (
        of_winter(declare(LIT.format(region="UK", size=SIZE, lamp=lamp)))
        for lamp in ("false", "true")
    )
    # Morris 2004: a constant 14 h lays as many as long days do.
    assert lit["eggs"].inputs == ("14.0 h of light, with your lamp",)
    assert str(dark["eggs"].inputs[0]).endswith("h of light, by daylight")
    for key in ("eggs", "feed"):
        assert (lit[key].value or 0.0) > (dark[key].value or 0.0) > 0.0
    eggs = round(lit["eggs"].value or 0.0)
    assert lit["feed"].inputs[-1] == f"{eggs} eggs a week"
    assert (lit["bag"].value or 0.0) < (dark["bag"].value or 0.0)


def test_a_lamp_that_is_chosen_is_offered_to_nobody(declare: Declare) -> None:
    dark, lit = (
        of_winter(declare(LIT.format(region="UK", size=SIZE, lamp=lamp)))["light-hours"]
        for lamp in ("false", "true")
    )
    assert dark.label == "light programme, if you choose one"
    assert str(dark.note).endswith("; no lamp is just as good a choice")
    assert lit.label == "light programme, as chosen"
    assert "choice" not in str(lit.note)


def test_of_the_air_among_chicks_on_heat_nothing_is_worked_out(declare: Declare) -> None:
    chicks = VENTED.replace(
        "hens = 12", 'young = 12\nhatched = 2026-01-01\nraised_by = "brooder"'
    ).format(region="UK", size=SIZE)
    profile = declare(chicks)
    for line in air_lines(profile, profile.coop[0], date(2026, 1, 15)):
        assert "humidity" not in line.sums
        assert "amp nights" not in line.text
        assert "What keeps the chicks warm" in line.sums
    grown = air_lines(profile, profile.coop[0], date(2026, 3, 1))
    assert all("humidity" in line.sums for line in grown)


def test_t8_the_air_of_chicks_on_heat_is_not_asked_for_either(declare: Declare) -> None:
    text = VENTED.replace("hens = 12", 'young = 12\nhatched = 2026-01-01\nraised_by = "brooder"')
    profile = declare(text.format(region="UK", size=SIZE))
    at = usual_day(profile, date(2026, 1, 15))
    found = {figure.key: figure for figure in figures(profile, profile.coop[0], at)}
    assert found["air-moisture"].value is None
    assert found["air-moisture"].none_does is False
    assert str(found["air-moisture"].note).startswith("what keeps the chicks warm dries the air")
