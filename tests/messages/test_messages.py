"""The words: read on a lock screen, within 80 characters, whatever the houses are called."""

import unicodedata
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.delivery import LOUD, LOUDEST, QUIET, Message
from scheduler.alerts.reminded_evening import CalledStep, DoorStates, Evening
from scheduler.alerts.search_call import SearchCall
from scheduler.alerts.step import SearchKind
from scheduler.cares.ahead import Ahead
from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.door_fold import door as door_of
from scheduler.messages import by_day, own_faults, profile_changed, ways_out
from scheduler.messages.all_clear import all_clear
from scheduler.messages.answers import shut_buttons
from scheduler.messages.brief import Brief, brief
from scheduler.messages.call_to_search import call_to_search, search_places
from scheduler.messages.emergency import Reported, Urgent, emergency, over
from scheduler.messages.missing import missing_since
from scheduler.messages.news import emptied
from scheduler.messages.phrases import TITLE_LENGTH
from scheduler.messages.reminders import held, reminder
from scheduler.profile.person import ReminderStep
from scheduler.profile.text_fields import forbidden_character
from scheduler.profile.units import Region, Units
from scheduler.tokens.answer import read_answer
from tests.alerts.orchard import (
    ANA,
    HAZEL,
    KEY,
    SITE,
    TEXT,
    WALNUT,
    WINTER,
    almanac,
    at,
    evenings,
    night_of,
    said,
)

DAY = timedelta(days=1)

KINDS: tuple[ReminderStep, ...] = get_args(ReminderStep)
REGIONS: tuple[Region, ...] = get_args(Region)
TWO = SITE + WALNUT + HAZEL + ANA
LONG = "Ann’s " + "W" * 74
assert len(LONG) == 80


def states(evening: Evening, *closings: Closing) -> DoorStates:
    return {
        door.coop_id: door_of(closings, door.coop_id, evening.day, door.birds)
        for door in evening.doors
    }


def step(evening: Evening, kind: ReminderStep) -> CalledStep:
    return next(step for step in evening.steps if step.kind == kind)


def message(kind: ReminderStep, source: str = TEXT, *closings: Closing) -> Message:
    (evening,) = evenings(source)
    return reminder(night_of(evening, states(evening, *closings)), step(evening, kind), "ana")


def with_weather(kind: ReminderStep, region: Region = "UK", early: int = 12) -> Message:
    """The message of an evening under cloud, with frost and a storm the next day."""
    (evening,) = evenings(TEXT.replace('region = "UK"', f'region = "{region}"'))
    evening = replace(evening, dark_minutes_early=early)
    ahead = (
        Ahead("frost", -3.0, ("Ice: free the drinkers", "Check combs")),
        Ahead("storm", None, ("Storm: secure the netting",)),
    )
    units: Units = "us" if region == "US" else "metric"
    night = replace(night_of(evening, states(evening)), ahead=ahead, units=units)
    return reminder(night, step(evening, kind), "ana")


def test_the_heads_up_tells_of_cloud_before_the_doors_and_of_tomorrow_after_them() -> None:
    lines = with_weather("heads-up").body.splitlines()
    assert lines[0] == "Cloudy: dark about 12 minutes early."
    assert lines[1].startswith("Walnut: 12 hens.")
    assert lines[-2:] == [
        (
            "Frost possible tonight, down to about -3\u00a0°C. "
            "Tomorrow: Ice: free the drinkers; Check combs."
        ),
        "A storm is forecast for tomorrow: Storm: secure the netting.",
    ]


def test_in_the_us_it_is_told_in_fahrenheit() -> None:
    assert (
        "Frost possible tonight, down to about 27\u00a0°F. " in with_weather("heads-up", "US").body
    )


@pytest.mark.parametrize("kind", KINDS)
def test_weather_changes_no_title_and_only_the_calls_before_dark(kind: ReminderStep) -> None:
    try:
        plain = message(kind)
    except StopIteration:
        pytest.skip("not a step of the default evening")
    told = with_weather(kind)
    assert (told.title, told.priority) == (plain.title, plain.priority)
    assert ("Cloudy" in told.body) is (kind in {"heads-up", "now"})
    assert ("Frost possible tonight" in told.body) is (kind == "heads-up")
    if kind not in {"heads-up", "now"}:
        assert told.body == plain.body


