"""An evening's page, in this process: what was said since, and no button that would be refused."""

import json
import re
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest

from scheduler.messages.missing import amiss
from scheduler.service.doors.statement import Kept, Statement
from scheduler.service.doors.undo import take_back
from scheduler.service.health.report_health import report_health
from scheduler.tokens.evening_link import EveningLink
from scheduler.web.evening_cards import cards_of, tonight
from scheduler.web.household_now import Lookout
from scheduler.web.render import Renderer
from scheduler.web.request_and_answer import Visit
from scheduler.web.tonight_json import tonight_json
from scheduler.web.views import evening
from tests.alerts.orchard import TEXT, WINTER, at
from tests.faults.driven import DAY, Driven, driven


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Driven]:
    with driven(tmp_path, TEXT, at("12:00")) as found:
        yield found


def test_a_house_that_a_statement_has_emptied_is_not_open_for_any_program(house: Driven) -> None:
    def coops(clock: str) -> list[str]:
        lookout = Lookout(house.profile_path, house.running.place, house.running.almanac.key)
        visit = Visit(now=at(clock), standing=lookout.standing(at(clock)), lookout=lookout)
        found = json.loads(tonight_json(visit))["coops"]
        lookout.journal().close()
        return [one["coop"] for one in found]

    house.at(at("12:30"))
    listed = coops("12:30")
    assert "walnut" in listed
    assert isinstance(house.say("elsewhere", "Ana", coop="walnut", count=12), Kept)
    assert coops("12:31") == [one for one in listed if one != "walnut"]


def test_programs_read_that_more_may_be_missing_until_somebody_counts(house: Driven) -> None:
    def more(now: datetime) -> bool:
        lookout = Lookout(house.profile_path, house.running.place, house.running.almanac.key)
        visit = Visit(now=now, standing=lookout.standing(now), lookout=lookout)
        [one] = [o for o in json.loads(tonight_json(visit))["coops"] if o["coop"] == "walnut"]
        lookout.journal().close()
        found: bool = one["at_least"]
        return found

    house.clock.go_to(at("16:20"))
    assert isinstance(house.say("closed", "Ben", coop="walnut", some_missing=True), Kept)
    said(house, "16:30", "found", 1)
    assert more(at("16:31")), "one of some was found; nobody has counted"
    assert more(at("+12:00"))
    said(house, "+16:20", "closed", 12)
    assert not more(at("+16:21"))


def page(house: Driven, now: datetime, day: date = WINTER) -> str:
    """What Ana's link of that evening shows."""
    house.clock.go_to(now)
    site_id = house.running.site_id
    link = EveningLink(site_id=site_id, day=day, subject_id="walnut", person_id="ana")
    lookout = Lookout(house.profile_path, house.running.place, house.running.almanac.key)
    path = {
        "day": day.isoformat(),
        "subject": "walnut",
        "person": "ana",
        "token": link.token(lookout.key),
    }
    visit = Visit(now=now, standing=lookout.standing(now), lookout=lookout, path=path)
    answer = evening.show(visit)
    lookout.journal().close()
    assert answer is not None
    return bytes(Renderer().response(visit, answer, "/evening").body).decode()


def said(house: Driven, clock: str, kind: str, count: int | None = None) -> None:
    house.clock.go_to(at(clock))
    assert isinstance(house.say(kind, "Ben", count=count), Kept)  # type: ignore[arg-type] # a kind


def test_an_old_evening_says_what_was_said_since_and_ends_nobody_twice(house: Driven) -> None:
    said(house, "16:20", "closed", 10)
    said(house, "+12:00", "found", 1)
    text = page(house, at("+12:01"))
    assert "Since then: Ben said on Tue 22 Dec that 1 was found. 1 still missing." in text
    assert "2 missing that evening" in text
    assert '<input type="hidden" name="count" value="1">' in text
    assert 'value="dead"' in text
    said(house, "+16:20", "closed", 12)
    text = page(house, at("+16:21"))
    assert "that 1 was found; Ben said on Tue 22 Dec that 12 were in. None of them is" in text
    for ending in ("found", "not-found", "dead", "given-up", "elsewhere"):
        assert f'value="{ending}"' not in text
    assert "Look on the roof" not in text


