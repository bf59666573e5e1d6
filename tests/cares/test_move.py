from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduler.cares import reasons
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.free_range import FreeRange
from scheduler.cares.move_ahead import move_ahead
from scheduler.cares.plan import plan, tasks_of
from scheduler.cares.problems import problems
from scheduler.cares.records import NO_RECORDS
from scheduler.climate.curve import averages
from scheduler.light.sun import At, sky_over
from scheduler.profile.values import Profile
from tests.cares.moves import PLACES, REST, dates, moving, pairs, site
from tests.conftest import declared

DAY, HOUR = timedelta(days=1), timedelta(hours=1)
MARCH = date(2026, 3, 1)


def day_of(profile: Profile, day: date) -> CoopDay:
    here = profile.on(day)
    return coop_day(here, sky_over(here), here.coop[0], day, NO_RECORDS)


@given(pairs, dates)
@example(("Honolulu", "Auckland"), date(2026, 6, 1))
@example(("Niue", "Kiritimati"), date(2026, 6, 1))
@example(("Adak", "Chatham"), date(2026, 6, 21))
@example(("London", "Tromso"), date(2026, 6, 21))
@example(("Auckland", "Honolulu"), date(2026, 9, 27))
def test_every_date_has_one_let_out_and_one_lock_up_in_their_order(
    pair: tuple[str, str], on: date
) -> None:
    profile = declared(moving(*pair, on))
    days = [day_of(profile, on + number * DAY) for number in range(-3, 4)]
    for coop in days:
        assert coop.let_out.instant < coop.lock_up.instant <= coop.lock_up.latest
    for before, after in pairwise(days):
        assert before.lock_up.latest < after.let_out.instant


@given(pairs, dates)
@example(("Niue", "Kiritimati"), date(2026, 6, 1))
def test_a_day_has_the_times_of_the_place_where_it_is_spent(
    pair: tuple[str, str], on: date
) -> None:
    profile = declared(moving(*pair, on))
    there = [declared(site(place) + REST) for place in pair]
    for number in (-3, -1, 1, 3):
        day = on + number * DAY
        stayed = day_of(there[number > 0], day)
        moved = day_of(profile, day)
        assert (moved.let_out, moved.lock_up) == (stayed.let_out, stayed.lock_up)
        assert averages(profile.on(day)) == averages(there[number > 0])


@given(pairs, dates, st.integers(0, 59))
@example(("Niue", "Kiritimati"), date(2026, 6, 1), 0)
@example(("Auckland", "Honolulu"), date(2026, 9, 27), 30)
def test_the_date_never_goes_back_nor_leaves_one_out(
    pair: tuple[str, str], on: date, minute: int
) -> None:
    profile = declared(moving(*pair, on))
    begins = datetime.combine(on - 3 * DAY, time(0, minute), UTC)
    seen = [profile.date_at(begins + number * HOUR / 2) for number in range(6 * 48)]
    assert all(after - before in {0 * DAY, DAY} for before, after in pairwise(seen))
    assert {on - DAY, on, on + DAY} <= set(seen)


def test_the_old_place_has_its_times_until_its_midnight() -> None:
    profile = declared(moving("Berlin", "New York", MARCH))
    before_midnight = datetime(2026, 2, 28, 22, 59, tzinfo=UTC)
    assert profile.date_at(before_midnight) == MARCH - DAY
    assert profile.date_at(before_midnight + 2 * timedelta(minutes=1)) == MARCH
    # It is still 28 February in New York, and stays 1 March until it is over there, too.
    assert profile.date_at(datetime(2026, 3, 2, 4, 59, tzinfo=UTC)) == MARCH
    assert profile.date_at(datetime(2026, 3, 2, 5, 1, tzinfo=UTC)) == MARCH + DAY


def test_the_profile_is_itself_without_a_move_and_the_same_two_with_one() -> None:
    stays = declared(site("Berlin") + REST)
    assert stays.on(date.min) is stays.on(date.max) is stays
    moves = declared(moving("Berlin", "New York", MARCH))
    after = moves.on(MARCH)
    assert moves.on(MARCH - DAY) is moves
    assert after.on(MARCH + 400 * DAY) is after
    assert after.on(MARCH - DAY) is moves
    assert (after.site.id, after.coop, after.person) == (moves.site.id, moves.coop, moves.person)
    again = declared(moving("Berlin", "New York", MARCH))
    assert (again, again.on(MARCH)) == (moves, after)
    other = declared(moving("London", "New York", MARCH))
    assert other.on(MARCH) != after, "they come from another place"


