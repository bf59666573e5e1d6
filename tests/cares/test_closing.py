"""What is said of a door, folded: its state, who is missing, who belongs in the next evening."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.closing import Closing, ClosingKind, Door, door, expected_birds

KINDS: tuple[ClosingKind, ...] = get_args(ClosingKind)
EVENING = date(2026, 12, 21)
DAY = timedelta(days=1)
AT = datetime(2026, 12, 21, 16, 30, tzinfo=UTC)


def say(
    kind: ClosingKind,
    count: int | None = None,
    *,
    ago: int = 0,
    flock: int = 12,
    some_missing: bool = False,
) -> Closing:
    """One thing said of walnut, so many evenings ago."""
    return Closing(
        kind=kind, coop_id="walnut", evening=EVENING - ago * DAY, at=AT, who="Ana", flock=flock,
        count=count, some_missing=some_missing,
    )  # fmt: skip


def fold(*said: Closing) -> Door:
    return door(said, "walnut", EVENING, 12)


def shown(state: Door) -> tuple[str, int, int | None, int]:
    return state.state, state.expected, state.counted, state.missing


CLOSED, SHORT, SOME = say("closed", 12), say("closed", 10), say("closed", some_missing=True)
TABLE: list[tuple[list[Closing], tuple[str, int, int | None, int]]] = [
    ([], ("open", 12, None, 0)),
    ([CLOSED], ("shut", 12, 12, 0)),
    ([say("closed")], ("shut", 12, None, 0)),
    ([say("closed", 14)], ("shut", 12, 14, 0)),
    ([say("closed", 0)], ("searching", 12, 0, 12)),
    ([SHORT], ("searching", 12, 10, 2)),
    ([SOME], ("searching", 12, None, 1)),
    ([SHORT, say("found", 1)], ("searching", 12, 11, 1)),
    ([SHORT, say("found")], ("shut", 12, 12, 0)),
    ([SHORT, say("found", 2)], ("shut", 12, 12, 0)),
    ([SHORT, say("not-found")], ("shut", 12, 10, 0)),
    ([SHORT, say("dead", 1)], ("searching", 11, 10, 1)),
    ([SHORT, say("dead", 1), say("found", 1)], ("shut", 11, 11, 0)),
    ([SHORT, say("dead")], ("shut", 10, 10, 0)),
    ([SHORT, say("elsewhere", 2)], ("shut", 10, 10, 0)),
    ([SHORT, CLOSED], ("shut", 12, 12, 0)),
    ([SOME, say("found")], ("shut", 12, None, 0)),
    ([SOME, say("found", 3)], ("shut", 12, None, 0)),
    ([say("elsewhere", 2)], ("open", 10, None, 0)),
    ([say("elsewhere", 2), SHORT], ("shut", 10, 10, 0)),
    ([say("back", 2), CLOSED], ("searching", 14, 12, 2)),
    ([CLOSED, say("dead", 1)], ("shut", 11, 12, 0)),
    ([CLOSED, say("reopened")], ("open", 12, None, 0)),
    ([SHORT, say("reopened")], ("open", 12, None, 0)),
]


@pytest.mark.parametrize(("said", "expected"), TABLE)
def test_each_thing_that_is_said(
    said: list[Closing], expected: tuple[str, int, int | None, int]
) -> None:
    assert shown(fold(*said)) == expected


def test_openings_and_searches_are_counted() -> None:
    state = fold(SHORT, say("closed", 11), say("found", 1), SHORT, say("reopened"), SOME)
    assert (state.opening, state.searches) == (1, 3)
    assert state.said == SOME
    assert state.reopened_at == AT


def test_more_than_belong_there_is_kept_as_said() -> None:
    assert fold(say("closed", 14)).over == 2
    assert fold(CLOSED).over == fold(say("closed")).over == 0


def test_other_houses_and_evenings_say_nothing_of_this_one() -> None:
    other = replace(CLOSED, coop_id="hazel")
    assert fold(other, say("closed", 12, ago=1), say("closed", 12, ago=-1)) == fold()


@pytest.mark.parametrize(
    ("said", "birds", "expected"),
    [
        ([], 12, 12),
        ([say("dead", 1, ago=1)], 12, 11),
        ([say("dead", 1, ago=1)], 11, 11),  # the profile knows it now
        ([say("dead", 1, ago=3), say("elsewhere", 2, ago=2)], 12, 9),
        ([say("elsewhere", 2, ago=2), say("back", 1, ago=1)], 12, 11),
        ([say("back", 1, ago=1)], 12, 12),  # nobody was away
        ([say("back", 3, ago=2), say("dead", 1, ago=1)], 12, 11),
        ([say("not-found", 2, ago=1)], 12, 12),  # may come back by itself
        ([say("dead", 1, ago=0)], 12, 12),  # that evening itself: see the fold
        ([say("dead", 20, ago=1)], 12, 0),
        ([say("dead", 2, ago=2, flock=14), say("elsewhere", 1, ago=1)], 12, 11),
        ([say("elsewhere", 1, ago=1), say("dead", 1, ago=2)], 12, 10),  # said in another order
    ],
)
def test_who_is_dead_or_elsewhere_is_not_expected_the_next_evening(
    said: list[Closing], birds: int, expected: int
) -> None:
    assert expected_birds(said, "walnut", EVENING, birds) == expected


spoken = st.builds(
    say,
    st.sampled_from(KINDS),
    st.none() | st.integers(0, 30),
    ago=st.integers(-1, 4),
    flock=st.sampled_from([0, 11, 12]),
    some_missing=st.booleans(),
)


@given(st.lists(spoken, max_size=12), st.integers(0, 12))
def test_no_number_is_ever_negative(said: list[Closing], birds: int) -> None:
    expected = expected_birds(said, "walnut", EVENING, birds)
    assert 0 <= expected <= birds
    state = door(said, "walnut", EVENING, expected)
    assert min(state.expected, state.missing, state.over, state.counted or 0) >= 0
    assert (state.state == "searching") == (state.missing > 0)
    assert state.opening == sum(one.kind == "reopened" and one.evening == EVENING for one in said)


@given(st.lists(spoken, max_size=8), st.integers(1, 5), st.sampled_from(["dead", "elsewhere"]))
def test_back_undoes_what_was_away(said: list[Closing], count: int, kind: ClosingKind) -> None:
    away = [*said, say(kind, count, ago=1), say("back", count, ago=1)]
    before = expected_birds(said, "walnut", EVENING, 12)
    assert expected_birds(away, "walnut", EVENING, 12) == before