def test_a_find_by_day_does_not_make_the_evening_before_a_whole_one(house: Driven) -> None:
    said(house, "16:20", "closed", 10)
    once = "Since then: Ben said on Tue 22 Dec that 1 was found"
    twice = f"{once}; Ben said on Tue 22 Dec that 1 was found. None of them is missing any more."
    for clock, since in (("+10:00", f"{once}. 1 still missing."), ("+11:00", twice)):
        house.clock.go_to(at(clock))
        assert isinstance(house.say("found", "Ben", count=1, evening=WINTER), Kept)
        text = page(house, at(clock))
        assert "<bdi>Ben</bdi> shut the door at 16:20: 10 of 12 in that evening." in text
        assert since in text
    house.say("closed", "Ben", count=12, evening=WINTER)
    assert "12 in." in page(house, at("+11:05"))
    assert "that evening" not in page(house, at("+11:05"))


def test_a_find_in_the_night_is_of_that_evening(house: Driven) -> None:
    said(house, "16:20", "closed", 11)
    said(house, "23:10", "found", 1)
    assert "Since then" not in page(house, at("+10:00"))
    assert ": 12 in, 1 of them found since." in page(house, at("+10:00"))


def test_two_counts_that_differ_stand_side_by_side_while_one_is_searched_for(
    house: Driven,
) -> None:
    house.clock.go_to(at("16:20"))
    house.say("closed", "Ana", count=12)
    said(house, "16:24", "closed", 11)
    assert "Ana counted 12 at 16:20, Ben 11 at 16:24." in page(house, at("16:25"))
    said(house, "16:40", "found", 1)
    assert "Ana counted" not in page(house, at("16:41"))


def test_one_too_many_may_be_she_who_was_said_to_be_dead(house: Driven) -> None:
    said(house, "16:20", "closed", 11)
    said(house, "16:30", "dead", 1)
    said(house, "+16:20", "closed", 12)
    day, now = WINTER + DAY, at("+16:21")
    text = page(house, now, day)
    assert "1 was said to be dead on Mon 21 Dec. If that is wrong, it can be taken back on" in text
    lookout = Lookout(house.profile_path, house.running.place, house.running.almanac.key)
    visit = Visit(now=now, standing=lookout.standing(now), lookout=lookout)
    [card] = tonight(visit)
    assert card.undo_dead is not None
    assert card.undo_dead.text == "Undo \u201cdead\u201d for last night"
    lookout.journal().close()
    undo = Statement(
        kind="undone",
        who="Ana",
        coop="walnut",
        evening=card.undo_dead.day,
        turn=card.undo_dead.turn,
    )
    assert isinstance(take_back(house.journal, house.running.almanac, undo, now), Kept)
    text = page(house, now, day)
    assert "12 in." in text
    assert "said to be dead" not in text


def test_one_too_many_offers_to_count_again(house: Driven) -> None:
    said(house, "16:20", "closed", 13)
    text = page(house, at("16:21"))
    assert "1 too many: count again" in text
    assert "13 in, 1 more than the 12 that belong here." in text
    assert 'value="shut" data-all="All 12 in, counted again"' in text
    assert "<summary>Have you counted again?</summary>" not in text, "it stands open"
    said(house, "16:22", "closed", 12)
    assert "too many" not in page(house, at("16:23"))


def test_some_are_at_least_one_until_somebody_counts(house: Driven) -> None:
    said(house, "16:20", "closed", 12)
    house.say("closed", "Ben", some_missing=True)
    said(house, "16:40", "not-found")
    text = page(house, at("16:41"))
    assert "At least 1 still missing" in text
    assert "12 in" not in re.sub(r' data-\w+="[^"]*"', "", text)


