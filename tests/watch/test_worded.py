"""The words of a delivery: as things stand when it is sent, and something whatever happens."""

import logging
from collections.abc import Sequence
from dataclasses import replace

import pytest

from scheduler.alerts import marks
from scheduler.alerts.delivery import LOUDEST, Delivery, Key, Matter, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.step import Step
from scheduler.messages import evening
from scheduler.watch.worded import Worded, worded
from tests.alerts.orchard import KEY as SECRET
from tests.alerts.orchard import NAMES, WINTER, at, ledger, said

KEY = Key(
    site_id="orchard", subject_id="walnut", day=WINTER, step=Step("now"), opening=0,
    person_id="ana", channel="push",
)  # fmt: skip
ONE = Delivery(key=KEY, due_at=at("16:19"), useful_until=at("+08:34"))


def told(one: Delivery, *nights: Night) -> Worded:
    return worded(one, NAMES, lambda _: nights, at("16:20"))


def test_it_is_said_as_the_doors_stand_and_in_its_person_s_name() -> None:
    book = ledger()
    night = replace(book.night(), base_url="https://coop.example", generations={"ana": 3})
    said_now = told(ONE, night)
    message = said_now.say()
    assert message.title == "Lock up now: Walnut, 12 hens, by 16:33"
    assert message.link == night.link("ana")
    assert len(message.buttons) == 3
    assert said_now.generation == 3
    by_mail = told(replace(ONE, key=replace(KEY, channel="mail")), night).say()
    assert (by_mail.title, by_mail.buttons) == (message.title, ())


def test_what_did_not_get_through_to_somebody_says_so_and_has_no_buttons() -> None:
    to_ben = replace(KEY, person_id="ben", step=Step("now", origin="ana"))
    passed_on = replace(ONE, key=to_ben, matter=Matter(not_by="push"))
    message = told(passed_on, ledger().night()).say()
    assert message.body.startswith("This did not get through to Ana by push")
    assert message.buttons == ()


def test_words_that_cannot_be_made_silence_nobody(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(evening, "reminder", broken)
    with caplog.at_level(logging.ERROR):
        message = told(ONE, ledger().night()).say()
    assert message.title == "Walnut: lock up by 16:33"
    assert message.priority == LOUDEST
    assert "words.not_made" in caplog.text


@pytest.mark.parametrize(
    "nights", [(), (replace(ledger().night(), evening=ledger(day=WINTER.replace(day=20)).evening),)]
)
def test_an_evening_that_nobody_knows_is_told_of_all_the_same(nights: Sequence[Night]) -> None:
    message = told(ONE, *nights).say()
    assert message.title == "Look at the hen house: is the door shut?"
    assert message.priority == LOUDEST


def test_a_mark_that_cannot_be_made_costs_no_message(monkeypatch: pytest.MonkeyPatch) -> None:
    book = ledger()
    book.say(said(count=12))

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(marks, "of_all_clear", broken)
    shut = replace(ONE, key=replace(KEY, step=Step("shut")))
    found = told(shut, book.night())
    assert found.mark == ""
    assert found.say().title == "Dora shut the door at 16:30, all 12 in. Nothing to do."


def test_what_the_site_tells_besides_has_kept_its_words() -> None:
    words = Message(title="Today: no jobs", body="b", stem="Today", priority=2, link="/")
    of_site = replace(KEY, subject_id="orchard", step=Step("brief"))
    message = told(replace(ONE, key=of_site, matter=Matter(words=words))).say()
    assert (message.title, message.body, message.stem) == ("Today: no jobs", "b", "Today")
    assert (message.priority, message.link) == (2, "/")


def test_the_buttons_are_signed_for_the_turn_and_the_person_of_now() -> None:
    night = ledger().night()
    assert night.key == SECRET
    first = told(ONE, night).say().buttons[0]
    renewed = told(ONE, replace(night, generations={"ana": 1})).say().buttons[0]
    assert first.label == renewed.label == "All 12 in, door shut"
    assert first.answer != renewed.answer


def test_by_another_way_minutes_later_a_search_says_the_same_that_somebody_took_it_back() -> None:
    book = ledger()
    book.say(said(clock="16:20", count=11, who="Ben"))
    book.say(
        replace(said("undone", "16:23", who="Ana"), was="found")
    )  # in the place of what it was
    first = replace(ONE, key=replace(KEY, step=Step("search-first", 2)), due_at=at("16:20"))
    other = replace(first, key=replace(first.key, channel="mail"), due_at=at("16:25"))
    title = "Ana took it back: 1 of 12 missing, Walnut. Search again"
    assert [told(one, book.night()).say().title for one in (first, other)] == [title, title]
