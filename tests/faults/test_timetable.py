"""Timetables: at that time expect, by that time no more. The reminders run in this process.

Houses stand on 51.5° N unless a test says otherwise. There on 21 December: lock-up 16:18:29,
latest 16:33:40, let-out 08:34:07; the ladder's other times follow from these.
"""

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from scheduler.alerts.delivery import LOUD, LOUDEST, QUIET, USUAL
from scheduler.cares.closing import ClosingKind
from scheduler.cares.records import Report, Spell
from scheduler.machine.signing_key import signing_key
from scheduler.service.doors.statement import Kept
from scheduler.service.reports.report import make
from scheduler.tokens.answer import SignedAnswer, return_topic
from tests.faults.house import (
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    SITE,
    TOPIC_SECRET,
    TWO_COOPS,
    WINTER,
    House,
)
from tests.sinks.push import Event, Reply
from tests.unhurried import unhurried

Build = Callable[..., House]
Told = dict[str, list[str]]
NOTHING: Told = {}
NEXT_DAY = WINTER.replace(day=22)
DAY_AFTER = WINTER.replace(day=23)
KIM = "kim@example.org"
REFUSING = Reply(status=503)

HEADS_UP = "Lock up at 16:18: Walnut, 12 hens, by 16:33"
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
AGAIN = "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
NEXT = "Nobody has said it is shut: Walnut, 12 hens, due 16:33"
EVERYBODY = "Is the door shut? Walnut, 12 hens, due 16:33"
ONCE_MORE = "IS THE DOOR SHUT? Walnut, 12 hens, due 16:33"
HOURLY = "Still not confirmed shut: Walnut, 12 hens, due 16:33"
BEDTIME = "NOT CONFIRMED: look with a torch before bed. Walnut, 12 hens, due 16:33"
DAWN = "Never confirmed shut: Walnut, 12 hens. Count, then let out at 08:34"
DAWN_AGAIN = "Not confirmed shut again: Walnut, 12 hens. Count, then let out at 08:34"
HELD = "Is the door shut? No word from Duskfold: Walnut, 12 hens, due 16:33"
SEARCH = "Nan shut the door at 16:26, 2 of 12 missing: Walnut. Search now"
SECOND_LOOK = "Look again: 2 of 12 still missing, Walnut"
NEVER_CAME = "2 of 12 never came in: Walnut. Look again, then let out at 08:34"


class News:
    """What reached people since one looked last: titles by phone, and by mail."""

    def __init__(self, house: House) -> None:
        self.house = house
        self._seen: dict[str, int] = {}

    def all(self) -> Told:
        """Whatever is new, by whom it reached."""
        house = self.house
        told = {"ana": house.phone("ana"), "kim": house.phone("kim")}
        told["kim's mail"] = [_first_line(mail.parsed.get_content()) for mail in house.mails()]
        new = {who: titles[self._seen.get(who, 0) :] for who, titles in told.items()}
        self._seen = {who: len(titles) for who, titles in told.items()}
        return {who: titles for who, titles in new.items() if titles}

    def at(self, clock: str, day: date | None = None) -> Told:
        """Whatever is new at that time."""
        self.house.at(clock, day)
        return self.all()

    def say(self, kind: ClosingKind = "closed", **said: Any) -> Kept:
        """What a keeper says and the program takes."""
        kept = self.house.say(kind, **said)
        assert isinstance(kept, Kept), kept
        return kept

    def follow(self, table: Sequence[tuple[str, Told]], day: date | None = None) -> None:
        """At each time exactly what the table says, and nothing else."""
        for clock, expected in table:
            found = self.at(clock, day)
            assert found == expected, f"at {clock}"


def running(build: Build, **settings: Any) -> News:
    """A house, started, of which nothing has been heard yet."""
    house = build(**settings)
    house.start()
    return News(house)


@pytest.fixture
def news(build_here: Build) -> News:
    """The usual house, running."""
    return running(build_here)


def _first_line(text: str) -> str:
    return text.splitlines()[0]


def _everybody(title: str) -> Told:
    return {"ana": [title], "kim": [title], "kim's mail": [title]}


def _kim(title: str) -> Told:
    return {"kim": [title], "kim's mail": [title]}


def _body(house: House, person: str) -> str:
    return house.phone_events(person)[-1].text


def _heard(house: House, event_id: str) -> None:
    """The reminders have taken that message of the return topic."""
    house.settle()
    query = "SELECT 1 FROM memo WHERE name LIKE 'heard:%' AND value = ?"
    assert house.rows(query, event_id), "the answer was not heard"


def _topic(house: House) -> str:
    return return_topic(signing_key(house.data, {}), house.household().profile.site.id)


def _press(house: House, event: Event, button: int = 0) -> None:
    """Presses a button and waits until the watch has heard of it."""
    assert house.push.press(event, button) == 200
    _heard(house, house.push.shown(_topic(house))[-1].id)


def _site(latitude: float, longitude: float, zone: str, region: str = "EU") -> str:
    return f"""
[site]
name = "Birchfield"
latitude = {latitude}
longitude = {longitude}
timezone = "{zone}"
region = "{region}"
[climate]
coldest_month_low = "-8 °C"
warmest_month_high = "21 °C"
"""


# -- the evening ------------------------------------------------------------------------------