def test_what_was_copied_with_another_id_keeps_it_at_both_places() -> None:
    profile = declared(moving("Berlin", "New York", MARCH))
    other = profile.site.model_copy(update={"id": "older"})
    copied = profile.model_copy(update={"site": other})
    assert copied.on(MARCH).site.id == copied.on(MARCH - DAY).site.id == "older"


OWN = '[climate]\ncoldest_month_low = "-9 °C"\nwarmest_month_high = "31 °C"\n'


@pytest.mark.parametrize(("more", "counts"), [("", False), ("same_climate = true\n", True)])
def test_own_averages_are_of_the_place_they_were_written_for(more: str, counts: bool) -> None:
    profile = declared(moving("Berlin", "London", MARCH, more) + OWN)
    assert averages(profile.on(MARCH - DAY)).source == "as given"
    assert (averages(profile.on(MARCH)).source == "as given") is counts


@given(st.integers(1, 12))
@settings(max_examples=3)
def test_a_plan_over_the_move_is_that_of_its_days(before: int) -> None:
    profile = declared(moving("Berlin", "Auckland", MARCH))
    catalogue = _catalogue()
    first, last = MARCH - before * DAY, MARCH + 3 * DAY
    whole = plan(profile, NO_RECORDS, first, last, catalogue)
    for day in whole.days:
        [alone] = plan(profile, NO_RECORDS, day.day, day.day, catalogue).days
        assert alone == day
    tasks = [one for day in whole.days for one in day.tasks if one.care_id == "collect-eggs"]
    assert tuple(tasks) == tasks_of("collect-eggs", profile, NO_RECORDS, first, last, catalogue)
    assert whole.days[-1].coops[0].lock_up.instant.hour < 12, "an evening in Auckland"


def _catalogue() -> Catalogue:
    from scheduler.cares import catalogue as cares  # noqa: PLC0415 - hypothesis takes no fixtures
    from scheduler.profile.package_data import catalogue as raw  # noqa: PLC0415 - as above

    return cares.read(raw())


def test_for_seven_days_they_learn_where_home_is_and_are_then_called_in_early() -> None:
    profile = declared(moving("Berlin", "London", MARCH))
    days = [day_of(profile, MARCH + number * DAY) for number in range(-1, 25)]
    kept = [coop.day for coop in days if coop.free_range == "moved here"]
    assert kept == [MARCH + number * DAY for number in range(7)]
    assert reasons.why_range(profile, days[3]) == (
        "They moved here on 1 March: kept in until 8 March so that they learn where home is."
    )
    early = []
    for coop in days:
        if isinstance(coop.free_range, FreeRange) and isinstance(coop.sunset, At):
            before = coop.sunset.instant - coop.free_range.call_in
            early += [coop.day] if before >= timedelta(minutes=29) else []
    assert early == [MARCH + number * DAY for number in range(7, 21)]


def test_the_week_before_says_so_and_the_day_itself() -> None:
    profile = declared(moving("Berlin", "London", MARCH))
    told = {number: move_ahead(profile, MARCH + number * DAY) for number in range(-9, 3)}
    assert [number for number, said in told.items() if said] == [*range(-7, 1)]
    assert told[-2].startswith("You move on 1 March: all times are the old place's until then")
    assert told[0].startswith("You move today")
    assert not move_ahead(declared(site("Berlin") + REST), MARCH)


def test_a_time_that_never_comes_at_the_new_place_is_a_problem() -> None:
    # In the west of China it is not yet noon by the sun at 14:00; in Berlin it always is.
    text = '[letout]\nnot_before = "14:00"\n'
    stays = declared(site("Urumqi") + REST + text)
    assert not list(problems(stays, _catalogue()))
    moves = declared(moving("Urumqi", "Berlin", MARCH) + text)
    [found] = problems(moves, _catalogue())
    assert found.key == ("letout", "not_before")
    both = declared(moving("London", "Berlin", MARCH) + text)
    assert len(list(problems(both, _catalogue()))) == 1, "told once"


def test_every_place_of_these_tests_is_one_that_a_profile_may_have() -> None:
    for place in PLACES:
        assert declared(site(place) + REST).site.id == "orchard"