@pytest.mark.parametrize(
    ("kind", "title", "priority"),
    [
        ("heads-up", "Lock up at 16:18: Walnut, 12 hens, by 16:33", 3),
        ("now", "Lock up now: Walnut, 12 hens, by 16:33", 4),
        ("again", "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33", 5),
        ("next", "Nobody has said it is shut: Walnut, 12 hens, due 16:33", 5),
        ("everybody", "Is the door shut? Walnut, 12 hens, due 16:33", 5),
        ("hourly", "Still not confirmed shut: Walnut, 12 hens, due 16:33", 4),
        (
            "bedtime",
            "NOT CONFIRMED: look with a torch before bed. Walnut, 12 hens, due 16:33",
            5,
        ),
        ("dawn", "Never confirmed shut: Walnut, 12 hens. Count, then let out at 08:34", 4),
    ],
)
def test_every_step_says_what_where_how_many_and_by_when(
    kind: ReminderStep, title: str, priority: int
) -> None:
    told = message(kind)
    assert (told.title, told.priority) == (title, priority)
    assert told.stem == "Lock up Walnut: 12 hens by 16:33"
    assert told.buttons == ()


def test_the_body_says_how() -> None:
    assert message("now").body == (
        "Walnut: 12 hens. Lock up at 16:18, shut by 16:33.\n"
        "Count them on the perch with a torch, then shut and latch the door."
    )
    assert message("dawn").body.endswith("Count before you let them out.")


def test_a_title_of_eggs_that_is_cut_stands_whole_and_closed_in_the_body() -> None:
    title = (
        "Walnut House: do not eat, give away or sell the eggs until the vet or the label says so"
    )
    assert by_day.eggs(title, "After Drops.", "").body == f"{title}. After Drops."
    assert by_day.eggs("Eat none.", "After Drops.", "").body == "After Drops."


FAR = TEXT.replace('name = "Walnut"', 'name = "Walnut"\ngetting_there = 14')
AUTOMATIC = FAR.replace("getting_there", 'door = "automatic"\ngetting_there')


def test_to_a_house_that_is_a_way_off_one_is_told_when_to_leave() -> None:
    told = message("heads-up", FAR)
    assert told.title == "Leave by 16:04 to lock up at 16:18: Walnut, 12 hens"
    assert told.body == message("heads-up").body
    assert (
        message("heads-up", AUTOMATIC).title
        == "Leave by 16:04 to check the door at 16:18: Walnut, 12 hens"
    )


@pytest.mark.parametrize("kind", ["now", "again", "next", "everybody", "bedtime", "dawn"])
def test_no_other_message_speaks_of_the_way(kind: ReminderStep) -> None:
    assert message(kind, FAR) == message(kind)


def test_under_cloud_one_leaves_for_the_dark() -> None:
    (evening,) = evenings(FAR)
    evening = replace(evening, dark_minutes_early=12)
    told = reminder(night_of(evening, states(evening)), step(evening, "heads-up"), "ana")
    assert told.title == "Leave by 15:52 to lock up at 16:06: Walnut, 12 hens"


def test_the_longest_way_of_the_open_houses_counts() -> None:
    far_hazel = TWO.replace('name = "Hazel"', 'name = "Hazel"\ngetting_there = 14')
    leave = "Leave by 16:04 to lock up at 16:18: "
    assert message("heads-up", far_hazel).title == f"{leave}Walnut and Hazel, 18 hens"
    hazel_is_shut = said(coop="hazel", count=6, flock=6)
    title = message("heads-up", far_hazel, hazel_is_shut).title
    assert title == "Lock up at 16:18: Walnut, 12 hens, by 16:33"


@pytest.mark.parametrize(
    ("text", "title"),
    [
        (FAR, "Leave now to lock up at 16:18: Walnut, 12 hens"),
        (AUTOMATIC, "Leave now to check the door at 16:18: Walnut, 12 hens"),
    ],
)
def test_where_the_morning_left_no_time_one_is_told_to_leave_now(text: str, title: str) -> None:
    (evening,) = evenings(text)
    late = replace(step(evening, "heads-up"), at=at("16:10"))
    assert reminder(night_of(evening, states(evening)), late, "ana").title == title