def test_a_punctual_evening_is_two_messages_to_one_person(news: News) -> None:
    house = news.house
    news.follow([("15:48", NOTHING), ("15:49", {"ana": [HEADS_UP]}), ("16:18", NOTHING)])
    news.follow([("16:19", {"ana": [NOW]}), ("16:26", NOTHING)])
    news.say(count=12)
    news.follow([("16:40", {"ana": ["Nan shut the door at 16:26, all 12 in. Nothing to do."]})])
    assert [event.said["priority"] for event in house.phone_events("ana")] == [USUAL, LOUD, QUIET]
    news.follow([("16:44", NOTHING), ("17:14", NOTHING), ("23:30", NOTHING)])
    news.follow([("08:20", NOTHING), ("09:00", NOTHING)], NEXT_DAY)


@unhurried
def test_a_late_evening_calls_more_and_more_people_until_bedtime(news: News) -> None:
    news.follow(
        [
            ("15:49", {"ana": [HEADS_UP]}),
            ("16:19", {"ana": [NOW]}),
            ("16:26", NOTHING),
            ("16:27", {"ana": [AGAIN]}),
            ("16:33", NOTHING),
            ("16:34", {"kim": [NEXT], "kim's mail": [NEXT]}),
            ("16:43", NOTHING),
            ("16:44", _everybody(EVERYBODY)),
            ("16:58", NOTHING),
            ("16:59", _everybody(ONCE_MORE)),
            ("17:13", NOTHING),
            ("17:14", _everybody(ONCE_MORE)),
            ("18:13", NOTHING),
            *((f"{hour}:14", {"ana": [HOURLY]}) for hour in range(18, 23)),
            ("22:59", NOTHING),
            ("23:00:01", {"ana": [BEDTIME]}),
            ("23:59", NOTHING),
        ]
    )
    news.follow(
        [
            ("03:00", NOTHING),
            ("08:19", NOTHING),
            ("08:20", {"ana": [DAWN], "kim": [DAWN]}),
            ("08:40", NOTHING),
            ("15:48", NOTHING),
        ],
        NEXT_DAY,
    )
    assert len({mail.message_id for mail in news.house.mails()}) == len(news.house.mails()) == 4


def test_a_day_of_the_week_is_kim_s_and_when_kim_is_not_reached_it_goes_to_ana(
    build_here: Build,
) -> None:
    assert WINTER.weekday() == 0
    by_push = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE.replace('mail = "kim@example.org"\n', "")
    news = running(build_here, body=by_push + '[duty]\nmonday = "Kim"\ntuesday = "ana"\n')
    news.follow(
        [
            ("15:49", {"kim": [HEADS_UP]}),
            ("16:19", {"kim": [NOW]}),
            ("16:27", {"kim": [AGAIN]}),
            ("16:34", {"ana": [NEXT]}),
        ]
    )
    news.say(count=12)
    news.at("16:35")
    by_34 = HEADS_UP.replace("16:18", "16:19").replace("16:33", "16:34")
    news.follow([("15:50", {"ana": [by_34]})], NEXT_DAY)
    news.say(count=12)
    news.at("16:20", NEXT_DAY)
    # Wednesday is nobody's: the first person's.
    news.follow([("15:50", {"ana": [by_34]})], DAY_AFTER)


def test_an_evening_whose_person_refuses_is_the_next_one_s_at_once(build_here: Build) -> None:
    news = running(
        build_here, body=SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE + '[duty]\nmonday = "Kim"\n'
    )
    news.house.push.refused[f"kim-{TOPIC_SECRET}"] = 403
    told = news.at("16:19")
    assert NOW in told["ana"]
    assert "kim" not in told


def test_for_a_house_that_is_a_way_off_the_first_word_comes_earlier(build_here: Build) -> None:
    body = (SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE).replace(
        'name = "Walnut"', 'name = "Walnut"\ngetting_there = "14 min"'
    )
    news = running(build_here, body=body)
    news.follow(
        [
            ("15:34", NOTHING),
            ("15:35", {"ana": ["Leave by 16:04 to lock up at 16:18: Walnut, 12 hens"]}),
            ("16:05", NOTHING),
            ("16:19", {"ana": [NOW]}),
            ("16:27", {"ana": [AGAIN]}),
            ("16:34", _kim(NEXT)),
        ]
    )


def test_what_is_said_late_is_told_to_all_who_were_called(news: News) -> None:
    news.follow([("16:19", {"ana": [NOW]}), ("16:27", {"ana": [AGAIN]}), ("16:34", _kim(NEXT))])
    news.say(who="Kim")
    all_clear = "Kim shut the door at 16:34, not counted."
    news.follow([("16:35", {"ana": [all_clear]}), ("23:30", NOTHING)])


def test_a_door_shut_before_the_first_reminder_is_told_to_nobody(news: News) -> None:
    news.follow([("15:30", NOTHING)])
    news.say(count=12)
    news.follow([("15:49", NOTHING), ("16:19", NOTHING), ("16:44", NOTHING), ("23:30", NOTHING)])
    assert news.house.push.ring_due(news.house.now) == []


def test_confirming_takes_the_reminders_off_every_phone(news: News) -> None:
    house = news.house
    for clock in ("15:49", "16:19", "16:34", "16:44"):
        house.at(clock)
    assert len(house.push.screen(f"ana-{TOPIC_SECRET}")) == 4
    assert len(house.push.screen(f"kim-{TOPIC_SECRET}")) == 2
    news.say(count=12)
    house.at("16:45")
    for person in ("ana", "kim"):
        [left] = house.push.screen(f"{person}-{TOPIC_SECRET}")
        assert left.said["title"] == "Nan shut the door at 16:44, all 12 in. Nothing to do."


