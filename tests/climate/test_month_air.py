"""A month's air is that of its dates, and its nights of frost are those of the year."""

from datetime import date, timedelta

import pytest

from scheduler.climate.chance import FROST, nights_a_year
from scheduler.climate.curve import averages
from scheduler.climate.month_air import day_air, month_airs
from tests.conftest import SMALL, declared

YEAR = [date(2026, 11, 1) + timedelta(days=n) for n in range(365)]


def test_the_nights_of_frost_of_the_months_add_up_to_those_of_the_year() -> None:
    yearly = averages(declared(SMALL))
    airs = month_airs((day, day_air(yearly, day)) for day in YEAR)
    assert [one.first for one in airs][:2] == [date(2026, 11, 1), date(2026, 12, 1)]
    assert len(airs) == 12
    assert sum(one.nights for one in airs) == 365
    total = sum(one.frost_nights for one in airs)
    assert total == pytest.approx(nights_a_year(yearly, FROST), abs=0.2)
    january, july = airs[2], airs[8]
    assert january.frost_nights > 10 > july.frost_nights


def test_one_night_in_ten_is_colder_and_one_day_in_ten_hotter_than_its_ends() -> None:
    yearly = averages(declared(SMALL))
    for day in YEAR[::30]:
        air = day_air(yearly, day)
        share = yearly.share_of_year(day)
        # 1.2816 standard deviations leave 10 % on one side: any table of the normal distribution.
        assert air.low_c - air.cold_c == pytest.approx(1.2816 * yearly.low_sd_at(share))
        assert air.hot_c - air.high_c == pytest.approx(1.2816 * yearly.high_sd_at(share))
        assert air.cold_c < air.low_c < air.high_c < air.hot_c
        assert 0 <= air.frost <= 1