@pytest.mark.parametrize("door", ["", 'door = "automatic"\n'])
def test_when_to_leave_for_the_longest_american_name_fits_too(door: str) -> None:
    alaska = TEXT.replace("latitude = 51.5", "latitude = 61.2").replace("-0.1", "-149.9")
    alaska = alaska.replace("Europe/London", "America/Anchorage").replace('"UK"', '"US"')
    name = f'name = "{LONG}"\nid = "walnut"\n{door}getting_there = 14'
    alaska = alaska.replace('name = "Walnut"', name).replace("hens = 12", "hens = 1000")
    days = almanac(alaska + '[lockup]\ncap = "none"\n')
    zone = days.household.profile.site.zone
    for day in (date(2026, 6, 21), date(2026, 5, 15), date(2026, 12, 21)):
        (evening,) = days.planned(day, ())
        night = night_of(evening, states(evening), zone)
        title = reminder(night, step(evening, "heads-up"), "ana").title
        assert len(title) <= 80, title
        assert "Ann’s" in title


CHICKS = HAZEL.replace("hens = 6", 'young = 6\nage = "chick"')


def test_a_house_of_chicks_that_stay_in_is_not_let_out_with_the_others_nor_perched() -> None:
    (both,) = evenings(SITE + WALNUT + CHICKS + ANA)
    told = reminder(night_of(both, states(both)), step(both, "dawn"), "ana")
    assert (
        told.title
        == "Never confirmed shut: Walnut and Hazel, 18 birds. Count, then let out at 08:34"
    )
    assert told.body.endswith(
        "Count before you let them out of Walnut. Hazel stays shut today: look at the door, and "
        "count."
    )
    count = reminder(night_of(both, states(both)), step(both, "now"), "ana").body
    assert count.endswith("Count them with a torch, then shut and latch the door.")
    walnut_is_shut = states(both, said(count=12))
    alone = reminder(night_of(both, walnut_is_shut), step(both, "dawn"), "ana")
    assert alone.title == "Never confirmed shut: Hazel, 6 birds. Look and count: they stay in"
    assert alone.body.endswith("They stay in today: look at the door, and count.")
    older = replace(both, doors=tuple(replace(door, let_out=None) for door in both.doors))
    kept = reminder(night_of(older, states(older)), step(older, "dawn"), "ana")
    assert kept.body.endswith("Count before you let them out.")


def test_the_us_has_its_own_words_and_clock() -> None:
    states_side = TEXT.replace('"UK"', '"US"')
    assert message("now", states_side).title == "Lock up now: Walnut, 12 hens, by 4:33 pm"
    assert "look with a flashlight before bed" in message("bedtime", states_side).title
    assert message("now", states_side).body.endswith(
        "on the roost with a flashlight, then shut and latch the door."
    )
    assert message("dawn", states_side).title.endswith("let out at 8:34 am")


def test_an_automatic_door_is_to_be_checked() -> None:
    automatic = TEXT.replace('"Walnut"', '"Walnut"\ndoor = "automatic"')
    told = message("now", automatic)
    assert told.title == "Check the door now: Walnut, 12 hens, by 16:33"
    assert told.body.endswith("Check that the door has closed, and count.")
    assert "(automatic)" in told.body


def test_of_two_houses_one_automatic_is_still_locked_up() -> None:
    mixed = TWO.replace('"Walnut"', '"Walnut"\ndoor = "automatic"')
    told = message("now", mixed)
    assert told.title == "Lock up now: Walnut and Hazel, 18 hens, by 16:33"
    assert "Count them on the perch" in told.body


def test_two_houses_share_a_message_until_one_is_shut() -> None:
    assert message("now", TWO).title == "Lock up now: Walnut and Hazel, 18 hens, by 16:33"
    assert message("now", TWO, said()).title == "Lock up now: Hazel, 6 hens, by 16:33"
    assert "Walnut" not in message("now", TWO, said()).body