def test_a_closing_of_a_past_evening_is_kept_and_told_quietly_to_whoever_was_called(
    news: News,
) -> None:
    house = news.house
    news.follow([("16:19", {"ana": [NOW]})])
    news.at("23:30")
    news.follow([("08:20", {"ana": [DAWN], "kim": [DAWN]}), ("10:00", NOTHING)], NEXT_DAY)
    assert news.say(count=12, evening=WINTER).late
    told = ["Walnut: Nan said at 10:00 that 12 were in on Mon 21 Dec"]
    news.follow([("10:01", {"ana": told, "kim": told}), ("15:48", NOTHING)])
    state = next(night.states["walnut"] for night in house.nights() if night.evening.day == WINTER)
    assert (state.state, state.counted) == ("shut", 12)


# -- two houses -------------------------------------------------------------------------------

TWO_HOUSES = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE


def test_two_doors_share_messages_and_are_confirmed_one_by_one(build_here: Build) -> None:
    news = running(build_here, body=TWO_HOUSES)
    news.follow([("16:19", {"ana": ["Lock up now: Walnut and Barn, 20 hens, by 16:33"]})])
    news.say(count=12, coop="walnut")
    # The house that is shut is not spoken of any more.
    again = "Lock up, not confirmed yet: Barn, 8 hens, by 16:33"
    news.follow([("16:20", NOTHING), ("16:27", {"ana": [again]})])
    news.say(count=8, coop="barn")
    all_clear = "Nan shut the doors at 16:27: Walnut 12 in, Barn 8 in. Nothing to do."
    news.follow([("16:28", {"ana": [all_clear]}), ("16:44", NOTHING), ("23:30", NOTHING)])


def test_a_waiting_reminder_is_reworded_when_one_door_is_shut(build_here: Build) -> None:
    news = running(build_here, body=TWO_HOUSES)
    house = news.house
    house.push.script(REFUSING, always=True)
    news.follow([("16:19", NOTHING)])
    news.say(count=12, coop="walnut")
    house.push.heal()
    news.follow([("16:21", {"ana": ["Lock up now: Barn, 8 hens, by 16:33"]})])


def test_doors_more_than_a_quarter_of_an_hour_apart_have_evenings_of_their_own(
    build_here: Build,
) -> None:
    early = '[[coop]]\nname = "Barn"\n[coop.lockup]\nnot_after = "16:00"\n'
    body = TWO_HOUSES.replace('[[coop]]\nname = "Barn"\n', early)
    news = running(build_here, body=body)
    news.at("15:31")
    news.follow(
        [
            ("15:49", {"ana": [HEADS_UP]}),
            ("16:00:01", {"ana": ["Lock up now: Barn, 8 hens, by 16:30"]}),
        ]
    )
    news.say(count=8, coop="barn")
    news.follow(
        [
            ("16:01", {"ana": ["Nan shut the door at 16:00, all 8 in. Nothing to do."]}),
            ("16:19", {"ana": [NOW]}),
        ]
    )


# -- birds are missing ------------------------------------------------------------------------


def test_a_short_count_is_searched_and_spoken_of_three_times(news: News) -> None:
    house = news.house
    news.follow([("16:19", {"ana": [NOW]}), ("16:26", NOTHING)])
    news.say(count=10)
    news.follow([("16:26:30", {"ana": [SEARCH]})])
    assert _body(house, "ana").startswith(
        "Shut the door on those that are in, then search. Take a torch and look on the roof"
    )
    news.follow(
        [
            ("16:45", NOTHING),
            ("16:46:01", {"ana": [SECOND_LOOK]}),
            ("17:14", NOTHING),
            ("23:01", NOTHING),
        ]
    )
    news.follow(
        [("08:18", NOTHING), ("08:20", {"ana": [NEVER_CAME]}), ("08:50", NOTHING)], NEXT_DAY
    )


@pytest.mark.parametrize(
    ("kind", "count", "ended", "tomorrow"),
    [
        ("found", 12, "all 12 in, 2 of them found since. Nothing to do.", "12 hens, by 16:34"),
        ("not-found", 10, "10 in. 2 not found yet.", "10 hens, by 16:34; 2 still missing"),
        ("dead", 10, "10 in, 2 dead.", "10 hens, by 16:34"),
        ("elsewhere", 10, "all 10 in, 2 elsewhere. Nothing to do.", "10 hens, by 16:34"),
    ],
)
def test_each_ending_of_a_search_ends_it(
    news: News, kind: ClosingKind, count: int, ended: str, tomorrow: str
) -> None:
    house = news.house
    news.follow([("16:19", {"ana": [NOW]}), ("16:26", NOTHING)])
    news.say(count=10)
    news.follow([("16:27", {"ana": [SEARCH]})])
    news.say(kind)
    [state] = house.nights()[-1].states.values()
    assert (state.state, state.counted) == ("shut", count)
    all_clear = f"Nan shut the door at 16:26, {ended}"
    news.follow([("16:35", {"ana": [all_clear]}), ("16:47", NOTHING), ("23:30", NOTHING)])
    news.follow([("08:20", NOTHING), ("08:50", NOTHING)], NEXT_DAY)
    expected = f"Lock up now: Walnut, {tomorrow}"
    news.follow([("15:48", NOTHING)])
    assert news.at("16:19:30")["ana"] == [expected]


def test_birds_that_are_back_are_expected_again(news: News) -> None:
    house = news.house
    house.at("16:19")
    news.say(count=10)
    news.say("elsewhere")
    house.at("16:40")
    house.at("12:00", NEXT_DAY)
    news.say("back", count=2)
    house.at("12:30")
    news.all()
    assert news.at("16:20") == {"ana": ["Lock up now: Walnut, 12 hens, by 16:34"]}


