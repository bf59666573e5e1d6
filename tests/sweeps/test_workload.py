"""What the catalogue asks of a keeper of six hens: how much, how often, and what it covers.

All limits are common practice, no source: a quarter of an hour a day, three on the weekly day.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date

import pytest

from scheduler.cares import catalogue as cares
from scheduler.cares.catalogue import Care, Catalogue
from scheduler.cares.day_plan import DayPlan, Plan
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.cares.triggers import (
    Age,
    Arrival,
    ClimatePasses,
    ClockChanges,
    DaylightPasses,
    During,
    Every,
    FirstOuting,
    Joining,
    OwnHouse,
    Quarantined,
    Recorded,
    WeatherSign,
)
from scheduler.profile.load import Loaded, parse
from scheduler.profile.own_cares import Rounds
from scheduler.profile.values import Profile
from tests.unhurried import unhurried

SIX_HENS = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
[climate]
coldest_month_low = "-2 °C"
warmest_month_high = "24 °C"
[[coop]]
name = "Walnut"
type = "fixed"
floor = "2 m x 1.5 m"
door = "manual"
[coop.run]
type = "secure"
[[coop.drinker]]
type = "bell"
capacity = "8 L"
inside = {inside}
[[flock]]
name = "Girls"
hens = 6
"""
SATURDAY = 5  # the weekly day when a profile names none
# What waits for a report, the weather, a hatch or an arrival.
_FLOCKS = (Age, Arrival, FirstOuting, Joining, Quarantined, Recorded)
EVENTS = (*_FLOCKS, WeatherSign)


def six_hens(inside: str) -> Profile:
    text = SIX_HENS.format(inside=inside).encode()
    loaded = parse(text, file="six.toml", today=date(2026, 1, 1))
    assert isinstance(loaded, Loaded)
    return loaded.profile


def two_years(profile: Profile, catalogue: Catalogue) -> Plan:
    return plan(profile, NO_RECORDS, date(2026, 1, 1), date(2027, 12, 31), catalogue)


@pytest.fixture(scope="module", params=["false", "true"], ids=["water outside", "water inside"])
def usual(request: pytest.FixtureRequest, catalogue: Catalogue) -> Plan:
    """Two years of six hens with the jobs that are on by default, and nothing told."""
    return two_years(six_hens(request.param), catalogue)


def minutes_of(day: DayPlan) -> int:
    """The minutes of a day without the jobs of the season, which are an afternoon of their own."""
    return sum(task.minutes for task in day.tasks if not task.season)


def test_six_hens_are_a_quarter_of_an_hour_a_day(usual: Plan) -> None:
    others = [minutes_of(day) for day in usual.days if day.day.weekday() != SATURDAY]
    assert len(others) == 626
    assert 5 <= min(others) <= max(others) <= 15


def test_six_hens_are_three_quarters_of_an_hour_on_the_weekly_day(usual: Plan) -> None:
    weekly = [minutes_of(day) for day in usual.days if day.day.weekday() == SATURDAY]
    assert len(weekly) == 104
    assert 15 < min(weekly) <= max(weekly) <= 45


def test_jobs_of_the_season_that_do_not_count_come_once_or_twice_a_year(usual: Plan) -> None:
    times = Counter(task.care_id for day in usual.days for task in day.seasons)
    assert set(times) >= {"clean-out", "deep-clean", "drinker-heaters", "weatherproofing"}
    assert max(times.values()) <= 4  # the clock goes forward and back


def test_no_round_has_more_than_five_lines(usual: Plan) -> None:
    assert max(len(walk.lines) for day in usual.days for walk in day.rounds) == 5


def test_without_events_nothing_of_theirs_is_due(usual: Plan, catalogue: Catalogue) -> None:
    waiting = {care.id for care in catalogue if isinstance(care.due, _FLOCKS)}
    assert len(waiting) >= 20
    assert waiting.isdisjoint(task.care_id for day in usual.days for task in day.tasks)


def test_about_thirty_jobs_are_on_and_many_more_are_there(catalogue: Catalogue) -> None:
    assert len(catalogue) >= 60
    default = [care for care in catalogue if not care.keen]
    waiting = [care for care in default if isinstance(care.due, EVENTS)]
    # Only where the drinkers are too small, or open.
    looks = (OwnHouse(of="drinker look"), OwnHouse(of="open water"))
    waiting += [care for care in default if care.due in looks]
    assert 24 <= len(default) - len(waiting) <= 34
    # What waits for an event is on for everybody; a told hot or cold day has a keen extra or two.
    assert not [c.id for c in catalogue if c.keen and isinstance(c.due, _FLOCKS)]


def groups_of(care: Care) -> Iterator[str]:
    match care.due:
        case Every(days=days, extra=extra, during=during):
            if not during:
                yield {1: "daily", 7: "weekly", 28: "monthly", 364: "yearly"}.get(days, "other")
            for part in (during, extra.during if extra else None):
                if part:
                    yield _side(part)
        case OwnHouse(of=of):
            yield "weekly" if of in {"stirring", "nest refresh"} else "other"
        case WeatherSign(sign=sign):
            yield "cold" if sign == "frost" else "hot"
        case ClimatePasses(passing=passing):
            yield "cold" if passing == "falling" else "hot"
            yield "yearly"
        case DaylightPasses(passing=passing):
            yield "short-day" if passing == "falling" else "long-day"
            yield "yearly"
        case Age() | Arrival() | FirstOuting() | Quarantined() | Recorded() | ClockChanges():
            yield "event-driven"


def _side(part: During) -> str:
    if part.of == "daylight":
        return "short-day" if part.below is not None else "long-day"
    return "cold" if part.below is not None else "hot"


def test_every_part_of_the_year_and_every_interval_has_its_jobs(catalogue: Catalogue) -> None:
    found: dict[str, set[str]] = defaultdict(set)
    for care in catalogue:
        for group in groups_of(care):
            found[group].add(care.id)
    least = {
        "daily": 5,
        "weekly": 8,
        "monthly": 5,
        "yearly": 10,
        "cold": 8,
        "hot": 8,
        "short-day": 4,
        "long-day": 3,
        "event-driven": 20,
    }
    assert {group for group, number in least.items() if len(found[group]) < number} == set()


@unhurried
def test_a_yearly_job_never_falls_on_the_day_of_another(catalogue: Catalogue) -> None:
    keen = six_hens("false").model_copy(update={"rounds": Rounds(keen=True)})
    yearly = {
        care.id
        for care in cares.in_force(keen, catalogue)
        if isinstance(care.due, ClimatePasses | DaylightPasses)
        or (isinstance(care.due, Every) and care.due.days >= 91)
    }
    dates = defaultdict(set)
    for day in two_years(keen, catalogue).days:
        for task in day.tasks:
            if task.care_id in yearly:
                dates[day.day].add(task.care_id)
    assert {care_id for ids in dates.values() for care_id in ids} == yearly
    assert {day: ids for day, ids in dates.items() if len(ids) > 1} == {}
