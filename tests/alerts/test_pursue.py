"""What an evening needs: each step once, the highest after an outage, then silence when shut."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.decide import kind_of
from scheduler.alerts.delivery import Delivery
from scheduler.alerts.pursue import Pursuit, next_instant, pursue
from scheduler.cares.closing import ClosingKind
from tests.alerts.orchard import (
    ANA,
    BEN,
    CLEO,
    HAZEL,
    MINUTE,
    SINCE,
    SITE,
    TEXT,
    WALNUT,
    Ledger,
    at,
    ledger,
    said,
)

TWO = SITE + WALNUT + HAZEL + ANA + BEN + CLEO
KINDS: list[ClosingKind] = ["closed", "reopened", "found", "not-found", "dead", "elsewhere", "back"]


def out(found: Pursuit) -> list[str]:
    """What waits to go out to people: "step person channel"."""
    return [f"{one.key.step} {one.key.person_id} {one.key.channel}" for one in sends(found)]


def sends(found: Pursuit) -> list[Delivery]:
    return [one for one in found.add if one.operation == "send" and one.state == "pending"]


def quiet(found: list[str]) -> list[str]:
    """Of a timetable what is no reminder of the ladder."""
    return [line for line in found if not kind_of(line.split()[1])]


def lived(book: Ledger, *clocks: str) -> Ledger:
    """The ledger after a tick at each of these times."""
    for clock in clocks:
        book.tick(at(clock))
    return book


# -- once ------------------------------------------------------------------------------------


Words = tuple[ClosingKind, str, int | None, bool]
moments = st.integers(-6 * 3600, 30 * 3600).map(lambda s: at("12:00") + timedelta(seconds=s))
spoken = st.tuples(
    st.sampled_from(KINDS),
    st.sampled_from(["walnut", "hazel"]),
    st.none() | st.integers(0, 15),
    st.booleans(),
)


@given(st.lists(st.tuples(moments, st.none() | spoken, st.booleans()), min_size=1, max_size=25))
def test_asking_again_adds_nothing(
    life: list[tuple[datetime, Words | None, bool]],
) -> None:
    """Over any life of two doors, clocks set back too; the ledger fails on a key added twice."""
    book = ledger(TWO)
    for now, words, send in life:
        if words:
            kind, coop, count, missing = words
            book.say(said(kind, "16:30", count, coop=coop, some_missing=missing))
        first = book.tick(now, send=False)
        again = pursue(book.night(), now)
        assert not again.add
        assert not again.reword
        assert not set(again.drop) & {one.key for one in first.add}
        for one in first.add:
            assert one.state in {"pending", "missed"}
            assert one.operation != "send" or one.due_at <= now
        if now >= book.evening.let_out:
            assert {kind_of(one.key.step) for one in sends(first)} <= {"dawn"}
        if send:
            book.tick(now)


@given(st.lists(moments, min_size=1, max_size=12))
def test_each_step_rings_each_phone_at_most_once(times: list[datetime]) -> None:
    book = ledger()
    rang = [line for now in times for line in out(book.tick(now))]
    assert len(rang) == len(set(rang))


@given(moments, st.sampled_from([None, "closed", "short"]))
def test_nothing_is_needed_before_the_next_instant(now: datetime, shut: str | None) -> None:
    book = ledger()
    if shut:
        book.say(said("closed", "16:30", 10 if shut == "short" else 12))
    book.tick(now)
    after = min(next_instant(book.night(), now), now + 30 * 60 * MINUTE)
    quiet_until = after - timedelta(seconds=1)
    if quiet_until > now:
        assert pursue(book.night(), quiet_until).nothing


# -- an outage -------------------------------------------------------------------------------


def test_of_missed_steps_the_highest_goes_to_everybody_whom_any_of_them_calls() -> None:
    book = ledger()
    assert out(book.tick(at("16:40"))) == ["next ana push", "next ana mail", "next ben push"]
    missed = {row.key.step: row.state for row in book.rows if row.key.person_id == "ana"}
    assert missed["heads-up"] == missed["now"] == missed["again"] == "missed"
    assert [row.state for row in book.rows if row.key.step == "next"] == ["sent"] * 3


def test_back_late_at_night_it_is_one_message_to_each_of_all() -> None:
    book = ledger()
    assert out(book.tick(at("21:10"))) == [
        "hourly-3 ana push",
        "hourly-3 ana mail",
        "hourly-3 ben push",
        "hourly-3 cleo mail",
    ]
    assert book.timetable("21:11", "21:13") == []
    assert book.timetable("21:14", "21:20") == [
        "21:14 hourly-4 ana push",
        "21:14 hourly-4 ana mail",
    ]


def test_only_what_was_missed_since_the_last_step_counts() -> None:
    book = lived(ledger(), "15:50", "16:19", "16:27")
    assert out(book.tick(at("16:35"))) == ["next ben push"]


def test_after_the_let_out_everything_is_missed_but_the_morning_s_for_three_hours() -> None:
    assert out(lived(ledger(), "15:50").tick(at("+08:40"))) == [
        "dawn ana push",
        "dawn ben push",
        "dawn cleo mail",
    ]
    late = ledger()
    found = late.tick(at("+11:35"))
    assert {one.state for one in found.add} == {"missed"}
    assert len({one.key.step for one in found.add}) == len(late.evening.steps)


def test_without_a_morning_s_message_nothing_goes_out_after_the_let_out() -> None:
    book = ledger(TEXT + '[reminders]\nsteps = ["now", "next"]\n')
    found = book.tick(at("+08:40"))
    assert found.add
    assert {one.state for one in found.add} == {"missed"}


def test_a_clock_set_back_rings_nobody_again() -> None:
    book = lived(ledger(), "15:50", "16:19", "16:35")
    assert out(book.tick(at("16:20"))) == []
    assert out(book.tick(at("16:36"))) == []


def test_what_a_later_step_has_overtaken_is_missed() -> None:
    # The later one went out from memory; only it was written down.
    book = lived(ledger(), "15:50", "16:45")
    book.rows = [row for row in book.rows if row.key.step in {"heads-up", "everybody-1"}]
    found = book.tick(at("16:46"))
    assert out(found) == []
    assert {one.key.step for one in found.add if one.state == "missed"} == {"now", "again", "next"}


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


def test_without_anybody_to_call_nothing_is_written() -> None:
    book = ledger(SITE + WALNUT)
    assert pursue(book.night(), at("16:45")).nothing


# -- waiting rows ----------------------------------------------------------------------------


def test_a_closing_drops_what_waits() -> None:
    book = ledger()
    book.tick(at("16:45"), send=False)
    book.say(said("closed", "16:45", 12))
    assert {key.step for key in pursue(book.night(), at("16:46")).drop} == {"everybody-1", "hold-1"}
    found = book.tick(at("16:46"), send=False)
    assert out(found) == []
    assert {row.state for row in book.rows if row.key.step == "everybody-1"} == {"dropped"}


def test_a_later_step_takes_the_place_of_one_that_waits_for_the_same_phone() -> None:
    book = lived(ledger(), "15:50")
    book.tick(at("16:19"), send=False)  # now: ana by push
    book.tick(at("16:27"), send=False)  # again: ana by push and mail
    found = book.tick(at("16:34"), send=False)  # next: ben; ana's waits on
    assert found.drop == ()
    assert book.states()["now"] == "dropped"
    assert {row.state for row in book.rows if row.key.step == "again"} == {"pending"}


def test_what_waits_for_two_houses_is_reworded_when_one_is_shut() -> None:
    book = ledger(TWO)
    book.tick(at("16:19"), send=False)
    book.say(said("closed", "16:20", 6, coop="hazel", flock=6))
    ((key, message),) = pursue(book.night(), at("16:20")).reword
    assert (key.step, key.person_id) == ("now", "ana")
    assert message.title == "Lock up now: Walnut, 12 hens, by 16:33"
    assert message.buttons[0].label == "All 12 in, shut"
    book.tick(at("16:20"), send=False)
    assert pursue(book.night(), at("16:20")).nothing


def test_what_is_on_its_way_is_not_reworded() -> None:
    book = ledger(TWO)
    book.tick(at("16:19"), send=False)
    book.rows = [replace(row, state="sending", attempts=1) for row in book.rows]
    book.say(said("closed", "16:20", 6, coop="hazel", flock=6))
    assert pursue(book.night(), at("16:20")).reword == ()


# -- the all-clear ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("until", "told"),
    [
        ("15:40", []),
        ("16:00", []),  # a heads-up alone asks for no all-clear
        ("16:20", ["shut ana push"]),
        ("16:35", ["shut ana push", "shut ben push"]),
        ("16:45", ["shut ana push", "shut ben push", "shut cleo mail"]),
    ],
)
def test_the_all_clear_goes_to_whoever_had_now_or_later(until: str, told: list[str]) -> None:
    book = ledger()
    book.timetable("15:40", until)
    book.say(said("closed", until, 12))
    found = book.tick(at(until))
    assert out(found) == told
    assert {one.message.title for one in sends(found)} <= {
        f"Shut {until} by Ana, 12 in. Nothing to do."
    }
    assert book.timetable(until, "23:30") == []


def test_two_houses_have_one_all_clear_when_both_are_shut() -> None:
    book = ledger(TWO)
    book.timetable("15:40", "16:20")
    book.say(said("closed", "16:21", 12))
    assert book.timetable("16:21", "16:25") == []
    book.say(said("closed", "16:26", 6, coop="hazel", flock=6))
    assert book.timetable("16:26", "16:40") == ["16:26 shut ana push"]


def test_each_opening_has_its_own_all_clear() -> None:
    book = ledger()
    book.timetable("15:40", "16:20")
    book.say(said("closed", "16:21", 12))
    assert book.timetable("16:21", "16:30") == ["16:21 shut ana push"]
    book.say(said("reopened", "16:40"))
    assert book.timetable("16:40", "16:42") == [
        "16:40 next ana push", "16:40 next ana mail", "16:40 next ben push",
    ]  # fmt: skip
    book.say(said("closed", "16:43", 12))
    assert book.timetable("16:43", "17:30") == ["16:43 shut ana push", "16:43 shut ben push"]
    assert [row.key.opening for row in book.rows if row.key.step == "shut"] == [0, 1, 1]


def test_reopening_restarts_at_the_highest_step_due_of_a_new_opening() -> None:
    book = ledger()
    book.timetable("15:40", "16:20")
    book.say(said("closed", "16:20", 12), said("reopened", "16:36"))
    found = book.tick(at("16:36"))
    assert out(found) == ["next ana push", "next ana mail", "next ben push"]
    assert {one.key.opening for one in found.add if kind_of(one.key.step)} == {1}
    assert book.timetable("16:37", "16:44")[0] == "16:44 everybody-1 ana push"


def test_what_waits_for_an_earlier_opening_is_dropped() -> None:
    book = ledger()
    book.tick(at("16:35"), send=False)
    book.say(said("closed", "16:35", 12), said("reopened", "16:36"))
    dropped = pursue(book.night(), at("16:36")).drop
    assert {(key.step, key.opening) for key in dropped if kind_of(key.step)} == {("next", 0)}


# -- a short count ---------------------------------------------------------------------------


def short(book: Ledger, count: int = 10) -> Ledger:
    book.timetable("15:40", "16:29")
    book.say(said("closed", "16:30", count, who="Ben"))
    return book


def test_a_short_count_is_spoken_of_three_times() -> None:
    # Whoever was called, whoever is on duty, whoever shut the door.
    assert short(ledger()).timetable("16:30", "23:59") == [
        "16:30 search-first ana push",
        "16:30 search-first ben push",
        "16:50 search-second-look ana push",
        "16:50 search-second-look ben push",
    ]
    morning = short(ledger())
    lived(morning, "16:30", "16:51", "+08:20")
    assert {row.key.step for row in morning.rows if row.key.step.startswith("search-")} == {
        "search-first", "search-second-look", "search-before-let-out",
    }  # fmt: skip
    assert out(morning.tick(at("+08:40"))) == []


def test_after_an_outage_only_the_latest_word_of_the_search_goes_out() -> None:
    found = out(short(ledger()).tick(at("17:30")))
    assert found == ["search-second-look ana push", "search-second-look ben push"]


def test_a_search_is_told_to_who_is_on_duty_though_nobody_was_called() -> None:
    book = ledger()
    book.say(said("closed", "15:30", 10))
    assert out(book.tick(at("15:30"))) == ["search-first ana push"]


@pytest.mark.parametrize("ending", ["found", "not-found", "dead", "elsewhere"])
def test_each_ending_ends_the_search_with_one_word(ending: ClosingKind) -> None:
    book = short(ledger())
    book.timetable("16:30", "16:40")
    book.say(said(ending, "16:41", 2))
    assert book.timetable("16:41", "23:59") == ["16:41 settled ana push"]
    assert out(book.tick(at("+08:20"))) == []


def test_half_of_the_missing_found_searches_on() -> None:
    book = short(ledger())
    book.timetable("16:30", "16:40")
    book.say(said("found", "16:41", 1))
    titles = {
        one.message.title
        for minute in range(41, 55)
        for one in sends(book.tick(at(f"16:{minute}")))
    }
    assert titles == {"Second look: 1 of 12 missing, Walnut"}


def test_what_waits_to_say_of_a_search_is_dropped_with_its_end() -> None:
    book = short(ledger())
    book.tick(at("16:30"), send=False)
    book.say(said("found", "16:31", 2))
    dropped = pursue(book.night(), at("16:31")).drop
    assert {key.step for key in dropped if key.step.startswith("search")} == {"search-first"}


def test_a_second_search_speaks_again() -> None:
    book = short(ledger())
    book.timetable("16:30", "16:35")
    book.say(said("found", "16:36", 2))
    book.timetable("16:36", "16:40")
    book.say(said("closed", "16:41", 11))
    assert "16:41 search-first-2 ana push" in book.timetable("16:41", "16:42")


def test_one_house_is_searched_while_another_is_still_open() -> None:
    book = ledger(TWO)
    book.timetable("15:40", "16:20")
    book.say(said("closed", "16:21", 10))
    lines = book.timetable("16:21", "16:45")
    assert quiet(lines) == [
        "16:21 search-first ana push",
        "16:41 search-second-look ana push",
        "16:41 search-second-look ben push",  # called at 16:34 for the other house
    ]
    assert "16:34 next ben push" in lines


# -- what the push server holds --------------------------------------------------------------


def held(book: Ledger) -> list[str]:
    """What the server was told for Ana: "hold 16:38:00" or "cancel"."""
    return [
        f"{row.operation} {row.message.rings_at:%H:%M:%S}"
        if row.message.rings_at
        else row.operation
        for row in book.rows
        if row.key.step.startswith("hold-") and row.key.person_id == "ana"
    ]


def test_the_server_holds_a_message_from_noon_until_after_bedtime() -> None:
    book = lived(ledger(), "09:00", "11:58")
    assert held(book) == []
    lived(book, "11:59")
    assert held(book) == ["hold 16:38:00"]  # of the minute that a clock shows, not of 16:33:40
    book.timetable("15:40", "16:33")
    assert held(book) == ["hold 16:38:00"]
    book.timetable("16:34", "16:44")
    assert held(book) == ["hold 16:38:00", "hold 16:48:40", "hold 17:03:40"]
    book.timetable("16:45", "23:59")
    assert held(book)[-2:] == ["hold 23:05:00", "cancel"]
    lived(book, "+03:00", "+08:20")
    assert held(book)[-1] == "cancel"


def test_only_phones_are_held_and_each_with_one_id() -> None:
    book = lived(ledger(), "13:00", "16:34", "16:45")
    mine = [row for row in book.rows if row.key.step.startswith("hold-")]
    assert {row.key.person_id for row in mine} == {"ana", "ben"}
    assert {row.key.channel for row in mine} == {"push"}
    targets = {(row.key.person_id, row.message.target_id) for row in mine}
    assert len(targets) == 2
    assert all(not row.message.buttons for row in mine)


def test_a_closing_takes_back_what_is_held_and_reopening_holds_it_again() -> None:
    book = lived(ledger(), "13:00")
    book.say(said("closed", "15:00", 12))
    lived(book, "15:00")
    assert held(book) == ["hold 16:38:00", "cancel"]
    book.say(said("reopened", "15:10"))
    lived(book, "15:10")
    assert held(book) == ["hold 16:38:00", "cancel", "hold 16:38:00"]


def test_a_hold_that_still_waits_makes_way_for_its_successor() -> None:
    book = ledger()
    book.tick(at("13:00"), send=False)
    book.say(said("closed", "13:01", 12))
    book.tick(at("13:01"), send=False)
    waiting = [row.key.step for row in book.rows if row.state == "pending"]
    assert set(waiting) == {"hold-2"}


# -- clearing the other phones ---------------------------------------------------------------


def test_what_phones_still_show_is_taken_back_once() -> None:
    book = ledger()
    book.timetable("15:40", "16:35")
    book.say(said("closed", "16:36", 12))
    found = book.tick(at("16:36"))
    taken = {one.key.step: one for one in found.add if one.key.step.startswith("clear-")}
    assert set(taken) == {"clear-heads-up", "clear-now", "clear-again", "clear-next"}
    shown = {row.key.step: row.key.message_id for row in book.rows if row.key.channel == "push"}
    for step, one in taken.items():
        assert one.operation == "cancel"
        assert one.message.target_id == shown[step.removeprefix("clear-")]
    assert lived(book, "16:37").tick(at("16:38")).nothing


def test_what_never_went_out_is_not_taken_back() -> None:
    book = ledger()
    book.tick(at("16:19"), send=False)
    book.say(said("closed", "16:20", 12))
    steps = {one.key.step for one in book.tick(at("16:20"), send=False).add}
    assert not any(step.startswith("clear-") for step in steps)


def test_what_is_on_its_way_is_taken_back_and_answered() -> None:
    book = ledger()
    book.tick(at("16:19"), send=False)
    book.rows = [replace(row, state="sending", attempts=1) for row in book.rows]
    book.say(said("closed", "16:20", 12))
    steps = {one.key.step for one in book.tick(at("16:20"), send=False).add}
    assert {"clear-now", "shut"} <= steps


def test_a_closing_said_after_the_let_out_is_told_to_nobody() -> None:
    book = lived(ledger(), "15:50", "16:19", "+08:20")
    book.say(said("closed", "16:20", 12))
    assert pursue(book.night(), at("+08:40")).nothing


@given(st.integers(19, 59), st.booleans())
def test_after_a_closing_no_reminder_goes_out(minute: int, waiting: bool) -> None:
    book = ledger()
    book.timetable("15:40", f"16:{minute - 1}")
    book.tick(at(f"16:{minute}"), send=not waiting)
    book.say(said("closed", f"16:{minute}", 12))
    lines = book.timetable(f"16:{minute}", "20:00")
    assert quiet(lines) == lines
    assert not [row for row in book.rows if row.state == "pending"]
