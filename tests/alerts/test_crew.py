"""Whose duty a day is, is asked of one function with that day."""

import ast
from datetime import date
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

import scheduler
from scheduler.alerts.crew import crew_of, duty, duty_ids
from scheduler.alerts.delivery import ChannelName
from scheduler.alerts.reminded_evening import among
from scheduler.messages.ways_out import undelivered
from scheduler.profile.person import Person
from scheduler.profile.ringing_phone import RingingPhone
from scheduler.profile.usual_duty import WEEKDAYS, UsualDuty
from tests.alerts.orchard import ANA, BOTH, DAY, TEXT, WINTER, evenings, household

# Who is offered the first sign-in link while nobody is signed in, at a terminal, in the made-up
# garden and by the first questions: that is no duty.
NO_DUTY = {
    ("cli/screens/links.py", "profile.person[0]"),
    ("cli/demo.py", "profile.person[0]"),
    ("web/first_run/pages.py", "household.profile.person[0]"),
    ("service/first_run/begin_household.py", "household.profile.person[0]"),
}
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
    phones = (RingingPhone(id="a" * 16, person_id="ana"),)
    ana = crew_of(household(text).profile.with_phones(phones), channels, None)[0]
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


# The days of the week


WEEK = '[duty]\ntuesday = "Ben"\nwednesday = "Kim"\nthursday = "Cleo"\nfriday = "Dora"\n'
DORA = '[[person]]\nname = "Dora"\n'  # whom no message can reach
WITH_WEEK = TEXT + SITTER + DORA + WEEK


@pytest.mark.parametrize(
    ("number", "first", "second"),
    [
        (0, "ana", "ben"),  # on Monday, which is nobody's
        (1, "ben", "ana"),
        (2, "ana", "ben"),  # Kim is invited until Tuesday
        (3, "cleo", "ana"),
        (4, "ana", "ben"),  # Dora cannot be reached
    ],
)
def test_a_day_of_the_week_is_whose_it_is_while_they_can_be_reached(
    number: int, first: str, second: str
) -> None:
    assert WINTER.weekday() == 0
    (evening,) = evenings(WITH_WEEK, WINTER + number * DAY)
    assert evening.duty_ids == (first,)
    called = {step.kind: step.people for step in evening.steps}
    assert (called["now"], called["next"]) == ((first,), (second,))
    assert set(called["everybody"]) >= {"ana", "ben", "cleo"}


def test_a_sitter_has_their_day_when_invited() -> None:
    invited = WITH_WEEK.replace("last_day = 2026-12-22", "last_day = 2026-12-23")
    (evening,) = evenings(invited, WINTER + 2 * DAY)
    assert evening.duty_ids == ("kim",)


def test_an_evening_under_way_stays_whose_it_was_and_goes_to_the_next_when_they_leave() -> None:
    tuesday = WINTER + DAY
    (evening,) = evenings(WITH_WEEK, tuesday)
    other = WITH_WEEK.replace('tuesday = "Ben"', 'tuesday = "Cleo"')
    crew = crew_of(household(other).profile, BOTH, tuesday)
    assert duty_ids(crew, tuesday) == ("cleo",)
    assert among(evening, crew).duty_ids == ("ben",)
    without = among(evening, [one for one in crew if one.person_id != "ben"])
    assert without.duty_ids == ("ana",)
    assert {step.kind: step.people for step in without.steps}["now"] == ("ana",)


def test_an_evening_whose_dusk_is_after_midnight_is_of_the_weekday_it_began_on() -> None:
    # By the clock of Reykjavik the sun of a Friday in June sets on Saturday.
    north = WITH_WEEK.replace("latitude = 51.5", "latitude = 64.15").replace("-0.1", "-21.94")
    north = north.replace("Europe/London", "Atlantic/Reykjavik") + '[lockup]\ncap = "none"\n'
    north = north.replace('friday = "Dora"', 'friday = "Ben"\nsaturday = "Cleo"')
    friday = date(2026, 6, 5)
    (evening,) = evenings(north, friday)
    assert evening.lock_up.date() == friday + DAY
    assert evening.duty_ids == ("ben",)


ids = ("ana", "ben", "cleo", "dora")


@given(
    usual=st.dictionaries(st.sampled_from(WEEKDAYS), st.sampled_from(ids)),
    reached=st.sets(st.sampled_from(ids)),
    day=st.dates(date(2026, 1, 1), date(2027, 12, 31)),
)
def test_each_day_has_exactly_one_and_never_somebody_who_cannot_be_reached(
    usual: dict[str, str], reached: set[str], day: date
) -> None:
    profile = household(TEXT).profile
    people = tuple(
        Person(name=one, id=one, mail=f"{one}@example.org" if one in reached else None)
        for one in ids
    )
    profile = profile.model_copy(update={"person": people, "duty": UsualDuty(**usual)})
    crew = crew_of(profile, BOTH, day)
    assert {one.person_id for one in crew} == reached
    found = duty_ids(crew, day)
    assert len(found) == min(len(reached), 1)
    whose = usual.get(WEEKDAYS[day.weekday()])
    in_order = [one for one in ids if one in reached]
    assert found == ((whose,) if whose in reached else tuple(in_order[:1]))
    second = duty(crew, day).second
    others = [one for one in in_order if one not in found]
    assert (second.person_id if second else None) == next(iter([*others, *found]), None)


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
