"""Chances of frost and heat: against the normal distribution, and as they are held and dated."""

from datetime import date, timedelta
from itertools import pairwise
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.climate.chance import (
    DUE_FROM,
    DUE_UNTIL,
    FROST,
    STEPS,
    Extreme,
    below,
    chance,
    chances,
    due_steps,
    first_frost,
    held,
    is_due,
    last_frost,
    nights_a_year,
    step_of,
    turns,
)
from scheduler.climate.curve import Averages, averages
from scheduler.climate.wave import Wave
from tests.conftest import declared

DAY = timedelta(days=1)
PLACE = """
[site]
name = "Hill"
latitude = {0}
longitude = {1}
timezone = "{2}"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 6
"""
PLACES = {
    "London": (51.5, -0.1, "Europe/London"),
    "Berlin": (52.5, 13.4, "Europe/Berlin"),
    "Denver": (39.7, -105.0, "America/Denver"),
    "Oulu": (65.0, 25.5, "Europe/Helsinki"),
    "Hobart": (-42.9, 147.3, "Australia/Hobart"),
    "Houston": (29.8, -95.4, "America/Chicago"),
}
circles = st.lists(st.floats(0, 1), min_size=2, max_size=40)


def year_of(place: str) -> Averages:
    return averages(declared(PLACE.format(*PLACES[place])))


def plain(low_c: float, swing_c: float, sd_ln: float = 1.0, *, southern: bool = False) -> Averages:
    parts = (swing_c if southern else -swing_c, 0.0)
    low = Wave(low_c, parts)
    return Averages(
        low, low.raised(9.0), None, estimated=False, southern=southern,
        low_ln_sd=Wave(sd_ln), high_ln_sd=Wave(sd_ln),
    )  # fmt: skip


plain_years = st.builds(
    plain, st.floats(-20, 25), st.floats(0, 20), st.floats(0, 2), southern=st.booleans()
)


@given(st.floats(-60, 60), st.floats(-60, 60), st.floats(0.1, 20))
def test_the_chance_of_a_value_is_that_of_the_normal_distribution(
    value: float, mean: float, sd: float
) -> None:
    assert below(value, mean, sd) == pytest.approx(NormalDist(mean, sd).cdf(value), abs=1e-9)


def test_what_does_not_stray_is_certain() -> None:
    assert [below(value, 2.0, 0.0) for value in (1.9, 2.0, 2.1)] == [0.0, 1.0, 1.0]


@pytest.mark.parametrize("share", [0.0, 0.25, 0.6])
def test_each_extreme_is_asked_of_its_own_curve(share: float) -> None:
    yearly = year_of("Denver")
    night = NormalDist(yearly.low.at(share), yearly.low_sd_at(share))
    day = NormalDist(yearly.high.at(share), yearly.high_sd_at(share))
    assert chance(yearly, FROST, share) == pytest.approx(night.cdf(0.0), abs=1e-9)
    assert chance(yearly, Extreme("high", 26.0), share) == pytest.approx(1 - day.cdf(26.0))
    assert chance(yearly, Extreme("high below", 0.0), share) == pytest.approx(day.cdf(0.0))


def test_an_average_that_may_be_wrong_makes_a_rare_frost_likelier() -> None:
    sure, unsure = (
        Averages(
            Wave(8.0), Wave(17.0), None, estimated=True, low_ln_sd=Wave(1.0), low_error_c=error_c
        )
        for error_c in (0.0, 5.3)
    )
    assert sure.low_sd_at(0.2) == pytest.approx(2.718, abs=0.001)
    # The error and the spread of days are independent: 2.718 and 5.3 make 5.96.
    assert unsure.low_sd_at(0.2) == pytest.approx(5.956, abs=0.001)
    assert chance(unsure, FROST, 0.2) > 10 * chance(sure, FROST, 0.2)


@given(circles)
def test_what_is_due_begins_at_twenty_percent_and_ends_below_ten(by_step: list[float]) -> None:
    due = held(by_step)
    assert len(due) == len(by_step)
    for step, likely in enumerate(by_step):
        if likely >= DUE_FROM:
            assert due[step]
        elif likely < DUE_UNTIL:
            assert not due[step]
        elif max(by_step) >= DUE_FROM or min(by_step) < DUE_UNTIL:
            assert due[step] == due[step - 1]  # between the two it stays as it was
    if max(by_step) < DUE_FROM:
        assert not any(due)


@given(circles, st.integers(0, 40))
def test_where_one_begins_to_look_at_a_year_does_not_matter(
    by_step: list[float], turned: int
) -> None:
    at = turned % len(by_step)
    assert held([*by_step[at:], *by_step[:at]]) == (*held(by_step)[at:], *held(by_step)[:at])