def test_some_missing_from_the_lock_screen_starts_the_search(news: News) -> None:
    house = news.house
    news.follow([("16:19", {"ana": [NOW]})])
    _press(house, house.phone_events("ana")[-1], 1)
    first = "Ana shut the door at 16:19, some missing: Walnut. Search now"
    assert news.all() == {"ana": [first]}
    news.follow(
        [("16:40", {"ana": ["Look again: some still missing, Walnut"]}), ("16:59", NOTHING)]
    )


def test_a13_a_reopened_door_goes_on_from_there(news: News) -> None:
    news.follow([("16:19", {"ana": [NOW]})])
    news.say(count=12)
    news.follow([("17:00", {"ana": ["Nan shut the door at 16:19, all 12 in. Nothing to do."]})])
    news.say("reopened", who="Kim")
    again = "Open again since 17:00: Walnut, 12 hens. Shut it, then say so."
    still = "Still open since 17:00: Walnut, 12 hens. Shut it, then say so."
    news.follow(
        [
            ("17:00:30", {"ana": [again]}),
            ("17:13", NOTHING),
            ("17:14", _everybody(ONCE_MORE)),
            ("17:15:30", {"ana": [still]}),
        ]
    )
    news.say(count=12, who="Kim")
    clear = "Kim shut the door at 17:15, all 12 in. Nothing to do."
    news.follow([("17:16", {"ana": [clear]}), ("23:30", NOTHING)])
    news.follow([("08:20", NOTHING)], NEXT_DAY)


def test_a13_reopened_at_two_at_night_whoever_is_on_duty_hears_before_everybody(news: News) -> None:
    news.follow([("16:19", {"ana": [NOW]})])
    news.say(count=12)
    news.at("16:30")
    news.at("23:30")
    news.follow([("02:00", NOTHING)], NEXT_DAY)
    news.say("reopened", who="Kim")
    again = "Open again since 02:00: Walnut, 12 hens. Shut it, then say so."
    still = "Still open since 02:00: Walnut, 12 hens. Shut it, then say so."
    news.follow([("02:00:30", {"ana": [again]}), ("02:15:30", {"ana": [still]})])
    news.follow([("02:30:30", _everybody(still)), ("02:45:30", _everybody(still))])
    news.follow([(f"0{hour}:00:30", {"ana": [still]}) for hour in range(3, 9)])
    news.follow([("08:20", {"ana": [DAWN_AGAIN], "kim": [DAWN_AGAIN]}), ("08:50", NOTHING)])


def test_a13_shut_with_eleven_everybody_alarmed_reads_that_it_is_shut(news: News) -> None:
    news.at("16:34")
    news.at("16:44")
    news.say(count=11, who="Kim")
    short = "Kim shut the door at 16:44, 1 of 12 missing: Walnut. Search now"
    news.follow([("16:45", {"ana": [short], "kim": [short]})])
    news.say("not-found", who="Kim")
    over = "Kim shut the door at 16:44, 11 in. 1 not found yet."
    news.follow([("16:46", {"ana": [over]}), ("23:30", NOTHING)])
    news.at("09:00", NEXT_DAY)
    assert news.at("16:20")["ana"][-1] == (
        "Lock up now: Walnut, 11 hens, by 16:34; 1 still missing"
    )
    news.say(count=11, who="Kim")
    still = "Kim shut the door at 16:20, 11 in. 1 still missing since Mon 21 Dec."
    news.follow([("16:21", {"ana": [still]})])


def test_a13_one_of_two_houses_is_searched_the_other_is_told_shut(build_here: Build) -> None:
    news = running(build_here, body=TWO_HOUSES)
    news.at("16:27")
    news.say(count=11, coop="walnut")
    first = "Nan shut the door at 16:27, 1 of 12 missing: Walnut. Search now"
    news.follow([("16:28", {"ana": [first]})])
    news.say(count=8, coop="barn")
    shut = "Nan shut the doors at 16:28: Walnut 11 in, Barn 8 in. 1 missing."
    news.follow([("16:29", {"ana": [shut]}), ("16:44", NOTHING)])


def test_k6_a_house_without_birds_tonight_rings_nobody(build_here: Build) -> None:
    tomorrow = ONE_COOP.replace("hens = 12", "hens = 12\narrived = 2026-12-22")
    news = running(build_here, body=SITE + tomorrow + QUIET_MORNINGS + PEOPLE)
    news.follow([("16:19", NOTHING), ("16:44", NOTHING), ("23:30", NOTHING)])
    assert news.house.push.held == {}
    news.at("09:00", NEXT_DAY)
    assert news.at("16:20")["ana"][-1] == "Lock up now: Walnut, 12 hens, by 16:34"


def test_k6_a_house_said_to_be_empty_is_asked_about_once(news: News) -> None:
    news.at("15:00")
    news.say("elsewhere", count=12)
    asked = "No lock-up tonight: Walnut. Is it empty?"
    news.follow([("16:19", {"ana": [asked]}), ("16:44", NOTHING), ("23:30", NOTHING)])
    news.follow([("09:00", NOTHING), ("16:19:30", NOTHING), ("16:45", NOTHING)], NEXT_DAY)


# -- the ends of the world --------------------------------------------------------------------

MIDSUMMER = date(2027, 6, 21)


@unhurried
def test_a_summer_evening_is_on_its_cap(build_here: Build) -> None:
    place = _site(62.6, 29.8, "Europe/Helsinki")
    body = place + ONE_COOP + QUIET_MORNINGS + PEOPLE
    news = running(build_here, body=body, zone=ZoneInfo("Europe/Helsinki"), day=MIDSUMMER)
    _follow_a_bright_night(news, dawn="06:15:01", let_out="06:30")


