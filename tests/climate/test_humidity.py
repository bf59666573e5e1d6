"""How damp nights and noons are outside, from the day's average."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.climate.curve import Averages
from scheduler.climate.humidity import (
    day_humidity,
    humidity_at_high,
    humidity_at_low,
    night_humidity,
    saturation_hpa,
)
from scheduler.climate.wave import Wave

JULY = date(2026, 7, 15)
shares = st.floats(0, 1)


def steady(low_c: float, high_c: float, percent: float | None) -> Averages:
    humidity = None if percent is None else Wave(percent)
    return Averages(Wave(low_c), Wave(high_c), humidity, estimated=False)


def test_saturation_at_ten_degrees() -> None:
    # husbandry-facts.md §2: 1.2260 kPa by the same formula, recomputed there.
    assert saturation_hpa(10.0) == pytest.approx(12.260, abs=0.001)


def test_t8_a_night_is_damper_and_a_noon_drier_than_the_day_is_on_average() -> None:
    # By hand: 17.04 hPa at 15 °C, of which 60 % are 10.22; 12.26 at 10 °C, 23.37 at 20 °C.
    mild = steady(10.0, 20.0, 60.0)
    assert humidity_at_low(mild, JULY) == pytest.approx(10.22 / 12.26, abs=0.001)
    assert humidity_at_high(mild, JULY) == pytest.approx(10.22 / 23.37, abs=0.001)


def test_t8_air_never_holds_more_than_it_can() -> None:
    wet = steady(0.0, 5.0, 85.0)
    assert humidity_at_low(wet, JULY) == 1.0
    assert 0.7 < humidity_at_high(wet, JULY) < 0.75


def test_where_nobody_gave_the_humidity_the_usual_is_taken() -> None:
    assert night_humidity(steady(8.0, 18.0, None), 0.3) == night_humidity(
        steady(8.0, 18.0, 80.0), 0.3
    )


@given(st.floats(-30, 30), st.floats(0, 25), st.floats(1, 100), shares)
def test_night_and_noon_hold_the_same_vapour_unless_dew_falls(
    low_c: float, range_c: float, percent: float, share: float
) -> None:
    place = steady(low_c, low_c + range_c, percent)
    night, noon = night_humidity(place, share), day_humidity(place, share)
    assert 0 < noon <= night <= 1
    at_noon_hpa = noon * saturation_hpa(low_c + range_c)
    at_night_hpa = night * saturation_hpa(low_c)
    if night < 1:
        assert at_night_hpa == pytest.approx(at_noon_hpa)
    else:
        assert at_night_hpa <= at_noon_hpa * (1 + 1e-9)