@given(plain_years, st.sampled_from([FROST, Extreme("high", 26.0), Extreme("high below", 0.0)]))
def test_a_season_begins_and_ends_as_often_and_at_the_dates_that_are_due(
    yearly: Averages, extreme: Extreme
) -> None:
    begins, ends = (turns(yearly, extreme, begins=way) for way in (True, False))
    assert len(begins) == len(ends)
    in_turn = sorted([(share, True) for share in begins] + [(share, False) for share in ends])
    assert all(one != other for (_, one), (_, other) in pairwise(in_turn))
    by_step = chances(yearly, extreme)
    for share in begins:
        assert by_step[round(share * STEPS)] >= DUE_FROM
    for share in ends:
        assert by_step[round(share * STEPS)] < DUE_UNTIL
    due = due_steps(yearly, extreme)
    for day in (date(2026, 1, 1) + n * 30 * DAY for n in range(13)):
        assert is_due(yearly, extreme, day) == due[step_of(yearly, day)]


def test_each_date_has_a_step_of_the_year() -> None:
    for southern in (False, True):
        yearly = plain(5.0, 5.0, southern=southern)
        steps = [step_of(yearly, date(2024, 1, 1) + n * DAY) for n in range(5 * 366)]
        assert set(steps) <= set(range(STEPS))
        assert all((after - before) % STEPS in {1, 2} for before, after in pairwise(steps))


@given(plain_years, st.integers(2020, 2035))
def test_in_one_year_of_ten_the_first_frost_is_earlier_and_the_last_is_later(
    yearly: Averages, year: int
) -> None:
    summer = date(year, 2, 1) if yearly.southern else date(year, 8, 1)
    first, last = first_frost(yearly, year), last_frost(yearly, year)
    assert (first is None) == (last is None) or nights_a_year(yearly, FROST) < 5
    if first:
        assert summer <= first.one_in_ten <= first.usual < summer + 366 * DAY
    if last:
        assert summer - 366 * DAY < last.usual <= last.one_in_ten <= summer


@given(st.floats(-5, 8), st.floats(3, 20))
def test_the_colder_the_year_the_earlier_its_first_frost(low_c: float, swing_c: float) -> None:
    mild, cold = (first_frost(plain(low, swing_c), 2026) for low in (low_c, low_c - 2))
    if mild:
        assert cold
        assert cold.usual <= mild.usual
        assert cold.one_in_ten <= mild.one_in_ten


def test_where_frost_is_rare_no_date_is_told() -> None:
    assert first_frost(plain(24.0, 1.0), 2026) is None
    assert last_frost(plain(24.0, 1.0), 2026) is None


@pytest.mark.parametrize("place", PLACES)
def test_half_of_all_years_have_their_first_frost_by_the_date_told(place: str) -> None:
    yearly = year_of(place)
    first = first_frost(yearly, 2026)
    assert first
    start = date(2026, 2, 1) if yearly.southern else date(2026, 8, 1)
    for until, none_by in ((first.usual, 0.5), (first.one_in_ten, 0.9)):
        none, before = 1.0, 1.0
        day = start
        while day <= until:
            before, none = none, none * (1 - chances(yearly, FROST)[step_of(yearly, day)]) ** 0.6
            day += DAY
        assert none <= none_by < before


def test_a_london_january_has_about_eight_frosts() -> None:
    # climate.md, Chances: "London January: 8 nights".
    at_its_height = PLACE.replace('timezone = "{2}"', 'timezone = "{2}"\nelevation = "11 m"')
    yearly = averages(declared(at_its_height.format(*PLACES["London"])))
    nights = [date(2026, 1, 1) + n * DAY for n in range(31)]
    frosts = sum(chance(yearly, FROST, yearly.share_of_year(night)) for night in nights)
    assert frosts == pytest.approx(8, abs=1)
    # UK stations, 36 a year on average (climate.md), London among the milder ones.
    assert 20 <= nights_a_year(yearly, FROST) <= 45


@pytest.mark.parametrize(
    ("place", "first", "last"),
    [
        # Usual first and last frosts, from memory: Denver 7 October and 5 May, Berlin 20 October
        # and 25 April. The map is six days late and off by twelve (climate.md).
        ("Denver", date(2026, 10, 7), date(2026, 5, 5)),
        ("Berlin", date(2026, 10, 20), date(2026, 4, 25)),
    ],
)
def test_first_and_last_frosts_are_about_when_they_are(place: str, first: date, last: date) -> None:
    found, ended = first_frost(year_of(place), 2026), last_frost(year_of(place), 2026)
    assert found
    assert ended
    assert abs(found.usual - first) <= 21 * DAY
    assert abs(ended.usual - last) <= 21 * DAY
