"""What a site tells besides its evenings: let-out, free-range time and the morning brief."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.alerts.delivery import (
    LOUD,
    QUIET,
    USUAL,
    Delivery,
    Key,
    Matter,
    Message,
    Outcome,
    Outgoing,
)
from scheduler.alerts.step import decode
from scheduler.cares.records import Records, Report, ReportKind, Spell
from scheduler.journal import deliveries, memos
from scheduler.messages.brief import after_a_restart
from scheduler.service.almanac import Almanac
from scheduler.watch import messages_by_day, morning_brief, site_messages
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
from tests.faults.driven import driven, memory_folder
from tests.journal.as_said import keep_closings
from tests.service.desk import Desk, desk
from tests.told import words

__all__ = ["memory_folder"]

DAY = timedelta(days=1)
LATER = WINTER + 100 * DAY
GENTLE = '[reminders]\nletout = "gentle"\n'
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
    return next(words(one) for one in found if str(one.key.step) == step)


# When


def test_a_day_has_its_brief_its_let_out_and_free_range_for_who_wants_it() -> None:
    found = site_messages.notes_of(almanac(SITE + WALNUT + ANA + RANGER + GENTLE), WINTER)
    assert [(f"{note.at:%H:%M}", str(note.step), note.people) for note in found] == [
        ("07:00", "brief", ("ana",)),
        ("08:33", "let-out-walnut", ("ana",)),
        ("14:53", "range-walnut", ("ben",)),
    ]
    assert all(note.at < note.useful_until for note in found)


@pytest.mark.parametrize(
    ("settings", "steps"),
    [
        ("", ["brief"]),
        (GENTLE, ["brief", "let-out-walnut"]),
        ('[reminders]\nletout = "none"\n', ["brief"]),
        (GENTLE + 'brief = "none"\n', ["let-out-walnut"]),
    ],
)
def test_each_can_be_switched_off(settings: str, steps: list[str]) -> None:
    assert [
        str(note.step) for note in site_messages.notes_of(almanac(TEXT + settings), WINTER)
    ] == steps


def test_a_sitter_has_the_brief_and_what_is_told_by_day_on_their_days_alone() -> None:
    sitter = BEN + 'role = "sitter"\nfirst_day = 2026-12-21\nlast_day = 2026-12-22\n'
    days = almanac(SITE + WALNUT + sitter + ANA + GENTLE)
    for day, who in ((WINTER - DAY, "ana"), (WINTER, "ben"), (WINTER + 2 * DAY, "ana")):
        found = site_messages.notes_of(days, day)
        assert {note.people for note in found} == {(who,)}, day


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
    found = site_messages.notes_of(almanac(SITE + WALNUT + people), WINTER)
    assert [note.people for note in found if str(note.step) == "brief"] == (
        [readers] if readers else []
    )


def test_where_nobody_can_be_told_there_is_nothing_to_tell() -> None:
    assert site_messages.notes_of(almanac(SITE + WALNUT), WINTER) == ()


def test_each_goes_out_once_while_it_is_of_use(opened: Open) -> None:
    house = opened(TEXT + GENTLE)
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
    days = almanac(TEXT + GENTLE)
    assert site_messages.next_note(days, at("06:00")) == at("07:00")
    assert f"{site_messages.next_note(days, at('07:00')):%H:%M}" == "08:33"
    assert site_messages.next_note(days, at("12:00")) == at("+07:00")


# Let-out


def test_a_let_out_is_quiet(opened: Open) -> None:
    message = told(opened(TEXT + GENTLE).notes(at("08:34")), "let-out-walnut")
    assert (message.title, message.priority) == ("Let out Walnut at 08:33", QUIET)


def test_it_may_be_loud(opened: Open) -> None:
    house = opened(TEXT + '[reminders]\nletout = "loud"\n')
    assert told(house.notes(at("08:34")), "let-out-walnut").priority == LOUD


@pytest.mark.parametrize(("air_c", "told_of"), [(None, True), (27.0, True), (26.9, False)])
def test_without_being_asked_for_it_is_told_of_on_hot_days_only(
    opened: Open, air_c: float | None, *, told_of: bool
) -> None:
    house = opened(TEXT)
    heat = Report(kind="heat", spell=Spell(first=WINTER), air_c=air_c)
    mild = Report(kind="heat", spell=Spell(first=WINTER), air_c=5.0)  # takes nothing back
    house.days = Almanac(
        household=household(), records=Records(reports=(heat, mild)), ways=BOTH, key=KEY
    )
    found = {str(one.key.step): words(one) for one in house.notes(at("08:34"))}
    assert ("let-out-walnut" in found) is told_of
    if told_of:
        message = found["let-out-walnut"]
        assert (message.priority, message.title.endswith(": it will be hot today")) == (USUAL, True)


def test_birds_that_an_order_keeps_in_are_aired_on_a_hot_morning(opened: Open) -> None:
    house = opened(TEXT)
    heat = Report(kind="heat", spell=Spell(first=WINTER), air_c=34.0)
    order = Report(kind="order", spell=Spell(first=WINTER))
    house.days = Almanac(
        household=household(), records=Records(reports=(heat, order)), ways=BOTH, key=KEY
    )
    found = {str(one.key.step): words(one) for one in house.notes(at("08:34"))}
    assert "let-out-walnut" not in found
    message = found["heat-in-walnut"]
    assert message.title == "Hot today, and they stay in: open every vent of Walnut"
    assert message.priority == USUAL


def test_no_vent_is_opened_on_chicks_that_are_kept_in_where_it_is_warm(opened: Open) -> None:
    house = opened(TEXT)
    young = TEXT.replace("hens = 12", 'young = 12\nage = "chick"\nraised_by = "brooder"')
    assert young != TEXT
    heat = Report(kind="heat", spell=Spell(first=WINTER), air_c=34.0)
    house.days = Almanac(
        household=household(young), records=Records(reports=(heat,)), ways=BOTH, key=KEY
    )
    found = house.notes(at("08:34"))
    assert not [words(one).title for one in found if "vent" in words(one).title]


@pytest.mark.parametrize("later", ["heat", "order"])
def test_what_is_only_known_after_the_let_out_is_told_then(opened: Open, later: str) -> None:
    house = opened(TEXT)
    early, late = at("18:00", WINTER - DAY), at("11:00")
    heat = Report(kind="heat", spell=Spell(first=WINTER), air_c=30.0, made_at=early)
    order = Report(kind="order", spell=Spell(first=WINTER), made_at=early)
    reports = [replace(one, made_at=late if one.kind == later else early) for one in (heat, order)]
    house.days = Almanac(
        household=household(), records=Records(reports=tuple(reports)), ways=BOTH, key=KEY
    )
    assert "heat-in-walnut" in {str(one.key.step) for one in house.notes(at("11:00"))}
    assert "heat-in-walnut" not in {str(one.key.step) for one in house.notes(at("12:00"))}
    (night,) = house.days.planned(WINTER, ())
    at_dusk = replace(heat, made_at=night.lock_up)
    records = Records(reports=(replace(order, made_at=early), at_dusk))
    house.days = Almanac(household=household(), records=records, ways=BOTH, key=KEY)
    assert "heat-in-walnut" not in {str(one.key.step) for one in house.notes(night.lock_up)}


def test_where_summers_are_hot_averages_make_it_loud() -> None:
    hot = almanac(TEXT.replace("24 °C", "35 °C"))
    assert messages_by_day.is_hot(hot, WINTER.replace(month=7))
    assert not messages_by_day.is_hot(hot, WINTER)
    assert not messages_by_day.is_hot(almanac(), WINTER.replace(month=7))


def test_houses_let_out_together_share_a_message(opened: Open) -> None:
    house = opened(SITE + WALNUT + HAZEL + ANA + GENTLE)
    found = house.notes(at("08:34"))
    assert shown(found) == ["brief ana push", "let-out-walnut ana push"]
    assert told(found, "let-out-walnut").title == "Let out Walnut and Hazel at 08:33"


@pytest.mark.parametrize(("after", "messages"), [("15 min", 1), ("14 min", 2)])
def test_together_means_within_a_quarter_of_an_hour(after: str, messages: int) -> None:
    rule = f'[coop.letout]\nafter = "{after}"\n[[flock]]'
    days = almanac(SITE + WALNUT + HAZEL.replace("[[flock]]", rule) + ANA + GENTLE)
    steps = [str(note.step) for note in site_messages.notes_of(days, WINTER)]
    assert len([step for step in steps if step.startswith("let-out-")]) == messages


def test_houses_let_out_apart_do_not_even_when_one_name_ends_like_the_other(opened: Open) -> None:
    early = HAZEL.replace("[[flock]]", SECURE)
    late = WALNUT.replace("Walnut", "Old Hazel").replace('"walnut"', '"old-hazel"')
    house = opened(SITE + late + early + ANA + GENTLE)
    dawn = house.notes(at("07:30"))
    assert shown(dawn) == ["brief ana push", "let-out-hazel ana push"]
    assert told(dawn, "let-out-hazel").title == "Let out Hazel at 07:23"
    later = house.notes(at("08:34"))
    assert told(later, "let-out-old-hazel").title == "Let out Old Hazel at 08:33"


def test_free_range_names_both_times(opened: Open) -> None:
    found = opened(SITE + WALNUT + ANA + RANGER).notes(at("15:00"))
    message = told(found, "range-walnut")
    assert message.title == "Free range now: Walnut, call them in at 15:43"
    assert message.body.endswith("lock up at 16:18.")


def test_k7_under_a_housing_order_nobody_is_told_to_let_out_into_an_open_run() -> None:
    order = Records(reports=(Report(kind="order", spell=Spell(first=WINTER)),))
    steps = []
    for text in (TEXT, TEXT.replace("[[flock]]", SECURE)):
        days = Almanac(household=household(text + GENTLE), records=order, ways=BOTH, key=KEY)
        steps.append([str(note.step) for note in site_messages.notes_of(days, WINTER)])
    assert steps == [["brief"], ["brief", "let-out-walnut"]]


# The brief


def brief(house: Desk, clock: str = "+07:00") -> Message:
    return told(house.notes(at(clock)), "brief")


def test_the_brief_says_the_day(opened: Open) -> None:
    message = brief(opened(TEXT))
    assert message.title.startswith("Today: lock up at 16:19, ")
    assert "job" in message.title
    assert message.stem == "Today at Orchard"
    assert message.priority == USUAL
    house, *walks = message.body.splitlines()
    assert house == "Walnut: let out 08:34, lock up 16:19, shut by 16:34."
    assert [walk.split(",")[0] for walk in walks] == ["Morning", "Evening"]


def test_a_walk_that_ends_with_a_question_ends_with_its_mark_alone(opened: Open) -> None:
    asked = '\n[rounds]\nlines = 20\n[[care]]\nname = "Is the tap lagged?"\nevery = "1 day"\n'
    body = brief(opened(TEXT + asked + 'from = 2026-12-01\nround = "evening"\n')).body
    assert body.splitlines()[-1].endswith("; Is the tap lagged?")


UNCONFIRMED = "Walnut: nobody confirmed the door last night."


def test_an_evening_that_nobody_confirmed_comes_first(opened: Open) -> None:
    house = opened(TEXT)
    house.go(at("16:19"))
    message = brief(house)
    assert message.body.splitlines()[0] == UNCONFIRMED
    assert message.title.endswith("; 1 thing needs a look")


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


def test_k3_a_missing_bird_stays_in_the_brief_every_day_until_somebody_ends_it(
    opened: Open,
) -> None:
    house = opened(TEXT)
    house.say("closed", "16:20", 11)
    house.say("not-found", "17:00")
    line = "Walnut: 1 still missing since Mon 21 Dec. Found, dead or given up?"
    for days in (1, 2, 9):
        now = at("07:00", WINTER + days * DAY)
        assert told(house.notes(now), "brief").body.splitlines()[0] == line
    found = replace(house.closings()[-1], kind="found", evening=WINTER + 9 * DAY, count=1)
    with house.journal.writing() as writing:
        keep_closings(writing.connection, "orchard", [found], at("+12:00"))
    now = at("07:00", WINTER + 10 * DAY)
    assert "missing" not in told(house.notes(now), "brief").body


@pytest.mark.parametrize("counted", [False, True])
def test_the_brief_says_that_nobody_has_counted_since_some_were_missing(
    opened: Open, *, counted: bool
) -> None:
    house = opened(TEXT)
    house.say("closed", "16:20", some_missing=True)
    house.say("found", "16:30", 1)
    if counted:
        house.say("closed", "16:40", 12)
    line = "Walnut: some were missing, and nobody has counted since."
    assert (brief(house).body.splitlines()[0] == line) is not counted


@pytest.mark.parametrize("counted", [False, True])
def test_many_birds_are_asked_to_be_counted_once_a_week(opened: Open, *, counted: bool) -> None:
    house = opened(TEXT.replace("hens = 12", "hens = 25"))
    house.say("closed", "16:20", 25 if counted else None)
    a_week_before = replace(house.closings()[-1], evening=WINTER - 6 * DAY, count=None)
    with house.journal.writing() as writing:
        keep_closings(writing.connection, "orchard", [a_week_before], at("16:19"))
    wanted = "Walnut: please count them all tonight. It has been a week."
    assert (wanted in brief(house).body) is not counted


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


def test_one_too_many_may_be_she_who_was_said_to_be_dead(opened: Open) -> None:
    house = opened(TEXT)
    house.say("dead", "16:10", 1)
    house.say("closed", "16:20", 12)
    assert brief(house).body.splitlines()[0] == (
        "Walnut: 12 counted in, but 11 were expected; 1 was said to be dead on Mon 21 Dec. "
        "Which is right?"
    )


def test_failed_messages_a_restart_and_a_set_clock_are_mentioned(opened: Open) -> None:
    house = opened(TEXT)
    key = Key(site_id="orchard", subject_id="walnut", day=WINTER, step=decode("next"), opening=0,
              person_id="ben", channel="push")  # fmt: skip
    dead = Delivery(
        key=key, matter=Matter(words=Message(title="t", body="b", stem="s")), due_at=at("16:33"),
        useful_until=at("+08:00"), state="dead",
    )  # fmt: skip
    old = replace(dead, key=replace(key, step=decode("again")), due_at=at("16:25", WINTER - DAY))
    with house.journal.writing() as writing:
        deliveries.add(writing.connection, [dead, old])
        memos.note(writing.connection, "orchard", morning_brief.RESTARTED, "x")
        memos.note(writing.connection, "orchard", morning_brief.STEPPED, "x")
    message = brief(house)
    lines = message.body.splitlines()
    assert "1 push message to Ben did not arrive." in lines
    assert "Duskfold was restarted, perhaps by a power cut." in lines
    assert any("clock of Duskfold's machine was set" in line for line in lines)


@pytest.mark.parametrize(
    ("days_left", "line"),
    [
        (22, ""),
        (21, "The backup alarm of Ana and Cleo ends on 12 January: get a new one"),
        (20, ""),
        (14, "The backup alarm of Ana and Cleo ends on 5 January: get a new one"),
        (0, "The backup alarm of Ana and Cleo ends on 22 December: get a new one"),
        (-1, "The backup alarm of Ana and Cleo ended on 21 December: get a new one"),
        (-2, ""),
    ],
)
def test_a_new_backup_alarm_is_offered_once_a_week_in_the_last_three(
    opened: Open, days_left: int, line: str
) -> None:
    house = opened(TEXT)
    last = WINTER + (1 + days_left) * DAY
    with house.journal.writing() as writing:
        for person_id, day in (("ana", last), ("cleo", last), ("gone", last), ("ben", LATER)):
            memos.note_backup_alarm(writing.connection, "orchard", person_id, day)
    told_of = [one for one in brief(house).body.splitlines() if "backup alarm" in one]
    assert told_of == ([f"{line} on the page Subscribe."] if line else [])


def refuses_ben(outgoing: Outgoing) -> Outcome:
    return Outcome(kind="bad address" if "/ben" in outgoing.address else "sent", reason="gone")


@pytest.mark.parametrize(
    ("trouble", "first_line"),
    [
        ("", "Walnut: nobody confirmed the door last night."),
        ("address", "Do not rely on the reminders now. Ben cannot be told (push: gone)."),
        ("profile", "Do not rely on the reminders now. The changed profile cannot be used, so "),
    ],
)
def test_the_brief_says_first_why_the_reminders_cannot_be_relied_on(
    memory_folder: Path, trouble: str, first_line: str
) -> None:
    text = SITE + WALNUT + ANA.replace('mail = "ana@example.org"\n', "") + BEN
    with driven(memory_folder, text, at("12:30")) as home:
        if trouble == "address":
            home.channel("push").meaning = refuses_ben
        for clock in ("12:30", "16:20", "16:30", "17:00", "22:00"):
            home.at(at(clock))
        if trouble == "profile":
            home.write_profile("[")
        home.at(at("+06:50"))
        home.at(at("+07:01"))
        briefs = [one.outgoing.message for one in home.messages()]
        (told,) = [one for one in briefs if one.title.startswith("Today: ")]
        assert told.body.splitlines()[0].startswith(first_line)


def test_the_brief_of_america_speaks_american(opened: Open) -> None:
    message = brief(opened(TEXT.replace('"UK"', '"US"')))
    assert message.title.startswith("Today: lock up at 4:19 pm, ")
    assert "lock up 4:19 pm, shut by 4:34 pm." in message.body


def test_k14_after_a_restart_only_what_the_house_owns_is_named() -> None:
    inside = "[[coop.drinker]]\ninside = true\n[[coop.feeder]]\ninside = true\n"
    owned = {
        "the lamp's timer": "[coop.light]\nprogramme = true\n" + inside,
        "the heated drinkers": "[[coop.drinker]]\nheated = true\n",
        "the electric netting": '[coop.run]\nnetting = "electric"\n',
        "the automatic door": 'door = "automatic"\n',
    }
    for thing, text in owned.items():
        profile = household(TEXT.replace("[[flock]]", text + "[[flock]]")).profile
        said = after_a_restart(profile)
        assert said == f"Duskfold was restarted, perhaps by a power cut. Check {thing}."
    assert "Look at" not in after_a_restart(household().profile)


def test_the_brief_has_eight_lines_at_most_and_leads_to_the_rest(opened: Open) -> None:
    houses = "".join(
        WALNUT.replace("Walnut", f"House {n}").replace("walnut", f"house-{n}").replace(
            "Girls", f"Girls {n}"
        )
        for n in range(12)
    )  # fmt: skip
    message = brief(opened(SITE + houses + ANA + '[web]\nbase_url = "https://h.example.org"\n'))
    lines = message.body.splitlines()
    assert len(lines) == 8
    assert lines[-1] == "And 7 more lines: open Today."
    assert message.link == "https://h.example.org/"


def test_k6_a_house_without_birds_has_no_times_in_the_brief(opened: Open) -> None:
    comes = 'arrived = 2026-12-30\nraised_by = "hen"\n'
    lines = brief(opened(SITE + WALNUT + HAZEL + comes + ANA)).body.splitlines()
    assert "Hazel: no birds tonight. Bantams come on 30 December." in lines
    alone = opened(SITE + HAZEL + comes + ANA)
    assert told(alone.notes(at("07:00", WINTER + 2 * DAY)), "brief").title == "Today: no jobs"


def test_the_brief_lets_nobody_out_of_a_house_in_which_nobody_slept(opened: Open) -> None:
    comes = f'arrived = {WINTER + DAY}\nraised_by = "hen"\n'
    lines = brief(opened(SITE + WALNUT + HAZEL + comes + ANA)).body.splitlines()
    [hazel] = [line for line in lines if line.startswith("Hazel: ")]
    assert hazel.startswith("Hazel: lock up ")


def test_what_is_urgent_stands_in_the_brief_before_the_times(opened: Open) -> None:
    house = opened(TEXT)
    storm = Report(kind="storm", spell=Spell(first=WINTER + DAY, last=WINTER + DAY))
    house.days = Almanac(
        household=household(), records=Records(reports=(storm,)), ways=BOTH, key=KEY
    )
    lines = brief(house).body.splitlines()
    assert lines[:2] == [
        "Morning, 15 min: Storm: secure or take down netting, cover the feed.",
        "Evening, 8 min: Look for storm damage: wire, roof, branches.",
    ]
    assert "They stay in: a storm is on its way." in lines[2]
    assert "Storm:" not in "".join(lines[3:])


@pytest.mark.parametrize(("days_ago", "asked"), [(13, False), (14, True), (15, False), (28, True)])
def test_a_housing_order_is_asked_about_each_fortnight(
    opened: Open, days_ago: int, *, asked: bool
) -> None:
    house = opened(TEXT)
    order = Report(kind="order", spell=Spell(first=WINTER + DAY - days_ago * DAY))
    house.days = Almanac(
        household=household(), records=Records(reports=(order,)), ways=BOTH, key=KEY
    )
    since = f"Housing order since {order.spell.first.day} {order.spell.first:%B}. Still in force?"
    assert (since in brief(house).body.splitlines()) is asked


@pytest.mark.parametrize(
    ("last", "line"),
    [
        (WINTER, "The housing order ended yesterday. If it was prolonged, say so."),
        (WINTER + DAY, "Today is the last day of the housing order."),
        (WINTER - DAY, None),
        (WINTER + 2 * DAY, None),
    ],
)
@pytest.mark.parametrize("prolonged", [False, True])
def test_the_end_of_a_housing_order_is_told_once_unless_another_holds(
    opened: Open, last: date, line: str | None, *, prolonged: bool
) -> None:
    house = opened(TEXT)
    order = Report(kind="order", spell=Spell(first=WINTER - 9 * DAY, last=last))
    more = (replace(order, spell=Spell(first=last + DAY)),) if prolonged else ()
    house.days = Almanac(
        household=household(), records=Records(reports=(order, *more)), ways=BOTH, key=KEY
    )
    told_lines = [one for one in brief(house).body.splitlines() if "housing order" in one.lower()]
    ends = [one for one in told_lines if "last day" in one or "ended" in one]
    assert ends == ([line] if line and not prolonged else [])


# Emergencies


def reported(house: Desk, text: str, *reports: Report) -> None:
    house.days = Almanac(
        household=household(text), records=Records(reports=reports), ways=BOTH, key=KEY
    )


SUMMER = date(2026, 7, 20)


@pytest.mark.parametrize(
    ("day", "kind", "air_c", "job"),
    [
        (SUMMER, "heat", 38.0, "Heat emergency: cool water, shade, moving air"),
        (WINTER, "frost", -15.0, "Check combs, wattles and toes for frostbite"),
    ],
)
def test_k5_an_emergency_is_told_at_once_and_once_a_day(
    opened: Open, day: date, kind: ReportKind, air_c: float, job: str
) -> None:
    house = opened(TEXT)
    made = at("10:40", day)
    spell = Spell(first=day, last=day + DAY)
    reported(house, TEXT, Report(kind=kind, spell=spell, air_c=air_c, made_at=made))
    assert site_messages.next_note(house.days, at("10:30", day)) == made
    steps = [str(one.key.step) for one in house.notes(at("10:39", day))]
    assert not [step for step in steps if step.startswith("urgent")]
    (told_now,) = house.notes(made)
    assert told_now.key.person_id == "ana"
    assert words(told_now).priority == LOUD
    assert words(told_now).title.startswith(job)
    assert house.notes(at("10:41", day)) == []


def test_k5_the_midday_walk_of_an_emergency_is_announced_when_it_is_due(opened: Open) -> None:
    house = opened(TEXT)
    heat = Report(
        kind="heat",
        spell=Spell(first=SUMMER, last=SUMMER + DAY),
        air_c=38.0,
        made_at=at("07:00", SUMMER),
    )
    reported(house, TEXT, heat)
    for day in (SUMMER, SUMMER + DAY):
        walk = next(one for one in house.days.plan_of(day).rounds if one.name == "midday")
        house.notes(walk.start - timedelta(minutes=1))
        (due,) = house.notes(walk.start)
        assert (str(due.key.step), words(due).priority) == ("urgent-midday", LOUD)
        assert words(due).title.startswith("Heat emergency: cool water, shade, moving air, now")
        assert house.notes(walk.start + timedelta(minutes=1)) == []


def test_k5_what_was_told_within_the_hour_is_not_told_again_at_the_walk(opened: Open) -> None:
    house = opened(TEXT)
    made = at("11:40", SUMMER)
    heat = Report(kind="heat", spell=Spell(first=SUMMER, last=SUMMER), air_c=38.0, made_at=made)
    reported(house, TEXT, heat)
    steps = [str(note.step) for note in site_messages.notes_of(house.days, SUMMER)]
    assert "urgent-heat-114000" in steps
    assert "urgent-midday" not in steps


def test_an_emergency_that_only_who_has_left_was_told_is_told_to_who_is_on_duty_now(
    opened: Open,
) -> None:
    house = opened(TEXT)
    made = at("11:40", SUMMER)
    heat = Report(kind="heat", spell=Spell(first=SUMMER, last=SUMMER), air_c=38.0, made_at=made)
    reported(house, TEXT, heat)
    before = house.notes(made)
    assert "urgent-heat-114000 ana push" in shown(before)
    reported(house, SITE + WALNUT + BEN + CLEO, heat)
    found = house.notes(at("11:45", SUMMER))
    assert "urgent-heat-114000 ben push" in shown(found)
    assert told(found, "urgent-heat-114000").priority == LOUD
    assert house.notes(at("11:46", SUMMER)) == []


def test_k5_an_ordinary_job_or_one_that_was_there_before_is_not_told_at_once() -> None:
    def steps(*reports: Report) -> list[str]:
        records = Records(reports=reports)
        days = Almanac(household=household(), records=records, ways=BOTH, key=KEY)
        found = site_messages.notes_of(days, SUMMER)
        return [str(note.step) for note in found if str(note.step).startswith("urgent")]

    spell = Spell(first=SUMMER, last=SUMMER)
    early, late = at("08:00", SUMMER - DAY), at("09:00", SUMMER)
    warm = Report(kind="heat", spell=spell, air_c=30.0, made_at=late)
    hot = Report(kind="heat", spell=spell, air_c=38.0, made_at=late)
    known = Report(kind="heat", spell=spell, air_c=38.0, made_at=early)
    assert steps(warm) == []
    assert steps(hot) == ["urgent-heat-090000", "urgent-midday"]
    assert steps(known, hot) == ["urgent-midday"]


def test_k5_a_predator_that_comes_nearer_is_told_of_again() -> None:
    spell = Spell(first=WINTER, last=WINTER + 13 * DAY)
    near = Report(kind="predator", spell=spell, grade="nearby", made_at=at("09:00"))
    inside = Report(kind="predator", spell=spell, grade="got-at", made_at=at("10:00"))
    steps = []
    for reports in ((near,), (near, inside)):
        records = Records(reports=reports)
        days = Almanac(household=household(), records=records, ways=BOTH, key=KEY)
        steps.append(
            [
                str(n.step)
                for n in site_messages.notes_of(days, WINTER)
                if str(n.step).startswith("urgent")
            ]
        )
    assert steps == [
        ["urgent-predator-090000"],
        ["urgent-predator-090000", "urgent-predator-100000"],
    ]


def test_an_emergency_reported_before_midnight_is_told_after_it(opened: Open) -> None:
    house = opened(TEXT)
    spell = Spell(first=WINTER, last=WINTER + 13 * DAY)
    late = Report(kind="predator", spell=spell, grade="got-at", made_at=at("23:50"))
    reported(house, TEXT, late)
    told = house.notes(at("23:50") + timedelta(minutes=15))
    assert "urgent-predator-235000" in [str(one.key.step) for one in told]
    assert not [
        one
        for one in house.notes(at("23:50") + timedelta(minutes=16))
        if "urgent" in str(one.key.step)
    ]


def test_a_report_taken_back_does_not_swallow_the_next_one() -> None:
    spell = Spell(first=SUMMER, last=SUMMER)
    second = Report(kind="heat", spell=spell, air_c=38.0, made_at=at("09:05", SUMMER))
    first = Report(kind="heat", spell=spell, air_c=38.0, made_at=at("09:00", SUMMER))
    steps = []
    for reports in ((first,), (second,)):
        days = Almanac(household=household(), records=Records(reports=reports), ways=BOTH, key=KEY)
        steps.append(
            [str(n.step) for n in site_messages.notes_of(days, SUMMER) if "heat" in str(n.step)]
        )
    assert steps == [["urgent-heat-090000"], ["urgent-heat-090500"]]
