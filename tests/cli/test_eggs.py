"""`duskfold eggs`: counted, added up, taken back; what cannot be is asked about."""

import json

import pytest

from tests.cli.test_door import PEOPLE, SITE, TWO, _somewhere_of_its_own, declare, run, said

__all__ = ["_somewhere_of_its_own"]


def test_what_was_collected_adds_up_and_the_last_count_is_taken_back() -> None:
    assert run("eggs", "7").output == "Noted: 7 eggs from Walnut, Mon 21 Dec.\n"
    assert "That makes 8 that day." in run("eggs", "1").output
    assert json.loads(run("eggs", "2", "--json").output) == {
        "house_id": "walnut", "day": "2026-12-21", "eggs": 2, "in_all": 10,
    }  # fmt: skip
    assert run("eggs", "--undo").output == (
        "Taken back: 2 eggs from Walnut, Mon 21 Dec. That makes 8 that day.\n"
    )
    assert "7 eggs" not in run("eggs", "3", "--date", "2026-12-20").output


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("eggs",), "EGGS: found nothing; accepted: a whole number from 0 to 1000."),
        (("eggs", "many"), 'found "many"; accepted: a whole number from 0 to 1000.'),
        (("eggs", "000000000" + "9" * 30), "accepted: a whole number from 0 to 1000."),
        (("eggs", "9" * 5000), "accepted: a whole number from 0 to 1000."),
        (("eggs", "5", "--coop", "wallnut"), 'Did you mean "Walnut"'),
        (("eggs", "5", "--date", "2026-12-24"), "accepted: today or a day before"),
        (("eggs", "5", "--date", "2026-01-02"), "Which day do you mean?"),
        (("eggs", "--undo"), "a count of eggs. Walnut has no count left for Mon 21 Dec."),
        (
            ("eggs", "40"),
            "40 eggs from 12 birds in one day. Is it right? If so, run it again with --yes.",
        ),
    ],
)
def test_what_cannot_be_is_asked_about_and_not_kept(arguments: tuple[str, ...], told: str) -> None:
    refused = run(*arguments)
    assert refused.exit_code == 2
    assert told in refused.output
    assert run("eggs", "1").output == "Noted: 1 egg from Walnut, Mon 21 Dec.\n"


def test_more_than_they_can_lay_is_kept_when_it_is_meant() -> None:
    assert run("eggs", "40", "--yes").exit_code == 0


def test_of_two_houses_one_is_named() -> None:
    declare(SITE + TWO + PEOPLE)
    assert "--coop: found no house; accepted: Walnut, Barn" in run("eggs", "4").output
    assert run("eggs", "4", "--coop", "barn").output.startswith("Noted: 4 eggs from Barn")


def test_birds_that_come_and_go_are_said_at_the_terminal() -> None:
    arrived = run("arrived", "--count", "3")
    assert "3 arrived. They are expected from now on. Now 15 expected" in arrived.output
    assert "should live apart from yours for 30 days" in arrived.output
    shown = run("today").output
    assert "Walnut: 12 hens in the profile\n  3 more live there: 15 expected.\n" in shown
    assert "2 sold. They are no longer expected" in run("sold", "--count", "2").output
    assert "\n  1 more lives there: 13 expected.\n" in run("today").output
    assert said(run("closed", "--json"))[0]["expected"] == 13
    refused = run("moved", "--count", "2")
    assert refused.exit_code == 2
    assert "--to: found no house; accepted: another house of the profile." in refused.output
    declare(SITE + TWO + PEOPLE)
    refused = run("moved", "--coop", "walnut", "--count", "2")
    assert "--to: found no house; accepted: Barn." in refused.output
    moved = run("moved", "--coop", "walnut", "--to", "barn", "--count", "2").output
    assert "Walnut: 2 moved out" in moved
    assert "Barn: 2 moved in" in moved
    today = run("today").output
    assert "1 fewer lives there: 11 expected." in today
    assert "2 more live there: " in today
    assert run("undo").output.startswith('Walnut: "2 moved out" is taken back. Now 13 expected.\n')
