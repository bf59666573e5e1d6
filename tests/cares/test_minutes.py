"""Minutes scale with birds and houses, count the lock-up, and stay humane. Common practice all."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from scheduler.cares import catalogue as cares
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.minutes import lock_up_minutes, minutes_for
from scheduler.cares.months import HUMANE_A_WEEK, months, too_much, year_from
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile
from scheduler.wording.spoken import span_of

Declare = Callable[[str], Profile]

DAY = date(2026, 5, 2)
TWELVE_HENS = Path(__file__).parents[2] / "config" / "twelve-hens-40n.toml"
SITE = '[site]\nname = "A"\nlatitude = 51.5\nlongitude = -0.1\ntimezone = "Europe/London"\n'
HOUSE = '[[coop]]\nname = "{name}"\n[[flock]]\nname = "{name} hens"\ncoop = "{id}"\nhens = {hens}\n'
# What nobody should have to switch on.
BY_DEFAULT = (
    "hands-on", "shell-look", "board-scrape", "feed-lift", "coccidiosis-watch", "brooder-evening",
    "broody-count", "notifiable-signs", "keeper-register",
)  # fmt: skip
WATCH = {"frost-look", "frost-look-midday", "frost-eggs", "comb-look", "heat-look", "heat-eggs"}
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


@pytest.mark.parametrize("of", [2026, 2027, 2028])
def test_twelve_hens_ask_for_two_hours_a_week_in_each_month_but_for_the_watch_in_frost_and_heat(
    catalogue: Catalogue, declare: Declare, of: int
) -> None:
    first, last = year_from(date(of, 1, 1))
    year = plan(declare(TWELVE_HENS.read_text("utf-8")), NO_RECORDS, first, last, catalogue)
    summed = months(year)
    above = [month for month in summed if month.minutes_a_week > HUMANE_A_WEEK]
    # Where one night in five freezes, drinkers and combs are looked at, and where one day in five
    # is as hot as in danger, hens at midday: that is not cut.
    assert {month.first.month for month in above} <= {11, 12, 1, 2, 3, 4, 6, 7, 8}
    for month in summed:
        days = [day for day in year.days if day.day.replace(day=1) == month.first]
        assert month.minutes_a_week == round(sum(day.minutes for day in days) * 7 / len(days))
        watch = [task for day in days for task in day.tasks if task.care_id in WATCH]
        in_the_watch = sum(task.minutes for task in watch) * 7 / len(days)
        assert month.minutes_a_week - in_the_watch <= HUMANE_A_WEEK
    (sentence,) = too_much(year, summed)
    busiest = max(month.minutes_a_week for month in above)
    assert sentence == (
        f"January {of} asks for {span_of(busiest)} a week, more than the usual "
        "2\u00a0h 10\u00a0min: "
        '21\u00a0min of it is for "Ice again: check the waterers". '
        f"{len(above) - 1} other months are above it, too."
    )


def test_what_protects_the_birds_is_never_cut_for_the_minutes(
    catalogue: Catalogue, declare: Declare
) -> None:
    profile = declare(TWELVE_HENS.read_text("utf-8"))
    year = plan(profile, NO_RECORDS, date(2026, 1, 1), date(2026, 12, 31), catalogue)
    for day in year.days:
        asked = {task.care_id for task in day.tasks}
        assert {"water", "feed"} <= asked
        assert day.lock_up_minutes == lock_up_minutes(profile.flock)
        if day.day.month in {12, 1, 2}:
            assert "frost-look" in asked
            assert "comb-look" in asked or day.day.month == 12
        if day.day.month == 7:
            assert "heat-look" in asked
    told = Report(kind="heat", spell=Spell(first=date(2026, 7, 1), last=date(2026, 7, 31)))
    july = plan(profile, Records(reports=(told,)), date(2026, 7, 1), date(2026, 7, 31), catalogue)
    assert all("heat-look" in {task.care_id for task in day.tasks} for day in july.days)


def test_on_the_day_of_a_cleaning_the_bedding_is_not_stirred_as_well(
    catalogue: Catalogue, declare: Declare
) -> None:
    profile = declare(TWELVE_HENS.read_text("utf-8"))
    year = plan(profile, NO_RECORDS, date(2026, 1, 1), date(2026, 12, 31), catalogue)
    part = {"litter-stirring", "nest-refresh", "board-scrape"}
    cleaned = [
        asked
        for day in year.days
        if (asked := {task.care_id for task in day.tasks}) & {"deep-clean", "clean-out"}
    ]
    assert len(cleaned) >= 2
    assert not any(asked & part for asked in cleaned)
    off = declare(TWELVE_HENS.read_text("utf-8") + "[cares]\nclean-out.on = false\n")
    year = plan(off, NO_RECORDS, date(2026, 10, 10), date(2026, 10, 10), catalogue)
    assert part & {task.care_id for task in year.days[0].tasks}


def test_a_treadle_feeder_need_not_be_shut_away(declare: Declare, catalogue: Catalogue) -> None:
    def asked(*types: str) -> bool:
        feeders = "".join(f'[[coop.feeder]]\ntype = "{each}"\n' for each in types)
        text = SITE + f'[[coop]]\nname = "A"\n{feeders}[[flock]]\nname = "B"\nhens = 6\n'
        return "feed-lift" in {task.care_id for task in on(declare(text), catalogue).tasks}

    assert asked()
    assert asked("tube")
    assert asked("treadle", "trough")
    assert not asked("treadle")


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
    begins = date(2025, 5, 12)  # its nights are warm enough to come off heat at six weeks
    profile = declare(
        SITE + '[[coop]]\nname = "Walnut"\n[[flock]]\nname = "Chicks"\nyoung = 10\n'
        f'hatched = {begins}\nraised_by = "brooder"\n'
    )
    planned = plan(profile, NO_RECORDS, begins, begins.replace(month=9), catalogue)
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
