"""The ladder of a door that was opened again, on the doors of one winter evening."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scheduler.alerts.reopened import is_often, is_slip, steps_of
from scheduler.cares.closing import Closing, ClosingKind
from tests.alerts.orchard import (
    ANA,
    BEN,
    HAZEL,
    MINUTE,
    SITE,
    WALNUT,
    Ledger,
    at,
    ledger,
    said,
)

SECOND = timedelta(seconds=1)
TWO_PEOPLE = SITE + WALNUT + ANA + BEN


def opened_at(instant: datetime, who: str = "Dora") -> Ledger:
    """An evening whose door was shut a minute before it was opened again."""
    evening = ledger(TWO_PEOPLE)
    shut = replace(said(who=who), at=instant - MINUTE)
    evening.say(shut, replace(said("reopened", who=who), at=instant))
    return evening


def steps(evening: Ledger) -> list[str]:
    return [
        f"{step.at:%H:%M} {step.name}" for step in steps_of(evening.evening, evening.night().states)
    ]


def named(evening: Ledger, name: str) -> datetime:
    return next(step.at for step in evening.evening.steps if str(step.name) == name)


def test_opened_again_before_the_lock_up_it_begins_anew_and_at_the_lock_up_it_goes_on() -> None:
    lock_up = ledger(TWO_PEOPLE).evening.lock_up
    before = opened_at(lock_up - SECOND)
    assert steps_of(before.evening, before.night().states) == before.evening.steps
    assert steps(opened_at(lock_up))[:2] == ["16:18 reopened", "16:26 again"]


def test_opened_again_it_is_told_every_hour_in_its_own_words_alone() -> None:
    assert steps(opened_at(at("22:30"))) == [
        "22:30 reopened",
        "22:45 reopened-2",
        "23:00 bedtime",
        "23:00 everybody-4",
        "23:15 everybody-5",
        *(f"{hour % 24:02}:30 reopened-{hour - 20}" for hour in range(23, 32)),
        "08:19 dawn",
    ]


def test_what_was_due_when_it_was_opened_is_not_told_again_and_what_is_near_waits() -> None:
    evening = ledger(TWO_PEOPLE)
    last_call = named(evening, "everybody-3")
    assert "17:13 everybody-3" not in steps(opened_at(last_call))
    # A second before it is still to come: five minutes after the last words.
    near = opened_at(last_call - SECOND)
    found = {str(step.name): step.at for step in steps_of(near.evening, near.night().states)}
    assert found["everybody-3"] == last_call - SECOND + 5 * MINUTE
    assert "everybody-4" not in found, "everybody's turn was not over"
    over = {
        str(step.name) for step in steps_of(evening.evening, opened_at(last_call).night().states)
    }
    assert {"everybody-4", "everybody-5"} <= over


def test_near_the_morning_only_what_comes_before_it_is_told() -> None:
    end = ledger(TWO_PEOPLE).evening.let_out - 15 * MINUTE
    for before, expected in (
        (15 * MINUTE, ["reopened"]),
        (15 * MINUTE + SECOND, ["reopened", "reopened-2"]),
        (30 * MINUTE, ["reopened", "reopened-2"]),
        (30 * MINUTE + SECOND, ["reopened", "reopened-2", "everybody-4"]),
        (45 * MINUTE + SECOND, ["reopened", "reopened-2", "everybody-4", "everybody-5"]),
        (timedelta(), ["reopened"]),
        (-10 * MINUTE, ["reopened"]),
    ):
        evening = opened_at(end - before)
        found = steps_of(evening.evening, evening.night().states)
        assert [str(step.name) for step in found if step.kind != "dawn"] == expected, before


def test_where_everybody_never_has_a_turn_they_get_none_of_an_opened_door() -> None:
    evening = ledger(f'{TWO_PEOPLE}[reminders]\nsteps = ["now", "hourly"]\n')
    evening.say(said(clock="22:00"), said("reopened", "22:30"))
    names = [name for line in steps(evening) for name in [line.split()[1]]]
    assert not [name for name in names if name.startswith("everybody")]


def test_whoever_on_duty_opened_it_hears_of_it_from_the_second_time_on() -> None:
    assert [line for line in steps(opened_at(at("22:30"), "Ana")) if "reopened" in line][:2] == [
        "22:45 reopened-2",
        "23:30 reopened-3",
    ]


def test_a_door_that_was_shut_again_calls_nobody_hourly_and_one_still_open_does() -> None:
    evening = ledger(SITE + WALNUT + HAZEL + ANA + BEN)
    evening.say(
        said(clock="18:00"), said("reopened", "18:30"), said(clock="18:40"),
    )  # fmt: skip
    hourly = [line for line in steps(evening) if "hourly" in line]
    assert hourly == [f"{hour}:13 hourly-{hour - 17}" for hour in range(19, 23)], "Hazel is open"
    assert not [line for line in steps(evening) if "reopened" in line]
    evening.say(said(clock="18:45", coop="hazel", flock=6))
    assert not [line for line in steps(evening) if "hourly" in line or "reopened" in line]


def back_and_forth(times: int) -> Ledger:
    evening = ledger(TWO_PEOPLE)
    for number in range(times):
        evening.say(
            replace(said(), at=at("17:00") + 2 * number * MINUTE),
            replace(said("reopened"), at=at("17:01") + 2 * number * MINUTE),
        )
    return evening


def test_from_the_fourth_time_on_it_is_told_five_minutes_later_but_not_the_rest() -> None:
    third, fourth = back_and_forth(3), back_and_forth(4)
    assert [is_often(one.night().states) for one in (third, fourth)] == [False, True]
    assert steps(third)[0] == "17:05 reopened"
    reopened = [line for line in steps(fourth) if "reopened" in line]
    assert reopened[:3] == ["17:12 reopened", "17:22 reopened-2", "18:07 reopened-3"]


def test_birds_that_were_missed_count_as_back_and_forth_too() -> None:
    evening = back_and_forth(3)
    evening.say(said(clock="17:10", count=11))
    assert is_often(evening.night().states)


def slip(after: timedelta, *, was: ClosingKind = "closed", was_by: str = "Ana") -> bool:
    evening = ledger(TWO_PEOPLE)
    shut_at = at("17:00")
    undone = replace(
        said("undone", who="Ana"), at=shut_at + after, was=was, was_at=shut_at, was_by=was_by
    )
    evening.say(undone)
    return is_slip(evening.night().states)


@pytest.mark.parametrize(
    ("after", "expected"), [(SECOND, True), (MINUTE, True), (MINUTE + SECOND, False)]
)
def test_one_s_own_tap_taken_back_within_a_minute_was_a_slip(
    after: timedelta, *, expected: bool
) -> None:
    assert slip(after) is expected


def test_another_s_tap_taken_back_is_no_slip_nor_is_a_door_opened_again() -> None:
    assert not slip(SECOND, was_by="Ben")
    assert not slip(SECOND, was="found")
    assert not is_slip(opened_at(at("17:00")).night().states)
    assert not is_slip(ledger(TWO_PEOPLE).night().states)


def test_the_last_door_opened_decides_whether_it_was_a_slip() -> None:
    evening = ledger(SITE + WALNUT + HAZEL + ANA + BEN)

    def undone(coop: str, minute: int, was_by: str) -> Closing:
        closing = said("undone", f"17:{minute:02}", who="Ana", coop=coop)
        return replace(closing, was="closed", was_at=closing.at - SECOND, was_by=was_by)

    evening.say(undone("walnut", 1, "Ana"), undone("hazel", 2, "Ben"))
    assert not is_slip(evening.night().states)
    evening.closings = [undone("walnut", 3, "Ana"), undone("hazel", 2, "Ben")]
    assert is_slip(evening.night().states)
