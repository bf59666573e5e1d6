"""What a keeper says of a door, on a real journal: kept, asked about, or refused with no trace."""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.alerts.delivery import LOUD, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.cares.closing import ClosingKind
from scheduler.journal import closings
from scheduler.messages.missing import missing_since, which_number
from scheduler.messages.who_said import said_last, said_since
from scheduler.profile.who_may import BUTTON, DUTYS_LINK, LINK, SCREEN, TERMINAL, Voice
from scheduler.service.diary import Refused
from scheduler.service.doors.button import answer
from scheduler.service.doors.say import say
from scheduler.service.doors.statement import AskFirst, Kept, Overtaken, Result, Statement
from scheduler.service.doors.undo import take_back
from scheduler.tokens.answer import SignedAnswer, Verb, read_answer
from tests.alerts.orchard import (
    ANA,
    BEN,
    HAZEL,
    KEY,
    SITE,
    TEXT,
    WALNUT,
    WINTER,
    almanac,
    at,
)
from tests.journal.as_said import as_said
from tests.service.desk import Desk, desk
from tests.unhurried import unhurried

DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
TWO = SITE + WALNUT + HAZEL + ANA + BEN
Open = Callable[[str], Desk]


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Open]:
    """Opens a desk for the text of a profile."""
    with ExitStack() as stack:
        yield lambda text: stack.enter_context(desk(tmp_path, text))


@pytest.fixture
def house(opened: Open) -> Desk:
    """Twelve hens in one coop, three people."""
    return opened(TEXT)


def kept(result: object) -> Kept:
    assert isinstance(result, Kept), result
    return result


def refused(result: object) -> Refused:
    assert isinstance(result, Refused), result
    return result


# Closed


def test_shut_and_counted(house: Desk) -> None:
    result = kept(house.say("closed", "16:30", 12))
    assert (result.evening, result.names, result.expected) == (WINTER, ("Walnut",), (12,))
    assert not result.late
    (one,) = house.closings()
    assert result.said == (one,)
    assert (one.kind, one.count, one.who, one.flock) == ("closed", 12, "Ana", 12)
    assert (one.at, one.evening) == (at("16:30"), WINTER)


def test_no_count_means_all_in_and_not_counted(house: Desk) -> None:
    (one,) = kept(house.say("closed", "16:30")).said
    assert (one.count, one.some_missing) == (None, False)


@pytest.mark.parametrize("count", [0, 13, 5000])
def test_a_closing_is_never_refused_for_its_count(house: Desk, count: int) -> None:
    assert kept(house.say("closed", "16:30", count)).said[0].count == count


@pytest.mark.parametrize(
    ("clock", "evening"),
    [
        ("16:30", WINTER),
        ("23:59", WINTER),
        ("+00:30", WINTER),
        ("+08:34:06", WINTER),  # the let-out is a second later
        ("+08:34:08", WINTER + DAY),
    ],
)
def test_until_the_let_out_it_means_the_evening_before(
    house: Desk, clock: str, evening: date
) -> None:
    assert kept(house.say("closed", clock, 12, sure=True)).evening == evening


def test_the_time_said_decides_the_evening(house: Desk) -> None:
    result = kept(house.say("closed", "+12:00", 12, said_at="16:35"))
    assert (result.evening, result.late) == (WINTER, True)
    assert result.said[0].at == at("16:35")


def test_an_evening_long_ago_may_be_written_up(house: Desk) -> None:
    result = kept(house.say("closed", "16:30", 12, evening=WINTER - 30 * DAY))
    assert (result.evening, result.late) == (WINTER - 30 * DAY, True)
    assert WINTER - 30 * DAY not in {row.key.day for row in house.rows()}


def test_more_than_three_hours_early_it_asks_once(house: Desk) -> None:
    early = house.say("closed", "13:18:28", 12)
    assert isinstance(early, AskFirst)
    assert early.lock_up == at("16:18:29")
    assert house.closings() == ()
    assert kept(house.say("closed", "13:18", 12, sure=True)).evening == WINTER
    assert kept(house.say("closed", "13:18:29", 12)).evening == WINTER


def test_without_a_coop_and_a_count_it_means_every_open_door(opened: Open) -> None:
    house = opened(TWO)
    assert kept(house.say("closed", "16:30")).names == ("Walnut", "Hazel")
    assert kept(house.say("reopened", "16:32", coop="hazel")).names == ("Hazel",)
    assert kept(house.say("closed", "16:35")).names == ("Hazel",)


def test_with_a_count_it_means_the_only_open_door(opened: Open) -> None:
    house = opened(TWO)
    found = refused(house.say("closed", "16:30", 12))
    assert (found.key, found.found) == ("--count", "12 for 2 houses")
    assert found.accepted == "a count for one of them, with --coop: walnut, hazel"
    assert house.closings() == ()
    house.say("closed", "16:30", 12, coop="walnut")
    assert kept(house.say("closed", "16:31", 6)).names == ("Hazel",)


def test_an_unknown_coop_is_refused_with_what_would_do(opened: Open) -> None:
    house = opened(TWO)
    found = refused(house.say("closed", "16:30", coop="wallnut"))
    assert (found.key, found.found, found.accepted) == ("--coop", "wallnut", "walnut, hazel")
    assert found.hint == 'Did you mean "Walnut"?'
    assert house.closings() == ()
    assert house.rows() == ()


def test_a_door_may_be_counted_again(house: Desk) -> None:
    house.say("closed", "16:30", 11)
    assert kept(house.say("closed", "16:40", 12)).names == ("Walnut",)
    house.go(at("16:41"))
    assert [
        str(row.key.step) for row in house.rows() if str(row.key.step) == "search-second-look"
    ] == []


@pytest.mark.parametrize(("said_at", "taken"), [("16:35", True), ("16:35:01", False)])
def test_a_phone_s_clock_may_be_five_minutes_ahead(
    house: Desk, said_at: str, *, taken: bool
) -> None:
    result = house.say("closed", "16:30", 12, said_at=said_at)
    assert isinstance(result, Kept) is taken
    assert bool(house.closings()) is taken


def test_what_has_not_come_yet_is_refused_and_leaves_nothing(house: Desk) -> None:
    ahead = refused(house.say("closed", "16:30", 12, said_at="16:36"))
    assert ahead == Refused(key="--at", found="2026-12-21 16:36 UTC", accepted="a time up to now")
    tomorrow = refused(house.say("closed", "16:30", 12, evening=WINTER + DAY))
    assert tomorrow == Refused(
        key="--evening", found="2026-12-22", accepted="tonight or an evening before", is_typed=True
    )
    assert house.closings() == ()
    assert house.rows() == ()


# What follows at once