def test_a_message_counts_those_who_belong_in_now() -> None:
    one_dead = said("dead", "16:20", count=1)
    assert message("again", TEXT, one_dead).title.endswith("Walnut, 11 hens, by 16:33")
    two_left = TEXT.replace("hens = 12", "hens = 2")
    one_dead = replace(one_dead, flock=2)
    assert message("again", two_left, one_dead).title.endswith("Walnut, 1 hen, by 16:33")


def test_only_the_names_give_way() -> None:
    told = message("everybody", TEXT.replace("Walnut", LONG).replace('"walnut"', '"w"').replace(
        f'"{LONG}"', f'"{LONG}"\nid = "w"'))  # fmt: skip
    assert len(told.title) <= 80
    assert told.title.startswith("Is the door shut? Ann’s W")
    assert told.title.endswith("…, 12 hens, due 16:33")
    assert f"{LONG}: 12 hens" in told.body


def test_more_houses_than_fit_are_counted() -> None:
    many = "".join(
        WALNUT.replace('"Walnut"', f'"The long house number {n}"').replace('"walnut"', f'"{slug}"')
        .replace('"Girls"', f'"Girls {n}"')
        for n in range(5) for slug in [f"the-long-house-number-{n}"]
    )  # fmt: skip
    assert message("now", SITE + many + ANA).title == "Lock up now: 5 houses, 60 hens, by 16:33"


def test_the_same_evening_gives_the_same_words() -> None:
    assert message("bedtime") == message("bedtime")


def test_on_a_bright_night_the_title_says_whose_day_it_is() -> None:
    north = TEXT.replace("latitude = 51.5", "latitude = 64.15").replace("-0.1", "-21.94")
    north = north.replace("Europe/London", "Atlantic/Reykjavik") + '[lockup]\ncap = "none"\n'
    (evening,) = almanac(north).planned(date(2026, 6, 5), ())
    title = reminder(night_of(evening, states(evening)), step(evening, "now"), "ana").title
    assert title.endswith("(Sat)"), title


def test_the_longest_reminder_of_an_american_summer_fits_too() -> None:
    # A flashlight, a twelve-hour clock and a weekday after midnight leave hardly a letter.
    alaska = TEXT.replace("latitude = 51.5", "latitude = 61.2").replace("-0.1", "-149.9")
    alaska = alaska.replace("Europe/London", "America/Anchorage").replace('"UK"', '"US"')
    days = almanac(alaska.replace("hens = 12", "hens = 1000") + '[lockup]\ncap = "none"\n')
    zone = days.household.profile.site.zone
    (evening,) = days.planned(date(2026, 6, 21), ())
    night = night_of(evening, states(evening), zone)
    title = reminder(night, step(evening, "bedtime"), "ana").title
    assert len(title) <= 80, title


# Buttons


def test_the_buttons_shut_what_is_open() -> None:
    (evening,) = evenings(TWO)
    twice = states(evening)
    twice = {**twice, "hazel": replace(twice["hazel"], opening=2)}
    pressed = shut_buttons(night_of(evening, twice), "ana")
    assert [one.label for one in pressed] == [
        "All 18 in, door shut",
        "Door shut, some missing",
        "Door shut, not counted",
    ]
    answers = [read_answer(one.answer, KEY) for one in pressed]
    assert [one and one.verb for one in answers] == ["all-in", "some-missing", "not-counted"]
    for one in answers:
        assert one is not None
        assert (one.site_id, one.subject_id, one.day) == ("orchard", "hazel", evening.day)
        assert (one.opening, one.person_id) == (2, "ana")
    assert [one and one.birds for one in answers] == [(12, 6), None, None]
    left = shut_buttons(night_of(evening, states(evening, said())), "ana")
    assert left[0].label == "All 6 in, door shut"


def test_one_hen_is_simply_in() -> None:
    (evening,) = evenings(TEXT.replace("hens = 12", "hens = 1"))
    assert shut_buttons(night_of(evening, states(evening)), "ana")[0].label == "In, door shut"


def test_where_all_are_still_missing_nobody_is_in() -> None:
    (evening,) = evenings(TEXT)
    gone = states(evening, said(count=0, day=WINTER - DAY))
    assert shut_buttons(night_of(evening, gone), "ana")[0].label == "None in, door shut"


