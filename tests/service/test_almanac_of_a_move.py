from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise

from hypothesis import example, given, settings

from scheduler.alerts.delivery import ChannelName
from scheduler.cares import catalogue as cares
from scheduler.cares.records import NO_RECORDS
from scheduler.profile.package_data import catalogue as raw
from scheduler.service.almanac import DAYS_BACK, Almanac
from scheduler.service.household.open_profile import Household
from tests.cares.moves import PLACES, dates, moving, pairs
from tests.conftest import declared

DAY = timedelta(days=1)
PUSH = frozenset[ChannelName]({"push"})
CATALOGUE = cares.read(raw())
FAR = [("Honolulu", "Auckland"), ("Niue", "Kiritimati"), ("Auckland", "Honolulu")]


def almanac_of(before: str, after: str, on: date) -> Almanac:
    profile = declared(moving(before, after, on))
    household = Household(profile=profile, catalogue=CATALOGUE)
    return Almanac(household=household, records=NO_RECORDS, ways=PUSH, key=b"key")


@given(pairs, dates)
@example(FAR[0], date(2026, 6, 1))
@example(FAR[1], date(2026, 6, 1))
@example(FAR[2], date(2026, 9, 27))
@example(("London", "Tromso"), date(2026, 6, 21))
@settings(max_examples=10)
def test_the_evening_that_is_meant_never_goes_back(pair: tuple[str, str], on: date) -> None:
    almanac = almanac_of(*pair, on)
    begins = datetime.combine(on - 4 * DAY, time(), UTC)
    seen = [almanac.evening_of(begins + n * timedelta(minutes=20)) for n in range(8 * 72)]
    assert all(before <= after for before, after in pairwise(seen))
    assert set(seen) >= {on + n * DAY for n in range(-3, 3)}, "each evening has its turn"


@given(pairs, dates)
@example(FAR[0], date(2026, 6, 1))
@example(FAR[1], date(2026, 6, 1))
@example(FAR[2], date(2026, 9, 27))
@example(("Adak", "Chatham"), date(2026, 12, 21))
@example(("London", "Tromso"), date(2026, 6, 21))
@settings(max_examples=10)
def test_each_step_of_each_evening_is_due_while_that_evening_is_looked_at(
    pair: tuple[str, str], on: date
) -> None:
    almanac = almanac_of(*pair, on)
    for day in (on + n * DAY for n in range(-3, 4)):
        [evening] = almanac.planned(day, ())
        kinds = [step.kind for step in evening.steps]
        assert {"heads-up", "now", "again"} <= set(kinds), kinds
        assert evening.zone == PLACES[pair[day >= on]][2]
        for step in evening.steps:
            today = almanac.profile.date_at(step.at)
            assert today - DAYS_BACK * DAY <= day <= today, (day, step)


@given(pairs, dates)
@example(FAR[2], date(2026, 9, 27))
@settings(max_examples=6)
def test_what_is_planned_does_not_hang_on_the_place_that_is_today(
    pair: tuple[str, str], on: date
) -> None:
    almanac = almanac_of(*pair, on)
    there = almanac.household.on(on)
    assert there.on(on + DAY) is there
    moved = Almanac(household=there, records=NO_RECORDS, ways=PUSH, key=b"key")
    for day in (on + n * DAY for n in range(-3, 4)):
        assert moved.planned(day, ()) == almanac.planned(day, ())
        assert moved.noon(day) == almanac.noon(day)
    at = datetime.combine(on, time(12), UTC)
    assert moved.household.today(at) == almanac.household.today(at)
