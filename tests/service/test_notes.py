"""What a site tells besides its evenings: let-out, free-range time and the morning brief."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.alerts.delivery import LOUD, QUIET, USUAL, Delivery, Key, Message
from scheduler.cares.records import Records, Report, Spell
from scheduler.journal import deliveries, memos
from scheduler.service import notes
from scheduler.service.nights import Almanac
from tests.alerts.orchard import (
    ANA,
    BEN,
    BOTH,
    CLEO,
    HAZEL,
    KEY,
    SITE,
    TEXT,
    WALNUT,
    WINTER,
    almanac,
    at,
    household,
)
from tests.service.desk import Desk, desk

DAY = timedelta(days=1)
RANGER = BEN + "range_reminder = true\n"
SECURE = '[coop.run]\ntype = "secure"\n[[flock]]'
Open = Callable[[str], Desk]


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Open]:
    """Opens a desk for the text of a profile."""
    with ExitStack() as stack:
        yield lambda text: stack.enter_context(desk(tmp_path, text))


def shown(found: list[Delivery]) -> list[str]:
    return [f"{one.key.step} {one.key.person_id} {one.key.channel}" for one in found]


def told(found: list[Delivery], step: str) -> Message:
    return next(one.message for one in found if one.key.step == step)


# When


def test_a_day_has_its_brief_its_let_out_and_free_range_for_who_wants_it() -> None:
    found = notes.notes_of(almanac(SITE + WALNUT + ANA + RANGER), WINTER)
    assert [(f"{note.at:%H:%M}", note.step, note.people) for note in found] == [
        ("07:00", "brief", ("ana",)),
        ("08:33", "let-out-walnut", ("ana",)),
        ("14:53", "range-walnut", ("ben",)),
    ]
    assert all(note.at < note.useful_until for note in found)


@pytest.mark.parametrize(
    ("settings", "steps"),
    [
        ("", ["brief", "let-out-walnut"]),
        ('[reminders]\nletout = "none"\n', ["brief"]),
        ('[reminders]\nbrief = "none"\n', ["let-out-walnut"]),
    ],
)
def test_each_can_be_switched_off(settings: str, steps: list[str]) -> None:
    assert [note.step for note in notes.notes_of(almanac(TEXT + settings), WINTER)] == steps


@pytest.mark.parametrize(
    ("people", "readers"),
    [
        (ANA + BEN, ("ana",)),
        (ANA + "brief = false\n" + BEN, ()),
        (ANA + BEN + "brief = true\n", ("ana", "ben")),
        (ANA + "brief = false\n" + BEN + "brief = true\n" + CLEO, ("ben",)),
    ],
)
def test_the_first_person_reads_the_brief_unless_they_say_otherwise(
    people: str, readers: tuple[str, ...]
) -> None:
    found = notes.notes_of(almanac(SITE + WALNUT + people), WINTER)
    assert [note.people for note in found if note.step == "brief"] == ([readers] if readers else [])


def test_where_nobody_can_be_told_there_is_nothing_to_tell() -> None:
    assert notes.notes_of(almanac(SITE + WALNUT), WINTER) == ()


def test_each_goes_out_once_while_it_is_of_use(opened: Open) -> None:
    house = opened(TEXT)
    assert house.notes(at("06:59")) == []
    assert shown(house.notes(at("07:00"))) == ["brief ana push"]
    assert house.notes(at("07:01")) == []
    assert shown(house.notes(at("08:34"))) == ["let-out-walnut ana push"]
    assert house.notes(at("08:35")) == []


def test_what_comes_late_is_told_late_and_what_comes_too_late_never(opened: Open) -> None:
    house = opened(TEXT)
    assert shown(house.notes(at("11:50"))) == ["brief ana push"]
    assert opened(TEXT).notes(at("12:30")) == []


def test_the_next_instant_is_known() -> None:
    days = almanac()
    assert notes.next_note(days, at("06:00")) == at("07:00")
    assert f"{notes.next_note(days, at('07:00')):%H:%M}" == "08:33"
    assert notes.next_note(days, at("12:00")) == at("+07:00")


# Let-out


def test_a_let_out_is_quiet(opened: Open) -> None:
    message = told(opened(TEXT).notes(at("08:34")), "let-out-walnut")
    assert (message.title, message.priority) == ("Let out Walnut at 08:33", QUIET)


def test_it_may_be_loud(opened: Open) -> None:
    house = opened(TEXT + '[reminders]\nletout = "loud"\n')
    assert told(house.notes(at("08:34")), "let-out-walnut").priority == LOUD


@pytest.mark.parametrize(("air_c", "loud"), [(None, True), (27.0, True), (26.9, False)])
def test_on_a_hot_day_it_is_loud(opened: Open, air_c: float | None, *, loud: bool) -> None:
    house = opened(TEXT)
    heat = Report(kind="heat", spell=Spell(first=WINTER), air_c=air_c)
    house.days = Almanac(
        household=household(), records=Records(reports=(heat,)), ways=BOTH, key=KEY
    )
    message = told(house.notes(at("08:34")), "let-out-walnut")
    assert (message.priority == LOUD) is loud
    assert message.title.endswith(": heat today") is loud


def test_where_summers_are_hot_averages_make_it_loud() -> None:
    hot = almanac(TEXT.replace("24 °C", "35 °C"))
    assert notes.is_hot(hot, WINTER.replace(month=7))
    assert not notes.is_hot(hot, WINTER)
    assert not notes.is_hot(almanac(), WINTER.replace(month=7))


def test_houses_let_out_together_share_a_message(opened: Open) -> None:
    house = opened(SITE + WALNUT + HAZEL + ANA)
    found = house.notes(at("08:34"))
    assert shown(found) == ["brief ana push", "let-out-walnut ana push"]
    assert told(found, "let-out-walnut").title == "Let out Walnut and Hazel at 08:33"


@pytest.mark.parametrize(("after", "messages"), [("15 min", 1), ("14 min", 2)])
def test_together_means_within_a_quarter_of_an_hour(after: str, messages: int) -> None:
    rule = f'[coop.letout]\nafter = "{after}"\n[[flock]]'
    days = almanac(SITE + WALNUT + HAZEL.replace("[[flock]]", rule) + ANA)
    steps = [note.step for note in notes.notes_of(days, WINTER)]
    assert len([step for step in steps if step.startswith("let-out-")]) == messages


def test_houses_let_out_apart_do_not_even_when_one_name_ends_like_the_other(opened: Open) -> None:
    early = HAZEL.replace("[[flock]]", SECURE)
    late = WALNUT.replace("Walnut", "Old Hazel").replace('"walnut"', '"old-hazel"')
    house = opened(SITE + late + early + ANA)
    dawn = house.notes(at("07:30"))
    assert shown(dawn) == ["brief ana push", "let-out-hazel ana push"]
    assert told(dawn, "let-out-hazel").title == "Let out Hazel at 07:23"
    later = house.notes(at("08:34"))
    assert told(later, "let-out-old-hazel").title == "Let out Old Hazel at 08:33"


def test_free_range_names_both_times(opened: Open) -> None:
    found = opened(SITE + WALNUT + ANA + RANGER).notes(at("15:00"))
    message = told(found, "range-walnut")
    assert message.title == "Free range now: Walnut, call in 15:43"
    assert message.body.endswith("lock up at 16:18.")


def test_k7_under_a_disease_order_nobody_is_told_to_let_out_into_an_open_run() -> None:
    order = Records(reports=(Report(kind="order", spell=Spell(first=WINTER)),))
    steps = []
    for text in (TEXT, TEXT.replace("[[flock]]", SECURE)):
        days = Almanac(household=household(text), records=order, ways=BOTH, key=KEY)
        steps.append([note.step for note in notes.notes_of(days, WINTER)])
    assert steps == [["brief"], ["brief", "let-out-walnut"]]


# The brief


def brief(house: Desk, clock: str = "+07:00") -> Message:
    return told(house.notes(at(clock)), "brief")


def test_the_brief_says_the_day(opened: Open) -> None:
    message = brief(opened(TEXT))
    assert message.title.startswith("Today: lock up 16:19, ")
    assert "job" in message.title
    assert message.stem == "Today at Orchard"
    assert message.priority == USUAL
    lines = message.body.splitlines()
    assert lines[0] == "Tonight:"
    assert lines[1].startswith("- Walnut: lock up 16:19, latest 16:34. ")
    assert "Jobs:" in lines


UNCONFIRMED = "Walnut: nobody confirmed the door last night."


def test_an_evening_that_nobody_confirmed_comes_first(opened: Open) -> None:
    house = opened(TEXT)
    house.go(at("16:19"))
    message = brief(house)
    assert message.body.splitlines()[0] == UNCONFIRMED
    assert message.title.endswith("; 1 to look at")


def test_a_confirmed_evening_is_not_mentioned(opened: Open) -> None:
    house = opened(TEXT)
    house.go(at("16:19"))
    house.say("closed", "16:20", 12)
    assert "confirmed" not in brief(house).body


def test_a_door_opened_again_and_not_shut_is_not_confirmed(opened: Open) -> None:
    house = opened(TEXT)
    house.go(at("16:19"))
    house.say("closed", "16:20", 12)
    house.say("reopened", "16:25")
    assert UNCONFIRMED in brief(house).body


def test_not_even_when_something_else_was_said_of_it_since(opened: Open) -> None:
    house = opened(TEXT)
    house.go(at("16:19"))
    house.say("closed", "16:20", 12)
    house.say("reopened", "16:25")
    house.say("dead", "16:30", 1)
    assert UNCONFIRMED in brief(house).body


def test_an_evening_of_which_nobody_was_told_is_no_complaint(opened: Open) -> None:
    assert "confirmed" not in brief(opened(TEXT)).body


def test_of_two_houses_the_open_one_is_named(opened: Open) -> None:
    house = opened(SITE + WALNUT + HAZEL + ANA)
    house.go(at("16:19"))
    house.say("closed", "16:20", 12, coop="walnut")
    lines = brief(house).body.splitlines()
    assert lines[0] == "Hazel: nobody confirmed the door last night."
    assert "Walnut: nobody" not in lines[1]


def test_more_birds_than_there_are_are_asked_about(opened: Open) -> None:
    house = opened(TEXT)
    house.say("closed", "16:20", 14)
    assert brief(house).body.splitlines()[0] == (
        "Walnut: 14 counted in, but 12 were expected. Which is right?"
    )


def test_failed_messages_a_restart_and_a_set_clock_are_mentioned(opened: Open) -> None:
    house = opened(TEXT)
    key = Key(site_id="orchard", subject_id="walnut", day=WINTER, step="next", opening=0,
              person_id="ben", channel="push")  # fmt: skip
    dead = Delivery(
        key=key, message=Message(title="t", body="b", stem="s"), due_at=at("16:33"),
        useful_until=at("+08:00"), state="dead",
    )  # fmt: skip
    old = replace(dead, key=replace(key, step="again"), due_at=at("16:25", WINTER - DAY))
    with house.journal.writing() as writing:
        deliveries.add(writing.connection, [dead, old])
        memos.note(writing.connection, "orchard", notes.RESTARTED, "x")
        memos.note(writing.connection, "orchard", notes.STEPPED, "x")
    message = brief(house)
    lines = message.body.splitlines()
    assert "1 push message to Ben did not arrive." in lines
    (restarted,) = [line for line in lines if line.startswith("Duskfold was restarted")]
    for thing in ("light timer", "water heater", "electric fence", "clock of the door"):
        assert thing in restarted
    assert any("clock of Duskfold's machine was set" in line for line in lines)


def test_the_brief_of_america_speaks_american(opened: Open) -> None:
    message = brief(opened(TEXT.replace('"UK"', '"US"')))
    assert message.title.startswith("Today: lock up 4:19 pm, ")
    assert "lock up 4:19 pm, latest 4:34 pm." in message.body