# All is well, or not


def test_where_all_are_still_missing_a_message_says_so_and_no_number() -> None:
    now = message("now", TEXT, said(count=0, day=WINTER - DAY))
    assert now.title == "Lock up now: Walnut, all still missing, by 16:33"


def test_a_year_that_is_not_the_evening_s_is_said() -> None:
    [evening] = evenings(TEXT)
    last_year = said(count=11, day=WINTER - 360 * DAY)
    [state] = states(evening, last_year).values()
    assert missing_since(state) == "1 still missing since Fri 26 Dec 2025"


def test_somebody_without_a_name_is_not_cut_within_the_words() -> None:
    [evening] = evenings(TEXT)
    told = states(evening, said(count=11, who="somebody at the terminal"))
    title = call_to_search(night_of(evening, told), SearchCall(which="search-first")).title
    assert title == "Somebody shut the door at 16:30, 1 of 12 missing: Walnut. Search now"


def test_of_birds_missed_on_two_evenings_only_the_first_is_dated() -> None:
    [evening] = evenings(TEXT)
    before = (said(count=11, day=WINTER - 2 * DAY), said(count=10, day=WINTER - DAY))
    told = states(evening, *before)
    assert missing_since(told["walnut"]) == "2 still missing, the first since Sat 19 Dec"


def clear(source: str, *closings: Closing) -> Message:
    (evening,) = evenings(source)
    return all_clear(night_of(evening, states(evening, *closings)))


def test_the_all_clear() -> None:
    told = clear(TEXT, said(clock="16:52", count=12))
    assert told.title == "Dora shut the door at 16:52, all 12 in. Nothing to do."
    assert told.priority == QUIET


@pytest.mark.parametrize(
    ("closings", "title"),
    [
        ([said()], "Dora shut the door at 16:30, not counted."),
        ([said(count=14)], "Dora shut the door at 16:30, 14 in. Only 12 expected."),
        (
            [said(count=11), said("not-found")],
            "Dora shut the door at 16:30, 11 in. 1 not found yet.",
        ),
        (
            [said(count=10, day=WINTER - DAY), said(count=10)],
            "Dora shut the door at 16:30, 10 in. 2 still missing since Sun 20 Dec.",
        ),
        (
            [said(count=11, day=WINTER - DAY), said(count=12)],
            "Dora shut the door at 16:30, all 12 in. Nothing to do.",
        ),
        (
            [said(count=12), said("elsewhere", count=1)],
            "Dora shut the door at 16:30, all 11 in, 1 elsewhere. Nothing to do.",
        ),
        (
            [said(count=12), said("elsewhere", count=1), said("back", count=1)],
            "Dora shut the door at 16:30, all 12 in. Nothing to do.",
        ),
        (
            [said("elsewhere", count=1), said(count=12)],
            "Dora shut the door at 16:30, 12 in, 1 elsewhere. Only 11 expected.",
        ),
    ],
)
def test_k2_k3_nothing_to_do_is_said_only_when_every_bird_is_accounted_for(
    closings: list[Closing], title: str
) -> None:
    assert clear(TEXT, *closings).title == title


def test_what_is_taken_back_late_of_another_evening_is_told_with_its_day() -> None:
    [evening] = evenings(TEXT)
    told = states(evening, said(clock="16:52", count=12))
    late = replace(said("undone", "17:10", 11, day=WINTER - DAY, who="Ben"), was="closed")
    late = replace(late, at=at("17:10"))
    told = {"walnut": replace(told["walnut"], last=late)}
    body = all_clear(night_of(evening, told)).body
    assert body == "Ben took back at 17:10 what was said of Sun 20 Dec."


def test_a_title_without_room_leaves_to_the_body_who_was_found() -> None:
    before = said(count=11, day=WINTER - DAY)
    told = clear(TEXT, before, said(count=10, who="Ben"), said("found", count=1, who="Cleo"))
    assert told.title == "Ben shut the door at 16:30, 11 in. 1 still missing since Sun 20 Dec."
    assert "Walnut: 11 in, 1 of them found since. 1 still missing since Sun 20 Dec." in told.body


