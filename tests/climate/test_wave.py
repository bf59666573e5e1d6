"""A yearly course as waves: what is done to it is done to its value on every date."""

from math import cos, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.climate.wave import Wave, through_months

parts = st.tuples(st.floats(-20, 20), st.floats(-20, 20))
waves = st.builds(Wave, st.floats(-40, 40), parts, parts)
shares = st.floats(0, 1)


@given(waves, waves, shares, st.floats(-30, 30), st.floats(-3, 3))
def test_a_sum_and_a_change_of_a_wave_are_those_of_its_values(
    one: Wave, other: Wave, share: float, by: float, times: float
) -> None:
    assert one.plus(other).at(share) == pytest.approx(one.at(share) + other.at(share), abs=1e-9)
    assert one.raised(by).at(share) == pytest.approx(one.at(share) + by, abs=1e-9)
    assert one.stretched(times).at(share) == pytest.approx(times * one.at(share), abs=1e-9)


@given(waves, shares)
def test_the_year_is_a_circle(wave: Wave, share: float) -> None:
    assert wave.at(share) == pytest.approx(wave.at(share + 1), abs=1e-9)


@given(waves)
def test_a_wave_through_its_own_months_is_that_wave(wave: Wave) -> None:
    again = through_months(wave.of_months())
    assert again.of_months() == pytest.approx(wave.of_months(), abs=1e-9)
    for share in (0.0, 0.1, 0.37, 0.9):
        assert again.at(share) == pytest.approx(wave.at(share), abs=1e-9)


def test_the_months_are_taken_at_their_middle() -> None:
    winter = Wave(10.0, (5.0, 0.0))
    assert winter.at(0.0) == 15.0
    assert winter.at(0.5) == 5.0
    assert winter.of_months()[0] == pytest.approx(10 + 5 * cos(pi / 12))
    assert len(winter.of_months()) == 12


def test_twelve_equal_months_are_a_flat_year() -> None:
    flat = through_months([7.0] * 12)
    assert flat.mean == pytest.approx(7.0)
    assert flat.at(0.3) == pytest.approx(7.0)
