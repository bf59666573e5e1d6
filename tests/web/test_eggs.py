"""Eggs on Today: one tap where the number is the likely one, added up, taken back, never twice."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.web.egg_forms import EggForm, WrongEggs, collected, egg_forms, pressed
from scheduler.web.request_and_answer import Answer
from tests.faults.house import WINTER, household
from tests.web.asked_here import Here, here
from tests.web.front import Front


@pytest.fixture
def walnut(tmp_path: Path) -> Iterator[Here]:
    """Twelve hens of an age to lay, at half past twelve."""
    with household(tmp_path) as house:
        yield from here(house)


def form(at: Here) -> EggForm:
    [only] = egg_forms(at.visit())
    return only


def press(at: Here, count: str, known: int = 0, **more: str) -> Answer | WrongEggs:
    told = {"coop": "walnut", "count": count, "known": str(known), "do": "collected"}
    return collected(at.visit(**told, **more))


def test_the_number_that_is_likely_is_kept_with_one_tap_and_taken_back_with_one(
    walnut: Here,
) -> None:
    assert (form(walnut).likely, form(walnut).so_far, form(walnut).undo) == (9, "", "")
    answer = press(walnut, "9")
    assert isinstance(answer, Answer)
    assert answer.location == "/#egg-form-walnut"
    assert (form(walnut).so_far, form(walnut).undo) == ("9 eggs today", "Undo 9 eggs")
    press(walnut, "2", known=9)
    assert (form(walnut).so_far, form(walnut).undo) == ("11 eggs today", "Undo 2 eggs")
    collected(walnut.visit(coop="walnut", do="undo"))
    assert (form(walnut).so_far, form(walnut).undo) == ("9 eggs today", "Undo 9 eggs")


def test_what_was_collected_yesterday_is_likely_today(walnut: Here) -> None:
    press(walnut, "7")
    walnut.house.set_clock(walnut.house.local("12:30", WINTER + timedelta(days=1)))
    assert (form(walnut).likely, form(walnut).so_far) == (7, "")


def test_a_press_beside_somebody_elses_count_is_not_added_unasked(walnut: Here) -> None:
    press(walnut, "9")
    again = press(walnut, "9", known=0)
    assert isinstance(again, WrongEggs)
    assert again.text.startswith("Not added: 9 eggs from Walnut are on the list for today.")
    assert form(walnut).so_far == "9 eggs today"


@pytest.mark.parametrize("typed", ["", "nine", "-1", "7.5", "1001", "١٢", "99999999"])
def test_what_is_no_number_stays_in_the_field_with_what_to_type(walnut: Here, typed: str) -> None:
    wrong = press(walnut, typed)
    assert isinstance(wrong, WrongEggs)
    assert wrong.text == "Type a number, such as 7."
    [only] = egg_forms(walnut.visit(), wrong)
    assert (only.typed, only.wrong) == (typed, wrong.text)
    assert only.so_far == ""


def test_more_than_they_can_have_laid_is_asked_about(walnut: Here) -> None:
    asked = press(walnut, "25")
    assert isinstance(asked, Answer)
    assert asked.template == "ask.html"
    assert "25 eggs from 12 birds" in str(asked.facts["text"])
    assert form(walnut).so_far == ""
    press(walnut, "25", sure="1")
    assert form(walnut).so_far == "25 eggs today"


def test_none_collected_is_nothing_to_keep(walnut: Here) -> None:
    press(walnut, "0")
    assert (form(walnut).so_far, form(walnut).undo) == ("", "")


def test_the_button_says_the_number() -> None:
    assert (pressed(1), pressed(12), pressed()) == (
        "Add 1 egg",
        "Add 12 eggs",
        "Add {count} eggs",
    )


def test_on_the_page_they_are_one_tap_and_a_wrong_number_is_answered_beside_the_field(
    pages: Front,
) -> None:
    sent = {"coop": "walnut", "known": "0", "do": "collected"}
    assert pages.post("/eggs", {**sent, "count": "9"}, who="ana").headers["location"] == (
        "/#egg-form-walnut"
    )
    text = pages.get("/", who="kim").text
    assert "9 eggs today" in text
    assert "Undo 9 eggs" in text
    wrong = pages.post("/eggs", {**sent, "known": "9", "count": "many"}, who="ana")
    assert wrong.status == 422
    field = wrong.text.partition('id="count-egg-form-walnut"')[2].partition("</div>")[0]
    assert 'value="many"' in field
    assert "Type a number, such as 7." in field
    nowhere = pages.post("/eggs", {**sent, "coop": "barn", "count": "9"}, who="ana")
    assert nowhere.status == 422
    assert "There is no house “barn”, so nothing was saved." in nowhere.text