@pytest.mark.parametrize(
    ("kind", "title"),
    [
        ("found", "Ben says 1 was found. Walnut, Mon 21 Dec: 12 in. Nothing to do."),
        ("dead", "Ben says 1 died. Walnut, Mon 21 Dec: 11 in."),
        ("given-up", "Ben says 1 was given up for lost. Walnut, Mon 21 Dec: 11 in."),
    ],
)
def test_what_is_said_the_next_morning_names_who_where_and_which_evening(
    kind: ClosingKind, title: str
) -> None:
    told = clear(TEXT, said(count=11), said(kind, "+07:10", 1, who="Ben"))
    assert told.title == title
    assert told.body.startswith("Ben said at 07:10 (Tue) that 1 ")


def test_whoever_finds_her_the_same_evening_is_named() -> None:
    told = clear(TEXT, said(count=11), said("found", "17:10", 1, who="Ben"))
    assert (
        told.title
        == "Dora shut the door at 16:30, all 12 in, 1 of them found since. Nothing to do."
    )
    assert told.body == "Ben said at 17:10 that 1 was found."


def test_many_birds_look_like_all() -> None:
    many = TEXT.replace("hens = 12", "hens = 25")
    assert clear(many, said(flock=25)).title == "Dora shut the door at 16:30, looks like all."
    (evening,) = evenings(many)
    labels = [one.label for one in shut_buttons(night_of(evening, states(evening)), "ana")]
    assert labels == [
        "All 25 in, door shut",
        "Door shut, some missing",
        "Door shut, looks like all",
    ]
    now = next(step for step in evening.steps if step.kind == "now")
    night = replace(night_of(evening, states(evening)), count_due=frozenset({"walnut"}))
    told = reminder(night, now, "ana")
    assert "Walnut: please count them all tonight. It has been a week." in told.body


def test_the_all_clear_names_the_last_of_two_doors() -> None:
    ben = said(clock="16:45", count=6, coop="hazel", who="Ben", flock=6)
    told = clear(TWO, ben, said(clock="16:40", count=12))
    assert told.title == "Ben shut the doors at 16:45: Walnut 12 in, Hazel 6 in. Nothing to do."


def test_more_than_belong_there_are_mentioned() -> None:
    told = clear(TEXT, said(clock="16:52", count=14))
    assert told.title == "Dora shut the door at 16:52, 14 in. Only 12 expected."
    assert told.body == "Walnut: 14 in. Only 12 expected. Which number is right?"


def searched(which: SearchKind, *closings: Closing, source: str = TEXT) -> Message:
    (evening,) = evenings(source)
    return call_to_search(night_of(evening, states(evening, *closings)), SearchCall(which=which))


def test_a_missing_chick_is_looked_for_where_chicks_are() -> None:
    brood = TEXT.replace("hens = 12", 'young = 12\nage = "chick"')
    body = searched("search-first", said(count=11), source=brood).body
    assert body.startswith("Look in the corners and under the bedding, behind feeder, drinker")
    assert "roof" not in body
    assert "roof" in searched("search-first", said(count=11)).body


def test_the_search_says_how_many_and_what_to_do() -> None:
    short = said(count=10)
    first = searched("search-first", short)
    assert first.title == "Dora shut the door at 16:30, 2 of 12 missing: Walnut. Search now"
    assert first.body.startswith("Shut the door on those that are in, then search.")
    assert "torch" in first.body
    assert first.body.endswith("Then answer on the page and say how it ended.")
    assert (
        searched("search-second-look", short).title == "Look again: 2 of 12 still missing, Walnut"
    )
    last = searched("search-before-let-out", short).title
    assert last == "2 of 12 never came in: Walnut. Look again, then let out at 08:34"
    uncounted = searched("search-first", said(some_missing=True)).title
    assert uncounted == "Dora shut the door at 16:30, some missing: Walnut. Search now"


def test_nobody_shuts_a_door_that_is_shut_or_looks_for_eyes_that_do_not_shine() -> None:
    first = "Shut the door on those that are in, then search."
    in_the_dark = search_places("UK", is_shut=True)
    assert search_places("UK") == f"{first} {in_the_dark}"
    assert in_the_dark.startswith("Take a torch and look on the roof")
    assert search_places("US", is_shut=True).startswith("Take a flashlight and look on the roof")
    assert "eyes" not in in_the_dark  # nothing behind a hen's retina throws light back
    assert search_places("UK", is_dark=False, is_shut=True) == search_places("UK", is_dark=False)