@unhurried
def test_a_polar_summer_evening_is_at_bedtime(build_here: Build) -> None:
    place = _site(69.6, 20.5, "Europe/Oslo")
    body = place + ONE_COOP + QUIET_MORNINGS + PEOPLE
    news = running(build_here, body=body, zone=ZoneInfo("Europe/Oslo"), day=MIDSUMMER)
    _follow_a_bright_night(news, dawn="06:45:01", let_out="07:00")


def _follow_a_bright_night(news: News, *, dawn: str, let_out: str) -> None:
    """The whole ladder of an evening that is locked up at half past ten."""
    birds = "Walnut, 12 hens"
    news.follow(
        [
            ("21:59", NOTHING),
            ("22:00:01", {"ana": [f"Lock up at 22:30: {birds}, by 22:50"]}),
            ("22:30:01", {"ana": [f"Lock up now: {birds}, by 22:50"]}),
            ("22:40:01", {"ana": [f"Lock up, not confirmed yet: {birds}, by 22:50"]}),
            ("22:50:01", _kim(f"Nobody has said it is shut: {birds}, due 22:50")),
            ("23:00:01", _everybody(f"Is the door shut? {birds}, due 22:50")),
            ("23:15:01", _everybody(f"IS THE DOOR SHUT? {birds}, due 22:50")),
            ("23:30:01", _everybody(f"IS THE DOOR SHUT? {birds}, due 22:50")),
            # Everybody was told until half past eleven: bedtime waits for that.
            ("23:44", NOTHING),
        ]
    )
    bedtime = f"NOT CONFIRMED: look with a torch before bed. {birds}, due 22:50"
    news.follow([("23:45:01", {"ana": [bedtime]}), ("23:59", NOTHING)])
    never = f"Never confirmed shut: {birds}. Count, then let out at {let_out}"
    news.follow(
        [
            ("03:00", NOTHING),
            (dawn, {"ana": [never], "kim": [never]}),
            ("12:00", NOTHING),
        ],
        MIDSUMMER.replace(day=22),
    )


def test_a_polar_winter_evening_is_at_four_by_the_clock(build_here: Build) -> None:
    place = _site(69.6, 20.5, "Europe/Oslo")
    body = place + ONE_COOP + QUIET_MORNINGS + PEOPLE
    news = running(build_here, body=body, zone=ZoneInfo("Europe/Oslo"))
    birds = "Walnut, 12 hens"
    news.follow(
        [
            ("15:30:01", {"ana": [f"Lock up at 16:00: {birds}, by 16:20"]}),
            ("16:00:01", {"ana": [f"Lock up now: {birds}, by 16:20"]}),
            ("16:10:01", {"ana": [f"Lock up, not confirmed yet: {birds}, by 16:20"]}),
            ("16:20:01", _kim(f"Nobody has said it is shut: {birds}, due 16:20")),
        ]
    )
    news.say(count=12)
    clear = "Nan shut the door at 16:20, all 12 in. Nothing to do."
    news.follow([("16:21", {"ana": [clear], "kim": [clear]}), ("23:59", NOTHING)])
    news.follow([("06:46", NOTHING), ("15:29", NOTHING)], NEXT_DAY)


# -- presets, doors, words --------------------------------------------------------------------


def test_gentle_leaves_out_the_nagging(build_here: Build) -> None:
    gentle = QUIET_MORNINGS + 'style = "gentle"\n'
    news = running(build_here, body=SITE + ONE_COOP + gentle + PEOPLE)
    news.follow(
        [
            ("15:49", {"ana": [HEADS_UP]}),
            ("16:19", {"ana": [NOW]}),
            ("16:27", NOTHING),
            ("16:34", _kim(NEXT)),
            ("16:44", NOTHING),
            ("16:59", _everybody(EVERYBODY)),
            ("17:14", NOTHING),
            ("18:00", NOTHING),
            ("22:14", NOTHING),
            ("23:00:01", {"ana": [BEDTIME]}),
        ]
    )
    news.follow([("08:20", {"ana": [DAWN], "kim": [DAWN]})], NEXT_DAY)


@unhurried
def test_all_night_does_not_end_at_bedtime(build_here: Build) -> None:
    all_night = QUIET_MORNINGS + 'style = "all night"\n'
    news = running(build_here, body=SITE + ONE_COOP + all_night + PEOPLE)
    news.at("22:15")
    news.follow([("23:01", NOTHING), ("23:14", {"ana": [HOURLY]})])
    news.follow(
        [
            *((f"0{hour}:14", {"ana": [HOURLY]}) for hour in range(8)),
            ("08:14", {"ana": [HOURLY]}),
            ("08:20", {"ana": [DAWN], "kim": [DAWN]}),
            ("09:14", NOTHING),
        ],
        NEXT_DAY,
    )


def test_an_automatic_door_is_to_be_checked(build_here: Build) -> None:
    automatic = ONE_COOP.replace('"Walnut"\n', '"Walnut"\ndoor = "automatic"\n')
    news = running(build_here, body=SITE + automatic + QUIET_MORNINGS + PEOPLE)
    house = news.house
    news.follow(
        [
            ("15:49", {"ana": ["Check the door at 16:18: Walnut, 12 hens, by 16:33"]}),
            ("16:19", {"ana": ["Check the door now: Walnut, 12 hens, by 16:33"]}),
        ]
    )
    assert _body(house, "ana").endswith("Check that the door has closed, and count.")