def test_a_closing_stops_the_ladder_in_the_same_transaction(house: Desk) -> None:
    assert house.go(at("16:19")) == ["now ana push"]
    house.say("closed", "16:20", 12, who="Cleo")
    waiting = {str(row.key.step) for row in house.rows() if row.state == "pending"}
    assert waiting == {"shut", "clear-now", "hold-2"}
    assert house.go(at("16:21")) == ["shut ana push"]
    assert house.go(at("+12:00")) == []


def test_a_reopened_door_is_told_of_again(house: Desk) -> None:
    house.go(at("16:19"))
    house.say("closed", "16:20", 12)
    house.go(at("16:21"))
    kept(house.say("reopened", "16:25", who="Ben"))
    assert house.go(at("16:25")) == ["reopened ana push", "reopened ana mail"]


def test_an_open_evening_keeps_its_ladder_people_and_count(house: Desk) -> None:
    # F1 and F5 of FAULTS.md.
    house.go(at("16:19"))
    house.days = almanac(SITE + WALNUT.replace("= 12", "= 9") + ANA + BEN)
    assert house.go(at("16:27")) == ["again ana push", "again ana mail"]
    assert kept(house.say("closed", "16:30", 12)).expected == (12,)


def test_a_removed_house_runs_out_its_evening(opened: Open) -> None:
    house = opened(TWO)
    house.go(at("16:19"))
    house.days = almanac(SITE + WALNUT + ANA + BEN)
    assert house.go(at("16:27")) == ["again ana push", "again ana mail"]
    house.say("closed", "16:30", coop="walnut")
    assert "everybody-1 ben push" in house.go(at("16:50"))
    assert kept(house.say("closed", "16:51", coop="hazel")).names == ("Hazel",)


# Searches and losses


def test_a_search_ends_when_they_are_found(house: Desk) -> None:
    house.go(at("16:19"))
    house.say("closed", "16:20", 10)
    assert house.go(at("16:20")) == ["search-first ana push"]
    assert kept(house.say("found", "16:30", 1)).said[0].count == 1
    assert house.go(at("16:41")) == ["search-second-look ana push"]
    kept(house.say("found", "16:45", who="Cleo"))
    assert house.go(at("16:45")) == ["settled ana push"]


@pytest.mark.parametrize("kind", ["dead", "elsewhere"])
def test_without_a_count_all_that_are_missing_are_meant(house: Desk, kind: str) -> None:
    house.say("closed", "16:20", 10)
    (one,) = kept(house.say(kind, "16:30")).said  # type: ignore[arg-type] # words of ClosingKind
    assert one.count == 2
    tomorrow = house.days.planned(WINTER + DAY, house.closings())
    assert [door.birds for door in tomorrow[0].doors] == [10]
    assert kept(house.say("closed", "+16:30", 10)).expected == (10,)


def test_who_is_back_is_expected_again(house: Desk) -> None:
    house.say("elsewhere", "16:00", 2)
    house.say("closed", "16:30", 10)
    assert house.days.planned(WINTER + DAY, house.closings())[0].doors[0].birds == 10
    kept(house.say("back", "+12:00", 1))
    assert kept(house.say("closed", "+16:30", 11)).expected == (11,)


@pytest.mark.parametrize("kind", ["found", "not-found", "given-up"])
def test_where_none_is_missing_none_is_found(house: Desk, kind: ClosingKind) -> None:
    found = refused(house.say(kind, "16:30"))
    assert (found.key, found.found) == (kind, "no birds missing")
    assert found.question == "No birds are missing from Walnut."
    assert house.closings() == ()


@pytest.mark.parametrize("kind", ["dead", "elsewhere"])
def test_where_none_is_missing_it_needs_a_count(house: Desk, kind: ClosingKind) -> None:
    found = refused(house.say(kind, "16:30"))
    assert (found.key, found.found, found.accepted) == (
        "--count", "no number", "a number of birds, 1 or more",
    )  # fmt: skip
    assert house.closings() == ()
    assert kept(house.say(kind, "16:30", 1)).said[0].count == 1


@pytest.mark.parametrize(
    ("before", "kind", "count", "accepted", "question"),
    [
        (None, "dead", 13, "1 to 12", "Only 12 are left in Walnut. How many do you mean?"),
        (None, "dead", 0, "1 to 12", "Only 12 are left in Walnut. How many do you mean?"),
        (None, "elsewhere", 13, "1 to 12", "Only 12 are left in Walnut. How many do you mean?"),
        (
            "elsewhere",
            "back",
            2,
            "1",
            "Only 1 bird from Walnut sleeps elsewhere. How many do you mean?",
        ),
        (
            "closed",
            "found",
            3,
            "1 to 2",
            "Only 2 birds from Walnut are missing. How many do you mean?",
        ),
        (
            "closed",
            "not-found",
            3,
            "1 to 2",
            "Only 2 birds from Walnut are missing. How many do you mean?",
        ),
        (
            "closed",
            "given-up",
            3,
            "1 to 2",
            "Only 2 birds from Walnut are missing. How many do you mean?",
        ),
    ],
)
def test_k2_what_cannot_be_is_asked_about_and_not_kept(  # noqa: PLR0913, PLR0917 - a row of the table
    house: Desk,
    before: ClosingKind | None,
    kind: ClosingKind,
    count: int,
    accepted: str,
    question: str,
) -> None:
    if before:
        kept(house.say(before, "16:20", {"closed": 10}.get(before, 1)))
    told = len(house.closings())
    found = refused(house.say(kind, "16:30", count))
    assert (found.key, found.found, found.accepted) == ("--count", str(count), accepted)
    assert found.question == question
    assert len(house.closings()) == told


def test_k2_nobody_is_back_who_was_not_away(house: Desk) -> None:
    found = refused(house.say("back", "16:30", 5))
    assert found.question == "No birds from Walnut sleep elsewhere or were given up for lost."
    kept(house.say("elsewhere", "16:30", 2))
    assert refused(house.say("back", "16:31")).accepted == "a number of birds, 1 or more"


@pytest.mark.parametrize("kind", ["found", "dead", "given-up", "elsewhere"])
def test_k3_a_missing_one_is_ended_on_any_later_day(house: Desk, kind: ClosingKind) -> None:
    kept(house.say("closed", "16:20", 11))
    kept(house.say("not-found", "16:40"))
    [state] = kept(house.say("closed", "+16:30", 11)).states
    assert (state.state, state.missing_before, state.is_all_in) == ("shut", 1, False)
    [state] = kept(house.say(kind, "+20:00")).states
    assert (state.at_large, state.is_all_in) == (0, True)


def test_k2_more_than_the_flock_is_kept_and_asked_about(house: Desk) -> None:
    [state] = kept(house.say("closed", "16:30", 13)).states
    assert (state.state, state.over, state.is_all_in) == ("shut", 1, False)


ON_THE_PAGES = "an owner or a member has to say so"
SITTER = Voice(kind="sitter", last=WINTER)