def test_a_search_names_only_the_short_house() -> None:
    title = searched(
        "search-first", said(count=10), said(count=6, coop="hazel", flock=6), source=TWO
    ).title
    assert title == "Dora shut the door at 16:30, 2 of 12 missing: Walnut. Search now"


def test_the_other_words() -> None:
    (evening,) = evenings()
    silent = held(night_of(evening, states(evening)))
    assert silent.title == "Is the door shut? No word from Duskfold: Walnut, 12 hens, due 16:33"
    assert silent.priority == LOUDEST
    told = ways_out.trouble("Ana", "mail", "the server refuses the address")
    assert told.title == "Reminders by mail are not reaching Ana"
    assert "the server refuses the address" in told.body
    assert ways_out.trouble(None, "push", "x").title == "Reminders by push are not reaching anybody"
    assert own_faults.missed_evenings(date(2026, 12, 21), 1).title == (
        "No reminder went out on the evening of Mon 21 Dec"
    )
    assert own_faults.missed_evenings(date(2026, 12, 21), 1826).title == (
        "No reminders went out on 1,826 evenings since Mon 21 Dec"
    )
    assert profile_changed.profile_refused(1).title.startswith("The changed profile has 1 problem,")
    passed_on = ways_out.relayed(message("now"), "Ana", "push")
    assert passed_on.body.startswith("This did not get through to Ana by push, so you")
    hot = by_day.let_out(["Walnut"], "06:30", hot=True, loud=True)
    assert (hot.title, hot.priority) == ("Let out Walnut at 06:30: it will be hot today", LOUD)


# Whatever the names


def clean(name: str) -> str:
    return unicodedata.normalize("NFC", name)