def test_american_keepers_read_their_own_words_and_clock(build_here: Build) -> None:
    place = _site(40.4, -79.9, "America/New_York", "US")
    news = running(
        build_here,
        body=place + ONE_COOP + QUIET_MORNINGS + PEOPLE,
        zone=ZoneInfo("America/New_York"),
    )
    house = news.house
    birds = "Walnut, 12 hens"
    news.follow(
        [
            ("16:46", {"ana": [f"Lock up at 5:15 pm: {birds}, by 5:27 pm"]}),
            ("17:16", {"ana": [f"Lock up now: {birds}, by 5:27 pm"]}),
        ]
    )
    body = _body(house, "ana")
    assert "Lock up at 5:15 pm, shut by 5:27 pm." in body
    assert "Count them on the roost with a flashlight, then shut and latch the door." in body
    bedtime = f"NOT CONFIRMED: look with a flashlight before bed. {birds}, due 5:27 pm"
    assert news.at("23:00:01")["ana"] == [bedtime]


# -- the morning ------------------------------------------------------------------------------

NO_BRIEF = '[reminders]\nbrief = "none"\n'
LET_OUT_ONLY = NO_BRIEF + 'letout = "gentle"\n'
BRIEF_ONLY = '[reminders]\nletout = "none"\n'


def test_a_let_out_is_gentle_and_on_a_hot_day_says_so_more_loudly(build_here: Build) -> None:
    news = running(build_here, body=SITE + ONE_COOP + LET_OUT_ONLY + PEOPLE)
    house = news.house
    heat = Report(kind="heat", spell=Spell(first=DAY_AFTER), air_c=31)
    with house.journal() as journal:
        make(journal, house.household().profile.site.id, heat, house.now)
    news.follow([("16:19", {"ana": [NOW]})])
    news.say(count=12)
    news.at("16:30")
    news.follow([("08:33", NOTHING), ("08:34:30", {"ana": ["Let out Walnut at 08:34"]})], NEXT_DAY)
    assert house.phone_events("ana")[-1].said["priority"] == QUIET
    news.follow(
        [("09:00", NOTHING), ("16:20", {"ana": ["Lock up now: Walnut, 12 hens, by 16:34"]})]
    )
    news.say(count=12)
    news.at("16:30")
    news.follow([("08:36", {"ana": ["Let out Walnut at 08:34: it will be hot today"]})], DAY_AFTER)
    assert house.phone_events("ana")[-1].said["priority"] == USUAL


def test_a_hot_summer_s_let_out_is_told_of_by_the_averages(build_here: Build) -> None:
    hot = SITE.replace('"24 °C"', '"33 °C"')
    news = running(build_here, body=hot + ONE_COOP + NO_BRIEF + PEOPLE, day=date(2027, 7, 15))
    house = news.house
    news.at("21:40")
    news.say(count=12)
    news.at("21:50")
    title = "Let out Walnut at 06:30: it will be hot today"
    news.follow([("06:29", NOTHING), ("06:30:01", {"ana": [title]})], date(2027, 7, 16))
    assert house.phone_events("ana")[-1].said["priority"] == USUAL


@pytest.mark.parametrize(
    ("day", "report", "clock", "title"),
    [
        (
            date(2027, 7, 15),
            Report(kind="heat", spell=Spell(first=date(2027, 7, 15)), air_c=38.0),
            "12:40",
            "Heat emergency: cool water, shade, moving air, today at 13:06 (38\u00a0°C)",
        ),
        (
            WINTER,
            Report(kind="predator", spell=Spell(first=WINTER), grade="got-at"),
            "12:40",
            "Count the birds and check each one for wounds, now, and 2 more jobs",
        ),
    ],
)
def test_k5_an_emergency_that_is_reported_rings_whoever_is_on_duty_at_once(
    build_here: Build, day: date, report: Report, clock: str, title: str
) -> None:
    news = running(build_here, body=SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE, day=day)
    house = news.house
    news.follow([("12:30", NOTHING)])
    house.at(clock)
    with house.journal() as journal:
        make(journal, house.household().profile.site.id, report, house.now)
    assert news.at("12:41") == {"ana": [title]}
    assert house.phone_events("ana")[-1].said["priority"] == LOUD
    news.follow([("12:45", NOTHING), ("13:10", NOTHING), ("14:30", NOTHING)])


def test_who_wants_to_is_told_when_free_range_time_begins(build_here: Build) -> None:
    people = PEOPLE.replace('name = "Kim"\n', 'name = "Kim"\nrange_reminder = true\n')
    news = running(build_here, body=SITE + ONE_COOP + QUIET_MORNINGS + people)
    house = news.house
    # An hour before sunset, which is at 15:53.
    news.follow([("14:52", NOTHING)])
    assert news.at("14:55") == {"kim": ["Free range now: Walnut, call them in at 15:43"]}
    assert _body(house, "kim").endswith("lock up at 16:18.")
    news.follow([("15:40", NOTHING), ("15:49", {"ana": [HEADS_UP]})])


def test_the_brief_speaks_of_what_is_not_in_order_once(build_here: Build) -> None:
    news = running(build_here, body=SITE + ONE_COOP + BRIEF_ONLY + PEOPLE)
    house = news.house
    house.smtp.script("RCPT", "550 no such mailbox", address=KIM, always=True)
    for clock in ("16:19", "16:34", "16:44", "23:01"):
        news.at(clock)
    told = news.at("06:59", NEXT_DAY)
    assert told == NOTHING
    [title] = news.at("07:00:01")["ana"]
    assert title.startswith("Today: lock up at 16:19, ")
    assert title.endswith("; 2 things need a look")
    worries = _body(house, "ana").splitlines()
    assert worries[0] == "Walnut: nobody confirmed the door last night."
    assert worries[1].endswith(" did not arrive."), worries
    assert worries[2].startswith("Walnut: let out "), "a first start is told as a restart"
    # Nothing of it is said a second time; the evening in between is shut.
    for clock in ("08:30", "16:20"):
        news.at(clock)
    news.say(count=12)
    news.at("16:30")
    news.follow([("06:59", NOTHING)], DAY_AFTER)
    told = news.at("07:00:01")
    assert list(told) == ["ana"]
    assert "a look" not in told["ana"][0]
    assert _body(house, "ana").startswith("Walnut: let out 08:34, lock up 16:19, shut by 16:34.")