@pytest.mark.parametrize(
    ("voice", "who_can"),
    [
        (LINK, "sign in and say so there"),
        (DUTYS_LINK, "sign in and say so there"),
        (BUTTON, "sign in and say so there"),
        (SCREEN, ON_THE_PAGES),
        (SITTER, ON_THE_PAGES),
    ],
)
def test_a_link_takes_away_none_but_the_missing_and_never_all(
    house: Desk, voice: Voice, who_can: str
) -> None:
    told = Statement(kind="elsewhere", coop="walnut", count=12, who="Ana", voice=voice)
    found = refused(say(house.journal, house.days, told, at("16:00")))
    assert found.question == f"No birds from Walnut are missing. If there are more, {who_can}."
    kept(house.say("closed", "16:20", 0))
    found = refused(say(house.journal, house.days, told, at("16:30")))
    assert found.question == (
        "That would leave no birds in Walnut, and nobody would be reminded of its door. If that "
        f"is right, {who_can}."
    )
    kept(say(house.journal, house.days, replace(told, count=11), at("16:30")))


def test_a_house_is_emptied_only_by_whoever_is_signed_in(house: Desk) -> None:
    told = Statement(kind="elsewhere", coop="walnut", count=12, who="Ana", voice=BUTTON)
    refused(say(house.journal, house.days, told, at("16:00")))
    assert house.closings() == ()
    for voice in (Voice(kind="owner"), Voice(kind="member"), TERMINAL):
        kept(say(house.journal, house.days, replace(told, voice=voice), at("16:01")))
        kept(undone(house))


@pytest.mark.parametrize(
    ("voice", "may_say"),
    [
        (LINK, False),
        (SCREEN, False),
        (BUTTON, False),
        (DUTYS_LINK, True),
        (SITTER, True),
        (Voice(kind="member"), True),
    ],
)
@pytest.mark.parametrize("kind", ["dead", "given-up"])
def test_s3_for_good_birds_leave_on_the_word_of_whoever_is_on_duty_or_signed_in(
    house: Desk, voice: Voice, may_say: bool, kind: ClosingKind
) -> None:
    kept(house.say("closed", "16:20", 10))
    told = Statement(kind=kind, coop="walnut", count=2, who="Ana", voice=voice)
    found = say(house.journal, house.days, told, at("16:30"))
    assert isinstance(found, Kept) == may_say
    if isinstance(found, Refused):
        only = "Only whoever is on duty, or somebody signed in, can say that."
        assert found.question == only


def undone(house: Desk, clock: str = "16:40", **changes: object) -> Result:
    told = Statement(kind="undone", who="Ben", **changes)  # type: ignore[arg-type] # a test's keyword arguments
    return take_back(house.journal, house.days, told, at(clock))


def test_k2_undo_takes_back_what_was_said_last_with_a_trace(house: Desk) -> None:
    kept(house.say("dead", "16:20", 2))
    [state] = kept(undone(house)).states
    assert (state.expected, state.gone) == (12, 0)
    with house.journal.reading() as connection:
        [one] = as_said(connection, "orchard")
    assert (one.closing.kind, one.undone_by, one.undone_at) == ("dead", "Ben", at("16:40"))
    assert refused(undone(house)).found == "nothing"


def test_undo_finds_what_was_said_on_an_earlier_evening(house: Desk) -> None:
    kept(house.say("closed", "16:20", 11))
    assert kept(undone(house, "+12:00")).evening == WINTER


def test_undo_takes_back_what_was_said_of_all_houses_at_once(opened: Open) -> None:
    house = opened(TWO)
    kept(house.say("closed", "16:30"))
    assert kept(undone(house)).names == ("Walnut", "Hazel")
    kept(house.say("closed", "16:31"))
    assert kept(undone(house, coop="hazel")).names == ("Hazel",)
    assert kept(undone(house)).names == ("Walnut",)


# No birds


def test_k6_a_house_without_birds_has_no_evening(opened: Open) -> None:
    house = opened(SITE + WALNUT.replace("hens = 12", "hens = 12\narrived = 2026-12-22") + ANA)
    assert house.go(at("16:34")) == []
    assert house.days.planned(WINTER, ()) == ()
    assert house.days.planned(WINTER + DAY, ())[0].doors[0].birds == 12


def test_k6_a_house_whose_birds_are_away_has_none_until_they_are_back(house: Desk) -> None:
    kept(house.say("elsewhere", "15:00", 12))
    assert not [line for line in house.go(at("16:34")) if "now" in line or "next" in line]
    assert house.days.planned(WINTER + DAY, house.closings()) == ()
    kept(house.say("back", "+12:00", 3))
    assert house.days.planned(WINTER + DAY, house.closings())[0].doors[0].birds == 3


def test_a_house_shut_on_nobody_is_told_of_when_its_birds_come_home(house: Desk) -> None:
    kept(house.say("elsewhere", "15:00", 12))
    kept(house.say("closed", "16:25"))
    assert kept(house.say("back", "16:40", 12, who="Ben")).states[0].state == "open"
    assert "reopened ana push" in house.go(at("16:40"))
    titles = [row.message.title for row in house.rows() if str(row.key.step) == "reopened"]
    assert titles[0] == "Birds came home at 16:40: Walnut, 12 hens. Shut it, then say so."


def test_a_search_is_not_told_again_for_another_door_that_opens(opened: Open) -> None:
    house = opened(SITE + WALNUT + HAZEL + ANA + BEN)
    kept(house.say("closed", "16:00", 11, coop="walnut", who="Ana"))
    assert "search-first ana push" in house.go(at("16:01"))
    kept(house.say("closed", "16:24", 8, coop="hazel", who="Ana"))
    house.go(at("16:50"))
    kept(house.say("reopened", "17:00", coop="hazel", who="Ana"))
    assert not [line for line in house.go(at("17:01")) if line.startswith("search")]


def test_an_open_door_cannot_be_reopened(house: Desk) -> None:
    found = refused(house.say("reopened", "16:30"))
    assert (found.found, found.accepted) == (
        "a door that nobody has shut",
        "a door that somebody said was shut",
    )
    assert house.closings() == ()


def test_losses_of_two_houses_need_to_say_which(opened: Open) -> None:
    house = opened(TWO)
    found = refused(house.say("dead", "16:00", 1))
    assert found.accepted == "a count for one of them, with --coop: walnut, hazel"
    house.say("closed", "16:20", 12, coop="walnut")
    house.say("closed", "16:20", 5, coop="hazel")
    assert kept(house.say("found", "16:30", 1)).names == ("Hazel",)


def test_only_the_short_house_is_searched_when_two_are_told_of(opened: Open) -> None:
    house = opened(TWO)
    house.say("closed", "16:20", 12, coop="walnut")
    house.say("closed", "16:20", 4, coop="hazel")
    (one,) = kept(house.say("not-found", "16:30")).said
    assert one.coop_id == "hazel"


