"""What was said long ago is left out only where no later evening can tell."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.closing import Closing, ClosingKind, is_count_due, last_count
from scheduler.cares.door_fold import door
from scheduler.cares.settled import still_matter

FIRST = date(2026, 3, 1)
DAY = timedelta(days=1)
KINDS: list[ClosingKind] = [one for one in get_args(ClosingKind) if one != "undone"]


@st.composite
def histories(draw: st.DrawFn) -> list[Closing]:
    """Weeks of two houses: most evenings all in, some with birds missing, dead, away, undone."""
    found: list[Closing] = []
    flock = {"walnut": 12, "pen": 25}
    for n in range(draw(st.integers(0, 30))):
        day = FIRST + n * DAY
        for coop_id in ("walnut", "pen"):
            flock[coop_id] += draw(st.sampled_from([0, 0, 0, 0, 0, 0, -1, 1]))
            often = draw(st.sampled_from([0, 1, 1, 1, 2, 3]))
            found += [draw(said(coop_id, day, flock[coop_id])) for _ in range(often)]
    return sorted(found, key=lambda one: one.known_at)


@st.composite
def said(draw: st.DrawFn, coop_id: str, day: date, flock: int) -> Closing:
    """Something said of that evening, mostly that all are in; now and then days later."""
    often: list[ClosingKind] = ["closed"] * 8
    kind = draw(st.sampled_from([*often, *KINDS, "undone"]))
    late = draw(st.sampled_from([0, 0, 0, 0, 1, 2, 9]))
    at = datetime(day.year, day.month, day.day, 18, tzinfo=UTC) + late * DAY
    at += draw(st.integers(0, 600)) * timedelta(minutes=1)
    counts = [None, flock, flock, flock, flock - 1, flock - 2, flock + 1]
    numbers = counts if kind in {"closed", "undone"} else [None, 1, 1, 2, flock]
    return Closing(
        kind=kind,
        coop_id=coop_id,
        evening=day,
        at=at,
        who=draw(st.sampled_from(["Ana", "Kim"])),
        flock=flock,
        count=draw(st.sampled_from(numbers)),
        some_missing=kind == "closed" and draw(st.sampled_from([False, False, False, True])),
        was=draw(st.sampled_from(KINDS)) if kind == "undone" else None,
        was_at=at if kind == "undone" else None,
    )


def bounded(closings: Sequence[Closing], before: date) -> list[Closing]:
    """As the journal reads them: of evenings before, only those that matter."""
    kept = set(still_matter(closings, before))
    return [one for n, one in enumerate(closings) if one.evening >= before or n in kept]


@given(histories(), st.integers(0, 40), st.integers(0, 25))
def test_every_later_evening_stands_as_by_everything_that_was_ever_said(
    closings: list[Closing], cut: int, birds: int
) -> None:
    before = FIRST + cut * DAY
    left = bounded(closings, before)
    for n in range(34):
        day = before + n * DAY
        for coop_id in ("walnut", "pen"):
            assert door(left, coop_id, day, birds) == door(closings, coop_id, day, birds)


@given(histories(), st.integers(0, 40))
def test_whether_birds_are_to_be_counted_is_told_as_by_everything(
    closings: list[Closing], cut: int
) -> None:
    before = FIRST + cut * DAY
    left = bounded(closings, before)
    for day in (before + n * DAY for n in range(7, 34)):
        assert last_count(left, "pen", day) == last_count(closings, "pen", day)
        assert is_count_due(left, "pen", day, 25) == is_count_due(closings, "pen", day, 25)


@given(histories(), st.integers(0, 25), st.integers(0, 15))
def test_it_is_found_night_by_night_as_well_as_at_once(
    closings: list[Closing], cut: int, more: int
) -> None:
    once, then = FIRST + cut * DAY, FIRST + (cut + more) * DAY
    left = bounded(bounded(closings, once), then)
    for day in (then + n * DAY for n in range(20)):
        assert door(left, "walnut", day, 12) == door(closings, "walnut", day, 12)


def plain(day: date, count: int | None, kind: ClosingKind = "closed", late: int = 0) -> Closing:
    at = datetime(day.year, day.month, day.day, 18, tzinfo=UTC) + late * DAY
    return Closing(
        kind=kind, coop_id="walnut", evening=day, at=at, who="Ana", flock=12, count=count
    )


def test_of_ten_years_in_which_all_came_in_the_last_evening_is_left() -> None:
    years = [plain(FIRST + n * DAY, 12) for n in range(3650)]
    assert still_matter(years, FIRST + 3650 * DAY) == [3649]


def test_a_bird_that_is_missing_for_ten_years_is_missing_still() -> None:
    years = [plain(FIRST, 11), plain(FIRST, None, "not-found")]
    years += [plain(FIRST + n * DAY, 11) for n in range(1, 3650)]
    today = FIRST + 3650 * DAY
    left = bounded(years, today)
    assert len(left) == 3  # the evening itself, and the last one
    assert [one.since for one in door(left, "walnut", today, 12).before] == [FIRST]


def test_who_was_missing_over_night_and_found_is_forgotten_beside_one_that_is_dead() -> None:
    years = [plain(FIRST, 12), plain(FIRST, 1, "dead")]
    for n in range(1, 3650):
        day = FIRST + n * DAY
        years.append(plain(day, 10 if n % 30 == 0 else 11))
        if n % 30 == 0:
            years.append(plain(day, 1, "found", late=1))
    today = FIRST + 3650 * DAY
    left = bounded(years, today)
    assert len(left) <= 4
    assert door(left, "walnut", today, 12) == door(years, "walnut", today, 12)
