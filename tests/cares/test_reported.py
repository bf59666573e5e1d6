"""Days as people say them, and reports told back."""

from datetime import date

import pytest

from scheduler.cares.records import GRADES, Report, Spell
from scheduler.cares.report_words import read_day, report_words
from scheduler.profile.problem import Unreadable

MONDAY = date(2026, 12, 21)
SATURDAY = date(2026, 12, 26)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today", MONDAY),
        (" Tomorrow ", date(2026, 12, 22)),
        ("yesterday", date(2026, 12, 20)),
        ("mon", MONDAY),
        ("Saturday", SATURDAY),
        ("sun", date(2026, 12, 27)),
        ("2027-01-02", date(2027, 1, 2)),
        ("thurs", date(2026, 12, 24)),
        ("weds", date(2026, 12, 23)),
    ],
)
def test_a_day_is_a_date_or_is_counted_from_the_day_before_it(text: str, day: date) -> None:
    assert read_day(text, MONDAY) == day


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today", MONDAY),
        ("tomorrow", date(2026, 12, 22)),
        ("mon", MONDAY),
        ("fri", date(2026, 12, 18)),
    ],
)
def test_only_a_weekday_is_counted_from_the_first_day(text: str, day: date) -> None:
    assert read_day(text, MONDAY, since=date(2026, 12, 16)) == day


@pytest.mark.parametrize(
    "text", ["", "someday", "2026-02-30", "21.12.2026", "mon 3", "sunset", "monkey", "su"]
)
def test_any_other_day_is_refused_with_what_is_accepted(text: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read_day(text, MONDAY)
    assert (
        refused.value.accepted == "a date such as 2026-12-21, a weekday, yesterday, today, tomorrow"
    )


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("21.12.2026", "Did you mean 2026-12-21?"),
        ("12/21/2026", "Did you mean 2026-12-21?"),
        ("21/12/2026", "Did you mean 2026-12-21?"),
        ("5/6/2026", ""),  # May or June
        ("31.2.2026", ""),
        ("tomorow", 'Did you mean "tomorrow"?'),
        ("satruday", 'Did you mean "saturday"?'),
    ],
)
def test_a_day_written_another_way_is_answered_with_the_right_spelling(
    text: str, hint: str
) -> None:
    with pytest.raises(Unreadable) as refused:
        read_day(text, MONDAY)
    assert refused.value.hint == hint


def test_a_report_is_told_back_with_days_air_and_whom_it_binds() -> None:
    one_day = Report(kind="storm", spell=Spell(first=MONDAY, last=MONDAY))
    assert report_words(one_day, "metric") == "storm on Mon 21 Dec"
    heat = Report(kind="heat", spell=Spell(first=MONDAY, last=SATURDAY), air_c=36.0)
    assert report_words(heat, "us") == "heat of 97\u00a0°F from Mon 21 Dec to Sat 26 Dec"
    order = Report(
        kind="order", spell=Spell(first=MONDAY), link="https://example.org/o", who="everybody"
    )
    assert report_words(order, "metric") == (
        "housing order from Mon 21 Dec until further notice, applies to everybody "
        "(https://example.org/o)"
    )


def test_a_predator_is_told_back_with_how_near_it_came_and_until_when_care_is_taken() -> None:
    spell = Spell(first=MONDAY, last=date(2027, 1, 3))
    said = [report_words(Report(kind="predator", spell=spell, grade=g), "metric") for g in GRADES]
    assert said == [
        "predator seen nearby on Mon 21 Dec, until Sun 3 Jan",
        "predator that tried to get in on Mon 21 Dec, until Sun 3 Jan",
        "predator that got at the birds on Mon 21 Dec, until Sun 3 Jan",
    ]
