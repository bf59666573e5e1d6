import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.husbandry.consumption import bedding_load
from scheduler.husbandry.groups import Group
from scheduler.husbandry.upkeep import (
    cleanings_a_year,
    nest_refreshes_a_week,
    stirs_a_week,
    top_up_days,
    wants_evening_look,
)

# Every bound here is common practice, no source.


@given(st.integers(1, 60), st.integers(1, 20), st.floats(0.5, 60), st.floats(-20, 40))
def test_more_hens_on_a_floor_never_mean_less_work(
    hens: int, more: int, floor_m2: float, air_c: float
) -> None:
    few, many = (
        bedding_load(
            [Group(count=count, mass_kg=2.0, lay_share=0.7)], floor_m2, air_c, drinker_inside=False
        )
        for count in (hens, hens + more)
    )
    assert 1 <= stirs_a_week(few) <= stirs_a_week(many) <= 4
    assert 56 >= top_up_days(few) >= top_up_days(many) >= 14
    assert 2 <= cleanings_a_year(few) <= cleanings_a_year(many) <= 6


@pytest.mark.parametrize(
    ("hens", "nests", "times"), [(10, 2, 1), (11, 2, 2), (1, None, 1), (50, None, 1), (0, 1, 1)]
)
def test_nests_of_more_than_five_hens_are_refreshed_twice(
    hens: int, nests: int | None, times: int
) -> None:
    assert nest_refreshes_a_week(hens, nests) == times


@pytest.mark.parametrize(
    ("capacity_l", "wanted"), [(4.4, True), (4.5, False), (0.0, True), (None, False)]
)
def test_drinkers_for_less_than_a_day_and_a_half_want_an_evening_look(
    capacity_l: float | None, wanted: bool
) -> None:
    assert wants_evening_look(capacity_l, 3.0) is wanted
