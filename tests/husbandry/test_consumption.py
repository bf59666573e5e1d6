from dataclasses import replace
from datetime import date, timedelta
from itertools import repeat

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.husbandry.consumption import (
    STIR_LEAST_DAYS,
    STIR_MOST_DAYS,
    bedding_load,
    days_fed,
    drinker_days,
    energy_kcal_a_day,
    feed_g_a_day,
    manure_g_a_day,
    reorder_on,
    water_l_a_day,
)
from scheduler.husbandry.groups import Group

HENS = [Group(count=6, mass_kg=2.0, lay_share=0.7)]
flocks = st.builds(
    Group,
    count=st.integers(1, 60),
    mass_kg=st.floats(0.1, 4.0),
    lay_share=st.sampled_from((0.0, 0.3, 0.9)),
)
temperatures = st.floats(-30, 45)
more_birds = st.integers(1, 60)


def larger(birds: Group, more: int) -> list[Group]:
    return [replace(birds, count=birds.count + more)]


@pytest.mark.parametrize(
    ("air_c", "litres"),
    [(-10.0, 0.27), (21.0, 0.27), (26.5, 0.385), (32.0, 0.50), (38.0, 0.65), (44.0, 0.65)],
)
def test_water_of_a_hen_by_temperature(air_c: float, litres: float) -> None:
    # 0.27 at 21 °C: Poultry Hub; 0.5 from 32 and 0.65 from 38 °C: common practice, no source.
    assert water_l_a_day(HENS, air_c) == pytest.approx(6 * litres)


@given(flocks, temperatures, temperatures)
def test_colder_never_drinks_more_and_never_eats_less(
    birds: Group, one_c: float, other_c: float
) -> None:
    colder_c, warmer_c = sorted((one_c, other_c))
    assert water_l_a_day([birds], colder_c) <= water_l_a_day([birds], warmer_c)
    assert feed_g_a_day([birds], colder_c) >= feed_g_a_day([birds], warmer_c)


@given(flocks, temperatures, more_birds)
def test_more_birds_drink_eat_and_leave_more(birds: Group, air_c: float, more: int) -> None:
    many = larger(birds, more)
    assert water_l_a_day(many, air_c) > water_l_a_day([birds], air_c)
    assert feed_g_a_day(many, air_c) > feed_g_a_day([birds], air_c)
    assert manure_g_a_day(feed_g_a_day(many, air_c)) > manure_g_a_day(feed_g_a_day([birds], air_c))


@given(flocks, temperatures, st.floats(1.0, 2.0))
def test_heavier_birds_never_drink_or_eat_less(birds: Group, air_c: float, times: float) -> None:
    heavier = replace(birds, mass_kg=birds.mass_kg * times)
    assert water_l_a_day([heavier], air_c) >= water_l_a_day([birds], air_c)
    assert feed_g_a_day([heavier], air_c) >= feed_g_a_day([birds], air_c)


def test_a_hen_in_lay_eats_for_her_eggs() -> None:
    resting = [replace(HENS[0], lay_share=0.0)]
    # 2.07 kcal a gram of egg (NRC 1994, from memory), 70 % of eggs of 60 g, 2.85 kcal/g.
    eggs_g = 6 * 2.07 * 60 * 0.7 / 2.85
    assert feed_g_a_day(HENS, 15) - feed_g_a_day(resting, 15) == pytest.approx(eggs_g)
    assert energy_kcal_a_day(2.0, 15, 0.0) < energy_kcal_a_day(2.0, 15, 0.7)


@pytest.mark.parametrize(("beyond_c", "edge_c"), [(-40.0, -5.0), (45.0, 30.0)])
def test_feed_is_not_stretched_beyond_the_equation(beyond_c: float, edge_c: float) -> None:
    assert feed_g_a_day(HENS, beyond_c) == feed_g_a_day(HENS, edge_c)


@given(st.floats(1, 50), st.floats(140, 5000), st.floats(1.0, 3.0))
def test_a_hungrier_flock_empties_a_bag_no_later(
    bag_kg: float, feed_g: float, times: float
) -> None:
    lasts = days_fed(bag_kg, repeat(feed_g))
    assert days_fed(bag_kg, repeat(feed_g * times)) <= lasts + 1e-9
    assert lasts * feed_g == pytest.approx(bag_kg * 1000)


@given(st.floats(20, 90), st.integers(0, 14))
def test_feed_is_ordered_before_it_runs_out(lasts_days: float, delivery_days: int) -> None:
    opened = date(2026, 5, 1)
    delivered = reorder_on(opened, lasts_days, delivery_days) + timedelta(days=delivery_days)
    assert 3 <= lasts_days - (delivered - opened).days < 4


def test_drinkers_last_as_long_as_they_hold() -> None:
    assert drinker_days(8.0, 1.6) == 5.0


floors = st.floats(0.3, 30)


@given(flocks, floors, temperatures, more_birds, st.booleans())
def test_more_birds_never_need_less_frequent_stirring(
    birds: Group, floor_m2: float, air_c: float, more: int, inside: bool
) -> None:
    few = bedding_load([birds], floor_m2, air_c, drinker_inside=inside)
    many = bedding_load(larger(birds, more), floor_m2, air_c, drinker_inside=inside)
    assert many.water_g_m2_day > few.water_g_m2_day
    assert STIR_LEAST_DAYS <= many.stir_every_days <= few.stir_every_days <= STIR_MOST_DAYS


@given(flocks, floors, temperatures, st.floats(1.0, 3.0), st.floats(0, 30))
def test_a_smaller_floor_cold_or_a_drinker_inside_never_need_less_frequent_stirring(
    birds: Group, floor_m2: float, air_c: float, times: float, colder_k: float
) -> None:
    here = bedding_load([birds], floor_m2 * times, air_c, drinker_inside=False)
    crowded = bedding_load([birds], floor_m2, air_c, drinker_inside=False)
    cold = bedding_load([birds], floor_m2 * times, air_c - colder_k, drinker_inside=False)
    wet = bedding_load([birds], floor_m2 * times, air_c, drinker_inside=True)
    for worse in (crowded, cold, wet):
        assert worse.stir_every_days <= here.stir_every_days
    assert wet.water_g_m2_day == pytest.approx(here.water_g_m2_day * 1.25)


@pytest.mark.parametrize(
    ("air_c", "feed_g", "stays", "days"),
    [(0.0, 132.6, 0.50, 3), (10.0, 121.1, 0.35, 5), (20.0, 109.6, 0.25, 8)],
)
def test_bedding_of_twelve_hens_by_hand(
    air_c: float, feed_g: float, stays: float, days: int
) -> None:
    # Manure is 1.15 of the feed, half of it inside, three quarters water; on 3 m² a part of that
    # stays in the top, which holds 420 g a square metre (our reckoning, no source).
    twelve = [Group(count=12, mass_kg=2.0, lay_share=0.7)]
    load = bedding_load(twelve, 3.0, air_c, drinker_inside=False)
    by_hand_g = 12 * feed_g * 1.15 * 0.5 * 0.75 / 3.0
    assert load.water_g_m2_day == pytest.approx(by_hand_g, rel=1e-3)
    assert load.stir_every_days == int(420 / (by_hand_g * stays)) == days


def test_an_empty_house_is_stirred_at_the_longest_interval() -> None:
    load = bedding_load([], 3.0, 10.0, drinker_inside=False)
    assert load.stir_every_days == STIR_MOST_DAYS
