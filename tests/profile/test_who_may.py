"""Who may say what: every voice with every matter, as the house's words have it."""

from datetime import date, timedelta
from itertools import product
from typing import get_args

import pytest

from scheduler.profile.person import Person
from scheduler.profile.who_may import Matter, MayNot, Voice, VoiceKind, may, voice_of

# Owner and terminal: everything. Member: birds, jobs, evenings, reports. Sitter: the evenings and
# jobs of the days invited for. Shared screen: doors and jobs. Link of an evening: its door, and
# found or stop looking; "died" only from whoever is on duty.
TABLE = """
            terminal  owner  member  sitter  screen  duty's link  link  button
door        yes       yes    yes     days    yes     yes          yes   yes
search      yes       yes    yes     days    yes     yes          yes   yes
deaths      yes       yes    yes     days    no      yes          no    no
birds       yes       yes    yes     no      no      no           no    no
jobs        yes       yes    yes     days    yes     no           no    no
evenings    yes       yes    yes     days    no      no           no    no
reports     yes       yes    yes     no      no      no           no    no
diary       yes       yes    yes     no      no      no           no    no
own         yes       yes    yes     yes     no      no           no    no
flocks      yes       yes    yes     no      no      no           no    no
people      yes       yes    no      no      no      no           no    no
household   yes       yes    no      no      no      no           no    no
"""
FIRST, LAST = date(2027, 8, 3), date(2027, 8, 14)
THEIR_DAYS = "You look after the birds from 3 August 2027 until 14 August 2027"
DAY = timedelta(days=1)


def voice(kind: VoiceKind) -> Voice:
    return Voice(kind=kind, first=FIRST, last=LAST) if kind == "sitter" else Voice(kind=kind)


def test_each_voice_may_say_what_the_table_has_and_nothing_else() -> None:
    head, *rows = [line.split() for line in TABLE.replace("'s l", "'s-l").splitlines() if line]
    wanted = {
        (kind.replace("-", " "), row[0]): word
        for row in rows
        for kind, word in zip(head, row[1:], strict=True)
    }
    pairs = set(product(get_args(VoiceKind), get_args(Matter)))
    assert wanted.keys() == pairs
    for kind, matter in pairs:
        found = {
            day: may(voice(kind), matter, day) is None
            for day in (None, FIRST - DAY, FIRST, LAST, LAST + DAY)
        }
        expected = dict.fromkeys(found, wanted[kind, matter] != "no")
        if wanted[kind, matter] == "days":
            expected[FIRST - DAY] = expected[LAST + DAY] = False
        assert found == expected, (kind, matter)


def test_every_refusal_has_a_reason_in_a_sentence() -> None:
    for kind, matter, day in product(get_args(VoiceKind), get_args(Matter), (None, LAST + DAY)):
        if why := may(voice(kind), matter, day):
            assert why.sentence[0].isupper()
            assert why.sentence.endswith(".")
            assert "that that" not in why.sentence


@pytest.mark.parametrize(
    ("kind", "matter", "day", "sentence"),
    [
        (
            "member",
            "people",
            None,
            "Only an owner can let somebody in, sign somebody out or end their addresses.",
        ),
        (
            "sitter",
            "reports",
            FIRST,
            "Only an owner or a member can report the weather, a predator or what ails the birds.",
        ),
        (
            "sitter",
            "jobs",
            LAST + DAY,
            f"{THEIR_DAYS} and can speak only for those days.",
        ),
        (
            "link",
            "jobs",
            None,
            "A message answers only for the door on its evening. Sign in for everything else.",
        ),
        (
            "screen",
            "own",
            None,
            "Only somebody signed in by name can have calendars and test messages.",
        ),
        (
            "screen",
            "deaths",
            None,
            "Only whoever is on duty, or somebody signed in, can say that.",
        ),
    ],
)
def test_a_reason_says_who_can(
    kind: VoiceKind, matter: Matter, day: date | None, sentence: str
) -> None:
    why = may(voice(kind), matter, day)
    assert isinstance(why, MayNot)
    assert why.sentence == sentence


def test_somebody_speaks_by_their_role_and_a_sitter_for_their_days() -> None:
    assert voice_of(Person(name="Ana", id="ana")) == Voice(kind="owner")
    kim = Person(name="Kim", id="kim", role="sitter", first_day=FIRST, last_day=LAST)
    assert voice_of(kim) == Voice(kind="sitter", first=FIRST, last=LAST)
