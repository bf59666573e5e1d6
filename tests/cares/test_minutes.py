"""Minutes scale with birds and houses, count the lock-up, and stay humane. Common practice all."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from scheduler.cares import catalogue as cares
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.minutes import lock_up_minutes, minutes_for
from scheduler.cares.months import months, year_from
from scheduler.cares.plan import DayPlan, plan
from scheduler.cares.records import NO_RECORDS
from scheduler.profile.values import Flock, Profile

Declare = Callable[[str], Profile]

DAY = date(2026, 5, 2)
TWELVE_HENS = Path(__file__).parents[2] / "config" / "twelve-hens-40n.toml"
SITE = '[site]\nname = "A"\nlatitude = 51.5\nlongitude = -0.1\ntimezone = "Europe/London"\n'
HOUSE = '[[coop]]\nname = "{name}"\n[[flock]]\nname = "{name} hens"\ncoop = "{id}"\nhens = {hens}\n'
HUMANE_A_WEEK = 130
# What nobody should have to switch on.
BY_DEFAULT = (
    "hands-on", "shell-look", "board-scrape", "feed-lift", "coccidiosis-watch", "brooder-evening",
    "broody-count", "notifiable-signs", "keeper-register",
)  # fmt: skip
NAGGED = ("rodent-signs-cold", "squeeze-test", "condensation-look")


def flock(hens: int) -> tuple[Flock, ...]:
    return (Flock(name="Girls", id="girls", coop="walnut", hens=hens),)


def houses(declare: Declare, *hens: int, more: str = "") -> Profile:
    named = zip(("Walnut", "Oak", "Elm"), hens, strict=False)
    return declare(
        SITE
        + "".join(HOUSE.format(name=name, id=name.lower(), hens=count) for name, count in named)
        + more
    )


def on(profile: Profile, catalogue: Catalogue, day: date = DAY) -> DayPlan:
    (found,) = plan(profile, NO_RECORDS, day, day, catalogue).days
    return found


def test_work_that_grows_with_the_birds_takes_longer_for_more_of_them(
    catalogue: Catalogue,
) -> None:
    growing = [care for care in catalogue if care.a_bird]
    assert {"water", "feed", "hands-on", "litter-stirring", "clean-out"} <= {c.id for c in growing}
    for care in growing:
        four, twelve, fifty = (minutes_for(care, flock(hens)) for hens in (4, 12, 50))
        assert 1 <= four <= twelve == care.minutes < fifty, care.id


def test_fifty_birds_in_the_hand_are_more_than_an_hour(catalogue: Catalogue) -> None:
    (in_hand,) = (care for care in catalogue if care.id == "hands-on")
    assert minutes_for(in_hand, flock(12)) == 20
    assert minutes_for(in_hand, flock(50)) == 79  # a minute and a half each


def test_one_hen_fewer_than_twelve_moves_no_calendar(catalogue: Catalogue) -> None:
    for care in catalogue:
        assert minutes_for(care, flock(11)) == minutes_for(care, flock(12)), care.id


def test_a_keepers_own_minutes_stand_whatever_the_number_of_birds(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = houses(declare, 50, more="[cares.water]\nminutes = 4\n")
    assert {task.minutes for task in on(profile, catalogue).tasks if task.care_id == "water"} == {4}


@pytest.mark.parametrize(("hens", "minutes"), [(3, 1), (12, 2), (50, 5)])
def test_a_lock_up_takes_its_minutes_where_birds_sleep(hens: int, minutes: int) -> None:
    assert lock_up_minutes(()) == 0
    assert lock_up_minutes(flock(hens)) == minutes


def test_two_houses_are_twice_the_walk_and_each_lock_up_counts(
    declare: Declare, catalogue: Catalogue
) -> None:
    one, two = (on(houses(declare, *hens), catalogue) for hens in ((12,), (12, 12)))
    assert one.minutes == sum(walk.minutes for walk in one.rounds) + lock_up_minutes(flock(12))
    assert two.lock_up_minutes == 2 * one.lock_up_minutes
    assert one.minutes < two.minutes <= 2 * one.minutes


def test_twelve_hens_ask_for_two_hours_a_week_and_the_year_says_so_by_month(
    catalogue: Catalogue, declare: Declare
) -> None:
    first, last = year_from(date(2026, 1, 1))
    year = plan(declare(TWELVE_HENS.read_text("utf-8")), NO_RECORDS, first, last, catalogue)
    assert sum(day.minutes for day in year.days) * 7 / len(year.days) <= HUMANE_A_WEEK
    for month in months(year):
        days = [day for day in year.days if day.day.replace(day=1) == month.first]
        assert month.minutes_a_week == round(sum(day.minutes for day in days) * 7 / len(days))


def test_what_nobody_should_have_to_switch_on_is_on_and_what_nags_is_gone(
    declare: Declare, catalogue: Catalogue
) -> None:
    known = {care.id for care in catalogue}
    usual = {care.id for care in cares.in_force(houses(declare, 12), catalogue)}
    assert set(BY_DEFAULT) <= usual
    assert not known.intersection(NAGGED)


def test_a_brooder_is_looked_at_in_the_evening_and_young_are_watched_for_coccidiosis(
    declare: Declare, catalogue: Catalogue
) -> None:
    begins = date(2025, 4, 12)
    profile = declare(
        SITE + '[[coop]]\nname = "Walnut"\n[[flock]]\nname = "Chicks"\nyoung = 10\n'
        f'hatched = {begins}\nraised_by = "brooder"\n'
    )
    planned = plan(profile, NO_RECORDS, begins, begins.replace(month=8), catalogue)
    ages = {
        care_id: [
            (day.day - begins).days
            for day in planned.days
            for task in day.tasks
            if task.care_id == care_id
        ]
        for care_id in ("brooder-evening", "coccidiosis-watch")
    }
    assert ages["brooder-evening"] == list(range(42))
    assert ages["coccidiosis-watch"] == list(range(21, 21 + 91, 7))