def test_at_least_so_many_are_still_missing_after_one_of_them_was_given_up(house: Driven) -> None:
    said(house, "16:20", "closed", 12)
    house.say("closed", "Ben", some_missing=True)
    said(house, "16:40", "not-found", 3)
    said(house, "+12:00", "given-up", 1)
    text = page(house, at("+12:01"))
    assert "1 was given up for lost. At least 2 still missing." in text
    assert 'value="2"' in text


def test_by_day_no_button_says_that_last_nights_door_is_open(house: Driven) -> None:
    said(house, "16:20", "closed", 11)
    assert "Undo: it is not shut" in page(house, at("16:21"))
    said(house, "16:40", "not-found", 1)
    assert 'value="reopened"' in page(house, at("16:41"))
    assert 'value="reopened"' not in page(house, at("+12:00"))


def test_a_count_after_a_death_does_not_make_the_evening_a_good_one(house: Driven) -> None:
    said(house, "16:20", "closed", 11)
    said(house, "16:40", "dead", 1)
    said(house, "16:50", "closed", 11)
    text = page(house, at("16:51"))
    assert "Shut; 1 dead" in text
    assert 'class="card part"' in text


def test_what_is_said_when_the_evening_is_over_is_not_when_it_was_shut(house: Driven) -> None:
    house.clock.go_to(at("+10:25"))
    assert isinstance(house.say("closed", "Ben", count=11, evening=WINTER), Kept)
    told = "<bdi>Ben</bdi> said at 10:25 (Tue) that the door was shut: 11 of 12 in."
    assert told in page(house, at("+10:26"))


def test_the_undo_of_a_second_count_does_not_say_that_the_door_is_open(house: Driven) -> None:
    said(house, "16:20", "closed", 12)
    assert "Undo: it is not shut" in page(house, at("16:21"))
    said(house, "16:24", "closed", 11)
    text = page(house, at("16:25"))
    assert "Undo: it is not shut" not in text
    assert "Undo \u201c11 in\u201d" in text
    assert 'value="reopened"' in text, "the door may be open all the same"
    undone = Statement(kind="closed", coop="walnut", who="Ben", evening=WINTER)
    assert isinstance(take_back(house.journal, house.running.almanac, undone, at("16:26")), Kept)
    assert "12 in." in page(house, at("16:26"))
    assert "Undo: it is not shut" in page(house, at("16:26"))
    said(house, "16:27", "reopened")
    said(house, "16:28", "closed", 12)
    assert "Undo: it is not shut" in page(house, at("16:29"))


def test_an_undo_names_the_night_that_it_is_of(house: Driven) -> None:
    said(house, "16:20", "closed", 12)

    def undo(now: datetime) -> str:
        """On the card of the evening after."""
        lookout = Lookout(house.profile_path, house.running.place, house.running.almanac.key)
        visit = Visit(now=now, standing=lookout.standing(now), lookout=lookout)
        [night] = [one for one in visit.standing.nights if one.evening.day == WINTER + DAY]
        card = next(cards_of(visit, night))
        lookout.journal().close()
        assert card.undo is not None
        return card.undo.text

    assert undo(at("+12:00")) == "Undo \u201cit was shut\u201d for last night"
    for clock in ("02:00", "12:00"):  # that evening's own night, and the day after it
        assert undo(at(clock, WINTER + 2 * DAY)) == "Undo \u201cit was shut\u201d for Mon 21 Dec"


def test_the_undo_of_an_evening_that_is_over_does_not_speak_of_the_door_now(house: Driven) -> None:
    said(house, "16:20", "closed", 12)
    text = page(house, at("+12:00"))
    assert "Undo \u201cit was shut\u201d" in text
    assert "the door is open" not in text


