from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.husbandry import growth
from scheduler.husbandry.growth import brooder_c, chick_floor_m2, expected_lay
from scheduler.profile.flock import Flock

ages = st.floats(0, 400)
kinds = st.sampled_from(sorted(growth.POINT_OF_LAY_WEEKS))
day_lengths = st.floats(0, 24)


def flock(kind: str = "medium") -> Flock:
    return Flock.model_validate(
        {"name": "Girls", "id": "girls", "coop": "walnut", "hens": 6, "kind": kind}
    )


def lay(kind: str, weeks: float, hours: float) -> float:
    return expected_lay(flock(kind), weeks, timedelta(hours=hours))


@given(ages, ages)
def test_older_chicks_never_need_more_heat_or_less_floor(one: float, other: float) -> None:
    younger, older = sorted((one, other))
    assert brooder_c(younger)[0] >= brooder_c(older)[0]
    assert brooder_c(younger)[1] >= brooder_c(older)[1]
    assert chick_floor_m2(younger) <= chick_floor_m2(older)


@given(ages)
def test_brooder_heat_is_a_band(weeks: float) -> None:
    low_c, high_c = brooder_c(weeks)
    assert 21.1 <= low_c <= high_c <= 35.0


@pytest.mark.parametrize(
    ("kind", "least", "most"), [("light", 18, 20), ("medium", 18, 24), ("heavy", 20, 28)]
)
def test_point_of_lay_by_kind(kind: str, least: int, most: int) -> None:
    # From memory: hybrids 18 to 20, dual-purpose 20 to 24, heritage 22 to 28 weeks.
    assert least <= growth.POINT_OF_LAY_WEEKS[kind] <= most


@given(kinds, ages, day_lengths)
def test_lay_is_a_share_and_none_before_point_of_lay(kind: str, weeks: float, hours: float) -> None:
    share = lay(kind, weeks, hours)
    assert 0 <= share <= 0.9
    assert (share == 0) is (weeks < growth.POINT_OF_LAY_WEEKS[kind])


@given(kinds, ages, day_lengths, day_lengths)
def test_a_longer_day_never_brings_less_lay(
    kind: str, weeks: float, one: float, other: float
) -> None:
    shorter, longer = sorted((one, other))
    assert lay(kind, weeks, shorter) <= lay(kind, weeks, longer)


@given(kinds, st.floats(40, 200), day_lengths, st.integers(1, 4))
def test_an_older_hen_never_lays_more(kind: str, weeks: float, hours: float, years: int) -> None:
    assert lay(kind, weeks + 52 * years, hours) <= lay(kind, weeks, hours)


@pytest.mark.parametrize(
    ("year", "winter_share"), [(0, 0.85), (1, 0.4 * 0.8), (2, 0.25 * 0.7), (3, 0.25 * 0.6)]
)
def test_unlit_winter_lay_by_season_of_life(year: int, winter_share: float) -> None:
    # 0.85, 0.4, 0.25: common practice, no source; 0.8, 0.7, 0.6: Univ. of Florida, second-hand.
    found = lay("medium", 40 + 52 * year, 8.0)
    assert found == pytest.approx(0.9 * winter_share)


def test_lay_rises_over_the_first_six_weeks() -> None:
    start = growth.POINT_OF_LAY_WEEKS["light"]
    weekly = [lay("light", start + n, 14.0) for n in range(8)]
    assert weekly == sorted(weekly)
    assert weekly[0] == pytest.approx(0.15)
    assert weekly[5] == weekly[7] == pytest.approx(0.9)


@pytest.mark.parametrize(("kind", "eggs"), [("light", 63), ("heavy", 42), ("bantam", 42)])
def test_t14_eggs_of_ten_hens_a_week_by_kind(kind: str, eggs: int) -> None:
    # Heritage kinds lay 0.6 to 0.75 of a hybrid's eggs: common practice, no source.
    assert 10 * 7 * lay(kind, 40, 16.0) == pytest.approx(eggs, abs=0.5)