def test_a_closing_that_lies_ahead_stops_no_reminder(house: Desk) -> None:
    house.go(at("16:19"))
    house.say("closed", "16:20", 12, said_at="23:00", evening=WINTER)
    assert house.go(at("16:27")) != ["shut ana push"]


# A button


def pressed(house: Desk, clock: str, verb: Verb = "all-in", **changes: object) -> bool:
    given = SignedAnswer(
        verb=verb, site_id="orchard", day=WINTER, subject_id="walnut", opening=0, person_id="ben"
    )
    house.now = at(clock)
    return answer(house.journal, house.days, replace(given, **changes), house.now) == "taken"  # type: ignore[arg-type] # a test's keyword arguments


def test_a_button_of_the_message_shuts_the_door(house: Desk) -> None:
    house.go(at("16:34"))
    (message,) = (
        row.message
        for row in house.rows()
        if (row.key.person_id, str(row.key.step), row.key.day) == ("ben", "next", WINTER)
    )
    said = read_answer(message.buttons[0].answer, KEY)
    assert said is not None
    assert answer(house.journal, house.days, said, at("16:41")) == "taken"
    (one,) = house.closings()
    assert (one.count, one.who, one.at) == (12, "Ben", at("16:41"))
    assert house.go(at("16:41")) == ["shut ana push"], "Ben pressed it himself"


@pytest.mark.parametrize(
    ("verb", "count", "missing"),
    [("all-in", 12, False), ("some-missing", None, True), ("not-counted", None, False)],
)
def test_what_each_button_says(
    house: Desk, verb: Verb, count: int | None, *, missing: bool
) -> None:
    assert pressed(house, "16:41", verb)
    (one,) = house.closings()
    assert (one.count, one.some_missing) == (count, missing)


@pytest.mark.parametrize(
    ("birds", "counted", "missing", "over"),
    [
        ((12,), 12, 2, 0),
        ((14,), 14, 0, 0),
        ((15,), 15, 0, 1),
        (None, 14, 0, 0),
        ((8, 6), None, 0, 0),
    ],
)
def test_a_button_says_the_number_that_stood_on_it(
    opened: Open, birds: tuple[int, ...] | None, counted: int | None, missing: int, over: int
) -> None:
    # Two are away when the message goes out, and back before its button is pressed.
    house = opened(TEXT.replace("hens = 12", "hens = 14"))
    kept(house.say("elsewhere", "15:00", 2))
    house.go(at("16:19"))
    kept(house.say("back", "16:25", 2))
    now = [one for one in house.rows() if (str(one.key.step), one.key.day) == ("now", WINTER)]
    shown = now[-1].message.buttons[0]
    assert shown.label == "All 12 in, door shut"
    assert "all-in=12 " in shown.answer
    assert pressed(house, "16:41", birds=birds)
    [state] = [one.states["walnut"] for one in house_nights(house) if one.evening.day == WINTER]
    assert (state.counted, state.missing, state.over) == (counted, missing, over)


def test_an_answer_is_taken_once(house: Desk) -> None:
    assert pressed(house, "16:41")
    house.say("reopened", "16:45")
    assert not pressed(house, "16:46")
    assert pressed(house, "16:46", opening=1)
    assert [one.kind for one in house.closings()] == ["closed", "reopened", "closed"]


def test_an_answer_to_another_turn_is_not_taken(house: Desk) -> None:
    assert not pressed(house, "16:41", opening=1)
    assert not pressed(house, "16:41", site_id="hill")
    assert not pressed(house, "16:41", subject_id="hazel")
    assert house.closings() == ()


@pytest.mark.parametrize(
    ("verb", "taken"), [("not-counted", False), ("all-in", False), ("some-missing", False)]
)
def test_what_was_counted_stands(house: Desk, verb: Verb, *, taken: bool) -> None:
    house.say("closed", "16:40", 11)
    assert pressed(house, "16:41", verb) is taken


def test_a_count_may_follow_a_closing_without_one(house: Desk) -> None:
    house.say("closed", "16:40")
    assert not pressed(house, "16:41", "not-counted")
    assert pressed(house, "16:41", "all-in")
    assert [one.count for one in house.closings()] == [None, 12]


def test_all_in_after_some_missing_ends_the_search(house: Desk) -> None:
    house.go(at("16:19"))
    assert pressed(house, "16:30", "some-missing")
    assert pressed(house, "16:40", "all-in")
    assert house.go(at("16:40")) == ["settled ana push"]


def test_a13_all_in_does_not_end_what_somebody_else_searches(house: Desk) -> None:
    house.go(at("16:19"))
    house.say("closed", "16:20", 11, who="Cleo")
    house.go(at("16:20"))
    assert not pressed(house, "16:40", "all-in")
    assert "not-taken-1 ben push" in house.go(at("16:40"))
    [told] = [row.message for row in house.rows() if str(row.key.step) == "not-taken-1"]
    assert told.title == "Nothing changed: Cleo said at 16:20 that 1 is missing"
    assert told.priority == 2
    assert len(house.closings()) == 1


def test_of_several_houses_an_answer_that_is_not_taken_names_the_one_to_go_out_for(
    opened: Open,
) -> None:
    house = opened(TWO)
    house.go(at("16:19"))
    house.say("closed", "16:20", 12, coop="walnut", who="Cleo")
    house.say("closed", "16:21", 5, coop="hazel", who="Cleo")
    house.say("elsewhere", "16:22", 1, coop="walnut", who="Cleo")
    assert not pressed(house, "16:40", "all-in", subject_id="hazel")
    [told] = [row.message for row in house.rows() if str(row.key.step).startswith("not-taken")]
    assert told.title == "Nothing changed: at Hazel, Cleo said at 16:21 that 1 is missing"


def test_a13_a_spent_answer_says_why_it_counts_no_more(house: Desk) -> None:
    house.go(at("16:19"))
    assert pressed(house, "16:20")
    assert not pressed(house, "16:21")
    assert not [row for row in house.rows() if str(row.key.step).startswith("not-taken")]
    house.say("reopened", "16:45", who="Cleo")
    assert not pressed(house, "16:46")
    assert not pressed(house, "16:47")
    [told] = [row for row in house.rows() if str(row.key.step).startswith("not-taken")]
    assert told.message.title == "Nothing changed: Cleo said at 16:45 that the door is open again"
    assert told.key.person_id == "ben"


def test_a13_not_even_when_nobody_counted(house: Desk) -> None:
    house.say("closed", "16:20", who="Cleo", some_missing=True)
    assert not pressed(house, "16:40", "all-in")
    [told] = [row.message for row in house.rows() if str(row.key.step).startswith("not-taken")]
    assert told.title == "Nothing changed: Cleo said at 16:20 that some are missing"


@pytest.mark.parametrize(("last_day", "taken"), [(WINTER - DAY, False), (WINTER, True)])
def test_a_sitter_whose_days_were_changed_answers_no_more(
    opened: Open, last_day: date, *, taken: bool
) -> None:
    sitter = f'{BEN}role = "sitter"\nlast_day = {last_day}\n'
    house = opened(SITE + WALNUT + ANA + sitter)
    assert pressed(house, "16:41") is taken
    assert len(house.closings()) == taken