def test_the_brief_after_a_restart_has_the_checklist_once(build_here: Build) -> None:
    automatic = ONE_COOP.replace('name = "Walnut"', 'name = "Walnut"\ndoor = "automatic"')
    news = running(build_here, body=SITE + automatic + BRIEF_ONLY + PEOPLE)
    house = news.house
    house.at("16:19")
    news.say(count=12)
    house.at("16:30")
    checklists = []
    for day, restart in ((22, False), (23, False), (24, True), (25, False)):
        house.day = WINTER.replace(day=day)
        if restart:
            house.kill()
            house.start()
        house.at("07:01")
        checklists.append("Check the automatic door." in _body(house, "ana"))
        house.at("16:22")
        news.say(count=12)
        house.at("16:40")
    assert checklists == [False, False, True, False], "a first start is no restart"
    news.all()


# -- what the push server holds ---------------------------------------------------------------


def test_a_predator_s_visit_moves_what_the_push_server_holds(build_here: Build) -> None:
    zone = ZoneInfo("Europe/Helsinki")
    place = _site(60.2, 25.0, "Europe/Helsinki")
    news = running(build_here, body=place + ONE_COOP + QUIET_MORNINGS + PEOPLE, zone=zone)
    house = news.house
    house.at("12:31")
    before = _rings(house)
    assert before == {"16:15"}  # latest 16:10, in whole minutes, and five
    near = Report(kind="predator", spell=Spell(first=WINTER, last=WINTER))
    with house.journal() as journal:
        make(journal, house.household().profile.site.id, near, house.now)
    house.at("12:32")
    [evening] = [night.evening for night in house.nights() if night.evening.day == WINTER]
    latest = evening.latest.astimezone(zone)
    assert f"{latest:%H:%M}" < "16:05"
    assert _rings(house) == {f"{latest:%H}:{latest.minute + 5:02}"}
    house.at("15:30")
    news.say(count=12)
    house.at("15:31")
    assert house.push.held == {}


def _rings(house: House) -> set[str]:
    """When the held messages ring; one to each phone, which rings again twenty minutes later."""
    held = house.push.held
    first = {place: at for place, (at, _) in held.items() if not place[1].endswith("-again")}
    again = {(topic, f"{one}-again"): at + 1200 for (topic, one), at in first.items()}
    assert {place: at for place, (at, _) in held.items()} == first | again
    assert len(first) == 2
    return {f"{house.now.fromtimestamp(at, house.zone):%H:%M}" for at in first.values()}


def test_the_held_message_is_put_off_while_the_watch_lives_and_nobody_answers(news: News) -> None:
    house = news.house
    for clock in ("16:19", "16:34", "16:37"):
        house.at(clock)
    # Not at 16:38: everybody is told at 16:43, and five minutes later it rings without us.
    assert _rings(house) == {"16:48"}
    assert house.push.ring_due(house.now) == []


# -- answers ----------------------------------------------------------------------------------


def test_a_forged_answer_is_ignored(news: News) -> None:
    house = news.house
    house.at("16:19")
    [true] = [action["body"] for action in house.phone_events("ana")[-1].said["actions"][:1]]
    words = true.split(" ")
    forged = [
        "",
        "duskfold",
        "x" * 9000,
        " ".join([*words[:-1], "A" * 43]),
        true.replace("ana", "kim"),
        true.replace("all-in", "not-counted"),
        true.replace("2026-12-21", "2026-12-22"),
    ]
    topic = _topic(house)
    for said in forged:
        house.push.publish(topic, {"message": said})
    # What nobody has signed leaves no trace; an answer that comes weeks too late does.
    late = SignedAnswer(
        verb="all-in",
        site_id="orchard",
        day=WINTER - timedelta(days=30),
        subject_id="walnut",
        opening=0,
        person_id="ana",
    )
    last = house.push.publish(topic, {"message": late.text(signing_key(house.data, {}))})
    _heard(house, last.id)
    assert house.rows("SELECT * FROM closing") == []
    assert news.at("16:27")["ana"][-1] == AGAIN


def test_a_replayed_answer_is_ignored(news: News) -> None:
    house = news.house
    house.at("16:19")
    event = house.phone_events("ana")[-1]
    _press(house, event)
    _press(house, event)
    assert house.rows("SELECT kind FROM closing") == [("closed",)]
    news.say("reopened")
    house.at("16:20")
    # The button of the first turn says nothing of the second, and whoever pressed it hears why.
    _press(house, event)
    _press(house, event, 2)
    assert house.rows("SELECT kind FROM closing ORDER BY number") == [("closed",), ("reopened",)]
    not_taken = "Nothing changed: Nan said at 16:19 that the door is open again"
    assert news.all()["ana"].count(not_taken) == 1
    assert news.at("16:27") == {"ana": [AGAIN]}


def test_an_answer_sent_while_the_watch_was_away_is_taken_on_its_return(build: Build) -> None:
    news = running(build)  # in a process of its own: what it asks the server for is its ears'
    house = news.house
    house.at("16:34")
    house.kill()
    event = house.phone_events("kim")[-1]
    assert event.said["title"] == NEXT
    house.set_clock(house.local("16:41"))
    assert house.push.press(event) == 200
    house.set_clock(house.local("16:42"))
    news.all()
    house.start()
    house.wait(lambda: house.rows("SELECT 1 FROM closing"), "the answer was not kept")
    house.settle()
    clear = "Kim shut the door at 16:42, all 12 in. Nothing to do."
    assert news.all() == {"ana": [clear]}, "Kim pressed it"
    news.follow([("16:44", NOTHING), ("23:30", NOTHING)])
    assert house.push.held == {}


