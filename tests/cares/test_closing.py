"""What keepers say of a door, and what it adds up to."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.closing import Closing, ClosingKind, Door, DoorState, door, expected_birds

EVENING = date(2026, 12, 21)
DAY = timedelta(days=1)
AT = datetime(2026, 12, 21, 16, 30, tzinfo=UTC)
FLOCK = 12


def said(
    kind: ClosingKind,
    count: int | None = None,
    *,
    day: date = EVENING,
    flock: int = FLOCK,
    some_missing: bool = False,
) -> Closing:
    return Closing(
        kind=kind, coop_id="walnut", evening=day, at=AT, who="Ana", flock=flock, count=count,
        some_missing=some_missing,
    )  # fmt: skip


def stands(*closings: Closing, expected: int = FLOCK) -> Door:
    return door(closings, "walnut", EVENING, expected)


SHUT_TEN = said("closed", 10)


@pytest.mark.parametrize(
    ("closings", "state", "expected", "counted", "missing"),
    [
        ([], "open", 12, None, 0),
        ([said("closed", 12)], "shut", 12, 12, 0),
        ([said("closed")], "shut", 12, None, 0),
        ([said("closed", 14)], "shut", 12, 14, 0),
        ([said("closed", some_missing=True)], "searching", 12, None, 1),
        ([SHUT_TEN], "searching", 12, 10, 2),
        ([said("closed", 0)], "searching", 12, 0, 12),
        ([SHUT_TEN, said("found")], "shut", 12, 12, 0),
        ([SHUT_TEN, said("found", 1)], "searching", 12, 11, 1),
        ([SHUT_TEN, said("found", 1), said("not-found")], "shut", 12, 11, 0),
        ([SHUT_TEN, said("not-found")], "shut", 12, 10, 0),
        ([SHUT_TEN, said("dead", 2)], "shut", 10, 10, 0),
        ([SHUT_TEN, said("dead", 1)], "searching", 11, 10, 1),
        ([SHUT_TEN, said("elsewhere", 1), said("dead", 1)], "shut", 10, 10, 0),
        ([SHUT_TEN, said("closed", 12)], "shut", 12, 12, 0),
        ([said("closed", some_missing=True), said("found")], "shut", 12, None, 0),
        ([said("dead", 1)], "open", 11, None, 0),
        ([said("dead", 1), said("closed", 11)], "shut", 11, 11, 0),
        ([said("dead", 99)], "open", 0, None, 0),
        ([said("closed", 12), said("reopened")], "open", 12, None, 0),
        ([SHUT_TEN, said("reopened")], "open", 12, None, 0),
        ([SHUT_TEN, said("dead", 1), said("reopened")], "open", 11, None, 0),
        ([said("closed", some_missing=True), said("found", 3)], "shut", 12, None, 0),
        ([said("back", 2), said("closed", 12)], "searching", 14, 12, 2),
        ([said("closed", 12), said("dead", 1)], "shut", 11, 12, 0),
    ],
)
def test_where_the_evening_stands(
    closings: list[Closing],
    state: DoorState,
    expected: int,
    counted: int | None,
    missing: int,
) -> None:
    found = stands(*closings)
    assert (found.state, found.expected) == (state, expected)
    assert (found.counted, found.missing) == (counted, missing)


def test_the_door_remembers_who_shut_it_and_how_often_it_was_opened() -> None:
    again = said("closed", 12)
    found = stands(SHUT_TEN, said("reopened"), again, said("found", 0))
    assert (found.said, found.opening) == (again, 1)
    assert stands(said("closed", 14)).over == 2
    assert stands(said("closed", 12)).over == 0
    assert stands(said("closed")).over == 0


def test_each_time_that_birds_are_found_to_be_missing_is_a_search() -> None:
    short = said("closed", 11)
    found = stands(SHUT_TEN, short, said("found", 1), SHUT_TEN, said("reopened"), short)
    assert (found.searches, found.opening) == (3, 1)


def test_other_coops_and_evenings_do_not_count() -> None:
    elsewhere = replace(said("closed", 12), coop_id="hazel")
    assert stands(elsewhere, said("closed", 12, day=EVENING - DAY)).state == "open"


def test_who_is_back_is_expected_again() -> None:
    found = stands(said("back", 1), said("closed", 12), expected=11)
    assert (found.state, found.expected) == ("shut", 12)
    assert stands(SHUT_TEN, said("back")).expected == FLOCK


# The next evening


def expected(closings: Sequence[Closing], birds: int = FLOCK, day: date = EVENING) -> int:
    return expected_birds(closings, "walnut", day, birds)


def before(kind: ClosingKind, count: int | None = None, *, flock: int = FLOCK) -> Closing:
    return said(kind, count, day=EVENING - DAY, flock=flock)


@pytest.mark.parametrize(
    ("closings", "birds"),
    [
        ([], 12),
        ([before("dead", 2)], 10),
        ([before("elsewhere", 3)], 9),
        ([before("elsewhere", 3), before("back", 1)], 10),
        ([before("elsewhere", 1), before("back", 1)], 12),
        ([before("closed", 3), before("not-found"), before("found", 2)], 12),
        ([before("dead", 99)], 0),
        ([before("back", 3)], 12),
        ([said("dead", 2)], 12),  # said of this evening, which its own fold counts
    ],
)
def test_fewer_are_expected_from_the_next_evening_on(closings: list[Closing], birds: int) -> None:
    assert expected(closings) == birds


def test_when_the_profile_s_count_changes_the_profile_knows() -> None:
    gone = [before("dead", 2)]
    assert expected(gone, birds=10) == 10
    assert expected([*gone, before("closed", 10, flock=10), before("dead", 1, flock=10)], 10) == 9


def test_a_count_that_comes_back_does_not_bring_the_old_dead_with_it() -> None:
    # One died, the profile was put to eleven, then a new hen was bought: twelve again.
    told = [before("dead", 1), before("closed", 11, flock=11)]
    assert expected(told, birds=12) == 12


def test_an_evening_written_up_late_brings_nobody_back() -> None:
    # Ten days ago there were eleven; one of today's twelve died yesterday.
    late = said("closed", 11, day=EVENING - 10 * DAY, flock=11)
    assert expected([before("dead", 1), late]) == 11


def test_a_lost_one_that_comes_back_does_not_hide_a_later_death() -> None:
    # Not found lowers nothing, so its return adds nothing either.
    told = [before("not-found", 1), before("back", 1), before("dead", 1)]
    assert expected(told) == 11


kinds = st.sampled_from(["closed", "reopened", "found", "not-found", "dead", "elsewhere", "back"])
sayings = st.builds(
    said,
    kinds,
    st.none() | st.integers(0, 30),
    day=st.sampled_from([EVENING - DAY, EVENING]),
    flock=st.integers(11, 13),
    some_missing=st.booleans(),
)


@given(st.lists(sayings, max_size=12), st.integers(0, 30))
def test_nothing_that_is_said_makes_a_negative_number_of_birds(
    closings: list[Closing], birds: int
) -> None:
    first = expected(closings, birds)
    assert 0 <= first <= birds
    found = door(closings, "walnut", EVENING, first)
    assert found.expected >= 0
    assert found.missing >= 0
    assert found.over >= 0
    assert (found.state == "searching") == (found.missing > 0)
    assert found.opening == sum(
        one.kind == "reopened" and one.evening == EVENING for one in closings
    )
    assert (found.state == "open") or found.said is not None


@given(st.lists(sayings, max_size=8), st.integers(1, 5), st.sampled_from(["dead", "elsewhere"]))
def test_back_undoes_what_was_away(closings: list[Closing], count: int, kind: ClosingKind) -> None:
    told = [*closings, before(kind, count), before("back", count)]
    assert expected(told) == expected([*closings, before("closed")])