def test_a_late_answer_is_taken_for_two_days(house: Desk) -> None:
    late = at("16:17", WINTER + 2 * DAY)
    given = SignedAnswer(
        verb="all-in", site_id="orchard", day=WINTER, subject_id="walnut", opening=0,
        person_id="ben",
    )  # fmt: skip
    assert answer(house.journal, house.days, given, late + timedelta(minutes=2)) != "taken"
    gone, unknown = replace(given, person_id="gone"), replace(given, generation=1)
    assert answer(house.journal, house.days, gone, late) == "lost", (
        "whoever has left answers nothing"
    )
    assert answer(house.journal, house.days, unknown, late) != "taken"
    assert answer(house.journal, house.days, given, late) == "taken"
    assert [(one.who, one.evening) for one in house.closings()] == [("Ben", WINTER)]
    assert answer(house.journal, house.days, given, late + 30 * DAY) != "taken"


def test_a_button_counts_only_the_doors_it_speaks_of(opened: Open) -> None:
    # "All 6 in, door shut" is about Hazel; nobody has counted Walnut.
    house = opened(TWO)
    house.go(at("16:19"))
    house.say("closed", "16:20", coop="walnut")
    house.go(at("16:27"))
    last = [row for row in house.rows() if row.message.buttons][-1]
    assert last.message.buttons[0].label == "All 6 in, door shut"
    said = read_answer(last.message.buttons[0].answer, KEY)
    assert said is not None
    assert answer(house.journal, house.days, said, at("16:30")) == "taken"
    counted = {one.coop_id: one.count for one in house.closings()}
    assert counted == {"walnut": None, "hazel": 6}


def test_a_button_shuts_all_open_doors_of_the_evening(opened: Open) -> None:
    house = opened(TWO)
    house.say("closed", "16:30", 5, coop="hazel")
    house.say("reopened", "16:31", coop="hazel")
    assert pressed(house, "16:41", subject_id="hazel", opening=1)
    counted = [(one.coop_id, one.count) for one in house.closings()[2:]]
    assert counted == [("walnut", 12), ("hazel", 6)]


def test_of_two_people_at_once_one_is_first(house: Desk) -> None:
    assert pressed(house, "16:41")
    before = house.rows()
    assert not pressed(house, "16:41", person_id="ana")
    assert len(house.closings()) == 1
    assert house.rows() == before


def test_an_answer_that_nobody_of_ours_has_signed_is_not_read() -> None:
    given = SignedAnswer(
        verb="all-in", site_id="orchard", day=WINTER, subject_id="walnut", opening=0,
        person_id="ben",
    )  # fmt: skip
    assert read_answer(given.text(KEY), KEY) == given
    assert read_answer(given.text(bytes(32)), KEY) is None


# From a page, which says what it was made from


def from_page(desk: Desk, kind: ClosingKind, turn: int, count: int | None = None) -> Result:
    """What somebody says on a page that was shown when so much had been said."""
    said = Statement(kind=kind, coop="walnut", count=count, who="Ana", evening=WINTER, turn=turn)
    return say(desk.journal, desk.days, said, at("16:30"))


def undo(desk: Desk, turn: int) -> Result:
    """Takes back what was said last."""
    said = Statement(kind="closed", coop="walnut", who="Ben", evening=WINTER, turn=turn)
    return take_back(desk.journal, desk.days, said, at("16:31"))


def turn_of(desk: Desk) -> int:
    with desk.journal.reading() as connection:
        return closings.turns(connection, "orchard", WINTER).get(("walnut", WINTER), 0)


def test_a_page_that_was_overtaken_says_nothing_twice(house: Desk) -> None:
    kept(from_page(house, "closed", 0, 12))
    before = house.closings()
    late = from_page(house, "closed", 0, 12)
    assert isinstance(late, Overtaken)
    assert (late.state.state, late.state.counted) == ("shut", 12)
    assert house.closings() == before
    # Whoever counts fewer than was said adds something to know.
    kept(from_page(house, "closed", 0, 11))
    assert house.closings()[-1].count == 11


def test_an_ending_is_taken_back_and_the_search_goes_on(house: Desk) -> None:
    kept(from_page(house, "closed", 0, 11))
    kept(from_page(house, "found", 1, 1))
    assert isinstance(undo(house, 1), Overtaken)
    kept(undo(house, turn_of(house)))
    assert [one.kind for one in house.closings()] == ["closed", "undone"]
    [night] = [one for one in house_nights(house) if one.evening.day == WINTER]
    assert night.states["walnut"].state == "searching"
    # Another page, shown before, is overtaken by the taking back as well.
    assert isinstance(undo(house, 2), Overtaken)


def test_a_full_count_taken_back_of_a_searched_house_begins_the_search_anew(house: Desk) -> None:
    kept(from_page(house, "closed", 0, 11))
    kept(from_page(house, "closed", 1, 12))
    kept(undo(house, turn_of(house)))
    [night] = [one for one in house_nights(house) if one.evening.day == WINTER]
    walnut = night.states["walnut"]
    assert (walnut.state, walnut.counted, walnut.searches) == ("searching", 11, 2)


def test_a_closing_is_taken_back_by_an_open_door(house: Desk) -> None:
    kept(from_page(house, "closed", 0, 12))
    kept(undo(house, 1))
    assert [one.kind for one in house.closings()] == ["undone"]
    assert isinstance(undo(house, turn_of(house)), Overtaken), "nothing is left to take back"
    assert house.go(at("16:34")) != []


# Played with


def cycle(house: Desk, began: datetime, count: int, seconds: int) -> list[str]:
    """Cleo shuts the door and takes it back so much later; all that went out in that minute."""
    said = Statement(kind="closed", coop="walnut", count=count, who="Cleo", evening=WINTER)
    kept(say(house.journal, house.days, replace(said, turn=turn_of(house), voice=LINK), began))
    out: list[str] = []
    for second in range(0, seconds, 15):
        out += house.go(began + timedelta(seconds=second))
    back = began + timedelta(seconds=seconds)
    kept(take_back(house.journal, house.days, replace(said, turn=turn_of(house)), back))
    return out + house.go(back)


def rung_by(house: Desk) -> None:
    """The evening until everybody has been called three times."""
    for clock in ("16:19", "16:27", "16:34", "16:44", "16:59", "17:14"):
        house.go(at(clock))


def test_a_tap_taken_back_before_anybody_heard_of_it_rings_nobody_and_the_reminders_go_on(
    house: Desk,
) -> None:
    house.go(at("16:19"))
    house.go(at("16:27"))
    assert cycle(house, at("16:30:01"), 12, 0) == []
    assert house.go(at("16:31")) == []
    assert "next ben push" in house.go(at("16:36")), "the next step a breath later"


