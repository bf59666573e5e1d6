"""[duty]: who usually locks up on which day of the week, and how long the way to a house takes."""

from datetime import date
from pathlib import Path

import pytest

from scheduler.profile.load import Loaded, parse
from tests.conftest import SMALL, declared

ANA, BEN = '[[person]]\nname = "Ana"\n', '[[person]]\nname = "Ben Quill"\nid = "ben"\n'
KIM = '[[person]]\nname = "Kim"\nrole = "sitter"\nlast_day = 2026-08-14\n'
HERE = SMALL + ANA + BEN
MONDAY, WEDNESDAY = date(2026, 12, 21), date(2026, 12, 23)


def said(text: str) -> list[str]:
    """Each problem without its file and line, all of them at once."""
    found = parse(text.encode(), file="farm.toml", today=date(2026, 1, 1))
    assert not isinstance(found, Loaded)
    return [str(problem).split(": ", 1)[1] for problem in found]


@pytest.mark.parametrize("who", ["ben", "Ben Quill", "ben  QUILL"])
def test_a_day_is_somebody_s_by_name_or_id(who: str) -> None:
    duty = declared(f'{HERE}[duty]\nwednesday = "{who}"\n').duty
    assert (duty.of(WEDNESDAY), duty.of(MONDAY)) == ("ben", None)
    assert duty.by_weekday == {"wednesday": "ben"}


def test_without_the_table_no_day_is_anybody_s() -> None:
    assert declared(HERE).duty.by_weekday == {}


def test_a_sitter_may_have_a_day() -> None:
    assert declared(f'{HERE}{KIM}[duty]\nsunday = "Kim"\n').duty.by_weekday == {"sunday": "kim"}


NAMES = '"Ana", "Ben Quill".'
LEFT = "Give the days of whoever has left to somebody else, or leave them out."


def test_every_wrong_day_is_told_at_once_with_the_nearest_name() -> None:
    text = f'{HERE}[duty]\nmonday = "Anna"\ntuesday = "Ben Quil"\nfriday = "Dora"\nsunday = 7\n'
    assert said(text) == [
        f'duty.monday: found "Anna"; accepted: {NAMES} Did you mean "Ana"?',
        f'duty.tuesday: found "Ben Quil"; accepted: {NAMES} Did you mean "Ben Quill"?',
        f'duty.friday: found "Dora"; accepted: {NAMES} {LEFT}',
        "duty.sunday: found 7; accepted: one line of text, at most 80 characters.",
    ]


def test_a_day_is_spelled_as_a_day() -> None:
    (problem,) = said(f'{HERE}[duty]\nwed = "Dora"\n')
    assert problem.startswith('duty.wed: found the unknown key "wed"; accepted: monday, tuesday')
    assert problem.endswith('Did you mean "wednesday"?')


def test_of_two_with_one_name_the_id_is_asked_for() -> None:
    twice = SMALL + BEN + BEN.replace('"ben"', '"ben-q"')
    assert said(f'{twice}[duty]\nmonday = "Ben Quill"\n') == [
        (
            'duty.monday: found "Ben Quill"; accepted: "ben", "ben-q". '
            'Several people are called "Ben Quill": write the id of one of them.'
        )
    ]
    assert declared(f'{twice}[duty]\nmonday = "ben-q"\n').duty.of(MONDAY) == "ben-q"


def test_where_nobody_is_told_no_day_can_be_anybody_s() -> None:
    assert said(f'{SMALL}[duty]\nmonday = "Ana"\n') == [
        f'duty.monday: found "Ana"; accepted: somebody of a [[person]]. {LEFT}'
    ]


def test_what_was_meant_for_the_table_is_sent_there() -> None:
    assert said(f'rota = "Ana"\n{HERE}')[0].endswith(
        'Who usually locks up goes in a table [duty], as monday = "Sam".'
    )
    assert said(f"{SMALL}{ANA}duty = true\n")[0].endswith(
        "The first [[person]] is on duty, or whoever the table [duty] names for that weekday."
    )


def test_the_annotated_profile_shows_both_as_they_are_written() -> None:
    text = (Path(__file__).parents[2] / "config" / "annotated.toml").read_text(encoding="utf-8")
    for line in ("[duty]", 'monday = "Kim"', 'thursday = "Kim"', "getting_there = 14"):
        assert f"\n# {line}" in text
        text = text.replace(f"\n# {line}", f"\n{line}")
    profile = declared(text)
    assert profile.duty.by_weekday == {"monday": "kim", "thursday": "kim"}
    assert profile.coop[0].getting_there_minutes == 14


# The way to a house


def with_way(value: str) -> str:
    return SMALL.replace('name = "Walnut"', f'name = "Walnut"\ngetting_there = {value}')


@pytest.mark.parametrize(
    ("value", "minutes"),
    [("14", 14), ('"14 min"', 14), ('"2 h"', 120), ("0", 0), ("120", 120), ("7.5", 7.5)],
)
def test_a_way_is_so_many_minutes(value: str, minutes: float) -> None:
    assert declared(with_way(value)).coop[0].getting_there_minutes == minutes
    assert declared(SMALL).coop[0].getting_there_minutes == 0


@pytest.mark.parametrize("value", ["-1", "121", '"3 h"', '"14"', '"far"', "true", '"14 m"'])
def test_no_other_way_is_taken(value: str) -> None:
    (problem,) = said(with_way(value))
    assert problem.startswith("coop[1].getting_there: found ")
    assert 'accepted: a time such as "40 min"' in problem


def test_the_way_is_found_by_other_names() -> None:
    (problem,) = said(with_way("14").replace("getting_there", "distance"))
    assert problem.endswith("as getting_there = 14.")
