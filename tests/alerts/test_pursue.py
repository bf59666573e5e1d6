"""An evening pursued: what goes out when, what is dropped, and that asking twice adds nothing."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.delivery import LOUD
from scheduler.alerts.evening_so_far import Row
from scheduler.alerts.held_messages import strays
from scheduler.alerts.pursue import next_instant, pursue
from scheduler.alerts.step import decode
from scheduler.cares.closing import Closing, ClosingKind
from tests.alerts.orchard import (
    ANA,
    BEN,
    CLEO,
    DAY,
    HAZEL,
    MINUTE,
    SINCE,
    SITE,
    TEXT,
    WALNUT,
    WINTER,
    Ledger,
    at,
    evenings,
    ledger,
    said,
)

TWO = SITE + WALNUT + HAZEL + ANA + BEN
MORNING = "+08:34:07"  # the let-out
EVERYBODY = ("ana push", "ana mail", "ben push", "cleo mail")


def whole(clock: str, step: str, *people: str) -> list[str]:
    return [f"{clock} {step} {person}" for person in people]


# The ladder in time


def test_the_winter_evening_that_nobody_confirms() -> None:
    duty = ("ana push", "ana mail")
    assert ledger().timetable("12:00", "+12:00") == [
        "15:49 heads-up ana push",
        "16:19 now ana push",
        *whole("16:27", "again", *duty),
        "16:34 next ben push",
        *whole("16:44", "everybody-1", *EVERYBODY),
        *whole("16:59", "everybody-2", *EVERYBODY),
        *whole("17:14", "everybody-3", *EVERYBODY),
        *whole("18:14", "hourly-1", *duty),
        *whole("19:14", "hourly-2", *duty),
        *whole("20:14", "hourly-3", *duty),
        *whole("21:14", "hourly-4", *duty),
        *whole("22:14", "hourly-5", *duty),
        *whole("23:00", "bedtime", *duty),
        *whole("08:20", "dawn", "ana push", "ben push", "cleo mail"),
    ]


def test_a_punctual_evening_is_two_messages_to_one_person() -> None:
    evening = ledger()
    told = evening.timetable("12:00", "16:20")
    evening.say(said(clock="16:21", count=12))
    assert told == ["15:49 heads-up ana push", "16:19 now ana push"]
    assert evening.timetable("16:21", "+12:00") == ["16:21 shut ana push"]


def test_who_was_only_given_a_heads_up_hears_no_more() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:00")
    evening.say(said(clock="16:05", count=12))
    assert evening.timetable("16:05", "+12:00") == []


def test_whoever_was_rung_gets_one_all_clear() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:40")
    evening.say(said(clock="16:41", count=12, who="Ben"))
    assert evening.timetable("16:41", "+12:00") == ["16:41 shut ana push"], "Ben said it himself"
    message = next(row.message for row in evening.rows if str(row.key.step) == "shut")
    assert message.title == "Ben shut the door at 16:41, all 12 in. Nothing to do."


def test_what_was_on_its_way_counts_as_heard() -> None:
    evening = ledger()
    evening.tick(at("16:19"), send=False)
    evening.rows = [replace(row, state="sending", attempts=1) for row in evening.rows]
    evening.say(said(clock="16:21"))
    assert evening.sent(at("16:21")) == ["shut ana push"]


def test_of_several_missed_steps_only_the_highest_goes_out_to_all_of_them() -> None:
    evening = ledger()
    found = evening.tick(at("16:35")).add
    sends = [one for one in found if one.operation == "send"]
    out = [one for one in sends if one.state == "pending"]
    assert [(str(one.key.step), one.key.person_id) for one in out] == [
        ("next", "ana"), ("next", "ana"), ("next", "ben"),
    ]  # fmt: skip
    missed = [one for one in sends if one.state == "missed"]
    assert [str(one.key.step) for one in missed] == ["heads-up", "now", "again", "again"]
    assert all(one.due_at <= at("16:35") for one in sends)


@pytest.mark.parametrize(
    ("clock", "title", "priority"),
    [
        ("+00:30", "NOT CONFIRMED: look with a torch before bed. Walnut, 12 hens, due 16:33", 5),
        ("+05:30", "Still not confirmed shut: Walnut, 12 hens, due 16:33", 4),
    ],
)
def test_k14_after_a_night_without_power_the_words_are_of_the_hour(
    clock: str, title: str, priority: int
) -> None:
    evening = ledger()
    evening.tick(at(clock))
    out = [row for row in evening.rows if row.operation == "send" and row.state == "sent"]
    assert {str(one.key.step) for one in out} == {"bedtime"}
    assert {(one.message.title, one.message.priority) for one in out} == {(title, priority)}


def test_only_what_was_missed_since_the_last_step_counts() -> None:
    book = ledger()
    book.tick(at("15:50"))
    book.tick(at("16:19"))
    book.tick(at("16:27"))
    assert book.sent(at("16:35")) == ["next ben push"]


def test_back_at_ten_past_nine_there_is_one_message_each() -> None:
    assert ledger().sent(at("21:10")) == [f"hourly-3 {person}" for person in EVERYBODY]


def test_after_the_let_out_everything_is_only_missed() -> None:
    evening = ledger()
    found = evening.tick(at("+12:00")).add
    assert {one.state for one in found} == {"missed"}
    assert {one.key.step for one in found} == {step.name for step in evening.evening.steps}
    assert evening.tick(at("+12:15")).nothing


def test_without_a_morning_s_message_nothing_goes_out_after_the_let_out() -> None:
    book = ledger(TEXT + '[reminders]\nsteps = ["now", "next"]\n')
    found = book.tick(at("+08:40"))
    assert found.add
    assert {one.state for one in found.add} == {"missed"}


def test_a_clock_set_back_rings_nobody_again() -> None:
    book = ledger()
    book.tick(at("15:50"))
    book.tick(at("16:19"))
    book.tick(at("16:35"))
    assert book.sent(at("16:20")) == []
    assert book.sent(at("16:36")) == []


def test_what_a_later_step_has_overtaken_is_missed() -> None:
    # The later one went out from memory; only it was written down.
    book = ledger()
    book.tick(at("15:50"))
    book.tick(at("16:45"))
    book.rows = [row for row in book.rows if str(row.key.step) in {"heads-up", "everybody-1"}]
    found = book.tick(at("16:46"))
    assert {one.state for one in found.add if one.operation == "send"} == {"missed"}
    assert {str(one.key.step) for one in found.add if one.state == "missed"} == {
        "now",
        "again",
        "next",
    }


def test_dawn_is_of_use_for_three_hours_after_the_let_out() -> None:
    late = ledger()
    assert late.sent(at("+08:40")) == ["dawn ana push", "dawn ben push", "dawn cleo mail"]


@pytest.mark.parametrize(
    ("since", "ours"),
    [(None, False), (at("+08:34:07"), False), (at("+08:34:06"), True), (SINCE, True)],
)
def test_an_evening_over_before_anybody_watched_is_left_alone(
    since: datetime | None, *, ours: bool
) -> None:
    book = ledger()
    book.watched_since = since
    assert pursue(book.night(), at("+08:40")).nothing is not ours
    assert not pursue(book.night(), at("16:20")).nothing


def test_without_anybody_to_tell_there_is_nothing_to_do() -> None:
    evening = ledger(SITE + WALNUT)
    assert evening.evening.crew == ()
    assert evening.timetable("12:00", "+12:00") == []


# Shut


def test_a_closing_drops_what_waits() -> None:
    evening = ledger()
    evening.tick(at("16:19"), send=False)
    evening.say(said(clock="16:20"))
    found = evening.tick(at("16:20"))
    assert [str(key.step) for key in found.drop if key.step.is_reminder] == ["now"]
    states = evening.states()
    assert (states["heads-up"], states["now"]) == ("missed", "dropped")
    assert "shut" not in states, "nobody was told of anything"


def test_a_later_step_takes_the_place_of_one_that_waits() -> None:
    evening = ledger()
    evening.tick(at("16:19"), send=False)
    evening.tick(at("16:27"), send=False)
    waiting = [row.key.step for row in evening.rows if row.state == "pending"]
    assert [step.kind for step in waiting if step.is_reminder] == ["again", "again"]


def test_one_of_two_doors_shut_changes_the_words_and_not_the_ladder() -> None:
    evening = ledger(TWO)
    evening.tick(at("16:19"), send=False)
    evening.say(said(clock="16:20", count=12))
    found = evening.tick(at("16:20"), send=False)
    waiting = [row for row in evening.rows if row.state == "pending" and row.operation == "send"]
    assert [(str(row.key.step), row.message.title) for row in waiting] == [
        ("now", "Lock up now: Hazel, 6 hens, by 16:33")
    ]
    assert found.add == ()
    assert found.drop == ()
    evening.say(said(clock="16:22", count=6, coop="hazel", flock=6))
    dropped = evening.tick(at("16:22")).drop
    assert [str(key.step) for key in dropped if key.step.is_reminder] == ["now"]


def test_two_houses_have_one_all_clear_when_both_are_shut() -> None:
    book = ledger(TWO)
    book.timetable("15:40", "16:20")
    book.say(said("closed", "16:21", 12))
    assert book.timetable("16:21", "16:25") == []
    book.say(said("closed", "16:26", 6, coop="hazel", flock=6))
    assert book.timetable("16:26", "16:40") == ["16:26 shut ana push"]


def test_every_reminder_that_a_phone_may_show_is_cleared() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:45")
    shown = {
        row.key.message_id: str(row.key.step)
        for row in evening.rows
        if row.key.channel == "push" and row.operation == "send" and row.state == "sent"
    }
    evening.say(said(clock="16:46"))
    clears = [
        one for one in evening.tick(at("16:46")).add if str(one.key.step).startswith("clear-")
    ]
    assert {str(one.key.step.of) for one in clears} == set(shown.values())
    assert all(one.operation == "cancel" and one.key.channel == "push" for one in clears)
    assert evening.tick(at("16:47")).nothing


def test_what_never_went_out_is_not_taken_back() -> None:
    book = ledger()
    book.tick(at("16:19"), send=False)
    book.say(said("closed", "16:20", 12))
    steps = {str(one.key.step) for one in book.tick(at("16:20"), send=False).add}
    assert not any(step.startswith("clear-") for step in steps)


def test_a_closing_said_after_the_let_out_is_told_to_nobody() -> None:
    book = ledger()
    book.tick(at("15:50"))
    book.tick(at("16:19"))
    book.tick(at("+08:20"))
    book.say(said("closed", "16:20", 12))
    assert pursue(book.night(), at("+08:40")).nothing


# Reopened


def taken_back(clock: str, who: str, was_at: str) -> Closing:
    one = said("undone", clock, who=who)
    return replace(one, was="closed", was_at=at(was_at), was_by=who)


def test_whoever_read_nothing_to_do_hears_at_once_that_whoever_is_on_duty_took_it_back() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:40")
    evening.say(said(clock="16:41", count=12, who="Ana"))
    assert evening.timetable("16:41", "16:44") == ["16:41 shut ben push"]
    evening.closings = [taken_back("16:45", "Ana", "16:41")]
    assert evening.sent(at("16:45")) == ["open-again ben push"], "Ana said so herself"
    [told] = [row.message for row in evening.rows if str(row.key.step) == "open-again"]
    assert told.title == "Open again since 16:45: Walnut, 12 hens. Shut it, then say so."
    assert told.body.startswith("At 16:45 Ana took back that it is shut.")
    assert told.priority < LOUD
    # Shut again, it is taken off the phone, and he reads that.
    evening.say(said(clock="16:50", count=12, who="Ana"))
    found = evening.tick(at("16:50")).add
    assert {str(one.key.step) for one in found if one.operation == "cancel"} >= {"clear-open-again"}
    assert ("shut", "ben") in {(str(one.key.step), one.key.person_id) for one in found}


def test_a_search_that_is_over_because_the_count_was_taken_back_is_told_to_whoever_searches() -> (
    None
):
    evening = ledger()
    evening.timetable("12:00", "16:40")
    evening.say(said(clock="16:41", count=11, who="Ana"))
    assert "search-first ben push" in evening.sent(at("16:41"))
    evening.closings = [taken_back("16:45", "Ana", "16:41")]
    assert evening.sent(at("16:45")) == ["open-again ben push"]


def test_a13_reopened_it_goes_on_from_there() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:40")
    evening.say(said(clock="16:41"))
    evening.timetable("16:41", "16:44")
    evening.say(said("reopened", "16:45", who="Cleo"))
    assert evening.timetable("16:45", "17:15") == [
        "16:45 reopened ana push",
        "16:45 reopened ana mail",
        "16:45 open-again ben push",
        *whole("16:59", "everybody-2", *EVERYBODY),
        *whole("17:00", "reopened-2", "ana push", "ana mail"),
        *whole("17:14", "everybody-3", *EVERYBODY),
    ]
    evening.say(said(clock="17:20", count=12, who="Cleo"))
    again = evening.sent(at("17:20"))
    assert again == ["shut ana push", "shut ben push"], "all but Cleo, who said it"


def test_of_one_door_taken_back_the_buttons_are_said_to_answer_for_the_other_open_one_too() -> None:
    evening = ledger(TWO)
    evening.timetable("12:00", "16:34")
    evening.say(said(clock="16:35", count=12, who="Ana"))
    evening.timetable("16:35", "16:35")
    evening.closings = [taken_back("16:36", "Ana", "16:35")]
    evening.timetable("16:36", "16:52")
    told = [row.message for row in evening.rows if row.message.buttons]
    still = next(one for one in told if one.title.startswith("Still open since"))
    assert "Walnut, 12 hens" in still.title
    assert still.buttons[0].label == "All 18 in, door shut"
    assert (
        "Hazel is not confirmed shut either. A button on a message answers for both. Count"
        in still.body
    )
    night = ledger(TWO)
    night.timetable("12:00", "16:34")
    night.closings = evening.closings
    night.timetable("16:35", "+08:40")
    dawn = [row.message.title for row in night.rows if "confirmed shut" in row.message.title]
    assert dawn[0].startswith("Not confirmed shut: Walnut and Hazel, 18 "), "of Hazel not again"
    # Hazel shut, it is Walnut's alone.
    evening.say(said("closed", "16:53", 6, coop="hazel", flock=6))
    evening.timetable("16:53", "19:00")
    told = [row.message for row in evening.rows if row.message.buttons]
    last = [one for one in told if one.title.startswith("Still open")][-1]
    assert last.buttons[0].label == "All 12 in, door shut"
    assert "Hazel" not in last.body


def test_a13_reopened_at_two_at_night_duty_hears_at_once_and_everybody_half_an_hour_later() -> None:
    book = ledger()
    book.timetable("12:00", "16:20")
    book.say(said(clock="16:21", count=12))
    book.timetable("16:21", "+01:59")
    book.say(said("reopened", "+02:00", who="Ben"))
    lines = book.timetable("+02:00", "+08:30")
    assert [line for line in lines if line.endswith("push")] == [
        "02:00 reopened ana push",
        "02:15 reopened-2 ana push",
        *(
            f"02:{at} everybody-{n} {who} push"
            for at, n in ((30, 4), (45, 5))
            for who in ("ana", "ben")
        ),
        *(f"{hour:02}:00 reopened-{hour} ana push" for hour in range(3, 9)),
        "08:20 dawn ana push",
        "08:20 dawn ben push",
    ]
    told = {str(row.key.step): row.message for row in book.rows}
    assert told["reopened"].title == (
        "Open again since 02:00: Walnut, 12 hens. Shut it, then say so."
    )
    assert told["reopened"].body.startswith("Ben says the door was opened again at 02:00.")
    assert "16:33" not in told["reopened"].title + told["reopened"].body
    assert told["reopened-2"].title.startswith("Still open since 02:00: Walnut")


def test_a13_whoever_opened_it_is_not_told_of_it_at_once() -> None:
    book = ledger()
    book.say(said(clock="16:21", count=12))
    book.say(said("reopened", "+02:00", who="Ana"))
    assert book.timetable("+02:00", "+02:20") == [
        "02:15 reopened-2 ana push", "02:15 reopened-2 ana mail",
    ]  # fmt: skip


def test_a_closing_taken_back_is_an_open_door() -> None:
    book = ledger()
    book.timetable("12:00", "16:20")
    book.say(replace(said("undone", "16:40", who="Ben"), was="closed"))
    assert book.sent(at("16:40")) == ["reopened ana push", "reopened ana mail"]
    body = next(row.message.body for row in book.rows if str(row.key.step) == "reopened")
    assert body.startswith("At 16:40 Ben took back that it is shut.")


def test_reopened_before_anything_was_due_it_begins_anew() -> None:
    evening = ledger()
    evening.say(said(clock="15:30"), said("reopened", "15:40"))
    assert evening.timetable("15:40", "16:20") == [
        "15:49 heads-up ana push",
        "16:19 now ana push",
    ]


def test_an_all_clear_that_waits_is_not_sent_once_the_door_is_open_again() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:40")
    evening.say(said(clock="16:41", count=12))
    evening.tick(at("16:41"), send=False)
    evening.say(said("reopened", "16:42"))
    evening.tick(at("16:42"), send=False)
    waiting = [row.message.title for row in evening.rows if row.state == "pending"]
    assert not [title for title in waiting if "Nothing to do" in title]


def test_an_all_clear_that_waits_is_not_sent_beside_the_search_that_says_the_same() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:40")
    evening.say(said(clock="16:41", count=12, who="Cleo"))
    evening.tick(at("16:41"), send=False)
    assert "pending" in {r.state for r in evening.rows if str(r.key.step) == "shut"}
    evening.say(said(clock="16:41", count=11))
    evening.tick(at("16:41"), send=False)
    rows = [row for row in evening.rows if row.state == "pending" and row.operation == "send"]
    waiting = [row.key for row in rows]
    assert {str(key.step) for key in waiting} == {"search-first"}
    assert len({key.person_id for key in waiting}) == len(waiting), "one message each"


def test_whoever_searches_reads_that_somebody_counted_another_number() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:20")
    evening.say(said(clock="16:20", count=12, who="Ana"), said(clock="16:24", count=11, who="Ben"))
    evening.tick(at("16:24"))
    bodies = {row.message.body for row in evening.rows if str(row.key.step) == "search-first"}
    assert all(body.startswith("Ana counted 12 at 16:20, Ben 11 at 16:24. ") for body in bodies)
    assert bodies
    evening.say(said(clock="16:30", count=10, who="Ben"))
    [state] = evening.night().states.values()
    assert state.other is not None
    assert state.other.who == "Ana"
    evening.say(said("reopened", "16:40"), said(clock="16:50", count=11, who="Ben"))
    [state] = evening.night().states.values()
    assert state.other is None, "another closing, not another count"


# A short count


def searched(*later: tuple[str, ClosingKind, int | None]) -> list[str]:
    evening = ledger()
    lines = evening.timetable("12:00", "16:21")
    evening.say(said(clock="16:22", count=10))
    now = "16:22"
    for clock, kind, count in later:
        lines += evening.timetable(now, clock)
        evening.say(said(kind, clock, count))
        now = clock
    return [line for line in lines + evening.timetable(now, "+12:00") if " now " not in line][1:]


def test_a_short_count_starts_a_search_that_ends_with_the_let_out() -> None:
    assert searched() == [
        "16:22 search-first ana push",
        "16:42 search-second-look ana push",
        "08:20 search-before-let-out ana push",
    ]


@pytest.mark.parametrize("kind", ["found", "not-found", "dead", "elsewhere"])
def test_each_end_of_a_search_ends_it(kind: ClosingKind) -> None:
    count = 2 if kind in {"dead", "elsewhere"} else None
    assert searched(("16:30", kind, count)) == [
        "16:22 search-first ana push",
        "16:30 settled ana push",
    ]


def test_a_search_goes_on_while_one_is_missing() -> None:
    assert searched(("16:30", "found", 1), ("16:50", "dead", 1)) == [
        "16:22 search-first ana push",
        "16:42 search-second-look ana push",
        "16:50 settled ana push",
    ]


def test_those_rung_and_whoever_counted_search_together() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:35")
    evening.say(said(clock="16:36", count=10, who="Cleo"))
    assert evening.sent(at("16:36")) == [
        "search-first ana push", "search-first ben push", "search-first cleo mail",
    ]  # fmt: skip


def test_after_an_outage_only_the_latest_word_of_the_search_goes_out() -> None:
    book = ledger()
    book.timetable("15:40", "16:20")
    book.say(said(clock="16:21", count=10))
    assert book.sent(at("17:30")) == ["search-second-look ana push"]


def test_a_search_is_told_to_who_is_on_duty_though_nobody_was_called() -> None:
    book = ledger()
    book.say(said("closed", "15:30", 10))
    assert book.sent(at("15:30")) == ["search-first ana push"]


def test_a_second_look_that_would_come_after_the_let_out_is_left_out() -> None:
    evening = ledger()
    evening.say(said(clock="+08:10", count=10))
    assert evening.timetable("+08:10", "+09:00") == [
        "08:10 search-first ana push",
        "08:20 search-before-let-out ana push",
    ]


def test_one_house_short_is_searched_while_the_other_is_still_open() -> None:
    evening = ledger(TWO)
    evening.timetable("12:00", "16:20")
    evening.say(said(clock="16:21", count=10))
    assert "search-first ana push" in evening.sent(at("16:21"))


def test_whoever_is_rung_for_the_other_house_is_not_called_to_a_search_under_way() -> None:
    evening = ledger(TWO)
    evening.say(said(clock="15:00", count=10))
    told = evening.timetable("15:00", "16:40")
    assert [line for line in told if "search" in line] == [
        "15:00 search-first ana push",
        "15:20 search-second-look ana push",
    ]
    assert "16:34 next ben push" in told


def test_a_second_short_count_after_a_search_that_ended_is_told_too() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:20")
    evening.say(said(clock="16:21", count=10))
    evening.timetable("16:21", "16:24")
    evening.say(said("found", "16:25"))
    evening.timetable("16:25", "16:29")
    evening.say(said(clock="16:30", count=11))
    assert evening.sent(at("16:30")) != []


def test_a_search_that_waits_is_not_sent_once_all_are_found() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:20")
    evening.say(said(clock="16:21", count=10))
    evening.tick(at("16:21"), send=False)
    evening.say(said("found", "16:30"))
    evening.tick(at("16:30"), send=False)
    waiting = [str(row.key.step) for row in evening.rows if row.state == "pending"]
    assert "search-first" not in waiting


def test_a13_whoever_was_alarmed_reads_that_it_is_shut_and_how_many_are_missing() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:50")
    evening.say(said(clock="16:51", count=11, who="Ben"))
    assert evening.sent(at("16:51")) == [
        "search-first ana push", "search-first ben push", "search-first cleo mail",
    ]  # fmt: skip
    title = next(row.message.title for row in evening.rows if str(row.key.step) == "search-first")
    assert title == "Ben shut the door at 16:51, 1 of 12 missing: Walnut. Search now"
    evening.say(said("not-found", "17:00", who="Ana"))
    assert evening.sent(at("17:00")) == ["settled ben push", "settled cleo mail"]
    title = next(row.message.title for row in evening.rows if str(row.key.step) == "settled")
    assert title == "Ben shut the door at 16:51, 11 in. 1 not found yet."


def test_a_search_that_a_slip_began_is_told_to_be_over() -> None:
    book = ledger()
    book.say(said(clock="16:00", count=2))
    assert book.sent(at("16:00")) == ["search-first ana push"]
    book.closings = [replace(said("undone", "16:01"), was="closed"), said(clock="16:02", count=12)]
    assert book.sent(at("16:02")) == ["shut ana push"]


def test_a13_while_one_house_is_searched_the_others_are_told_shut() -> None:
    evening = ledger(TWO)
    evening.timetable("12:00", "16:36")
    evening.say(said(clock="16:37", count=10))
    assert "search-first ben push" in evening.sent(at("16:37"))
    evening.say(said(clock="16:39", count=6, coop="hazel", flock=6))
    assert evening.sent(at("16:39")) == ["shut ana push", "shut ben push"]
    title = next(row.message.title for row in evening.rows if str(row.key.step) == "shut")
    assert title == "Dora shut the doors at 16:39: Walnut 10 in, Hazel 6 in. 2 missing."
    assert [line for line in evening.timetable("16:39", "18:00") if "search" not in line] == []
    evening.say(said("found", "18:01"))
    assert evening.sent(at("18:01")) == ["settled ana push", "settled ben push"]


def test_a13_no_message_to_a_phone_holds_a_command() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:50")
    evening.say(said(clock="16:51", count=11))
    evening.timetable("16:51", "+08:30")
    assert not [row for row in evening.rows if "duskfold " in row.message.body]


def test_k6_a_house_said_to_be_empty_is_asked_about_once() -> None:
    evening = ledger()
    evening.say(said("elsewhere", "15:00", count=12))
    assert evening.timetable("12:00", "+09:00") == ["16:19 empty ana push"]
    title = next(row.message.title for row in evening.rows if str(row.key.step) == "empty")
    assert title == "No lock-up tonight: Walnut. Is it empty?"


def test_k6_nobody_but_whoever_is_on_duty_is_asked_and_the_answer_is_there() -> None:
    evening = ledger(TWO)
    evening.timetable("12:00", "16:50")  # everybody has been called for both doors
    evening.say(said("elsewhere", "16:51", count=6, coop="hazel", flock=6))
    asked = [line for line in evening.sent(at("16:51")) if line.startswith("empty")]
    assert asked == ["empty ana push"]
    [row] = [row for row in evening.rows if str(row.key.step) == "empty"]
    assert row.message.body.endswith(
        "If birds sleep there, shut the door, then say so at Duskfold's own machine."
    )


def test_k6_an_empty_house_is_no_part_of_what_the_others_are_told() -> None:
    evening = ledger(TWO)
    evening.say(said("dead", "15:00", count=6, coop="hazel", flock=6))
    evening.timetable("12:00", "16:20")
    title = next(row.message.title for row in evening.rows if str(row.key.step) == "now")
    assert title == "Lock up now: Walnut, 12 hens, by 16:33"
    evening.say(said(clock="16:21", count=12))
    assert evening.sent(at("16:21")) == ["shut ana push"]
    shut = next(row.message.title for row in evening.rows if str(row.key.step) == "shut")
    assert shut == "Dora shut the door at 16:21, all 12 in. Nothing to do."


# What the push server holds


def holds(evening: Ledger, first: str, last: str) -> list[str]:
    now, lines = at(first), []
    while now <= at(last):
        lines += [
            f"{now:%H:%M} {one.operation}" + (f" {one.rings_at:%H:%M}" if one.rings_at else "")
            for one in evening.tick(now).add
            if str(one.key.step).startswith("hold-") and one.key.person_id == "ana"
        ]
        now += MINUTE
    return lines


def test_from_noon_the_push_server_holds_a_message_and_puts_it_off() -> None:
    evening = ledger()
    noon = f"{evening.noon:%H:%M}"
    assert holds(evening, "10:00", "+12:00")[1:] == [
        "16:34 hold 16:48",
        "16:44 hold 17:03",
        "16:59 hold 17:18",
        "17:14 hold 18:18",
        "18:14 hold 19:18",
        "19:14 hold 20:18",
        "20:14 hold 21:18",
        "21:14 hold 22:18",
        "22:14 hold 23:05",
        "23:00 cancel 23:05",
    ]
    assert noon == "11:58"
    assert holds(ledger(), "10:00", "16:00") == ["11:59 hold 16:38"]


def test_a_held_message_is_known_by_one_name_and_only_phones_hold_it() -> None:
    evening = ledger()
    evening.tick(at("12:00"))
    evening.tick(at("16:34"))
    held = [row for row in evening.rows if str(row.key.step).startswith("hold-")]
    assert [(str(row.key.step), row.key.person_id) for row in held] == [
        ("hold-1", "ana"), ("hold-1", "ben"), ("hold-2", "ana"), ("hold-2", "ben"),
    ]  # fmt: skip
    assert len({row.key.id_of_held for row in held}) == 2
    assert held[0].key.id_of_held == held[2].key.id_of_held


def test_a_closing_takes_the_held_message_back() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:20")
    evening.say(said(clock="16:21"))
    assert holds(evening, "16:21", "+12:00") == ["16:21 cancel 16:38"]


def test_reopened_it_is_held_again() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:20")
    evening.say(said(clock="16:21"))
    evening.tick(at("16:21"))
    evening.say(said("reopened", "16:25"))
    assert holds(evening, "16:25", "16:30") == ["16:25 hold 16:38"]


def test_a_hold_that_waits_gives_way_to_its_successor() -> None:
    evening = ledger(SITE + WALNUT + BEN)
    evening.tick(at("12:00"))
    evening.tick(at("16:34"), send=False)
    evening.say(said(clock="16:35"))
    evening.tick(at("16:35"), send=False)
    states = evening.states()
    assert (states["hold-2"], states["hold-3"]) == ("dropped", "pending")


def test_what_was_never_handed_over_is_not_taken_back() -> None:
    evening = ledger(SITE + WALNUT + BEN)
    evening.tick(at("12:00"), send=False)
    evening.say(said(clock="15:00"))
    evening.tick(at("15:00"), send=False)
    holds = {step: state for step, state in evening.states().items() if step.startswith("hold-")}
    assert holds == {"hold-1": "dropped"}
    evening.say(said("reopened", "15:05"))
    evening.tick(at("15:05"))
    assert evening.states()["hold-2"] == "sent"


def test_a_held_message_goes_on_after_the_highest_number_that_stands() -> None:
    evening = ledger(SITE + WALNUT + BEN)
    for clock in ("12:00", "16:34", "16:44"):
        evening.tick(at(clock))
    assert [step for step in evening.states() if step.startswith("hold-")] == [
        "hold-1", "hold-2", "hold-3",
    ]  # fmt: skip
    # A clock that ran ahead wrote the second; it was forgotten.
    evening.rows = [row for row in evening.rows if str(row.key.step) != "hold-2"]
    evening.say(said(clock="16:50"))
    found = evening.tick(at("16:50")).add
    taken_back = [str(one.key.step) for one in found if str(one.key.step).startswith("hold-")]
    assert taken_back == ["hold-4"]


def test_a3_a_stray_goes_on_after_the_highest_number_too() -> None:
    evening = ledger(SITE + WALNUT + BEN)
    for clock in ("12:00", "16:34", "16:44"):
        evening.tick(at(clock))
    left = [row for row in evening.rows if str(row.key.step) != "hold-2"]
    [taken_back] = strays([], left, at("16:45"))
    assert str(taken_back.key.step) == "hold-4"


def _where(evening: Ledger, now: str) -> list[str]:
    return [
        f"{one.operation} {one.key.person_id} {(one.address or '').rpartition('/')[2]}"
        for one in evening.tick(at(now)).add
        if str(one.key.step).startswith("hold-")
    ]


def test_a3_a_held_message_is_taken_back_where_it_lies_when_the_topic_changes() -> None:
    evening = ledger(SITE + WALNUT + ANA + BEN)
    assert _where(evening, "12:00") == ["hold ana ana", "hold ben ben"]
    evening.topics = {"ana": "https://push.example.org/new", "ben": "https://push.example.org/ben"}
    assert _where(evening, "12:01") == ["cancel ana ana", "hold ana new"]
    assert _where(evening, "12:02") == []
    evening.say(said(clock="16:20"))
    assert _where(evening, "16:20") == ["cancel ana new", "cancel ben ben"]
    assert _where(evening, "16:21") == []


def test_a3_whoever_has_gone_has_nothing_held_any_more() -> None:
    evening = ledger(SITE + WALNUT + ANA + BEN)
    evening.tick(at("12:00"))
    (evening.evening,) = evenings(SITE + WALNUT + BEN)
    assert _where(evening, "12:01") == ["cancel ana ana"]
    assert _where(evening, "12:02") == []


@pytest.mark.parametrize(
    ("left", "told"),
    [
        ("15:40", ["15:49 heads-up ben push", "16:19 now ben push"]),
        ("15:55", ["15:55 heads-up ben push", "16:19 now ben push"]),
        ("16:20", ["16:20 now ben push", "16:27 again ben push"]),
        ("16:30", ["16:30 again ben push", "16:34 next cleo mail"]),
        ("16:35", ["16:44 everybody-1 ben push", "16:44 everybody-1 cleo mail"]),
    ],
)
def test_whoever_is_on_duty_now_hears_at_once_what_only_who_has_left_was_told(
    left: str, told: list[str]
) -> None:
    evening = ledger()
    evening.timetable("12:00", left)
    (evening.evening,) = evenings(SITE + WALNUT + BEN + CLEO)
    assert evening.timetable(left, "16:44")[:2] == told
    evening.say(said(clock="16:45", count=12, who="Cleo"))
    assert evening.timetable("16:45", "+08:00") == ["16:45 shut ben push"]


def test_a_search_that_only_who_has_left_knew_of_is_told_at_once() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:20")
    evening.say(said(clock="16:21", count=10))
    assert evening.sent(at("16:21")) == ["search-first ana push"]
    (evening.evening,) = evenings(SITE + WALNUT + BEN + CLEO)
    assert evening.timetable("16:25", "16:45") == [
        "16:25 search-first ben push",
        "16:41 search-second-look ben push",
    ]


def test_a3_what_never_left_need_not_be_taken_back() -> None:
    evening = ledger(SITE + WALNUT + BEN)
    evening.tick(at("12:00"), send=False)
    evening.rows = [replace(row, state="dead", attempts=1) for row in evening.rows]
    evening.say(said(clock="15:00"))
    assert _where(evening, "15:00") == []


def test_a3_what_is_held_for_doors_that_no_evening_has_is_taken_back() -> None:
    evening = ledger(SITE + WALNUT + BEN)
    evening.tick(at("12:00"))
    held = evening.night()
    assert strays([held], held.rows, at("12:01")) == []
    renamed = replace(evening.evening, subject_id="hazel")
    nights = [replace(held, evening=renamed, rows=())]
    (back,) = strays(nights, held.rows, at("12:01"))
    assert (back.operation, back.address) == ("cancel", "https://push.example.org/ben")
    assert back.key.id_of_held == held.rows[-1].key.id_of_held
    known = (*held.rows, Row(key=back.key, operation="cancel", state="pending", attempts=0,
                             rings_at=back.rings_at, address=back.address))  # fmt: skip
    assert strays(nights, known, at("12:02")) == []
    assert len(strays(nights, held.rows, at("16:57"))) == 1, "it is to ring once more"
    assert strays(nights, held.rows, at("16:59")) == [], "it has rung"


# At any time, whatever was said


times = st.integers(0, 24 * 60).map(lambda minutes: at("11:00") + minutes * MINUTE)
sayings = st.tuples(
    times,
    st.sampled_from(["closed", "reopened", "found", "not-found", "dead", "elsewhere", "back"]),
    st.sampled_from(["walnut", "hazel"]),
    st.none() | st.integers(0, 14),
    st.booleans(),
)
happenings = st.lists(st.one_of(times.map(lambda now: (now,)), sayings), max_size=25)


@given(happenings, st.lists(st.booleans(), min_size=25, max_size=25))
def test_asking_twice_adds_nothing_and_every_rule_holds(
    happenings: list[tuple[object, ...]], reachable: list[bool]
) -> None:
    evening = ledger(SITE + WALNUT + HAZEL + ANA + BEN + CLEO)
    for happening, sends in zip(happenings, reachable, strict=False):
        now = happening[0]
        assert isinstance(now, datetime)
        if len(happening) > 1:
            _, kind, coop, count, some = happening
            evening.say(replace(
                said(kind, count=count, coop=coop, some_missing=some), at=now  # type: ignore[arg-type] # as drawn
            ))  # fmt: skip
        before = list(evening.rows)
        found = evening.tick(now, send=sends)
        assert pursue(evening.night(), now).nothing
        assert len(evening.rows) == len(before) + len(found.add)
        check(evening, now)


def check(evening: Ledger, now: datetime) -> None:
    night, let_out = evening.night(), evening.evening.let_out
    open_doors = any(state.state == "open" for state in night.states.values())
    waiting = [row for row in evening.rows if row.state == "pending" and row.operation == "send"]
    ladder = [row for row in waiting if row.key.step.is_reminder]
    assert open_doors or not ladder, "a reminder for a door that is shut"
    ways = [(row.key.person_id, row.key.channel) for row in ladder]
    assert len(ways) == len(set(ways)), "two reminders wait for the same phone"
    assert next_instant(night, now) > now
    for row in evening.rows:
        assert row.operation == "cancel" or row.message.title or row.state == "missed"
        assert row.rings_at is None or row.rings_at < let_out


@given(times)
def test_nothing_is_due_before_the_next_instant(now: datetime) -> None:
    evening = ledger()
    evening.tick(now)
    following = next_instant(evening.night(), now)
    quiet = min(following, at("+12:00")) - timedelta(seconds=1)
    if quiet > now:
        found = evening.tick(quiet)
        assert not [one for one in found.add if one.operation == "send"]


@given(st.lists(times, min_size=1, max_size=12))
def test_each_step_rings_each_phone_at_most_once(times: list[datetime]) -> None:
    book = ledger()
    rang = [line for now in times for line in book.sent(now)]
    assert len(rang) == len(set(rang))


@given(st.integers(19, 59), st.booleans())
def test_after_a_closing_no_reminder_goes_out(minute: int, waiting: bool) -> None:
    book = ledger()
    book.timetable("15:40", f"16:{minute - 1}")
    book.tick(at(f"16:{minute}"), send=not waiting)
    book.say(said("closed", f"16:{minute}", 12))
    lines = book.timetable(f"16:{minute}", "20:00")
    assert not [line for line in lines if decode(line.split()[1]).is_reminder]
    assert not [row for row in book.rows if row.state == "pending"]


@pytest.mark.parametrize(
    ("step", "kind"),
    [
        ("now", "now"),
        ("everybody-3", "everybody"),
        ("hourly-12", "hourly"),
        ("heads-up", "heads-up"),
        ("now-for-ana", "now"),
        ("everybody-2-for-ben-2", "everybody"),
        ("clear-now", ""),
        ("hold-1", ""),
        ("search-first", ""),
        ("shut", ""),
        ("nowadays", ""),
    ],
)
def test_a_step_is_known_by_its_name(step: str, kind: str) -> None:
    found = decode(step)
    assert (found.kind if found.is_reminder else "") == kind


def test_the_morning_is_the_one_that_the_timetables_reckon_with() -> None:
    assert ledger(TEXT, WINTER).evening.let_out == at(MORNING)


def test_whoever_was_alarmed_reads_first_that_it_is_shut_however_late_that_comes() -> None:
    evening = ledger()
    evening.timetable("12:00", "16:50")
    evening.say(said(clock="16:51", count=11, who="Ben"))
    assert evening.sent(at("17:15")) == [
        "search-second-look ana push",
        "search-second-look ben push",
        "search-second-look cleo mail",
    ]
    [message] = {row.message for row in evening.rows if str(row.key.step) == "search-second-look"}
    assert message.title == "Ben shut the door at 16:51, 1 of 12 missing: Walnut. Search now"


def test_while_one_house_is_searched_its_message_says_that_the_other_is_shut() -> None:
    evening = ledger(TWO)
    evening.timetable("12:00", "16:36")
    evening.say(said(clock="16:37", count=6, coop="hazel", flock=6))
    evening.sent(at("16:37"))
    evening.say(said(clock="16:39", count=10))
    assert "search-first ben push" in evening.sent(at("16:39"))
    [body] = {row.message.body for row in evening.rows if str(row.key.step) == "search-first"}
    assert body.endswith("Hazel is shut, too.")


@pytest.mark.parametrize(
    ("kind", "title"),
    [
        ("found", "Dora shut the door at 16:20, all 12 in, 1 of them found since. Nothing to do."),
        ("dead", "Dora shut the door at 16:20, 11 in, 1 dead."),
        ("given-up", "Dora shut the door at 16:20, 11 in, 1 given up for lost."),
        ("elsewhere", "Dora shut the door at 16:20, all 11 in, 1 elsewhere. Nothing to do."),
    ],
)
def test_the_all_clear_says_how_it_ended(kind: ClosingKind, title: str) -> None:
    evening = ledger()
    evening.timetable("16:18", "16:20")
    evening.say(said(clock="16:20", count=11))
    evening.sent(at("16:20"))
    evening.say(said(kind, "16:25", 1))
    assert evening.sent(at("16:25")) == ["settled ana push"]
    assert evening.rows[-1].message.title == title


def test_the_title_says_who_is_missing_from_before() -> None:
    evening = ledger()
    evening.say(said(clock="16:20", count=11, day=WINTER - DAY))
    evening.timetable("16:18", "16:20")
    titles = [row.message.title for row in evening.rows if str(row.key.step) == "now"]
    assert titles == ["Lock up now: Walnut, 11 hens, by 16:33; 1 still missing"]


def test_in_the_morning_nobody_searches_with_a_torch() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:20")
    evening.say(said(clock="16:20", count=11))
    evening.timetable("16:20", "+08:21")
    told = {str(row.key.step): row.message.body for row in evening.rows}
    assert "torch" in told["search-first"]
    assert "torch" not in told["search-before-let-out"]


def test_who_takes_back_how_a_search_ended_is_named_to_whoever_read_it() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    shut = said(clock="16:36", count=11)
    evening.say(shut, said("dead", "16:50", 1))
    evening.timetable("16:50", "16:51")
    taken_back = replace(said("undone", "17:05", who="Cleo"), was="dead")
    evening.closings = [shut, taken_back]
    assert "search-second-look-2 ben push" in evening.sent(at("17:05"))
    told = evening.rows[-1].message
    assert told.title == "Cleo took it back: 1 of 12 missing, Walnut. Search again"
    assert told.priority == LOUD, "whoever read how it ended is to search"
    evening.closings = [shut, said("not-found", "16:45", 1), taken_back]
    assert "settled-2-then-2 ben push" in evening.sent(at("17:06"))
    body = next(r.message.body for r in evening.rows if str(r.key.step) == "settled-2-then-2")
    assert body.startswith("Cleo took back at 17:05 what was said of the missing.\nWalnut: 11 in.")


def test_a_count_that_is_corrected_reaches_whoever_read_the_first() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    evening.say(said(clock="16:36", count=13))
    assert evening.sent(at("16:36")) == ["shut ana push", "shut ben push"]
    evening.say(said(clock="16:40", count=12))
    assert evening.sent(at("16:40")) == ["shut-then-1 ana push", "shut-then-1 ben push"]
    assert (
        evening.rows[-1].message.title == "Dora shut the door at 16:40, all 12 in. Nothing to do."
    )


def test_a_full_count_that_is_taken_back_is_told_to_whoever_had_nothing_to_do() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    eleven, twelve = said(clock="16:36", count=11, who="Ana"), said(clock="17:05", who="Ben")
    evening.say(eleven)
    evening.timetable("16:36", "17:04")
    evening.say(replace(twelve, count=12))
    assert evening.sent(at("17:05")) == ["settled ana push"]
    evening.closings = [
        eleven,
        replace(said("undone", "17:10", 12, who="Ben"), was="closed", was_at=twelve.at),
    ]
    assert evening.sent(at("17:10")) == ["search-second-look-2 ana push"], "Ben said so himself"
    told = next(row.message for row in evening.rows if str(row.key.step) == "search-second-look-2")
    assert told.title == "Ben took it back: 1 of 12 missing, Walnut. Search again"
    assert told.priority == LOUD


def test_who_takes_back_their_own_full_count_hears_the_rest_of_the_search_as_before() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:22")
    eleven, twelve = said(clock="16:22", count=11, who="Ana"), said(clock="16:30", who="Ana")
    evening.say(eleven)
    evening.timetable("16:22", "16:29")
    evening.say(replace(twelve, count=12))
    evening.timetable("16:30", "16:32")
    undone = said("undone", "16:33", 12, who="Ana")
    evening.closings = [eleven, replace(undone, was="closed", was_at=twelve.at, was_by="Ana")]
    assert evening.timetable("16:33", "+08:21") == [
        "16:42 search-second-look-2 ana push",
        "08:20 search-before-let-out-2 ana push",
    ]
    told = {str(row.key.step): row.message for row in evening.rows}
    second, last = told["search-second-look-2"], told["search-before-let-out-2"]
    assert second.title == "Look again: 1 of 12 still missing, Walnut"
    assert last.title == "1 of 12 never came in: Walnut. Look again, then let out at 08:34"
    assert LOUD not in {second.priority, last.priority}


def test_a_bird_of_monday_that_a_count_found_is_missing_again_when_it_is_taken_back() -> None:
    evening = ledger()
    evening.told_before = frozenset({"ana", "cleo"})
    before = said(clock="16:20", count=11, day=WINTER - DAY)
    eleven, twelve = said(clock="16:05", count=11), said(clock="16:07", count=12)
    evening.closings = [before, eleven, twelve]
    assert evening.sent(at("16:07")) == ["shut-then-1 ana push", "shut-then-1 cleo mail"]
    evening.closings = [before, eleven, replace(said("undone", "16:10", 12), was="closed")]
    assert evening.sent(at("16:10")) == ["shut-then-2 ana push", "shut-then-2 cleo mail"]
    title = "Dora shut the door at 16:05, 11 in. 1 still missing since Sun 20 Dec."
    assert evening.rows[-1].message.title == title


def test_birds_missed_anew_are_told_of_after_a_search_that_was_taken_back() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    twelve, eleven = said(clock="16:36", count=12), said(clock="16:38", count=11, who="Ben")
    evening.say(twelve, eleven)
    evening.timetable("16:38", "17:00")
    undone = replace(said("undone", "17:05", 11, who="Ben"), was="closed")
    evening.closings = [twelve, undone]
    assert evening.sent(at("17:05")) == ["settled-then-1 ana push"]
    assert (
        evening.rows[-1].message.title == "Dora shut the door at 16:36, all 12 in. Nothing to do."
    )
    evening.say(said(clock="18:00", count=11, who="Cleo"))
    told = ["search-first-2 ana push", "search-first-2 ben push", "search-first-2 cleo mail"]
    assert evening.sent(at("18:00")) == told


def test_whoever_read_that_nothing_is_to_do_hears_of_the_next_search() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    evening.say(said(clock="16:36", count=11, who="Cleo"))
    assert "search-first cleo mail" in evening.sent(at("16:36"))
    evening.say(said(clock="16:40", count=12, who="Ana"))
    assert "settled cleo mail" in evening.sent(at("16:40"))
    evening.say(said(clock="16:45", count=11, who="Ben"))
    assert "search-first-2 cleo mail" in evening.sent(at("16:45"))


def test_a_search_of_which_no_word_gets_through_is_told_by_every_way() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    evening.say(said(clock="16:36", count=11, who="Ben"))
    evening.tick(at("16:36"), send=False)
    evening.rows = [
        replace(row, attempts=8) if row.state == "pending" else row for row in evening.rows
    ]
    assert evening.sent(at("16:56")) == [
        "search-second-look ana push", "search-second-look ben push", "search-second-look ana mail",
    ]  # fmt: skip
    told = {row.message.title for row in evening.rows if str(row.key.step) == "search-second-look"}
    assert told == {"Ben shut the door at 16:36, 1 of 12 missing: Walnut. Search now"}
    firsts = {row.state for row in evening.rows if str(row.key.step) == "search-first"}
    assert firsts == {"dropped"}, "the word before would only come twice"


def test_a_search_that_is_told_anew_before_the_first_word_is_out_goes_one_way() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    evening.say(said(clock="16:36", count=11, who="Ben"))
    evening.tick(at("16:36"), send=False)
    evening.say(said(clock="16:36", count=10, who="Ben"))
    assert evening.sent(at("16:36")) == ["search-first-2 ana push", "search-first-2 ben push"]


def test_a_searched_door_that_was_said_to_be_open_and_shut_again_is_searched_anew() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    shut = said(clock="16:36", count=11, who="Ana")
    evening.say(shut)
    evening.timetable("16:36", "16:59")
    evening.closings = [replace(said("undone", "17:00", 11, who="Ana"), was="closed")]
    evening.sent(at("17:00"))
    evening.say(said(clock="17:02", count=11, who="Ana"))
    assert "search-first-2 ben push" in evening.sent(at("17:02"))


def test_more_missing_than_are_looked_for_are_told_at_once() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    evening.say(said(clock="16:36", count=11, who="Ana"))
    evening.timetable("16:36", "17:29")
    evening.say(said(clock="17:30", count=10, who="Ben"))
    assert evening.sent(at("17:30")) == ["search-first-2 ana push", "search-first-2 ben push"]
    title = "Ben shut the door at 17:30, 2 of 12 missing: Walnut. Search now"
    assert evening.rows[-1].message.title == title
    evening.say(said(clock="17:35", count=11, who="Ben"))
    assert evening.sent(at("17:35")) == []


def test_a_searched_door_that_was_never_opened_again_is_said_to_be_shut() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    shut, opened = said(clock="16:36", count=11, who="Ana"), said("reopened", "17:00", who="Ben")
    evening.say(shut)
    evening.timetable("16:36", "16:59")
    evening.say(opened)
    assert evening.sent(at("17:00")) == ["reopened ana push", "reopened ana mail"]
    evening.closings = [shut, replace(opened, kind="undone", was="reopened", at=at("17:05"))]
    told = ["search-second-look-2 ana push", "search-second-look-2 ben push"]
    assert evening.sent(at("17:05")) == told


def test_what_is_taken_back_of_a_searched_house_is_told_once() -> None:
    evening = ledger(TWO)
    evening.timetable("16:18", "16:36")
    shut = (said(clock="16:36", count=11), said(clock="16:37", count=6, coop="hazel", flock=6))
    evening.say(*shut, said("found", "16:38", 1))
    evening.sent(at("16:38"))
    evening.closings = [*shut, replace(said("undone", "16:39", who="Cleo"), was="found")]
    assert {line.split()[0] for line in evening.sent(at("16:39"))} == {"search-first-2"}


def test_nobody_reads_that_it_looks_like_all_while_some_are_missing() -> None:
    many = ledger(TEXT.replace("hens = 12", "hens = 24"))
    many.timetable("16:18", "16:36")
    many.say(said(clock="16:36", flock=24, some_missing=True, who="Ben"))
    many.sent(at("16:36"))
    many.say(said("not-found", "16:50", flock=24))
    many.sent(at("16:50"))
    title = many.rows[-1].message.title
    assert title == "Ben shut the door at 16:36, not counted. At least 1 not found yet."


def undone(clock: str, what: Closing) -> Closing:
    one = said("undone", clock, who=what.who, coop=what.coop_id, flock=what.flock)
    return replace(one, was=what.kind, was_at=what.at, was_by=what.who, count=what.count)


def test_nobody_reads_twice_that_it_is_shut_because_of_a_slip_nobody_heard_of() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    shut, opened = said(clock="16:36", count=12, who="Cleo"), said("reopened", "16:40", who="Cleo")
    evening.say(shut)
    assert evening.sent(at("16:36")) == ["shut ana push", "shut ben push"]
    evening.say(opened)
    evening.tick(at("16:40"), send=False)
    evening.closings = [shut, undone("16:41", opened)]
    assert evening.timetable("16:41", "17:00") == []
    # What they have read is that it is shut: whoever opens it again is told of.
    evening.say(said("reopened", "17:01", who="Cleo"))
    assert {"reopened ana push", "open-again ben push"} <= set(evening.sent(at("17:01")))


def test_an_all_clear_that_waits_is_not_joined_by_another() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    first, second = (
        said(clock="16:36", count=12, who="Ben"),
        said(clock="16:37", count=12, who="Ana"),
    )
    evening.say(first, second)
    evening.tick(at("16:37"), send=False)
    evening.closings = [first, undone("16:38", second)]
    assert evening.sent(at("16:38")) == []
    words = [row.message.title for row in evening.rows if str(row.key.step).startswith("shut")]
    assert words == ["Ben shut the door at 16:36, all 12 in. Nothing to do."], (
        "as it is now, to Ben"
    )


def test_a_search_that_waits_says_who_is_missing_now() -> None:
    evening = ledger(TWO)
    evening.timetable("16:18", "16:29")
    short = said(clock="16:30", count=10, who="Ana")
    other = said(clock="16:31", count=5, coop="hazel", flock=6, who="Ben")
    evening.say(short, other)
    evening.tick(at("16:31"), send=False)
    evening.closings = [short, undone("16:32", other)]
    evening.tick(at("16:32"))
    sent = [row for row in evening.rows if row.state == "sent" and "search" in str(row.key.step)]
    titles = {row.message.title for row in sent}
    assert "ben" in {row.key.person_id for row in sent}, "whose word was under way"
    assert titles == {"Ana shut the door at 16:30, 2 of 12 missing: Walnut. Search now"}


def test_a_second_count_that_was_taken_back_does_not_begin_the_search_anew() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    short = said(clock="16:36", count=10, who="Ana")
    evening.say(short)
    assert "search-first ben push" in evening.sent(at("16:36"))
    evening.closings = [short, undone("16:38", said(clock="16:37", who="Ben"))]
    assert evening.timetable("16:38", "16:55") == []
    assert evening.sent(at("16:56")) == [
        "search-second-look ana push",
        "search-second-look ben push",
    ]
    told = evening.rows[-1].message
    assert (told.title, told.priority < LOUD) == ("Look again: 2 of 12 still missing, Walnut", True)


def test_a_slip_of_which_nobody_heard_rings_nobody_when_one_is_found_after_it() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    short = said(clock="16:36", count=10, who="Ana")
    evening.say(short)
    evening.tick(at("16:36"))
    slip = undone("16:39", said("not-found", "16:38", who="Ben"))
    evening.closings = [short, slip]
    assert evening.timetable("16:39", "16:45") == []
    evening.say(said("found", "16:46", 1, who="Ben"))
    assert evening.timetable("16:46", "16:55") == []
    assert "search-second-look-2 ana push" in evening.sent(at("16:56"))


def test_whoever_s_own_word_is_taken_back_reads_how_it_stands_though_they_read_that_before() -> (
    None
):
    evening = ledger()
    evening.timetable("16:18", "16:36")
    shut = said(clock="16:36", count=12, who="Cleo")
    evening.say(shut)
    assert "shut ben push" in evening.sent(at("16:36"))
    opened = said("reopened", "16:40", who="Ben")
    evening.closings = [shut, replace(undone("16:41", opened), who="Cleo")]
    assert evening.sent(at("16:41")) == ["shut ben push"]
    short = said(clock="16:50", count=11, who="Cleo")
    evening.say(short)
    assert "search-first ben push" in evening.sent(at("16:50"))
    found = said("found", "16:55", who="Ben")
    evening.closings[-1:] = [short, replace(undone("16:56", found), who="Cleo")]
    assert "search-first-2 ben push" in evening.sent(at("16:56"))


def test_a_search_begun_anew_is_told_whatever_was_taken_back_before() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    short, all_in = said(clock="16:36", count=11, who="Cleo"), said(clock="16:38", count=12)
    evening.say(short)
    evening.timetable("16:36", "16:37")
    evening.say(all_in)
    evening.timetable("16:38", "16:39")
    evening.closings = [short, undone("16:40", all_in)]
    assert "search-first-2 ana push" in evening.sent(at("16:40"))
    evening.closings = [undone("16:50", short), undone("16:40", all_in)]
    assert "reopened ana push" in evening.sent(at("16:50"))
    evening.say(said(clock="16:55", count=11, who="Ben"))
    told = evening.timetable("16:55", "17:00")
    # It goes back and forth, so it is told five minutes later.
    assert {"17:00 search-first-2 ana push", "17:00 search-first-2 ben push"} <= set(told)
    assert evening.rows[-1].message.title.startswith("Ben shut the door at 16:55, 1 of 12 missing")


def test_a_search_that_a_hanging_server_keeps_back_goes_the_other_ways_after_minutes() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:29")
    evening.say(said(clock="16:30", count=11, who="Cleo"))
    evening.tick(at("17:30"), send=False)  # the machine was off; the next word is of the morning

    waiting = [row for row in evening.rows if str(row.key.step) == "search-second-look"]
    assert {row.key.person_id for row in waiting} == {"ana", "cleo"}
    for attempts, other_ways in ((3, set()), (4, {("ana", "mail")})):
        tried = [replace(row, attempts=attempts) if row in waiting else row for row in evening.rows]
        found = pursue(replace(evening.night(), rows=tuple(tried)), at("17:32")).add
        sends = {(one.key.person_id, one.key.channel) for one in found if one.operation == "send"}
        assert sends == other_ways, attempts
    [told] = {row.message.title for row in waiting}
    assert told == "Cleo shut the door at 16:30, 1 of 12 missing: Walnut. Search now"


def test_a_search_for_some_says_how_many_are_not_looked_for_any_more() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    evening.say(said(clock="16:36", count=10, who="Ana"), said("not-found", "16:40", 1))
    evening.timetable("16:40", "16:56")
    look = evening.rows[-1].message
    assert look.title == "Look again: 1 of 12 still missing, Walnut"
    assert look.body.startswith("1 more was not found. ")
    evening.tick(at("+08:20"))
    [morning] = {
        r.message.title for r in evening.rows if str(r.key.step) == "search-before-let-out"
    }
    assert morning == "2 of 12 never came in: Walnut. Look again, then let out at 08:34"


def test_at_dawn_a_door_that_was_confirmed_and_opened_again_is_said_to_be_so() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:36")
    evening.say(said(clock="16:36", count=12), said("reopened", "17:00"))
    evening.tick(at("+08:20"))
    [told] = {row.message.body for row in evening.rows if str(row.key.step) == "dawn"}
    why = "It was opened again, and nobody has said since that it is shut."
    assert told.endswith(f"{why} Count before you let them out.")


# At the bounds


def test_what_waits_from_before_a_door_was_opened_again_is_dropped() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:33")
    evening.tick(at("16:34"), send=False)
    waits = [row.key for row in evening.rows if row.key.step.kind == "next"]
    assert {key.person_id for key in waits} == {"ben"}
    # Shut and opened before anybody looked: Ana is rung, and Ben not for what was before.
    evening.say(said(clock="16:35"), said("reopened", "16:36"))
    assert set(waits) <= set(evening.tick(at("16:36"), send=False).drop)


def test_at_the_let_out_nothing_is_told_of_shutting_or_of_a_search() -> None:
    let_out = ledger().evening.let_out
    for count in (12, 10):
        evening = ledger()
        evening.timetable("16:18", "16:33")
        evening.say(said(clock="16:34", count=count))
        assert evening.night().evening.let_out == let_out
        assert [one.key.step for one in pursue(evening.night(), let_out).add] == []
        before = pursue(evening.night(), let_out - timedelta(seconds=1)).add
        assert [one for one in before if one.key.step.says_shut]


def test_the_push_server_holds_from_the_very_noon_on() -> None:
    evening = ledger()
    early = pursue(evening.night(), evening.noon - timedelta(seconds=1)).add
    at_noon = pursue(evening.night(), evening.noon).add
    assert [one.key.step for one in early] == []
    assert {str(one.key.step) for one in at_noon} == {"hold-1"}


def test_two_hours_after_bedtime_nobody_is_asked_to_look_before_bed() -> None:
    evening = ledger()
    bedtime = next(step.at for step in evening.evening.steps if step.kind == "bedtime")
    titles: list[str] = []
    for after in (timedelta(hours=2, seconds=-1), timedelta(hours=2)):
        evening = ledger()
        evening.tick(bedtime + after, send=False)
        waiting = [row for row in evening.rows if row.state == "pending"]
        titles += {row.message.title for row in waiting if row.key.step.kind == "bedtime"}
    assert [("before bed" in title) for title in titles] == [True, False]


def test_next_come_noon_each_step_and_the_let_out() -> None:
    evening = ledger()
    night = evening.night()
    steps = [step.at for step in night.evening.steps]
    expected = sorted({night.noon, night.evening.let_out, *steps})
    found, now = [], night.noon - timedelta(hours=1)
    while (following := next_instant(night, now)) <= night.evening.let_out:
        found.append(following)
        now = following
    assert found == expected
    assert next_instant(night, now).year == 9999


def test_next_come_the_steps_of_a_search() -> None:
    evening = ledger()
    evening.say(said(clock="16:34:30", count=10))
    night = evening.night()
    now = at("16:34:30")
    instants = []
    while (now := next_instant(night, now)) < night.evening.let_out:
        instants.append(now)
    assert at("16:54:30") in instants
    assert night.evening.let_out - timedelta(minutes=15) in instants


def test_next_come_the_five_minutes_after_what_goes_back_and_forth() -> None:
    evening = ledger()
    for minute in range(0, 8, 2):
        evening.say(said(clock=f"23:{10 + minute}:30"), said("reopened", f"23:{11 + minute}:30"))
    assert next_instant(evening.night(), at("23:21:30")) == at("23:22:30")
    evening.say(said(clock="23:18:40"))
    assert next_instant(evening.night(), at("23:22:30")) == at("23:23:40")


def test_what_goes_back_and_forth_is_told_shut_five_minutes_later() -> None:
    evening = ledger()
    evening.timetable("16:18", "16:20")
    for minute in range(0, 8, 2):
        evening.say(
            said(clock=f"16:{21 + minute}", who="Ben"),
            said("reopened", f"16:{22 + minute}", who="Ben"),
        )
    evening.say(said(clock="16:30", who="Ben"))
    second = timedelta(seconds=1)
    told = [
        [
            str(one.key.step)
            for one in pursue(evening.night(), at("16:35") + by).add
            if one.key.step.kind == "shut"
        ]
        for by in (-second, timedelta())
    ]
    assert told == [[], ["shut"]]


def added(evening: Ledger, now: datetime) -> set[str]:
    return {f"{o.key.step} {o.key.person_id}" for o in pursue(evening.night(), now).add}


def test_a_tap_taken_back_before_the_lock_up_tells_nobody_that_it_is_open_again() -> None:
    evening = ledger()
    evening.say(replace(taken_back("15:40", "Ana", "15:30"), was_by="Ben"))
    assert added(evening, at("15:41")) == {"hold-1 ana", "hold-1 ben"}
    late = ledger()
    late.say(replace(taken_back("16:40", "Ana", "16:30"), was_by="Ben"))
    assert "open-again ben" in added(late, at("16:41"))


def test_from_the_let_out_on_nobody_hears_that_it_is_open_again() -> None:
    evening = ledger()
    evening.timetable("16:30", "16:35")
    evening.say(said(clock="16:36", count=12, who="Ana"))
    evening.tick(at("16:36"))
    evening.say(said("reopened", "+08:33", who="Cleo"))
    let_out = evening.evening.let_out
    assert "open-again ben" in added(evening, let_out - timedelta(seconds=1))
    assert "open-again ben" not in added(evening, let_out)


def test_whoever_s_buttons_died_gets_the_last_reminder_anew_until_the_let_out() -> None:
    evening = ledger(f'{TEXT}[reminders]\nsteps = ["now"]\n')
    evening.tick(at("16:19"))
    night, let_out = evening.night(), evening.evening.let_out
    dead = replace(night, generations={"ana": 1})
    for one, now, is_told in (
        (night, at("16:20"), False),
        (dead, at("16:20"), True),
        (dead, let_out - timedelta(seconds=1), True),
        (dead, let_out, False),
    ):
        found = [(str(o.key.step), o.key.person_id) for o in pursue(one, now).add]
        assert (("renewed-1", "ana") in found) is is_told


def test_a_held_message_of_an_evening_to_come_is_a_stray() -> None:
    evening = ledger(SITE + WALNUT + BEN)
    evening.tick(at("12:00"))
    night = evening.night()
    second = timedelta(seconds=1)
    assert len(strays([night], night.rows, night.noon - second)) == 1
    assert strays([night], night.rows, night.noon) == []


def test_what_a_clock_ran_ahead_of_may_be_written_down_again() -> None:
    evening = ledger()
    evening.tick(at("16:19"))
    assert added(evening, at("16:19")) == set()
    evening.rows = [replace(row, state="early") for row in evening.rows]
    assert "now ana" in added(evening, at("16:19"))


def test_an_empty_house_is_asked_about_from_the_lock_up_on() -> None:
    evening = ledger()
    evening.say(said("elsewhere", "15:00", 12))
    lock_up = evening.evening.lock_up
    assert "empty ana" not in added(evening, lock_up - timedelta(seconds=1))
    assert "empty ana" in added(evening, lock_up)
    evening.say(said(clock="16:00", count=0))
    assert "empty ana" not in added(evening, lock_up), "it is shut"
