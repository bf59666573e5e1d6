from collections.abc import Callable
from datetime import date, timedelta

import pytest

from scheduler.husbandry.air import Weather
from scheduler.husbandry.consumption import days_fed
from scheduler.husbandry.figure import POULTRY_HUB, WATER_IN_HEAT, Figure
from scheduler.husbandry.figures import figures
from scheduler.husbandry.keeper_words import figure_words
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.units import Units
from scheduler.profile.values import Profile

Declare = Callable[[str], Profile]

HATCHED = date(2025, 6, 2)
PROFILE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
[[coop]]
name = "Walnut"
floor = "2 m x 1 m"
[[flock]]
name = "Girls"
hens = 6
[[flock]]
name = "Chicks"
young = 10
hatched = 2025-06-02
raised_by = "brooder"
"""


def of_the_day(profile: Profile, day: date, noon_c: float, night_c: float) -> dict[str, Figure]:
    at = Day(
        day=day,
        night=Weather(air_c=night_c, humidity=0.8),
        noon=Weather(air_c=noon_c, humidity=0.5),
        daylight=timedelta(hours=12),
        light_hours=14.0,
        lamp_season=None,
    )
    return {figure.key: figure for figure in figures(profile, profile.coop[0], at)}


def test_chicks_in_a_brooder_have_their_warmth_and_floor(declare: Declare) -> None:
    profile = declare(PROFILE)
    third_week = of_the_day(profile, HATCHED + timedelta(days=15), 20.0, 12.0)
    # 83 to 85 °F in the third week: Colorado State Ext. 2.502.
    assert third_week["brooder"].value == pytest.approx((83 - 32) / 1.8)
    # 0.5 sq ft a chick: P. Clauer, Space Should Increase as Birds Grow.
    assert third_week["young-floor"].value == pytest.approx(10 * 0.5 * 0.3048**2)
    seventh_week = of_the_day(profile, HATCHED + timedelta(days=43), 20.0, 12.0)
    assert str(third_week["brooder"].note).startswith("1 °C more at most; heat off from week 7 ")
    fifth_week = of_the_day(profile, HATCHED + timedelta(days=29), 20.0, 12.0)
    assert str(fifth_week["brooder"].note).startswith("heat off from week 7 ")
    assert "brooder" not in seventh_week
    assert "young-floor" in seventh_week


def test_t21_water_is_credited_to_the_table_only_where_the_table_has_it(declare: Declare) -> None:
    # Poultry Hub, Water consumption rates: 0.27 L at 21 °C, 0.35 to 0.41 L above 32 °C.
    mild, hot = (of_the_day(declare(PROFILE), HATCHED, air_c, 12.0) for air_c in (20.0, 36.0))
    assert (mild["water"].source, hot["water"].source) == (POULTRY_HUB, WATER_IN_HEAT)


def test_above_thirty_degrees_what_the_equations_cannot_say_is_left_open(declare: Declare) -> None:
    hot = of_the_day(declare(PROFILE), HATCHED, 34.0, 31.0)
    for key in ("warmth", "air-heat"):
        assert hot[key].value is None
        assert "not worked out above 30 °C" in str(hot[key].note)


def test_a_wet_pad_is_spoken_of_on_warm_days_only(declare: Declare) -> None:
    profile = declare(PROFILE)
    pad = of_the_day(profile, HATCHED, 27.0, 18.0)["wet-bulb"].value
    assert pad is not None
    assert 18.0 < pad < 27.0
    assert "wet-bulb" not in of_the_day(profile, HATCHED, 26.9, 18.0)


def test_a_floor_nobody_measured_leaves_the_bedding_open(declare: Declare) -> None:
    found = of_the_day(declare(PROFILE.replace('floor = "2 m x 1 m"', "")), HATCHED, 20.0, 12.0)
    for key in ("bedding-moisture", "stirring", "top-up"):
        assert found[key].value is None
        assert "measure the floor" in str(found[key].note)


def test_a_bag_is_reckoned_with_what_growing_chicks_will_eat() -> None:
    rising = [100.0 * (1 + n / 10) for n in range(200)]
    assert days_fed(20.0, rising) < 20_000 / rising[0] / 2
    assert days_fed(20.0, [500.0] * 365) == pytest.approx(40.0)


def test_pullets_that_may_be_lit_are_not_called_too_young_for_it(declare: Declare) -> None:
    alone = PROFILE.replace('[[flock]]\nname = "Girls"\nhens = 6\n', "")
    for weeks, too_young in ((15, True), (16, False), (17, False)):
        told = of_the_day(declare(alone), HATCHED + timedelta(weeks=weeks), 20.0, 12.0)
        assert ("under 16 weeks" in str(told["light-hours"].note)) is too_young, weeks


def test_the_heat_index_that_is_shown_lies_in_the_zone_that_is_named(declare: Declare) -> None:
    profile, grown = declare(PROFILE), HATCHED + timedelta(weeks=30)
    # Hy-Line: alert from 70; OMAFRA: emergency from 81; danger from 76 from memory.
    zones = (("no strain", 0.0), ("alert", 70.0), ("danger", 76.0), ("emergency", 81.0))
    for noon_c in (c / 20 for c in range(440, 680)):
        figure = of_the_day(profile, grown, noon_c, 12.0)["heat-index"]
        told = figure_words(figure, "metric")
        named = [zone for zone, least in zones if float(told.amount) >= least][-1]
        assert told.label == f"heat index by day: {named}", told.amount


@pytest.mark.parametrize(("hens", "keeps"), [(3, False), (4, True)])
def test_a_bag_that_outlasts_its_feed_is_too_large(
    declare: Declare, hens: int, keeps: bool
) -> None:
    # Eight weeks once opened: common practice, no source.
    only = PROFILE.partition('[[flock]]\nname = "Chicks"')[0].replace("hens = 6", f"hens = {hens}")
    bag = of_the_day(declare(only), HATCHED, 25.0, 15.0)["bag"]
    assert ((bag.value or 0.0) <= 56) is keeps
    assert str(bag.note).startswith(
        "if opened today, order" if keeps else "opened feed keeps for about 8 weeks"
    )


def test_a_bag_for_growing_birds_says_what_they_eat_when_it_is_empty(declare: Declare) -> None:
    only = PROFILE.partition('[[flock]]\nname = "Girls"')[0]
    only += PROFILE[PROFILE.index('[[flock]]\nname = "Chicks"') :]
    for weeks, grow in ((2, True), (60, False)):
        bag = of_the_day(declare(only), HATCHED + timedelta(weeks=weeks), 25.0, 15.0)["bag"]
        fed_kg = [float(str(one).split(" kg")[0]) for one in bag.inputs]
        assert (len(fed_kg) == 2) is grow, bag.inputs
        # The days lie between what either amount alone would give.
        assert 20 / fed_kg[-1] <= (bag.value or 0.0) + 0.01 <= 20 / fed_kg[0] + 0.02, bag


@pytest.mark.parametrize(
    ("weeks", "note"),
    [
        # Hatched on 2 June: grower from six weeks (14 July), layer feed from eighteen (6 October).
        (1, "grower feed from 14 July on: order it by 4 July"),
        (5, "grower feed from 14 July on: order it by 7 July"),
        (6, "if opened today, order the next by"),
        (16, "layer feed from 6 October on: order it by 26 September"),
        (18, "if opened today, order the next by"),
    ],
)
def test_no_second_bag_is_ordered_of_a_feed_that_they_outgrow_before_the_first_is_empty(
    declare: Declare, weeks: int, note: str
) -> None:
    only = PROFILE.partition('[[flock]]\nname = "Girls"')[0]
    only += PROFILE[PROFILE.index('[[flock]]\nname = "Chicks"') :]
    bag = of_the_day(declare(only), HATCHED + timedelta(weeks=weeks), 25.0, 15.0)["bag"]
    assert str(bag.note).startswith(note), bag.note


@pytest.mark.parametrize("units", ["metric", "uk", "us"])
def test_feed_is_one_number_in_every_line(declare: Declare, units: Units) -> None:
    feeders = '[[coop.feeder]]\ncapacity = "5 kg"\n[[flock]]\nname = "Girls"'
    profile = declare(PROFILE.replace('[[flock]]\nname = "Girls"', feeders))
    for noon_c in (5.0, 12.3, 17.9, 26.1):
        found = of_the_day(profile, HATCHED + timedelta(weeks=30), noon_c, 3.0)
        said = {key: figure_words(one, units) for key, one in found.items()}
        feed = said["feed"].amount
        assert said["bag"].inputs == f"{feed} a day"
        assert said["feeder-days"].inputs.endswith(f", {feed} a day")
        assert said["manure"].inputs == f"{feed} feed"