# -- evenings that nobody was told of ---------------------------------------------------------

MISSED = "No reminder went out on the evening of Mon 21 Dec"


def _both(title: str) -> Told:
    return {"ana": [title], "kim": [title]}


def test_a_machine_asleep_from_noon_to_noon_owns_up_once(news: News) -> None:
    news.follow([("12:31", NOTHING)])
    news.follow([("12:32", _both(MISSED)), ("12:45", NOTHING), ("15:48", NOTHING)], NEXT_DAY)


def test_an_evening_on_which_nothing_got_through_is_reported_afterwards(news: News) -> None:
    house = news.house
    house.push.script(REFUSING, always=True)
    house.smtp.script("EHLO", "421 4.3.0 later", always=True)
    for clock in ("15:49", "16:19", "16:34", "16:44", "23:01"):
        assert news.at(clock) == NOTHING
    news.follow([("08:20", NOTHING), ("10:00", NOTHING), ("12:30", NOTHING)], NEXT_DAY)
    house.push.heal()
    house.smtp.heal()
    news.follow([("12:40", _both(MISSED)), ("15:48", NOTHING)])


def test_a_clock_set_back_puts_off_no_second_try(news: News) -> None:
    house = news.house
    house.push.script(REFUSING, always=True)
    for clock in ("16:19", "17:59", "18:00"):
        news.at(clock)
    house.push.heal()
    house.set_clock(house.local("17:15"), wall_only=True)
    house.settle()
    assert news.all() == {"ana": [ONCE_MORE], "kim": [ONCE_MORE]}


def test_several_evenings_of_silence_are_one_report(news: News) -> None:
    house = news.house
    house.push.script(REFUSING, always=True)
    house.smtp.script("EHLO", "421 4.3.0 later", always=True)
    for day in (21, 22, 23):
        for clock in ("16:20", "23:01"):
            assert news.at(clock, WINTER.replace(day=day)) == NOTHING
    assert news.at("12:30", WINTER.replace(day=24)) == NOTHING
    house.push.heal()
    house.smtp.heal()
    title = "No reminders went out on 3 evenings since Mon 21 Dec"
    news.follow([("12:40", _both(title)), ("12:50", NOTHING)])


def test_an_evening_that_somebody_shut_unasked_is_not_reported(news: News) -> None:
    house = news.house
    news.at("12:31")
    house.kill()
    house.set_clock(house.local("16:25"))
    news.say(count=12)
    house.set_clock(house.local("12:30", NEXT_DAY))
    house.start()
    house.settle()
    assert news.all() == NOTHING


# -- the two stories of the issue -------------------------------------------------------------


def test_the_first_is_silent_and_the_second_confirms_from_the_lock_screen(news: News) -> None:
    house = news.house
    [evening] = [night.evening for night in house.nights() if night.evening.day == WINTER]
    assert f"{evening.lock_up.astimezone(house.zone):%H:%M}" == "16:18"
    assert f"{evening.latest.astimezone(house.zone):%H:%M}" == "16:33"
    news.follow(
        [
            ("15:49", {"ana": [HEADS_UP]}),
            ("16:19", {"ana": [NOW]}),
            ("16:27", {"ana": [AGAIN]}),
            ("16:34", _kim(NEXT)),
            ("16:41", NOTHING),
        ]
    )
    [event] = house.phone_events("kim")
    labels = [action["label"] for action in event.said["actions"]]
    assert labels == ["All 12 in, door shut", "Door shut, some missing", "Door shut, not counted"]
    _press(house, event)
    clear = "Kim shut the door at 16:41, all 12 in. Nothing to do."
    assert news.all() == {"ana": [clear]}, "Kim pressed it"
    assert house.phone_events("ana")[-1].said["priority"] == QUIET
    asked = len(house.push.asked.all())
    news.follow([(clock, NOTHING) for clock in ("16:42", "16:44", "16:59", "18:14", "23:01")])
    news.follow([("08:20", NOTHING), ("15:40", NOTHING)], NEXT_DAY)
    # Not even a silent word to the push server, until the next noon's held message.
    after = [one for one in house.push.asked.all()[asked:] if b'"delay"' not in one.body]
    assert after == []


def test_the_server_dies_before_dusk_and_comes_back_at_night(news: News) -> None:
    house = news.house
    news.follow([("15:50", {"ana": [HEADS_UP]})])
    house.kill()
    assert house.push.ring_due(house.local("16:37")) == []
    rung = house.push.ring_due(house.local("16:38"))
    assert [event.said["title"] for event in rung] == [HELD] * 2
    assert {event.said["priority"] for event in rung} == {LOUDEST}
    assert news.all() == {"ana": [HELD], "kim": [HELD]}
    house.set_clock(house.local("21:10"))
    house.start()
    house.settle()
    # One message, at the highest step that was missed, to each whom one of them called.
    assert news.all() == _everybody(HOURLY)
    news.follow([("21:13", NOTHING), ("21:14", {"ana": [HOURLY]})])
    assert house.phone_events("ana")[-2].said["actions"], "it can be answered"
    news.say(count=12)
    clear = "Nan shut the door at 21:14, all 12 in. Nothing to do."
    news.follow([("21:15", {"ana": [clear], "kim": [clear]}), ("23:30", NOTHING)])
    assert house.push.held == {}
