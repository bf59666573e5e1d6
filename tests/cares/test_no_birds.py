"""A house in which no bird sleeps: no times, no events, no jobs, and why."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

from scheduler.cares import reasons
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.day_lines import DayLine, day_lines
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.door_fold import door
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.door_events import lockup_events
from scheduler.profile.values import Profile

Declare = Callable[[str], Profile]
DAY = timedelta(days=1)
COMES = date(2026, 12, 3)
TEXT = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
[[coop]]
name = "Walnut"
[[coop]]
name = "Pen"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
[[flock]]
name = "Pullets"
coop = "pen"
hens = 4
arrived = 2026-12-03
raised_by = "hen"
"""


def test_k6_before_a_flock_comes_its_house_has_no_times_and_no_jobs(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = declare(TEXT)
    before, after = plan(profile, NO_RECORDS, COMES - DAY, COMES, catalogue).days
    why = DayLine("no-birds", "No birds", "tonight", "Pullets come on 3 December.")
    assert day_lines(profile, before.coops[1]) == (why,)
    assert len(day_lines(profile, before.coops[0])) == 4
    assert "Lock up" in {line.label for line in day_lines(profile, after.coops[1])}
    assert {task.subject_id for task in before.tasks if task.subject == "coop"} == {"walnut"}
    assert "pen" in {task.subject_id for task in after.tasks}
    assert not [event for event in lockup_events(profile, before) if "pen" in event.uid]
    assert "Walnut" in next(event.title for event in lockup_events(profile, before))


def said(kind: ClosingKind, count: int) -> Closing:
    at = datetime(2026, 12, 4, 12, tzinfo=UTC)
    return Closing(kind=kind, coop_id="pen", evening=COMES, at=at, who="Ana", flock=4, count=count)


def test_k6_a_house_that_was_said_to_be_empty_says_why(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = declare(TEXT)
    (day,) = plan(profile, NO_RECORDS, COMES + DAY, COMES + DAY, catalogue).days
    for closings, why in (
        ([said("dead", 4)], "4 are dead or given up for lost."),
        (
            [said("dead", 1), said("elsewhere", 3)],
            "3 sleep elsewhere and 1 is dead or given up for lost.",
        ),
        ([said("dead", 3)], ""),
        ([said("sold", 4)], "All were sold or moved."),
        (
            [said("dead", 3), said("sold", 1)],
            "3 are dead or given up for lost, and the others were sold or moved.",
        ),
        ([said("arrived", 2), said("dead", 6)], "6 are dead or given up for lost."),
    ):
        state = door(closings, "pen", day.day, 4)
        assert reasons.why_no_birds(profile, "pen", day.day, state) == why
        keys = [line.key for line in day_lines(profile, day.coops[1], state)]
        assert (keys == ["no-birds"]) is bool(why)


def test_a_house_in_which_nobody_slept_is_not_opened(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = declare(TEXT)

    def let_outs(day: DayPlan) -> tuple[str, str, bool]:
        lines = {line.key: line for line in day_lines(profile, day.coops[1])}
        events = [one for one in lockup_events(profile, day) if one.kind == "letout"]
        is_told = any("pen" in one.houses for one in events)
        assert any("walnut" in one.houses for one in events)
        return lines["let-out"].time, lines["let-out"].reason, is_told

    nobody = ("not today", "Nobody slept there last night.", False)
    came, next_day = plan(profile, NO_RECORDS, COMES, COMES + DAY, catalogue).days
    assert let_outs(came) == nobody
    assert let_outs(next_day)[2]
    # Nor where it was said that they slept elsewhere.
    away = frozenset({("pen", COMES + DAY)})
    *_, back, later = plan(profile, NO_RECORDS, COMES + DAY, COMES + 3 * DAY, catalogue, away).days
    assert let_outs(back) == nobody
    assert let_outs(later)[2]
