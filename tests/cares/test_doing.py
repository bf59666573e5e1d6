from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from scheduler.cares.catalogue import Catalogue, over
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.done_and_waiting import LOOKED_BACK_DAYS, Done, TaskKey, key_of, waiting
from scheduler.cares.plan import plan
from scheduler.cares.records import (
    NO_RECORDS,
    PredatorGrade,
    Records,
    Report,
    ReportKind,
    Spell,
)
from scheduler.profile.values import Profile

FIRST = date(2026, 3, 1)
BY_ANA = Done(who="Ana", at=datetime(2026, 3, 1, 9, tzinfo=UTC))


@pytest.fixture(scope="module")
def days(small: Profile, catalogue: Catalogue) -> tuple[DayPlan, ...]:
    """Ninety days of a plan."""
    return plan(small, NO_RECORDS, FIRST, FIRST + timedelta(days=89), catalogue).days


def windows(days: tuple[DayPlan, ...]) -> list[tuple[tuple[DayPlan, ...], DayPlan]]:
    back = LOOKED_BACK_DAYS
    return [(days[n - back : n], days[n]) for n in range(back, len(days))]


def test_the_longest_waiting_comes_first_and_none_of_every_day_waits(
    days: tuple[DayPlan, ...],
) -> None:
    most = 0
    for earlier, today in windows(days):
        found = waiting(earlier, today, {})
        most = max(most, len(found))
        since = [one.since for one in found]
        assert since == sorted(since)
        assert all(earlier[0].day <= one.since < today.day for one in found)
        again = {(task.care_id, task.subject_id) for task in today.tasks}
        for one in found:
            assert not any(task.daily for task in one.tasks)
            assert not any((task.care_id, task.subject_id) in again for task in one.tasks)
    assert most > 1


def test_what_was_done_waits_no_more_and_the_next_one_moves_up(
    days: tuple[DayPlan, ...],
) -> None:
    earlier, today = max(windows(days), key=lambda one: len(waiting(one[0], one[1], {})))
    done: dict[TaskKey, Done] = {}
    seen = []
    while found := waiting(earlier, today, done):
        seen.append(found[0].text)
        done |= dict.fromkeys(map(key_of, found[0].tasks), BY_ANA)
    assert len(seen) == len(set(seen)) > 1


def test_of_one_job_only_the_latest_date_waits(days: tuple[DayPlan, ...]) -> None:
    task = next(task for day in days for task in day.tasks if not task.daily)
    walk = next(walk for day in days for walk in day.rounds if task in walk.tasks)

    def on(day: date) -> DayPlan:
        moved = replace(task, day=day)
        line = replace(walk.lines[0], tasks=(moved,))
        return DayPlan(day=day, coops=(), rounds=(replace(walk, lines=(line,)),), seasons=())

    empty = DayPlan(day=FIRST + timedelta(days=9), coops=(), rounds=(), seasons=())
    first, second = on(FIRST), on(FIRST + timedelta(days=3))
    [one] = waiting((first, second), empty, {})
    assert one.since == second.day
    # Whoever did the later one need not do the earlier one any more.
    assert waiting((first, second), empty, {key_of(second.tasks[0]): BY_ANA}) == ()
    # Nothing waits from before anybody could know of it.
    assert waiting((first, second), empty, {}, second.day + timedelta(days=1)) == ()


@pytest.mark.parametrize(
    ("kind", "while_it_holds", "after_it"),
    [
        ("heat", set(), set()),  # each of its days has its own
        ("order", {"order-start"}, set()),
        ("storm", {"storm-ready"}, {"storm-damage"}),
        ("predator", {"predator-repair"}, {"predator-repair"}),
    ],
)
def test_what_a_report_asked_for_waits_no_longer_than_it_makes_sense(
    small: Profile,
    catalogue: Catalogue,
    kind: ReportKind,
    while_it_holds: set[str],
    after_it: set[str],
) -> None:
    last = FIRST + timedelta(days=3)
    air_c = 38.0 if kind == "heat" else None
    grade: PredatorGrade | None = "tried" if kind == "predator" else None
    told = Report(kind=kind, grade=grade, air_c=air_c, spell=Spell(first=FIRST, last=last))
    records = Records(reports=(told,))

    def still(day: date) -> set[str]:
        first = FIRST - timedelta(days=1)
        *earlier, today = plan(small, records, first, day, catalogue).days
        past = over(catalogue, records, day)
        found = waiting(earlier, today, {}, off=past)
        usual = plan(small, NO_RECORDS, first, day, catalogue).days
        ordinary = {task.care_id for each in usual for task in each.tasks}
        return {task.care_id for one in found for task in one.tasks} - ordinary

    assert still(last) == while_it_holds
    assert still(last + timedelta(days=1)) == after_it


def test_neither_a_step_that_is_followed_by_another_nor_a_day_of_a_spell_waits(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    text = (
        '[site]\nname = "Orchard"\nlatitude = 51.5\nlongitude = -0.1\n'
        'timezone = "Europe/London"\n[[coop]]\nname = "Shed"\n[[flock]]\nname = "Chicks"\n'
        'coop = "shed"\nyoung = 12\n'
        'hatched = 2025-03-01\nraised_by = "brooder"\n'
        '[[coop]]\nname = "Pen"\n[[flock]]\nname = "New"\ncoop = "pen"\nhens = 6\n'
        'hatched = 2024-06-01\narrived = 2025-03-01\nraised_by = "bought"\n'
    )
    days = plan(declare(text), NO_RECORDS, date(2025, 3, 1), date(2025, 5, 15), catalogue).days
    for number in range(1, len(days)):
        before = days[max(number - 7, 0) : number]
        still = [one.text for one in waiting(before, days[number], {})]
        steps = [text for text in still if "Brooder at" in text]
        is_step_due = any("Brooder at" in task.title for task in days[number].tasks)
        assert len(steps) + is_step_due <= 1, days[number].day
        of_a_spell = ("Quarantine, day", "Check Chicks", "Evening check of")
        assert not [text for text in still if text.startswith(of_a_spell)], days[number].day


def test_a_clock_change_that_waits_is_not_tonight_any_more(
    small: Profile, catalogue: Catalogue
) -> None:
    eve = date(2026, 10, 24)
    before, today = plan(small, NO_RECORDS, eve, eve + timedelta(days=1), catalogue).days
    titles = [task.title for task in before.tasks if task.care_id == "clock-change"]
    assert titles == ["Clocks go back tonight: door clock, lamp timer"]
    still = [one.text for one in waiting((before,), today, {})]
    assert "Clocks have gone back: door clock, lamp timer" in still


def test_a_first_outing_that_waits_has_not_the_times_of_the_day_before(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    text = (
        '[site]\nname = "Orchard"\nlatitude = 51.5\nlongitude = -0.1\n'
        'timezone = "Europe/London"\n[[coop]]\nname = "Pen"\n[[flock]]\nname = "New"\n'
        'coop = "pen"\nhens = 6\nhatched = 2024-06-01\narrived = 2025-03-01\n'
    )
    outing = date(2025, 3, 15)
    before, today = plan(
        declare(text), NO_RECORDS, outing, outing + timedelta(days=1), catalogue
    ).days
    [due] = [task.title for task in before.tasks if task.care_id == "settle-over"]
    assert due.startswith("First outing for New, watched, 17:")
    still = [one.text for one in waiting((before,), today, {})]
    assert "First outing for New, watched" in still