def test_late_at_night_a_tap_taken_back_is_told_within_a_quarter_of_an_hour(house: Desk) -> None:
    rung_by(house)
    assert cycle(house, at("23:30"), 12, 0) == []
    assert house.go(at("23:45")) == ["reopened-2 ana push", "reopened-2 ana mail"]


def test_whoever_heard_that_it_was_shut_hears_at_once_that_it_is_not(house: Desk) -> None:
    rung_by(house)
    assert cycle(house, at("17:20"), 12, 20) == [
        "shut ana push", "shut ben push",
        "reopened ana push", "open-again ben push", "reopened ana mail",
    ]  # fmt: skip


def test_whoever_was_not_rung_before_a_tap_that_was_taken_back_is_told_of_the_open_door(
    house: Desk,
) -> None:
    house.go(at("15:55"))
    kept(house.say("closed", "16:18:10", 12, who="Cleo"))
    kept(
        undone(
            house,
            "16:18:40",
        )
    )
    rung = ["reopened ana push", "reopened ana mail"]
    cleo = "open-again cleo mail"  # it was she who had said that it was shut
    assert house.go(at("16:19")) == [*rung, cleo]


@unhurried
@pytest.mark.parametrize("count", [12, 10])
@pytest.mark.parametrize("seconds", [0, 20, 50])
def test_whoever_plays_with_a_button_rings_at_most_three_times(
    house: Desk, count: int, seconds: int
) -> None:
    rung_by(house)
    out = [
        line
        for minute in range(25)
        for line in cycle(house, at("17:20") + minute * MINUTE, count, seconds)
    ]
    assert max(Counter(out).values(), default=0) <= 4, out
    loud = [line for line in out if not line.startswith(("shut", "settled"))]
    assert max(Counter(loud).values(), default=0) <= 3, loud
    # It is open now, and whoever is on duty hears that.
    assert "reopened ana push" in house.go(at("17:50"))


def house_nights(desk: Desk) -> tuple[Night, ...]:
    return desk.nights(at("16:32"))


# A search that somebody else goes on with


def test_a_page_shown_before_a_bird_was_missed_does_not_end_the_search(house: Desk) -> None:
    kept(from_page(house, "closed", 0, 11))
    late = from_page(house, "closed", 0, 12)
    assert isinstance(late, Overtaken)
    assert not late.stands
    kept(from_page(house, "not-found", 1, 1))
    assert isinstance(from_page(house, "closed", 0, 12), Overtaken)
    # That still fewer are in is news whatever the page showed.
    kept(from_page(house, "closed", 0, 10))
    # Of a page on which the search could be read it counts.
    kept(from_page(house, "closed", turn_of(house), 12))


def test_a_slip_that_nobody_heard_of_begins_no_search_anew(house: Desk) -> None:
    house.go(at("16:19"))
    house.say("closed", "16:20", 11, who="Ben")
    assert "search-first ana push" in house.go(at("16:20"))
    house.say("found", "16:30", 1, who="Cleo")
    said = Statement(kind="closed", coop="walnut", who="Cleo", evening=WINTER)
    kept(take_back(house.journal, house.days, said, at("16:30")))
    assert house.go(at("16:31")) == []
    assert "search-second-look-2 ana push" in house.go(at("16:40"))


def test_a_found_that_is_taken_back_is_told_to_whoever_read_that_all_are_in(house: Desk) -> None:
    house.go(at("16:19"))
    house.say("closed", "16:20", 11, who="Ben")
    house.go(at("16:20"))
    house.say("not-found", "16:45", 1, who="Ben")
    house.go(at("16:45"))
    house.say("found", "17:00", 1, who="Cleo")
    assert "settled-then-1 ben push" in house.go(at("17:00"))
    said = Statement(kind="closed", coop="walnut", who="Cleo", evening=WINTER)
    kept(take_back(house.journal, house.days, said, at("17:20")))
    assert "settled-2-then-2 ben push" in house.go(at("17:20"))
    told = [row.message.title for row in house.rows() if str(row.key.step) == "settled-2-then-2"]
    assert set(told) == {"Ben shut the door at 16:20, 11 in. 1 not found yet."}


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("found", "Cleo said at 16:40 that 1 was found"),
        ("not-found", "Cleo said at 16:40 that 1 was not found"),
        ("dead", "Cleo said at 16:40 that 1 died"),
        ("given-up", "Cleo said at 16:40 that 1 was given up for lost"),
        ("elsewhere", "Cleo said at 16:40 that 1 sleeps elsewhere"),
    ],
)
def test_what_overtook_a_tap_is_told_as_it_was_said(
    house: Desk, kind: ClosingKind, told: str
) -> None:
    house.say("closed", "16:20", 11)
    house.say(kind, "16:40", 1, who="Cleo")
    [night] = [one for one in house_nights(house) if one.evening.day == WINTER]
    assert said_last(night, night.states["walnut"]) == told
    said = Statement(kind="closed", coop="walnut", who="Ben", evening=WINTER)
    kept(take_back(house.journal, house.days, said, at("16:50")))
    [night] = [one for one in house_nights(house) if one.evening.day == WINTER]
    back = told.replace("Cleo said at 16:40", "Ben took back at 16:50")
    assert said_last(night, night.states["walnut"]) == back


def test_whoever_takes_a_count_back_does_not_say_what_stands_without_it(house: Desk) -> None:
    for first, left in ((12, "it is still shut"), (10, "2 are missing")):
        house.say("closed", "16:20", first, who="Cleo")
        house.say("closed", "16:24", 11, who="Ben")
        said = Statement(kind="closed", coop="walnut", who="Ben", evening=WINTER)
        kept(take_back(house.journal, house.days, said, at("16:30")))
        [night] = [one for one in house_nights(house) if one.evening.day == WINTER]
        told = f"Ben took back at 16:30 that 11 were in; {left}"
        assert said_last(night, night.states["walnut"]) == told


def test_nobody_is_told_that_none_is_missing_where_nobody_looks_for_one(house: Desk) -> None:
    house.say("closed", "16:20", 11)
    house.say("not-found", "16:40")
    told = "Nobody is searching for birds from Walnut now: 1 not found yet."
    assert refused(house.say("not-found", "16:45")).question == told
    told = "Nobody is searching for birds from Walnut now: 1 still missing since Mon 21 Dec."
    assert refused(house.say("not-found", "+12:00")).question == told
    house.say("found", "+12:10")
    assert refused(house.say("not-found", "+12:15")).question == "No birds are missing from Walnut."


def test_how_many_can_be_missing_is_not_how_many_are(house: Desk) -> None:
    house.say("closed", "16:20", some_missing=True)
    at_most = "At most 12 birds from Walnut can be missing. How many do you mean?"
    assert refused(house.say("found", "16:30", 13)).question == at_most
    assert refused(house.say("not-found", "16:30", 13)).question == at_most