def test_none_is_missing_any_more_only_where_it_is_known_how_many_were(house: Driven) -> None:
    said(house, "16:20", "closed", 12)
    house.say("closed", "Ben", some_missing=True)
    said(house, "16:40", "not-found", 1)
    said(house, "+12:00", "found", 1)
    unsure = "None of them is known to be missing, but nobody has counted since."
    assert unsure in page(house, at("+12:01"))
    said(house, "+16:20", "closed", 12)
    assert "None of them is missing any more." in page(house, at("+16:21"))


def test_by_day_the_page_of_last_night_offers_no_end_of_tonights_search(house: Driven) -> None:
    said(house, "16:20", "closed", 11)
    assert 'value="not-found"' in page(house, at("16:21"))
    text = page(house, at("+12:00"))
    assert 'value="not-found"' not in text
    assert 'value="given-up"' in text


def test_some_that_are_missing_are_counted_on_the_page_without_saying_that_the_door_is_open(
    house: Driven,
) -> None:
    house.clock.go_to(at("16:20"))
    assert isinstance(house.say("closed", "Ben", some_missing=True), Kept)
    text = page(house, at("16:21"))
    assert "<summary>Have you counted since?</summary>" in text
    assert 'data-more="{count} in, counted">Counted</button>' in text
    said(house, "16:30", "closed", 11)
    text = page(house, at("16:31"))
    assert "<summary>Have you counted again?</summary>" in text
    assert 'data-more="{count} in, counted again">Counted again</button>' in text
    said(house, "16:35", "not-found", 1)
    assert "<summary>Have you counted again?</summary>" in page(house, at("16:36"))
    said(house, "16:40", "closed", 12)
    assert "<summary>Have you counted again?</summary>" in page(house, at("16:41")), (
        "one may be out yet"
    )
    assert "Counted" not in page(house, at("+12:00")), "by day nobody counts last night's"


def test_it_is_said_that_some_were_missing_until_somebody_counts(house: Driven) -> None:
    house.clock.go_to(at("16:20"))
    assert isinstance(house.say("closed", "Ben", some_missing=True), Kept)
    said(house, "16:30", "found", 1)
    told = "Some were missing, and nobody has counted since."
    assert told in page(house, at("16:31"))
    health = report_health(house.running.place, house.running.household, house.clock.read())
    assert [amiss(state) for _, state in health.tonight] == [told.rstrip(".").lower()]
    said(house, "16:40", "closed", 12)
    assert told not in page(house, at("16:41"))


def test_a_find_that_may_be_of_one_given_up_is_asked_about_until_somebody_counts(
    house: Driven,
) -> None:
    house.clock.go_to(at("16:20"))
    assert isinstance(house.say("closed", "Ben", some_missing=True), Kept)
    said(house, "16:30", "not-found", 3)
    said(house, "16:31", "given-up", 1)
    said(house, "16:40", "found", 2)
    assert "known to be missing" not in page(house, at("16:41")), "no more than were missing"
    said(house, "16:42", "elsewhere", 1)
    said(house, "16:43", "closed")
    house.clock.go_to(at("16:44"))
    assert isinstance(house.say("closed", "Ben", some_missing=True), Kept)
    said(house, "16:45", "found", 2)
    asked = "1 more was found than was known to be missing. Is it one that was given up for lost or"
    text = page(house, at("16:46"))
    answer = "If so, say that she is back home; else count them."
    assert f"{asked} sleeps elsewhere? {answer}" in text
    assert "Counted again" in text
    said(house, "16:47", "closed", 10)
    assert "known to be missing" not in page(house, at("16:48"))


def test_a_find_is_not_of_one_who_was_given_up_after_it(house: Driven) -> None:
    house.clock.go_to(at("16:20"))
    assert isinstance(house.say("closed", "Ben", some_missing=True), Kept)
    said(house, "16:30", "found", 2)
    assert isinstance(house.say("closed", "Ben", some_missing=True), Kept)
    said(house, "16:45", "given-up", 1)
    assert "known to be missing" not in page(house, at("16:46"))
