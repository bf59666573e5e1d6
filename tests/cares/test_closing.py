"""What keepers say of a door, and what it adds up to."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.birds_of_a_door import most
from scheduler.cares.closing import COMES, LEAVES, Closing, ClosingKind, is_count_due
from scheduler.cares.door_fold import door
from scheduler.cares.door_state import Door, DoorState, Missing

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


def stands(*closings: Closing, birds: int = FLOCK) -> Door:
    return door(closings, "walnut", EVENING, birds)


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
        ([SHUT_TEN, said("reopened")], "open", 12, None, 2),
        ([SHUT_TEN, said("reopened"), said("closed")], "searching", 12, None, 2),
        ([SHUT_TEN, said("reopened"), said("closed", 12)], "shut", 12, 12, 0),
        ([SHUT_TEN, said("given-up")], "shut", 10, 10, 0),
        ([said("closed", some_missing=True), said("not-found", 3)], "shut", 12, None, 0),
        ([said("closed", some_missing=True), said("dead", 3)], "shut", 9, None, 0),
        ([SHUT_TEN, said("dead", 1), said("reopened")], "open", 11, None, 1),
        ([said("closed", some_missing=True), said("found", 3)], "shut", 12, None, 0),
        ([said("back", 2), said("closed", 12)], "shut", 12, 12, 0),
        ([said("closed", 12), said("dead", 1)], "shut", 11, 11, 0),
        ([said("elsewhere", 1), said("closed", 11), said("back", 1)], "shut", 12, 12, 0),
        ([said("elsewhere", 1), said("closed", 12), said("back", 1)], "shut", 12, 12, 0),
        ([said("elsewhere", 12), said("closed"), said("back", 12)], "open", 12, None, 0),
        ([said("elsewhere", 12), said("closed", 0), said("back", 12)], "open", 12, None, 0),
        ([said("elsewhere", 12), said("closed", 12), said("back", 12)], "shut", 12, 12, 0),
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


# The next evening


def expected(closings: Sequence[Closing], birds: int = FLOCK, day: date = EVENING) -> int:
    earlier = (said for said in closings if said.evening < day)
    return door(earlier, "walnut", day, birds).expected


def before(
    kind: ClosingKind,
    count: int | None = None,
    *,
    flock: int = FLOCK,
    days: int = 1,
    some_missing: bool = False,
) -> Closing:
    day = EVENING - days * DAY
    return said(kind, count, day=day, flock=flock, some_missing=some_missing)


@pytest.mark.parametrize(
    ("closings", "birds"),
    [
        ([], 12),
        ([before("dead", 2)], 10),
        ([before("elsewhere", 3)], 9),
        ([before("elsewhere", 3), before("back", 1)], 10),
        ([before("elsewhere", 1), before("back", 1)], 12),
        ([before("closed", 10), before("not-found"), before("found", 2)], 12),
        ([before("closed", 10), before("not-found"), before("found", 1)], 11),
        ([before("closed", 10)], 10),
        ([before("closed", 10), before("given-up", 1)], 10),
        ([before("closed", some_missing=True)], 11),
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


def test_the_profile_knows_what_was_said_that_day_before_its_count_changed() -> None:
    come, shut = said("arrived", 3), said("closed", 15, flock=15)
    assert stands(come, birds=15).expected == 15
    assert stands(said("dead", 2), birds=10).expected == 10
    assert stands(come, shut, birds=15).is_all_in
    assert stands(come, said("dead", 1, flock=15), birds=15).expected == 14


def test_a_count_that_comes_back_does_not_bring_the_old_dead_with_it() -> None:
    # One died, the profile was put to eleven, then a new hen was bought: twelve again.
    told = [before("dead", 1), before("closed", 11, flock=11)]
    assert expected(told, birds=12) == 12


def test_an_evening_written_up_late_brings_nobody_back() -> None:
    # Ten days ago there were eleven; one of today's twelve died yesterday.
    late = said("closed", 11, day=EVENING - 10 * DAY, flock=11)
    assert expected([before("dead", 1), late]) == 11


# Missing since an earlier evening


def test_k3_who_was_not_found_is_missing_until_that_is_ended() -> None:
    monday = [before("closed", 11, days=3), before("not-found", days=3)]
    since = Missing(since=EVENING - 3 * DAY, birds=1)
    found = stands(*monday, before("closed", 11, days=2), said("closed", 11))
    assert (found.state, found.expected, found.counted) == ("shut", 11, 11)
    assert (found.before, found.is_all_in) == ((since,), False)
    for ended, numbers in {
        "found": (12, 0, 0),
        "dead": (11, 0, 1),
        "given-up": (11, 0, 1),
        "elsewhere": (11, 1, 0),
    }.items():
        later = stands(*monday, said(ended))  # type: ignore[arg-type] # a kind
        assert (later.expected, later.away, later.gone) == numbers, ended
        assert later.before == ()


def test_k3_a_full_count_finds_those_missed_before() -> None:
    monday = before("closed", 11, days=3)
    found = stands(monday, said("closed", 12))
    assert (found.expected, found.before, found.over) == (12, (), 0)
    assert found.is_all_in
    more = stands(monday, said("closed", 13))
    assert (more.expected, more.over, more.is_all_in) == (12, 1, False)


def test_another_count_judges_anew_who_came_back() -> None:
    monday = before("closed", 11, days=3)
    found = stands(monday, said("closed", 12), said("closed", 11))
    assert found.news == 1  # who read that all are in hears of it
    assert replace(found, news=0) == stands(monday, said("closed", 11))
    assert found.before == (Missing(since=EVENING - 3 * DAY, birds=1),)


def test_who_was_missed_last_is_found_first() -> None:
    told = [before("closed", 10, days=3), before("closed", 9, days=1)]
    assert stands(*told, said("found", 1)).before == (Missing(since=EVENING - 3 * DAY, birds=2),)


def test_a_missing_one_outlasts_a_new_number_in_the_profile() -> None:
    monday = [before("closed", 10, days=3), before("dead", 1, days=3)]
    found = stands(*monday, birds=11)  # the dead one was taken out of the profile
    assert (found.expected, found.missing_before, found.gone) == (10, 1, 0)
    assert stands(*monday, birds=0).is_empty


# What cannot be


@pytest.mark.parametrize(
    ("closings", "numbers"),
    [
        ([], (0, 0, 12, 0, 12, 0)),
        ([SHUT_TEN], (2, 2, 12, 2, 12, 0)),
        ([before("closed", 11)], (1, 0, 12, 1, 12, 0)),
        ([before("closed", 11), SHUT_TEN, said("not-found")], (2, 0, 12, 2, 12, 0)),
        ([said("closed", some_missing=True)], (12, 12, 12, 12, 12, 0)),
        ([said("elsewhere", 3)], (0, 0, 12, 0, 9, 3)),
        ([said("dead", 12)], (0, 0, 0, 0, 0, 0)),
    ],
)
def test_k2_how_many_birds_something_can_be_about(
    closings: list[Closing], numbers: tuple[int, ...]
) -> None:
    kinds: tuple[ClosingKind, ...] = (
        "found", "not-found", "dead", "given-up", "elsewhere", "back",
    )  # fmt: skip
    found = stands(*closings)
    assert tuple(most(found, kind) for kind in kinds) == numbers


def test_k6_a_house_is_empty_when_nobody_can_come() -> None:
    assert stands(birds=0).is_empty
    assert stands(said("dead", 12)).is_empty
    assert stands(said("elsewhere", 12)).is_empty
    assert not stands(said("elsewhere", 12)).waits
    assert not stands(before("closed", 0)).is_empty, "all are missing, and may come"
    assert stands(before("closed", 0)).waits


# From twenty birds on


@pytest.mark.parametrize(
    ("birds", "closings", "due"),
    [
        (20, [], False),
        (20, [before("closed", days=6)], False),
        (20, [before("closed", days=7)], True),
        (19, [], False),
        (20, [before("closed", 20, days=6)], False),
        (20, [before("closed", 20, days=7)], True),
        (20, [before("closed", 20, days=8), before("closed", days=1)], True),
        (20, [said("closed", 20)], False),
        (20, [before("closed", days=7), said("closed", 20)], True),
    ],
)
def test_many_birds_are_counted_once_a_week(
    birds: int, closings: list[Closing], *, due: bool
) -> None:
    assert is_count_due(closings, "walnut", EVENING, birds) is due


# Whatever is said

kinds = st.sampled_from([one for one in get_args(ClosingKind) if one != "undone"])
sayings = st.builds(
    said,
    kinds,
    st.none() | st.integers(0, 30),
    day=st.integers(0, 3).map(lambda ago: EVENING - ago * DAY),
    flock=st.integers(11, 13),
    some_missing=st.booleans(),
)


@given(st.lists(sayings, max_size=12), st.integers(0, 30))
def test_birds_are_neither_made_nor_lost(closings: list[Closing], birds: int) -> None:
    found = door(closings, "walnut", EVENING, birds)
    parts = (found.expected, found.missing_before, found.away, found.gone)
    assert sum(parts) == birds + found.come
    assert min(*parts, found.missing, found.lost, found.over) >= 0
    assert found.missing + found.lost <= found.expected
    assert found.state != "shut" or not found.missing
    assert found.state != "searching" or found.missing
    assert found.opening == sum(
        one.kind == "reopened" and one.evening == EVENING for one in closings
    )
    assert (found.state == "open") or found.said is not None
    assert not (found.is_all_in and found.at_large)
    came = sum(one.count or 0 for one in closings if one.kind in COMES)
    assert 0 <= expected(closings, birds) <= birds + came


@given(st.lists(sayings, max_size=12), st.data())
def test_what_is_not_refused_is_counted_as_it_was_said(
    closings: list[Closing], data: st.DataObject
) -> None:
    first = door(closings, "walnut", EVENING, FLOCK)
    kind: ClosingKind = data.draw(
        st.sampled_from(
            ["found", "dead", "given-up", "elsewhere", "back", "arrived", "sold", "moved-out"]
        )
    )
    if not (greatest := most(first, kind)):
        return
    count = data.draw(st.integers(1, greatest))
    then = door([*closings, said(kind, count)], "walnut", EVENING, FLOCK)
    changed = then.gone - first.gone
    if kind in {"dead", "given-up"}:
        assert changed == count
    elif kind == "elsewhere":
        assert then.away - first.away == count
    elif kind == "back":
        assert (first.away - then.away, then.expected - first.expected) == (count, count)
    elif kind == "arrived":
        assert (then.come - first.come, then.expected - first.expected) == (count, count)
    elif kind in LEAVES:
        assert (first.come - then.come, first.expected - then.expected) == (count, count)
        assert then.missing == first.missing, "who is missing was not sold"
    elif not first.vague:
        assert first.at_large - then.at_large == count
    there = sum((then.expected, then.missing_before, then.away, then.gone))
    assert there == FLOCK + then.come


@given(st.lists(sayings, max_size=10), st.randoms(use_true_random=False))
def test_evenings_count_in_their_own_order(closings: list[Closing], order: Random) -> None:
    days = sorted({one.evening for one in closings})
    order.shuffle(days)
    late = [one for day in days for one in closings if one.evening == day]
    assert door(late, "walnut", EVENING, FLOCK) == door(closings, "walnut", EVENING, FLOCK)


@given(st.lists(sayings, max_size=10), sayings)
def test_undone_it_is_as_if_it_had_never_been_said(closings: list[Closing], last: Closing) -> None:
    last = replace(last, flock=FLOCK)  # else it tells of another number in the profile as well
    before_it = door(closings, "walnut", last.evening, FLOCK)
    undone = replace(last, kind="undone", was=last.kind)
    after = door([*closings, undone], "walnut", last.evening, FLOCK)
    again = last.kind in {"closed", "reopened"}
    assert after.opening == before_it.opening + again
    assert replace(
        after, opening=before_it.opening, searches=before_it.searches, opened=before_it.opened,
        last=before_it.last, news=before_it.news,
    ) == before_it  # fmt: skip


def test_what_was_taken_back_last_was_said_last_whichever_row_it_was() -> None:
    def undone(was: ClosingKind, minutes: int, who: str) -> Closing:
        at = AT + timedelta(minutes=minutes)
        return replace(said("undone"), was=was, at=at, who=who)

    told = [undone("closed", 20, "Kim"), undone("reopened", 10, "Ana")]
    last = door(told, "walnut", EVENING, FLOCK).last
    assert last
    assert last.who == "Kim"
    shut = replace(said("closed"), at=AT + timedelta(minutes=30))
    again = door([*told, shut], "walnut", EVENING, FLOCK).last
    assert again
    assert again.kind == "closed"


def test_the_door_was_opened_by_whoever_took_back_the_last_count_that_stood() -> None:
    def undone(minutes: int, who: str) -> Closing:
        at = AT + timedelta(minutes=minutes)
        return replace(said("undone", 12), was="closed", at=at, who=who)

    opened = door([undone(20, "Kim"), undone(10, "Ana")], "walnut", EVENING, FLOCK).opened
    assert opened
    assert opened.who == "Kim"


def test_another_count_of_a_shut_door_is_news_and_the_same_is_none() -> None:
    again = stands(said("closed", 13), said("closed", 12))
    assert (again.news, again.is_all_in) == (1, True)
    assert stands(said("closed"), said("closed", 12)).news == 1
    assert stands(said("closed", 12), said("closed", 12)).news == 0


def test_all_are_said_to_be_in_only_where_several_are() -> None:
    assert stands(said("closed", 12)).are_all_in
    one = stands(said("closed", 1, flock=1), birds=1)
    assert (one.is_all_in, one.are_all_in) == (True, False)
    assert not stands(said("closed", 11)).are_all_in


def test_a_find_said_of_an_evening_that_was_counted_after_starts_no_search() -> None:
    shut, given_up = before("closed", 11), before("not-found", 1)
    monday = (replace(shut, at=AT - DAY), replace(given_up, at=AT - DAY))
    found = replace(before("found", 1), at=AT + timedelta(minutes=30))
    state = stands(*monday, found, said("closed", 11))
    assert (state.is_all_in, state.counted, state.expected) == (True, 12, 12)
    assert door([*monday, found, said("closed", 11)], "walnut", EVENING - DAY, FLOCK).lost == 1
    # Said before the count it is of its own evening: then another one is missing.
    early = replace(found, at=AT - timedelta(hours=5))
    assert stands(*monday, early, said("closed", 11)).state == "searching"


def test_it_is_known_since_when_one_is_said_to_be_dead_until_the_profile_knows() -> None:
    dead = (before("closed", 11), before("dead", 1))
    assert stands(*dead).died_on == EVENING - DAY
    assert stands(*dead, said("closed", 12)).died_on == EVENING - DAY
    bought = door([*dead, said("closed", 12)], "walnut", EVENING, FLOCK + 1)
    assert bought.died_on is None
    assert stands(before("closed", 11), before("given-up", 1)).died_on is None


def test_some_that_were_found_leave_it_unsure_until_somebody_counts() -> None:
    some = (before("closed", some_missing=True), before("not-found", 1))
    found = stands(*some, said("found", 1))
    assert (found.unsure, found.at_large) == (True, 0)
    assert stands(*some, said("found", 1), said("closed")).unsure
    assert not stands(*some, said("found", 1), said("closed", 12)).unsure
    assert stands(*some, before("found", 1)).unsure
    assert not stands(*some, before("found", 1), before("closed", 12)).unsure
    assert not stands(before("closed", 11), said("found", 1)).unsure