# Of an evening before, or by a phone that had no reception


def one_missing(house: Desk) -> None:
    """One does not come in, and is not found that evening."""
    house.go(at("16:19"))
    kept(house.say("closed", "16:20", 11, who="Ben"))
    house.go(at("16:20"))
    kept(house.say("not-found", "16:40", who="Ben"))
    house.go(at("16:40"))


@pytest.mark.parametrize("kind", ["found", "not-found", "dead", "given-up", "elsewhere"])
@pytest.mark.parametrize(
    ("then", "count"), [("found", 1), ("dead", 1), ("given-up", 1), ("closed", 12)]
)
def test_an_older_evening_ends_nobody_twice(
    house: Desk, kind: ClosingKind, then: ClosingKind, count: int
) -> None:
    kept(house.say("closed", "16:20", 11))
    kept(house.say(then, "+16:20", count, who="Cleo"))
    before = house.closings()
    late = house.say(kind, "+17:00", 1, evening=WINTER)
    assert isinstance(late, Overtaken)
    assert [(one.kind, one.count) for one in late.since] == [(then, count)]
    assert not late.stands
    assert house.closings() == before


def test_what_does_not_contradict_later_evenings_may_still_be_said(house: Desk) -> None:
    kept(house.say("closed", "16:20", 10))
    kept(house.say("found", "+12:00", 1))
    # One of the two is missing still; another died although nobody had missed it.
    kept(house.say("dead", "+17:00", 1, evening=WINTER))
    assert isinstance(house.say("dead", "+17:01", 1, evening=WINTER), Overtaken)
    assert said_since(house.closings()[1:2]) == "Ana said on Tue 22 Dec that 1 was found"


def test_late_word_of_an_evening_in_which_none_was_missing_is_kept(house: Desk) -> None:
    kept(house.say("closed", "16:20", 12))
    kept(house.say("closed", "+16:20", 12))
    kept(house.say("dead", "+17:00", 1, evening=WINTER))


def test_more_of_some_may_be_found_later_until_somebody_counts(house: Desk) -> None:
    kept(house.say("closed", "16:20", some_missing=True))
    kept(house.say("not-found", "16:40"))
    [state] = kept(house.say("closed", "+16:20")).states
    assert missing_since(state) == "at least 1 still missing since Mon 21 Dec"
    [state] = kept(house.say("closed", "+16:30", 11)).states
    assert missing_since(state) == "1 still missing since Mon 21 Dec"


def test_who_was_seen_is_found_although_others_did_not_find_her(house: Desk) -> None:
    kept(from_page(house, "closed", 0, 11))
    kept(from_page(house, "not-found", 1, 1))
    assert isinstance(from_page(house, "given-up", 1, 1), Overtaken)
    [state] = kept(from_page(house, "found", 1, 1)).states
    assert state.is_all_in
    assert isinstance(from_page(house, "not-found", 1, 1), Overtaken)


def test_a_find_by_day_and_its_undo_reach_whoever_was_told_that_she_is_missing(house: Desk) -> None:
    one_missing(house)
    kept(house.say("found", "+12:00", who="Cleo"))
    assert house.go(at("+12:00")) == ["news-1 ana push", "news-1 ben push"]
    said = Statement(kind="closed", coop="walnut", who="Cleo")
    kept(take_back(house.journal, house.days, said, at("+12:10")))
    assert house.go(at("+12:10")) == ["news-2 ana push", "news-2 ben push"]
    told = {str(row.key.step): row.message for row in house.rows() if "news" in str(row.key.step)}
    assert [(one.title, one.priority) for one in told.values()] == [
        ("Walnut: Cleo said at 12:00 that 1 was found. None is missing any more.", 2),
        ("Walnut: Cleo took back at 12:10 what was said of the missing", 2),
    ]
    assert told["news-2"].body == "1 still missing since Mon 21 Dec. 11 are expected tonight."


def test_a_find_days_later_reaches_whoever_reads_every_evening_that_she_is_missing(
    house: Desk,
) -> None:
    one_missing(house)
    for days in range(1, 5):
        evening = WINTER + days * DAY
        house.go(at("16:25", evening))
        said = Statement(kind="closed", count=11, who="Ana")
        kept(say(house.journal, house.days, said, at("16:26", evening)))
    found = at("12:00", WINTER + 5 * DAY)
    kept(say(house.journal, house.days, Statement(kind="found", who="Ben"), found))
    assert house.go(found) == ["news-1 ana push"]


def test_a_find_said_late_of_that_evening_is_told_as_well_and_so_is_its_undo(house: Desk) -> None:
    one_missing(house)
    kept(house.say("found", "+12:00", 1, who="Cleo", evening=WINTER))
    assert house.go(at("+12:00")) == ["news-1 ana push", "news-1 ben push"]
    said = Statement(kind="closed", coop="walnut", who="Cleo", evening=WINTER)
    kept(take_back(house.journal, house.days, said, at("+12:10")))
    assert house.go(at("+12:10")) == ["news-2 ana push", "news-2 ben push"]
    told = [row.message.title for row in house.rows() if "news" in str(row.key.step)]
    assert set(told) == {
        "Walnut: Cleo said at 12:00 that 1 was found. None is missing any more.",
        "Walnut: Cleo took back at 12:10 that 1 was found",
    }


def test_news_of_some_that_nobody_counted_does_not_say_that_none_is_missing(house: Desk) -> None:
    house.go(at("16:19"))
    kept(house.say("closed", "16:20", who="Ben", some_missing=True))
    house.go(at("16:20"))
    kept(house.say("not-found", "16:40", 1, who="Ben"))
    kept(house.say("found", "+12:00", 1, who="Cleo"))
    assert house.go(at("+12:00")) == ["news-1 ana push", "news-1 ben push"]
    [body] = {row.message.body for row in house.rows() if str(row.key.step) == "news-1"}
    unsure = "None is known to be missing, but nobody has counted since."
    assert body == f"{unsure} 12 are expected tonight."


def test_a_button_of_an_evening_that_is_over_says_which_evening_it_was_of(house: Desk) -> None:
    house.go(at("16:19"))
    assert pressed(house, "16:20")
    assert not pressed(house, "16:21")
    assert not any("not-taken" in str(row.key.step) for row in house.rows())
    assert not pressed(house, "+16:20")
    [title] = {row.message.title for row in house.rows() if "not-taken" in str(row.key.step)}
    assert title == "Nothing changed: that message is from Mon 21 Dec, which is over"


def test_whoever_was_not_heard_in_the_evening_hears_it_on_the_next_as_well(house: Desk) -> None:
    house.go(at("16:19"))
    house.say("closed", "16:20", 11, who="Cleo")
    assert not pressed(house, "16:40")
    assert not pressed(house, "+09:00")
    assert not pressed(house, "+16:20")
    told = [row.message.title for row in house.rows() if "not-taken" in str(row.key.step)]
    over = "Nothing changed: that message is from Mon 21 Dec, which is over"
    assert told == ["Nothing changed: Cleo said at 16:20 that 1 is missing", over, over]


