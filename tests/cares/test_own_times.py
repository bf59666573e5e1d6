"""The keeper's own jobs: once, from and until a date, counted from when added or last done."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.catalogue import in_force
from scheduler.cares.due import Dates
from scheduler.cares.due_words import due_words
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.cares.triggers import OwnTimes
from scheduler.climate.curve import averages
from scheduler.light.sun import sky_over
from scheduler.profile.load import Loaded, parse
from scheduler.profile.values import Profile

Declare = Callable[[str], Profile]
DAY = timedelta(days=1)
ADDED = date(2026, 12, 1)
TEXT = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
[[care]]
name = "Hinges"
"""


def due_days(profile: Profile, records: Records, first: date, days: int) -> list[date]:
    (care,) = (one for one in in_force(profile, ()) if one.id == "hinges")
    dates = Dates(profile, sky_over(profile), averages(profile), records, (care,))
    return [day for n in range(days) if dates.due(care, day := first + n * DAY)]


def known(*done: date) -> Records:
    return Records(own_added=(("hinges", ADDED),), own_done=tuple(("hinges", day) for day in done))


@given(every=st.integers(1, 60))
def test_k17_it_is_not_due_on_the_day_it_was_added_but_that_long_after(every: int) -> None:
    loaded = parse(
        (TEXT + f'every = "{every} days"\n').encode(), file="t.toml", today=date(2026, 1, 1)
    )
    assert isinstance(loaded, Loaded)
    found = due_days(loaded.profile, known(), ADDED, 3 * every + 1)
    assert found == [ADDED + n * every * DAY for n in (1, 2, 3)]


def test_k17_once_done_it_is_counted_from_then_and_what_was_due_stays(declare: Declare) -> None:
    profile = declare(TEXT + 'every = "14 days"\n')
    late = ADDED + 16 * DAY
    assert due_days(profile, known(late), ADDED, 60) == [
        ADDED + 14 * DAY,
        late + 14 * DAY,
        late + 28 * DAY,
        late + 42 * DAY,
    ]
    again = late + 14 * DAY
    assert due_days(profile, known(late, again), ADDED, 40) == [ADDED + 14 * DAY, again]


def test_k17_from_is_its_first_day_and_until_its_last(declare: Declare) -> None:
    spell = "from = 2026-12-24\nuntil = 2027-01-21\n"
    profile = declare(TEXT + 'every = "14 days"\n' + spell)
    first = date(2026, 12, 24)
    expected = [first, first + 14 * DAY, first + 28 * DAY]
    for records in (NO_RECORDS, known()):
        assert due_days(profile, records, ADDED, 120) == expected
    done = first + 3 * DAY
    assert due_days(profile, known(done), ADDED, 120) == [first, done + 14 * DAY]


def test_k17_once_on_a_date(declare: Declare) -> None:
    profile = declare(TEXT + "on = 2026-12-24\n")
    assert due_days(profile, known(ADDED), ADDED, 800) == [date(2026, 12, 24)]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "every: found nothing; accepted: every (how often) or on (a date, for once)."),
        ('on = 2026-12-24\nevery = "2 days"\n', "on: found on together with the others"),
        ("on = 2026-12-24\nfrom = 2026-12-01\n", "on: found on together with the others"),
        (
            'every = "2 days"\nfrom = 2026-12-24\nuntil = 2026-12-01\n',
            "until: found 2026-12-01; accepted: a day on or after 2026-12-24.",
        ),
    ],
)
def test_k17_what_contradicts_itself_is_told(text: str, said: str) -> None:
    found = parse((TEXT + text).encode(), file="t.toml", today=date(2026, 1, 1))
    assert isinstance(found, tuple)
    assert said in str(found[0])


def test_why_an_own_job_is_due_is_told(declare: Declare) -> None:
    for text, said in (
        ("on = 2026-12-24\n", "your own date: 2026-12-24"),
        ('every = "14 days"\n', "every 14 days, counted from the day you added it, or last did it"),
        ('every = "1 day"\nuntil = 2027-01-02\n', "until 2027-01-02"),
    ):
        (care,) = in_force(declare(TEXT + text), ())
        assert isinstance(care.due, OwnTimes)
        assert said in due_words(care, "metric")
