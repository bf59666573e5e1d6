"""Whose duty a day is, is asked of one function with that day."""

import ast
from datetime import date
from pathlib import Path
from typing import get_args

import pytest

import scheduler
from scheduler.alerts.crew import crew_of, duty, duty_ids
from scheduler.alerts.delivery import ChannelName
from scheduler.messages.ways_out import undelivered
from tests.alerts.orchard import ANA, BOTH, DAY, TEXT, WINTER, evenings, household

# Who is offered the first sign-in link at a terminal, while nobody is signed in: that is no duty.
NO_DUTY = {("cli/screens/links.py", "profile.person[0]")}
PEOPLE = {"crew", "person", "own", "before", "contacts"}


@pytest.mark.parametrize("day", [WINTER, WINTER + DAY])
def test_the_first_who_can_be_called_is_on_duty_and_then_the_next(day: date) -> None:
    crew = crew_of(household(TEXT).profile, BOTH, None)
    assert [one.person_id for one in crew] == ["ana", "ben", "cleo"]
    whose = duty(crew, day)
    assert (whose.first, whose.second) == (crew[0], crew[1])
    assert duty_ids(crew, day) == ("ana",)
    by_mail = crew_of(
        household(TEXT.replace("push.example", "mail.example")).profile, {"mail"}, None
    )
    assert duty_ids(by_mail, day) == ("ana",)
    assert duty(by_mail, day).second == by_mail[1]


def test_every_channel_has_an_address_in_the_profile_and_words_for_what_it_did_not_deliver() -> (
    None
):
    # Left out here, nobody is told over it, and nothing else says so.
    text = TEXT.replace('name = "Ana"', 'name = "Ana"\nservice = "ana"')
    channels = set(get_args(ChannelName))
    ana = crew_of(household(text).profile, channels, None)[0]
    assert {way for way, _ in ana.addresses} == channels
    for channel in channels:
        assert "to Ana" in undelivered("Ana", channel, 2)


def test_who_is_alone_is_asked_again_and_of_nobody_nobody_is() -> None:
    assert (duty(["ana"], WINTER).first, duty(["ana"], WINTER).second) == ("ana", "ana")
    assert (duty([], WINTER).first, duty([], WINTER).second) == (None, None)
    assert duty_ids((), WINTER) == ()


def test_an_evening_is_whose_its_date_is() -> None:
    (evening,) = evenings()
    assert evening.on_duty == duty(evening.crew, evening.day).first
    called = {step.kind: step.people for step in evening.steps}
    assert (called["now"], called["next"]) == (("ana",), ("ben",))


SITTER = """
[[person]]
name = "Kim"
push = "https://push.example.org/kim"
role = "sitter"
first_day = 2026-12-21
last_day = 2026-12-22
"""


def test_a_sitter_is_called_on_the_days_invited_for_and_else_nobody_knows_of_them() -> None:
    with_sitter = TEXT.replace(ANA, SITTER + ANA)
    first, last = WINTER, WINTER + DAY
    called = {
        day: [contact.person_id for contact in evenings(with_sitter, day)[0].crew]
        for day in (first - DAY, first, last, last + DAY)
    }
    others = ["ana", "ben", "cleo"]
    invited = ["kim", *others]
    assert list(called.values()) == [others, invited, invited, others]
    steps = {step.kind: step.people for step in evenings(with_sitter, last)[0].steps}
    assert (steps["now"], steps["next"]) == (("kim",), ("ana",))
    everybody = crew_of(household(with_sitter).profile, BOTH, None)
    assert [contact.person_id for contact in everybody] == invited


def takes_the_first(node: ast.AST) -> bool:
    """Whether the first of some people is taken there."""
    if not isinstance(node, ast.Subscript):
        return False
    of = node.value.attr if isinstance(node.value, ast.Attribute) else getattr(node.value, "id", "")
    by = node.slice.upper if isinstance(node.slice, ast.Slice) else node.slice
    return of in PEOPLE and isinstance(by, ast.Constant) and by.value in {0, 1, 2}


def test_nothing_else_takes_the_first_person() -> None:
    root = Path(scheduler.__file__).parent
    found = {
        (file.relative_to(root).as_posix(), ast.unparse(node))
        for file in root.rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text()))
        if takes_the_first(node)
    }
    assert found == NO_DUTY