names = st.text(st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")), min_size=1, max_size=80)
names = names.filter(lambda name: not forbidden_character(name)).map(clean)
names = names | st.sampled_from([LONG, "🐔" * 80, "חוות התרנגולות של סבתא", "👩‍🌾" * 26, "W" * 80])
BASE = evenings(SITE + WALNUT + HAZEL + ANA)[0]


@st.composite
def any_evening(draw: st.DrawFn) -> Evening:
    """One to four houses of any names and counts, at any hour of the night."""
    shift = timedelta(minutes=draw(st.integers(0, 12 * 60)))
    doors = tuple(
        replace(
            BASE.doors[number % 2],
            coop_id=f"house-{number}",
            name=draw(names),
            birds=draw(st.integers(1, 5000)),
            noun=draw(st.sampled_from(["hens", "birds"])),
            lock_up=BASE.lock_up + shift,
            latest=BASE.latest + shift,
            automatic=draw(st.booleans()),
            getting_there_minutes=draw(st.sampled_from([0, 14, 120])),
        )
        for number in range(draw(st.integers(1, 4)))
    )
    return replace(BASE, doors=doors, region=draw(st.sampled_from(REGIONS)))


def every_message(evening: Evening, name: str, zone: timezone) -> list[Message]:
    open_ones = states(evening)
    at = evening.latest
    shut = {
        one.coop_id: replace(
            open_ones[one.coop_id], state="shut", counted=one.birds,
            said=Closing(kind="closed", coop_id=one.coop_id, evening=evening.day, at=at, who=name,
                         flock=one.birds),
        )
        for one in evening.doors
    }  # fmt: skip
    short = {coop: replace(one, state="searching", missing=5000) for coop, one in shut.items()}
    houses = [one.name for one in evening.doors]
    opened, missing = night_of(evening, open_ones, zone), night_of(evening, short, zone)
    found = [reminder(opened, one, "ana") for one in evening.steps]
    found += [all_clear(night_of(evening, shut, zone)), held(opened)]
    found += [call_to_search(missing, SearchCall(which=which)) for which in get_args(SearchKind)]
    found += [
        ways_out.trouble(name, "service", "x" * 200),
        own_faults.cannot_plan(name),
        ways_out.test(name),
        by_day.let_out(houses, "10:30 pm", hot=True, loud=True),
        by_day.free_range(houses, "10:30 pm", "11:30 pm (Mon)"),
        profile_changed.profile_refused(1_000_000),
        own_faults.recovered("copy"),
        profile_changed.left([name, name, name], name, name, had_them=True),
        profile_changed.left([name], name, "", had_them=False),
        profile_changed.left_days([name, name, name], name, name, [(name, [evening.day])]),
        profile_changed.left_days([name], name, "", []),
        profile_changed.days_moved(name, name, [(name, [evening.day] * 7)]),
        own_faults.unknown_time(),
        own_faults.missed_evenings(date(2026, 12, 23), 99_999),
        brief(Brief(site_name=name, lock_up="10:30 pm (Mon)", minutes=999, tonight=(name,),
                    jobs=9999, walks=("a",) * 99, worries=("b",) * 99)),
        emergency([Urgent(what=name, when="tomorrow at 10:30 pm", why="w")] * 20),
    ]  # fmt: skip
    return found


@given(evening=any_evening(), name=names)
def test_every_title_fits_and_shows(evening: Evening, name: str) -> None:
    for told in every_message(evening, name, timezone(timedelta(hours=1))):
        for line in (told.title, told.stem):
            assert len(line) <= TITLE_LENGTH, line
            assert forbidden_character(line) is None
        assert forbidden_character(told.body.replace("\n", "")) is None


def test_the_longest_count_and_time_leave_room_for_the_name_of_who_shut_it() -> None:
    midnight = datetime(2026, 12, 21, 23, 0, tzinfo=timezone(timedelta()))
    door = replace(BASE.doors[0], name="000000", birds=5000, latest=midnight)
    four = tuple(replace(door, coop_id=f"house-{number}") for number in range(4))
    for doors in (four, four[:1]):
        evening = replace(BASE, doors=doors, region="US")
        for told in every_message(evening, LONG, timezone(timedelta(hours=1))):
            assert len(told.title) <= TITLE_LENGTH, told.title


@given(evening=any_evening())
def test_every_reminder_keeps_its_count_and_its_time(evening: Evening) -> None:
    total = sum(one.birds for one in evening.doors)
    for one in evening.steps:
        title = reminder(night_of(evening, states(evening)), one, "ana").title
        assert f", {total} " in title
        leaves = evening.leave_by(evening.doors) and one.kind == "heads-up"
        time = ":18" if leaves else ":33" if one.kind != "dawn" else ":34"
        assert time in title or evening.lock_up != BASE.lock_up


def test_the_clock_is_the_site_s() -> None:
    (evening,) = evenings()
    later = timezone(timedelta(hours=2))
    night = night_of(evening, states(evening), later)
    assert reminder(night, evening.steps[1], "ana").title.endswith("18:33")
    assert isinstance(evening.latest, datetime)


def test_of_several_emptied_houses_it_asks_of_several() -> None:
    (evening,) = evenings(TWO)
    one, two = emptied(evening.doors[:1]), emptied(evening.doors)
    assert one.title == "No lock-up tonight: Walnut. Is it empty?"
    assert "all its birds are gone" in one.body
    assert "reminded of this door." in one.body
    assert two.title == "No lock-up tonight: Walnut and Hazel. Are they empty?"
    assert "all their birds are gone" in two.body
    assert "reminded of these doors." in two.body


def test_nobody_in_particular_begins_a_sentence_with_a_capital_and_is_not_cut_in_a_title() -> None:
    who = "somebody at the terminal"
    said = Reported(words="heat of 36 °C", degrees="36 °C", who=who, clock="16:57")
    told = emergency([Urgent(what="Cool water", when="now", why="w")], [said])
    assert told.title == "Cool water, now (36 °C, says somebody)"
    assert told.body.startswith("Somebody at the terminal reported at 16:57: heat of 36 °C.")
    gone = over("heat", "heat of 36 °C", who=who, taken_back=True)
    assert gone.title == "Somebody took back the report of heat: no longer urgent"
    named = over("heat", "heat", who="de Vries", taken_back=True)
    assert named.title.startswith("de Vries took back")
