"""The air that dries a house, and what does where air alone cannot."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.husbandry.air import (
    TARGET_HUMIDITY,
    TO_SPARE,
    Shell,
    Weather,
    balance,
    balance_at,
    openings,
    wanted_for_heat_m3_h,
    wetness,
)
from scheduler.husbandry.drying import comfortable, drying, wanted_air_m3_h
from scheduler.husbandry.groups import Group
from scheduler.husbandry.heat import output
from scheduler.profile.coop import Vent
from scheduler.profile.units import Extent

HENS = (Group(count=12, mass_kg=2.0, lay_share=0.7),)
HOUSE = Shell(volume_m3=6.7, roof_m2=3.5, loss_w_k=45.0)
nights = st.builds(Weather, air_c=st.floats(-20, 28), humidity=st.floats(0.2, 1.0))
sizes_m2 = st.floats(0.01, 2.0)


def vents(high_m2: float, low_m2: float) -> tuple[Vent, ...]:
    return tuple(
        Vent.model_validate({"size": Extent(area_m2=m2), "place": place, "steps": 2})
        for place, m2 in (("high", high_m2), ("low", low_m2))
    )


@given(nights, sizes_m2, sizes_m2)
def test_t8_so_much_air_brings_the_inside_to_the_target_and_a_little_less_does_not(
    night: Weather, high_m2: float, low_m2: float
) -> None:
    wanted = wanted_air_m3_h(HENS, HOUSE, vents(high_m2, low_m2), night)
    most_m3_h = balance(HENS, HOUSE, comfortable(vents(high_m2, low_m2), HENS), night).flow_m3_h
    if wanted is None:
        for share in (0.25, 0.5, 1.0):
            inside = balance_at(HENS, HOUSE, share * most_m3_h, night)
            assert inside.humidity > TARGET_HUMIDITY - 0.005
        return
    enough_m3_h = wanted / TO_SPARE
    assert enough_m3_h <= most_m3_h * (1 + 1e-9)
    assert balance_at(HENS, HOUSE, enough_m3_h, night).humidity <= TARGET_HUMIDITY + 1e-6
    leaks_m3_h = 0.5 * HOUSE.volume_m3
    if enough_m3_h > leaks_m3_h * 1.01:
        less = balance_at(HENS, HOUSE, max(0.98 * enough_m3_h, leaks_m3_h), night)
        assert less.humidity > TARGET_HUMIDITY


@given(nights, sizes_m2, sizes_m2)
def test_t8_what_dries_a_house_is_what_does(night: Weather, high_m2: float, low_m2: float) -> None:
    there = vents(high_m2, low_m2)
    shut, every = openings(there, 1.0, 0.0), openings(there, 1.0, 1.0)
    found = drying(HENS, HOUSE, shut, there, night)
    dry_now, dry_open = (
        balance(HENS, HOUSE, through, night).humidity <= TARGET_HUMIDITY
        for through in (shut, every)
    )
    assert (found == "dry") is dry_now
    assert (found == "open") is (dry_open and not dry_now)
    if found == "enlarge":
        assert wanted_air_m3_h(HENS, HOUSE, there, night) is not None
    if found in {"larger helps", "bedding"}:
        best = balance(HENS, HOUSE, comfortable(there, HENS), night)
        gain = wetness(HENS, balance(HENS, HOUSE, every, night), night) - wetness(HENS, best, night)
        assert (gain >= 0.05) is (found == "larger helps")


@pytest.mark.parametrize("humidity", [0.9, 1.0])
def test_t8_no_air_is_asked_for_where_the_night_is_as_damp_as_the_house_is_to_be(
    humidity: float,
) -> None:
    # First use was told of 1,958 m³/h: a house that is hardly warmer than outside.
    night = Weather(air_c=0.0, humidity=humidity)
    for house in (HOUSE, None):
        assert wanted_air_m3_h(HENS, house, vents(0.2, 0.1), night) is None


def test_t8_of_a_house_that_is_not_known_no_more_air_is_asked_for_than_its_birds_can_warm() -> None:
    dry = Weather(air_c=0.0, humidity=0.5)
    found = [
        wanted_air_m3_h(HENS, None, (), replace(dry, humidity=percent / 100))
        for percent in range(50, 100, 2)
    ]
    told = [wanted for wanted in found if wanted is not None]
    assert 0 < len(told) < len(found)
    assert found[len(told) :] == [None] * (len(found) - len(told))
    assert told == sorted(told)
    assert told[-1] <= TO_SPARE * wanted_for_heat_m3_h(output(HENS, 2.0))


def test_a_house_without_birds_is_not_to_be_dried() -> None:
    there = vents(0.1, 0.1)
    assert drying((), HOUSE, openings(there, 1, 1), there, Weather(air_c=5, humidity=1.0)) == "dry"


def test_vents_are_enlarged_to_a_square_foot_a_bird_and_never_made_smaller() -> None:
    small = comfortable(vents(0.2, 0.1), HENS)
    assert (small.high_m2, small.low_m2) == pytest.approx((8 * 0.092903, 4 * 0.092903), rel=1e-4)
    large = comfortable(vents(2.0, 1.0), HENS)
    assert (large.high_m2, large.low_m2) == (2.0, 1.0)
    none = comfortable((), HENS)
    assert none.high_m2 + none.low_m2 == pytest.approx(12 * 0.092903, rel=1e-4)
