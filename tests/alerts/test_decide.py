"""What one instant of an evening asks for: the bounds of the search, of reminders, of holds."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scheduler.alerts.decide import (
    clearings,
    reminders,
    rung,
    search_steps,
)
from scheduler.alerts.delivery import Operation, State
from scheduler.alerts.evening_so_far import Row
from scheduler.alerts.held_messages import rings_at, strays
from scheduler.alerts.step import decode
from tests.alerts.orchard import (
    ANA,
    BEN,
    MINUTE,
    SITE,
    WALNUT,
    Ledger,
    at,
    evenings,
    ledger,
    said,
)

SECOND = timedelta(seconds=1)
ALONE = SITE + WALNUT + BEN
BEN_S = "https://push.example.org/ben"


@pytest.mark.parametrize(
    ("operation", "state", "attempts", "expected"),
    [
        ("send", "sent", 1, True),
        ("send", "perhaps sent", 1, True),
        ("send", "sending", 0, True),
        ("send", "pending", 0, False),
        ("send", "pending", 1, True),  # an answer that never came says nothing
        ("send", "dropped", 1, True),
        ("send", "dropped", 0, False),
        ("send", "missed", 0, False),
        ("send", "dead", 1, True),
        ("hold", "sent", 1, False),
        ("cancel", "sent", 1, False),
    ],
)
def test_whatever_was_once_tried_may_have_arrived(
    operation: Operation, state: State, attempts: int, *, expected: bool
) -> None:
    evening = ledger(ALONE)
    evening.tick(at("16:19"))
    row = replace(evening.rows[-1], operation=operation, state=state, attempts=attempts)
    assert row.may_have_arrived is expected


# The search


@pytest.mark.parametrize(
    ("before_let_out", "steps"),
    [
        (35 * MINUTE + SECOND, ["first", "second-look", "before-let-out"]),
        (35 * MINUTE, ["first", "before-let-out"]),
        (15 * MINUTE + SECOND, ["first", "before-let-out"]),
        (15 * MINUTE, ["first"]),
        (15 * MINUTE - SECOND, ["first"]),
        (SECOND, ["first"]),
    ],
)
def test_no_step_of_a_search_comes_before_the_one_it_follows(
    before_let_out: timedelta, steps: list[str]
) -> None:
    evening = ledger(ALONE)
    shut_at = evening.evening.let_out - before_let_out
    found = search_steps(evening.night(), shut_at)
    assert [kind for kind, _ in found] == [f"search-{step}" for step in steps]
    instants = [instant for _, instant in found]
    assert instants == sorted(set(instants))
    assert instants[0] == shut_at
    assert instants[-1] < evening.evening.let_out


# Reminders


def due(evening: Ledger, now: datetime) -> list[str]:
    """What goes out at that instant when nothing was written down before."""
    found = reminders(evening.night(), now)
    return [str(one.key.step) for one in found if one.state == "pending"]


def test_a_step_is_due_at_its_instant_and_not_before() -> None:
    evening = ledger(ALONE)
    lock_up = evening.evening.lock_up
    assert due(evening, lock_up - SECOND) == ["heads-up"]
    assert due(evening, lock_up) == ["now"]


def test_from_the_let_out_on_nobody_is_reminded_and_dawn_is_of_use_for_three_hours() -> None:
    no_dawn = ledger(f'{ALONE}[reminders]\nsteps = ["now", "next"]\n')
    let_out = no_dawn.evening.let_out
    assert due(no_dawn, let_out - SECOND) == ["next"]
    assert due(no_dawn, let_out) == []
    evening = ledger(ALONE)
    assert due(evening, let_out) == ["dawn"]
    assert due(evening, let_out + timedelta(hours=3) - SECOND) == ["dawn"]
    assert due(evening, let_out + timedelta(hours=3)) == []


def decided(evening: Ledger, clock: str) -> list[str]:
    """What is to be written down at that time: "step person channel state"."""
    found = reminders(evening.night(), at(clock))
    return [f"{o.key.step} {o.key.person_id} {o.key.channel} {o.state}" for o in found]


def test_a_step_for_one_goes_one_way_and_a_later_one_every_way() -> None:
    evening = ledger()
    assert decided(evening, "15:49") == ["heads-up ana push pending"]
    assert decided(evening, "16:19")[-1:] == ["now ana push pending"]
    evening.tick(at("16:19"))
    assert decided(evening, "16:27") == ["again ana push pending", "again ana mail pending"]
    dawn = [line for line in decided(evening, "+08:30") if line.endswith("pending")]
    assert dawn == [f"dawn {who} pending" for who in ("ana push", "ben push", "cleo mail")]


def test_the_highest_goes_to_whoever_a_missed_one_would_have_called() -> None:
    found = decided(ledger(), "16:35")
    assert [line for line in found if line.endswith("missed")] == [
        "heads-up ana push missed",
        "now ana push missed",
        "again ana push missed",
        "again ana mail missed",
    ]
    assert found[4:] == [f"next {who} pending" for who in ("ana push", "ana mail", "ben push")]


def test_once_it_is_too_late_every_step_is_written_down_as_missed() -> None:
    evening = ledger(f'{ALONE}[reminders]\nsteps = ["now", "next"]\n')
    assert decided(evening, "+09:00") == ["now ben push missed", "next ben push missed"]


def test_what_a_clock_ran_ahead_of_is_due_once_more() -> None:
    evening = ledger(ALONE)
    evening.tick(at("16:19"))
    assert decided(evening, "16:19") == []
    evening.rows = [replace(row, state="early") for row in evening.rows]
    assert decided(evening, "16:19") == ["heads-up ben push missed", "now ben push pending"]


def test_what_only_somebody_who_has_left_was_told_is_due_again() -> None:
    text = f'{SITE}{WALNUT}{ANA}{BEN}[reminders]\nsteps = ["now", "next", "everybody", "dawn"]\n'
    gone = text.replace(ANA, "")
    evening = ledger(text)
    evening.tick(at("16:19"))
    (evening.evening,) = evenings(gone)
    assert decided(evening, "16:20") == ["now ben push pending"]
    # Once somebody who is still here was told, it goes on from there.
    evening = ledger(text)
    evening.timetable("16:19", "16:35")
    (evening.evening,) = evenings(gone)
    assert decided(evening, "16:36") == []
    # What they were told before the door was opened again does not count.
    evening = ledger(text)
    evening.timetable("16:19", "16:35")
    evening.say(said(clock="16:36"), said("reopened", "16:37"))
    ahead = evening.tick(at("16:37"))
    assert "reopened" in {str(one.key.step) for one in ahead.add if one.key.person_id == "ana"}
    evening.rows = [
        row for row in evening.rows if row.key.opening == 0 or row.key.step.kind == "reopened"
    ]
    (evening.evening,) = evenings(gone)
    assert decided(evening, "16:38") == ["reopened ben push pending"]


def test_a_heads_up_calls_nobody_to_a_door() -> None:
    every = (
        "heads-up",
        "now",
        "again",
        "everybody-2",
        "reopened-3",
        "dawn",
        "shut",
        "search-first",
    )
    assert [step for step in every if not decode(step).calls] == [
        "heads-up",
        "shut",
        "search-first",
    ]
    assert [step for step in every if not decode(step).is_of_a_door] == ["heads-up"]
    evening = ledger()
    evening.tick(at("15:49"))
    assert rung(evening.rows) == set()
    evening.tick(at("16:19"))
    assert rung(evening.rows) == {"ana"}


# What the push server holds


def test_it_rings_five_minutes_after_the_minute_of_the_latest_then_after_the_next_reminder() -> (
    None
):
    evening = ledger(ALONE)
    night, latest = evening.night(), evening.evening.latest
    assert latest.second, "or the test shows nothing"
    whole = latest.replace(second=0)
    assert rings_at(night, latest - SECOND) == whole + 5 * MINUTE
    first_call = next(step.at for step in night.evening.steps if str(step.name) == "everybody-1")
    assert rings_at(night, latest) == first_call + 5 * MINUTE
    bedtime = next(step.at for step in night.evening.steps if step.kind == "bedtime")
    assert rings_at(night, bedtime - SECOND) == bedtime + 5 * MINUTE
    assert rings_at(night, bedtime) is None, "dawn needs no help"


def held(evening: Ledger, now: str) -> list[str]:
    return [
        f"{one.key.step} {one.operation}"
        for one in evening.tick(at(now), send=False).add
        if str(one.key.step).startswith("hold-")
    ]


def put(evening: Ledger, step: str, state: State, attempts: int) -> None:
    evening.rows = [
        replace(row, state=state, attempts=attempts) if str(row.key.step) == step else row
        for row in evening.rows
    ]


@pytest.mark.parametrize(
    ("state", "attempts", "is_taken_back"),
    [
        ("pending", 0, False),
        ("pending", 1, True),  # tried: it may lie there
        ("sending", 0, True),
        ("perhaps sent", 1, True),
        ("sent", 1, True),
        ("dead", 1, False),  # refused: nothing lies there
        ("dropped", 1, False),
    ],
)
def test_what_the_push_server_may_hold_is_taken_back_once_all_are_shut(
    state: State, attempts: int, *, is_taken_back: bool
) -> None:
    evening = ledger(ALONE)
    assert held(evening, "12:00") == ["hold-1 hold"]
    put(evening, "hold-1", state, attempts)
    evening.say(said(clock="15:00"))
    assert held(evening, "15:00") == (["hold-2 cancel"] if is_taken_back else [])


@pytest.mark.parametrize(("taken_back", "still_there"), [("sent", False), ("dead", True)])
def test_what_could_not_be_taken_back_still_lies_there_when_the_next_is_refused(
    taken_back: State, *, still_there: bool
) -> None:
    evening = ledger(ALONE)
    evening.tick(at("12:00"))
    evening.say(said(clock="15:00"))
    assert held(evening, "15:00") == ["hold-2 cancel"]
    put(evening, "hold-2", taken_back, 3)
    assert held(evening, "15:01") == []
    evening.say(said("reopened", "15:05"))
    assert held(evening, "15:05") == ["hold-3 hold"]
    put(evening, "hold-3", "dead", 3)
    evening.say(said(clock="15:10"))
    assert held(evening, "15:10") == (["hold-4 cancel"] if still_there else [])


def test_a_stray_is_taken_back_until_the_minute_in_which_it_rings_for_the_last_time() -> None:
    evening = ledger(ALONE)
    evening.tick(at("12:00"))
    night = evening.night()
    renamed = replace(night, evening=replace(night.evening, subject_id="hazel"), rows=())
    rings = night.rows[-1].rings_at
    assert rings is not None
    last = rings + 20 * MINUTE
    assert len(strays([renamed], night.rows, last - SECOND)) == 1
    assert strays([renamed], night.rows, last) == []
    dead = [replace(row, state="dead", attempts=3) for row in night.rows]
    assert strays([renamed], dead, at("12:01")) == [], "it never lay there"


def test_a_place_that_refused_the_later_message_still_holds_the_earlier() -> None:
    evening = ledger(ALONE)
    evening.tick(at("12:00"))
    assert held(evening, "16:34") == ["hold-2 hold"]
    put(evening, "hold-2", "dead", 3)
    evening.say(said(clock="16:35"))
    assert held(evening, "16:35") == ["hold-3 cancel"]


def test_only_what_a_phone_may_show_is_cleared() -> None:
    evening = ledger(ALONE)
    evening.tick(at("15:49"))
    evening.tick(at("16:19"), send=False)

    def cleared(rows: Sequence[Row]) -> list[str]:
        night = replace(evening.night(), rows=tuple(rows))
        return [str(one.key.step) for one in clearings(night, at("16:20"))]

    assert cleared(evening.rows) == ["clear-heads-up"]
    tried = [replace(row, attempts=1) for row in evening.rows]
    assert cleared(tried) == ["clear-heads-up", "clear-now"]
    by_mail = [replace(row, key=replace(row.key, channel="mail")) for row in tried]
    assert cleared(by_mail) == []


def test_nothing_is_held_any_more_for_who_has_left_though_their_topic_is_known() -> None:
    evening = ledger(SITE + WALNUT + ANA + BEN)
    evening.topics = {"ana": "https://push.example.org/ana", "ben": BEN_S}
    evening.tick(at("12:00"))
    (evening.evening,) = evenings(ALONE)
    found = [one for one in evening.tick(at("16:34")).add if one.key.step.kind == "hold"]
    assert [(one.operation, one.key.person_id) for one in found] == [
        ("hold", "ben"), ("cancel", "ana"),
    ]  # fmt: skip


def test_what_never_went_to_a_new_topic_is_taken_back_from_the_old_one_only() -> None:
    evening = ledger(ALONE)
    evening.tick(at("12:00"))
    evening.topics = {"ben": "https://push.example.org/new"}
    found = evening.tick(at("12:01"), send=False).add
    assert [one.address for one in found if one.operation == "cancel"] == [BEN_S]
    evening.say(said(clock="15:00"))
    later = evening.tick(at("15:00"), send=False)
    assert [one for one in later.add if one.operation == "cancel"] == []
    new = [row for row in evening.rows if row.address == "https://push.example.org/new"]
    assert [(row.operation, row.state) for row in new] == [("hold", "dropped")]