def test_a_button_taken_for_an_evening_that_is_over_says_so(house: Desk) -> None:
    house.go(at("16:19"))
    assert pressed(house, "+16:20")
    rows = [row for row in house.rows() if str(row.key.step).startswith("taken-")]
    assert {row.key.person_id for row in rows} == {"ben"}
    assert {row.message.title for row in rows} == {"Noted for Mon 21 Dec, not for tonight's door"}
    assert rows[0].message.body.startswith("Did you mean tonight's door? If it is shut, ")


def test_a_button_of_an_evening_that_is_over_asks_of_tonight_only_while_tonights_door_waits(
    house: Desk,
) -> None:
    house.go(at("16:19"))
    kept(house.say("closed", "+16:20", 12, who="Cleo"))
    assert pressed(house, "+16:30")
    [told] = {row.message for row in house.rows() if str(row.key.step).startswith("taken-")}
    assert told.title == "Noted for Mon 21 Dec"
    assert told.body == "What was noted for Mon 21 Dec can be undone on the page."


# Of last night's door, once it is day


def late(house: Desk, clock: str, count: int | None, **said: object) -> list[str]:
    """The evening of which nobody said anything, until somebody does after its let-out."""
    for night in ("16:19", "16:34", "16:44", "+08:20"):
        house.go(at(night))
    kept(house.say("closed", clock, count, who="Ben", evening=WINTER, **said))  # type: ignore[arg-type] # a test's keyword arguments
    return [line for line in house.go(at(clock)) if "news" in line]


def news_of(house: Desk) -> Message:
    [told] = {
        replace(row.message, link="")
        for row in house.rows()
        if str(row.key.step).startswith("news-")
    }
    return told


def test_a_late_count_that_misses_one_rings_whoever_was_called_and_is_on_duty(house: Desk) -> None:
    assert late(house, "+09:10", 11) == ["news-1 ana push", "news-1 cleo mail"]
    told = news_of(house)
    assert told.title == "1 still missing since Mon 21 Dec, Walnut: search now"
    assert told.body.startswith("Ben said at 09:10 that 11 were in on Mon 21 Dec. Look on the roof")
    assert told.priority == LOUD


def test_so_does_one_that_was_counted_the_evening_before_and_is_said_late(house: Desk) -> None:
    assert "news-1 ana push" in late(house, "+09:10", 11, said_at="16:30")
    assert news_of(house).priority == LOUD


def test_a_late_count_that_is_whole_is_told_quietly_to_whoever_was_called(house: Desk) -> None:
    assert late(house, "+09:10", 12) == ["news-1 ana push", "news-1 cleo mail"]
    told = news_of(house)
    assert told.title == "Walnut: Ben said at 09:10 that 12 were in on Mon 21 Dec"
    assert told.body == "None is known to be missing. 12 are expected tonight."
    assert told.priority < LOUD


def test_a_late_count_that_is_taken_back_is_told_to_whoever_searches(house: Desk) -> None:
    late(house, "+09:10", 11)
    said = Statement(kind="closed", coop="walnut", who="Ben", evening=WINTER)
    kept(take_back(house.journal, house.days, said, at("+09:20")))
    assert house.go(at("+09:20")) == ["news-2 ana push", "news-2 cleo mail"]
    [title] = {row.message.title for row in house.rows() if str(row.key.step) == "news-2"}
    assert title == "Walnut: Ben took back at 09:20 what was said of Mon 21 Dec"


def test_a_count_by_the_light_of_the_morning_asks_nobody_to_shut_the_door(house: Desk) -> None:
    house.go(at("16:19"))
    kept(house.say("closed", "+07:50", 11, who="Ben"))
    assert "search-first ana push" in house.go(at("+07:50"))
    [body] = {row.message.body for row in house.rows() if str(row.key.step) == "search-first"}
    assert body.startswith("Look on the roof")


def test_a_death_said_late_is_told_with_the_door_that_is_shut(house: Desk) -> None:
    one_missing(house)
    house.go(at("+16:25"))
    kept(house.say("closed", "+16:26", 11, who="Cleo"))
    house.go(at("+16:26"))
    kept(house.say("dead", "+17:00", 1, who="Cleo", evening=WINTER))
    assert "shut-then-1 ben push" in house.go(at("+17:00"))
    message = next(row.message for row in house.rows() if str(row.key.step) == "shut-then-1")
    assert message.title == "Cleo shut the door at 16:26, all 11 in."
    assert message.body.startswith("Cleo said at 17:00 that 1 died.")


def test_who_read_not_found_tonight_hears_that_she_is_found(house: Desk) -> None:
    one_missing(house)
    kept(house.say("found", "18:00", 1, who="Cleo"))
    assert house.go(at("18:00")) == ["settled-then-1 ana push", "settled-then-1 ben push"]
    title = next(row.message.title for row in house.rows() if "then" in str(row.key.step))
    assert title == "Ben shut the door at 16:20, all 12 in, 1 of them found since. Nothing to do."


# Home after all


@pytest.mark.parametrize("count_first", [True, False])
def test_one_that_was_given_up_for_lost_can_come_home(house: Desk, *, count_first: bool) -> None:
    one_missing(house)
    kept(house.say("given-up", "+12:00", 1, who="Ana"))
    if count_first:
        counted = kept(house.say("closed", "+16:20", 12, who="Ana"))
        assert [state.over for state in counted.states] == [1]
        assert which_number(counted.states[0]) == (
            "1 was given up for lost. Which number is right? Or are they back home?"
        )
    [back] = kept(house.say("back", "+16:21", 1, who="Ana")).states
    assert (back.expected, back.given_up, back.gone, back.over) == (12, 0, 0, 0)
    if not count_first:
        [back] = kept(house.say("closed", "+16:22", 12, who="Ana")).states
    assert back.is_all_in
    assert isinstance(house.say("back", "+16:23", 1, who="Ana"), Refused), "none is left to come"


def test_one_that_died_does_not_come_home(house: Desk) -> None:
    one_missing(house)
    kept(house.say("dead", "+12:00", 1, who="Ana"))
    assert isinstance(house.say("back", "+12:05", 1, who="Ana"), Refused)


def test_whoever_searches_hears_of_one_too_many_in_the_other_house(opened: Open) -> None:
    house = opened(TWO)
    house.go(at("16:19"))
    kept(house.say("closed", "16:20", 7, coop="hazel"))
    kept(house.say("closed", "16:21", 11, coop="walnut"))
    house.go(at("16:21"))
    [body] = {row.message.body for row in house.rows() if str(row.key.step) == "search-first"}
    astray = "Hazel has 1 more in than belong there: look there first. "
    assert body.startswith(astray + "Shut the door on those that are in, then search.")
