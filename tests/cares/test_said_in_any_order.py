"""What a door comes to does not hang on when, or in which order, people came to say it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import groupby
from random import Random
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.birds_of_a_door import numbering
from scheduler.cares.closing import Closing, ClosingKind, found_when_said
from scheduler.cares.diary.bird_entries import BIRD_KINDS
from scheduler.cares.diary.door_entries import DOOR_KINDS
from scheduler.cares.diary.entry import Entry, TakenBack
from scheduler.cares.diary.of_doors import as_closing, closings_of, said_in
from scheduler.cares.door_fold import after_evening, door
from scheduler.cares.door_state import Door

FIRST = date(2026, 12, 19)
DAY = timedelta(days=1)
MINUTE = timedelta(minutes=1)
FLOCK = 12
KINDS: list[ClosingKind] = [
    "closed", "closed", *(one for one in get_args(ClosingKind) if one != "undone")
]  # fmt: skip


@st.composite
def diaries(draw: st.DrawFn) -> list[Entry]:
    """What was said of three evenings as it happened, each at a minute of its own, some taken back.

    None of it is said after the count of a later evening: then a find is another evening's.
    """
    found: list[Entry] = []
    for n in range(3):
        evening, at = FIRST + n * DAY, datetime(2026, 12, 19, 16, tzinfo=UTC) + n * DAY
        for number in range(draw(st.integers(0, 5))):
            happened = at + number * 10 * MINUTE
            kind = draw(st.sampled_from(KINDS))
            count = None if kind == "reopened" else draw(st.none() | st.integers(0, FLOCK))
            closing = Closing(
                kind=kind, coop_id="walnut", evening=evening, at=happened, flock=FLOCK, count=count,
                who=draw(st.sampled_from(["Ana", "Kim"])),
                some_missing=kind == "closed" and count is None and draw(st.booleans()),
            )  # fmt: skip
            found.append(entry(closing, number=len(found) + 1))
    return found


def entry(closing: Closing, *, number: int, said_at: datetime | None = None) -> Entry:
    return Entry(
        what=said_in(closing), about=closing.coop_id, day=closing.evening, who=closing.who,
        said_at=said_at or closing.at, happened_at=closing.at, number=number,
    )  # fmt: skip


def back(one: Entry, *, number: int) -> Entry:
    at = one.happened_at + 5 * MINUTE
    return replace(
        one, what=TakenBack(entry=one.number), number=number, said_at=at, happened_at=at, who="Ben"
    )


def stands(entries: Sequence[Entry], evening: date = FIRST + 2 * DAY) -> Door:
    return door([one.closing for one in closings_of(entries)], "walnut", evening, FLOCK)


def told(state: Door) -> Door:
    """Without when each thing was said, and which was said last: that is the order of saying."""

    def happened(one: Closing | None) -> Closing | None:
        return replace(one, made_at=None) if one else None

    return replace(
        state,
        last=None,
        said=happened(state.said),
        other=happened(state.other),
        opened=happened(state.opened),
    )


@given(diaries(), st.randoms(use_true_random=False))
def test_any_order_in_which_entries_are_read_gives_the_same(
    entries: list[Entry], order: Random
) -> None:
    known = [*entries, *(back(one, number=100 + one.number) for one in entries[::3])]
    shuffled = [*known]
    order.shuffle(shuffled)
    assert stands(shuffled) == stands(known)


@given(diaries(), st.randoms(use_true_random=False))
def test_said_late_it_gives_what_it_had_given_on_time(entries: list[Entry], order: Random) -> None:
    numbers = [one.number for one in entries]
    order.shuffle(numbers)
    later = datetime(2026, 12, 25, tzinfo=UTC)
    late = [
        replace(one, number=number, said_at=later + number * MINUTE)
        for one, number in zip(entries, numbers, strict=True)
    ]
    assert told(stands(late)) == told(stands(entries))


@given(diaries())
def test_with_everything_taken_back_all_is_as_in_the_beginning(entries: list[Entry]) -> None:
    everything = [*entries, *(back(one, number=100 + one.number) for one in entries)]
    start, left = stands([]), stands(everything)
    since = ("opening", "searches", "news", "opened", "last")  # which only ever grow
    assert replace(left, **{name: getattr(start, name) for name in since}) == start


@given(diaries(), st.data())
def test_what_is_taken_back_twice_over_stands_as_if_nobody_had(
    entries: list[Entry], data: st.DataObject
) -> None:
    if entries:
        one = data.draw(st.sampled_from(entries))
        undone = back(one, number=100)
        assert stands([*entries, undone, back(undone, number=101)]) == stands(entries)


@given(diaries())
def test_evening_by_evening_it_comes_to_what_it_comes_to_at_once(entries: list[Entry]) -> None:
    said = found_when_said(one.closing for one in closings_of(entries))
    state = Door(state="open", expected=FLOCK)
    for evening, group in groupby(said, lambda one: one.evening):
        state = after_evening(state, evening, list(group))
    after = FIRST + 3 * DAY
    assert replace(numbering(state, FLOCK), evening=after) == stands(entries, after)


def test_every_kind_of_closing_is_one_of_the_diary_and_comes_back_as_it_was() -> None:
    kinds = set()
    for kind in KINDS:
        closing = Closing(
            kind=kind, coop_id="walnut", evening=FIRST, who="Ana", flock=FLOCK,
            at=datetime(2026, 12, 19, 16, tzinfo=UTC), count=None if kind == "reopened" else 2,
            other_coop="barn" if kind.startswith("moved") else "",
        )  # fmt: skip
        what = said_in(closing)
        kinds.add(type(what))
        assert as_closing(entry(closing, number=1), what) == closing
    assert kinds == {*DOOR_KINDS, *BIRD_KINDS}
