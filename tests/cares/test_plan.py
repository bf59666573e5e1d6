import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from datetime import UTC, date, timedelta, tzinfo
from itertools import pairwise
from typing import get_args
from zoneinfo import ZoneInfo

import pytest
from astral.sun import sun_apparent_long
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.cares.catalogue import Care, Catalogue, in_force
from scheduler.cares.climate_told import source_words
from scheduler.cares.day_plan import DayPlan, Line, Plan, Round, Task
from scheduler.cares.due import Dates
from scheduler.cares.plan import plan, tasks_of
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.cares.triggers import (
    Age,
    Arrival,
    ClockChanges,
    DaylightPasses,
    Every,
    Forecast,
    Joining,
    Quarantined,
    Recorded,
    WeatherSign,
)
from scheduler.climate.chance import FROST, Extreme, chance
from scheduler.climate.curve import Averages, averages
from scheduler.light.sun import sky_over
from scheduler.profile.coop import Coop, Drinker, Run
from scheduler.profile.flock import Flock
from scheduler.profile.own_cares import Rounds, Weekday
from scheduler.profile.site import Climate, Site
from scheduler.profile.values import Profile
from scheduler.wording.cares.tasks import TaskWords
from tests.unhurried import UNHURRIED

Declare = Callable[[str], Profile]

DAY = timedelta(days=1)
NEW_YEAR = date(2026, 1, 1)
SITE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
"""
MILD = """
[climate]
coldest_month_low = "2 °C"
warmest_month_high = "24 °C"
"""
WALNUT = '[[coop]]\nname = "Walnut"\n'
GIRLS = '[[flock]]\nname = "Girls"\ncoop = "walnut"\nhens = 12\n'
GARDEN = SITE + MILD + WALNUT + GIRLS
OAK = '[[coop]]\nname = "Oak"\n[[flock]]\nname = "Boys"\ncoop = "oak"\nroosters = 3\n'


def farm(
    latitude_deg: float = 51.5,
    longitude_deg: float = 0.0,
    zone: tzinfo = UTC,
    *,
    climate: Climate | None = None,
    hatched: date = date(2025, 12, 20),
) -> Profile:
    """Two houses with everything that a job may ask for, and every job on."""
    return Profile(
        units="metric",
        site=Site(
            name="Hill",
            id="hill",
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            zone=zone,
        ),
        climate=climate,
        rounds=Rounds(keen=True),
        coop=(
            Coop(
                name="Walnut",
                id="walnut",
                type="ark",
                door="automatic",
                run=Run(netting="electric"),
            ),
            Coop(
                name="Oak",
                id="oak",
                run=Run(netting="overhead"),
                drinker=(Drinker(type="bell", capacity_l=2.0),),
            ),
        ),
        flock=(
            Flock(name="Girls", id="girls", coop="walnut", hens=12),
            Flock(name="Pullets", id="pullets", coop="oak", hens=4, hatched=hatched),
        ),
    )


HARSH = Climate(coldest_month_low_c=-10.0, warmest_month_high_c=26.0)  # ice, and days of heat


@pytest.fixture(scope="module")
def farm_year(catalogue: Catalogue) -> Plan:
    """A year of two houses with everything."""
    last = NEW_YEAR + 364 * DAY
    return plan(farm(climate=HARSH), NO_RECORDS, NEW_YEAR, last, catalogue)


def tasks_in(lines: Iterable[Line]) -> list[Task]:
    return [task for line in lines for task in line.tasks]


def ids_of(day: DayPlan) -> set[str]:
    return {task.care_id for task in day.tasks}


def dates_of(planned: Plan, care_id: str) -> list[date]:
    return [day.day for day in planned.days if care_id in ids_of(day)]


def the_round(day: DayPlan, name: str) -> Round:
    (found,) = (walk for walk in day.rounds if walk.name == name)
    return found


def one_day(
    profile: Profile, catalogue: Catalogue, day: date, records: Records = NO_RECORDS
) -> DayPlan:
    (found,) = plan(profile, records, day, day, catalogue).days
    return found


def some_days(profile: Profile, catalogue: Catalogue, first: date, count: int) -> Plan:
    return plan(profile, NO_RECORDS, first, first + (count - 1) * DAY, catalogue)


def line_with(day: DayPlan, care_id: str) -> Line:
    (found,) = (
        line
        for walk in day.rounds
        for line in walk.lines
        if care_id in {task.care_id for task in line.tasks}
    )
    return found


# The window


@settings(deadline=None)
@given(st.integers(0, 355), st.integers(0, 4), st.integers(1, 4))
def test_a_window_is_its_parts_whatever_their_size(
    farm_year: Plan, catalogue: Catalogue, start: int, left: int, right: int
) -> None:
    first, middle = NEW_YEAR + start * DAY, NEW_YEAR + (start + left) * DAY
    last = middle + right * DAY
    profile = farm_year.profile
    whole = plan(profile, NO_RECORDS, first, last, catalogue).days
    # The later part first: the order of asking must not matter either.
    later = plan(profile, NO_RECORDS, middle + DAY, last, catalogue).days
    earlier = plan(profile, NO_RECORDS, first, middle, catalogue).days
    assert whole == earlier + later
    assert whole == farm_year.days[start : start + left + right + 1]
    assert whole[left] == one_day(profile, catalogue, middle)


def test_a_window_has_each_date_once_both_ends_included(farm_year: Plan) -> None:
    assert [day.day for day in farm_year.days] == [NEW_YEAR + n * DAY for n in range(365)]
    assert all(len(day.coops) == 2 for day in farm_year.days)


def test_the_tasks_of_one_job_are_those_of_the_plan(farm_year: Plan, catalogue: Catalogue) -> None:
    first, last = farm_year.days[0].day, farm_year.days[-1].day
    planned = [task for day in farm_year.days for task in day.tasks]
    for care in catalogue:
        alone = tasks_of(care.id, farm_year.profile, NO_RECORDS, first, last, catalogue)
        assert list(alone) == [task for task in planned if task.care_id == care.id]


def test_a_window_that_ends_before_it_starts_is_empty(small: Profile, catalogue: Catalogue) -> None:
    assert plan(small, NO_RECORDS, NEW_YEAR, NEW_YEAR - DAY, catalogue).days == ()


# Rounds and lines


def test_a_task_is_known_by_job_subject_date_and_ordinal(farm_year: Plan) -> None:
    keys = Counter(
        (task.care_id, task.subject_id, task.day, task.ordinal)
        for day in farm_year.days
        for task in day.tasks
    )
    assert len(keys) > 365 * 5
    assert max(keys.values()) == 1
    for day in farm_year.days:
        assert {task.day for task in day.tasks} == {day.day}


def test_every_job_is_due_at_some_time_of_a_year(farm_year: Plan, catalogue: Catalogue) -> None:
    due = {care_id for day in farm_year.days for care_id in ids_of(day)}
    # UTC does not change its clock, and nobody told of a predator.
    waiting = {
        care.id
        for care in catalogue
        if isinstance(care.due, Arrival | Quarantined | Recorded)
        or (isinstance(care.due, WeatherSign) and care.due.emergency)  # told or forecast only
        or isinstance(care.due, Forecast)
        or (isinstance(care.due, Age) and _is_past_or_of_a_hen(care.due))
        or care.feed in {"not layer", "shared"}
        or care.only == "on heat"
        or (isinstance(care.due, Joining) and care.due.sleeps)  # nobody has moved in
    }
    assert due - {"mixed-feed"} == {care.id for care in catalogue} - waiting - {"clock-change"}


def _is_past_or_of_a_hen(age: Age) -> bool:
    """Whether the pullets of the farm had this before the year began, or never, without a hen."""
    before = HATCHED + age.weeks * 7 * DAY < NEW_YEAR and not age.every_days
    return before or age.raised_by == "hen"


def test_let_out_free_range_and_lock_up_are_never_lines(farm_year: Plan) -> None:
    for day in farm_year.days:
        for walk in day.rounds:
            for line in walk.lines:
                assert not re.search(r"lock.?up|let.?out|free.?range", line.text, re.IGNORECASE)
                assert not {t.care_id for t in line.tasks} & {"lock-up", "let-out", "free-range"}


def test_a_usual_garden_has_two_rounds_a_day_all_year(
    declare: Declare, catalogue: Catalogue
) -> None:
    garden = declare(GARDEN)
    for n in range(0, 365, 6):  # comes to every weekday
        day = one_day(garden, catalogue, NEW_YEAR + n * DAY)
        assert [walk.name for walk in day.rounds] == ["morning", "evening"]


def odds(yearly: Averages, extreme: Extreme, day: date) -> float:
    return chance(yearly, extreme, yearly.share_of_year(day))


def test_a_third_round_comes_with_heat_or_frost_only(farm_year: Plan) -> None:
    yearly, middays = averages(farm_year.profile), set()
    frost, heat = Extreme("high below", 0.0), Extreme("high", 27.2)
    for day in farm_year.days:
        for walk in day.rounds[1:-1]:
            assert walk.name == "midday"
            # The chicks of the farm are looked at by day in their first fortnight.
            care_ids = {task.care_id for task in tasks_in(walk.lines)} - {"chick-look"}
            # Due from 20 % on, until below 10 %, here with a step of a day's difference.
            assert odds(yearly, frost, day.day) >= 0.09 or "frost-look-midday" not in care_ids
            # At 60 % the heat index comes to 76 at 27.3 °C.
            assert odds(yearly, heat, day.day) >= 0.09 or "heat-look" not in care_ids
            middays |= care_ids
    # By the year alone there is no emergency.
    assert middays == {"frost-look-midday", "heat-look", "frost-eggs", "heat-eggs"}


def test_t10_eggs_are_collected_morning_and_evening_and_at_noon_in_heat_and_frost(
    farm_year: Plan,
) -> None:
    # Colorado State Univ. Extension, quoted second-hand: twice a day at least, preferably before
    # noon; a third time in heat or cold.
    yearly = averages(farm_year.profile)
    collections = {"egg-collection-morning", "egg-collection", "frost-eggs", "heat-eggs"}
    for day in farm_year.days:
        rounds = [
            walk.name
            for walk in day.rounds
            for task in walk.tasks
            if task.care_id in collections and task.subject_id == "walnut"
        ]
        extreme = any(
            odds(yearly, one, day.day) >= 0.205
            for one in (Extreme("high below", 0.0), Extreme("high", 30.0))
        )
        assert {"morning", "evening"} <= set(rounds)
        assert "midday" in rounds or not extreme
        assert len(rounds) == len(set(rounds))


def test_rounds_stand_between_let_out_and_lock_up(farm_year: Plan) -> None:
    for day in farm_year.days:
        for walk in day.rounds:
            assert walk.start < walk.end
            assert walk.start.tzinfo is walk.end.tzinfo is UTC
            assert walk.start.microsecond == walk.end.microsecond == 0
        assert the_round(day, "morning").start == min(c.let_out.instant for c in day.coops)
        assert the_round(day, "evening").end == min(c.lock_up.instant for c in day.coops)


def test_minutes_add_up(farm_year: Plan) -> None:
    for day in farm_year.days:
        for walk in day.rounds:
            assert walk.minutes == sum(line.minutes for line in walk.lines)
            assert walk.minutes == sum(task.minutes for task in tasks_in(walk.lines))
            for line in walk.lines:
                assert line.minutes == sum(task.minutes for task in line.tasks)
                assert line.tasks
                assert line.text


def test_a_round_has_five_lines_at_most_and_the_last_one_names_the_rest(farm_year: Plan) -> None:
    lengths = {len(walk.lines) for day in farm_year.days for walk in day.rounds}
    assert max(lengths) == 5
    full = [walk for day in farm_year.days for walk in day.rounds if len(walk.lines) == 5]
    shared = [walk.lines[-1] for walk in full if walk.lines[-1].text.startswith("Also: ")]
    assert shared
    for line in shared:
        jobs = list(dict.fromkeys(task.care_id for task in line.tasks))
        assert len(jobs) > 1
        said = line.text.lower()
        assert all(task.title.lower() in said for task in line.tasks)


@pytest.mark.parametrize("lines", [1, 2, 3, 8, 20])
def test_the_number_of_lines_can_be_set_and_nothing_is_lost(
    farm_year: Plan, catalogue: Catalogue, lines: int
) -> None:
    fewer = farm_year.profile.model_copy(update={"rounds": Rounds(keen=True, lines=lines)})
    for day in some_days(fewer, catalogue, date(2026, 6, 20), 8).days:
        before = farm_year.days[(day.day - NEW_YEAR).days]
        assert all(len(walk.lines) <= lines for walk in day.rounds)
        assert day.tasks == before.tasks
        assert [walk.minutes for walk in day.rounds] == [walk.minutes for walk in before.rounds]


def test_lines_stand_in_order_of_rank(farm_year: Plan, catalogue: Catalogue) -> None:
    rank = {care.id: number for number, care in enumerate(catalogue)}
    for day in farm_year.days:
        for walk in day.rounds:
            ranks = [rank[t.care_id] for t in tasks_in(walk.lines) if not t.alone]
            assert ranks == sorted(ranks)


def test_the_keepers_own_words_keep_their_capitals(declare: Declare, catalogue: Catalogue) -> None:
    text = GARDEN + '[rounds]\nlines = 1\n[cares.feed]\ntext = "RCD test, then feed"\n'
    line = line_with(one_day(declare(text), catalogue, NEW_YEAR), "feed")
    assert "RCD test" in line.text


def test_what_marks_a_season_is_listed_apart_as_well(farm_year: Plan, catalogue: Catalogue) -> None:
    seasons = {care.id for care in catalogue if care.season}
    for day in farm_year.days:
        assert list(day.seasons) == [t for t in day.seasons if t.care_id in seasons]
        assert set(day.seasons) == {t for t in day.tasks if t.care_id in seasons}


# Intervals


@pytest.mark.parametrize("weekday", get_args(Weekday))
def test_weekly_jobs_fall_on_the_weekly_day(
    small: Profile, catalogue: Catalogue, weekday: Weekday
) -> None:
    on_it = small.model_copy(update={"rounds": Rounds(weekly_day=weekday, keen=True)})
    planned = some_days(on_it, catalogue, date(2026, 7, 1), 14)
    number = get_args(Weekday).index(weekday)
    for care_id in ("nest-refresh", "perimeter-walk", "litter-stirring"):
        assert [day.weekday() for day in dates_of(planned, care_id)] == [number, number]


def test_jobs_by_interval_keep_their_distance_all_year(farm_year: Plan) -> None:
    intervals = {
        "water": 1,
        "electric-netting": 1,
        "ark-move": 3,
        "perimeter-walk": 7,
        "overhead-netting": 7,
        "latch-mesh-test": 28,
        "door-test": 28,
        "hands-on": 28,
    }
    for care_id, days in intervals.items():
        dates = dates_of(farm_year, care_id)
        assert {(after - before).days for before, after in pairwise(dates)} == {days}, care_id
        # The netting is over pullets, which need heat until they are six weeks old.
        begins = HATCHED + 42 * DAY if care_id == "overhead-netting" else NEW_YEAR
        assert 0 <= (dates[0] - begins).days < days
        assert days < 7 or days % 7 or {day.weekday() for day in dates} == {5}


def test_four_weekly_jobs_do_not_fall_on_one_evening(farm_year: Plan) -> None:
    four_weekly = ("hands-on", "latch-mesh-test", "door-test")
    days = [day for care_id in four_weekly for day in dates_of(farm_year, care_id)]
    assert len(days) == len(set(days))


def test_cold_and_warmth_shorten_intervals(farm_year: Plan) -> None:
    yearly = averages(farm_year.profile)

    def gaps(care_id: str, months: set[int]) -> set[int]:
        dates = [day for day in dates_of(farm_year, care_id) if day.month in months]
        return {(b - a).days for a, b in pairwise(dates) if (b - a).days < 60}

    assert yearly.high_c(date(2026, 1, 15)) < 5
    assert yearly.high_c(date(2026, 7, 15)) > 25
    assert yearly.low_c(date(2026, 7, 15)) > 10
    assert gaps("litter-stirring", {1}) == {3, 4}
    assert gaps("litter-stirring", {6, 7, 8}) == {7}
    assert gaps("drinker-scrub", {7}) == {3, 4}
    assert gaps("drinker-scrub", {12, 1, 2}) == {7}
    assert gaps("mite-look", {7}) == {7}
    assert gaps("mite-look", {11, 12}) == {28}


def test_a_job_of_the_keepers_own_comes_at_its_interval_for_the_site(
    declare: Declare, catalogue: Catalogue
) -> None:
    text = GARDEN + '[[care]]\nname = "Grit"\nevery = "10 days"\nminutes = 4\n'
    planned = some_days(declare(text), catalogue, NEW_YEAR, 41)
    dates = dates_of(planned, "grit")
    assert {(after - before).days for before, after in pairwise(dates)} == {10}
    (task,) = (
        t for day in planned.days for t in day.tasks if t.day == dates[0] and t.care_id == "grit"
    )
    assert (task.subject_id, task.minutes, task.title) == ("orchard", 4, "Grit")


def test_what_is_switched_off_or_changed_is_so_in_the_plan(
    declare: Declare, catalogue: Catalogue
) -> None:
    text = """
[cares.water]
on = false
[cares.egg-collection]
round = "morning"
minutes = 11
text = "Eggs with Kim"
"""
    day = one_day(declare(GARDEN + text), catalogue, date(2026, 7, 1))
    assert "water" not in ids_of(day)
    line = next(ln for ln in the_round(day, "morning").lines if ln.text == "Eggs with Kim")
    assert line.minutes == 11


# Houses and flocks


def subjects(planned: Plan, care_id: str) -> set[str]:
    return {t.subject_id for day in planned.days for t in day.tasks if t.care_id == care_id}


def test_a_job_is_for_the_houses_it_concerns(farm_year: Plan) -> None:
    for care_id in ("ark-move", "electric-netting", "door-test"):
        assert subjects(farm_year, care_id) == {"walnut"}
    assert subjects(farm_year, "overhead-netting") == {"oak"}
    for care_id in ("water", "egg-collection", "nest-refresh", "vents-open", "heat-look"):
        assert subjects(farm_year, care_id) == {"walnut", "oak"}
    assert subjects(farm_year, "layer-feed") == {"pullets"}


def test_a_line_names_its_houses_when_it_is_not_for_all(farm_year: Plan) -> None:
    day = next(day for day in farm_year.days if "ark-move" in ids_of(day))
    assert "Move the ark to fresh grass (Walnut)" in line_with(day, "ark-move").text
    assert line_with(day, "water").text == "Fill the drinkers and check the water"
    assert {task.subject_id for task in line_with(day, "water").tasks} == {"walnut", "oak"}


def test_a_plain_house_has_none_of_the_special_jobs(small: Profile, catalogue: Catalogue) -> None:
    planned = some_days(small, catalogue, NEW_YEAR, 28)
    special = {"ark-move", "electric-netting", "overhead-netting", "door-test"}
    assert not special & {care_id for day in planned.days for care_id in ids_of(day)}


def test_eggs_and_nests_are_for_houses_with_hens(declare: Declare, catalogue: Catalogue) -> None:
    planned = some_days(declare(GARDEN + OAK), catalogue, NEW_YEAR, 7)
    assert subjects(planned, "egg-collection") == subjects(planned, "nest-refresh") == {"walnut"}
    assert subjects(planned, "feed") == {"walnut", "oak"}


SPACIOUS = "[rounds]\nlines = 20\n"
HATCHED = date(2025, 12, 20)
LAYER_DAY = date(2026, 4, 25)  # 18 weeks on


def pullets(name: str, birds: str, coop: str = "walnut") -> str:
    return f'[[flock]]\nname = "{name}"\ncoop = "{coop}"\n{birds}\nhatched = {HATCHED}\n'


def test_layer_feed_comes_once_when_a_flock_is_eighteen_weeks_old(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = declare(GARDEN + pullets("New girls", "hens = 4"))
    planned = some_days(profile, catalogue, LAYER_DAY - 10 * DAY, 21)
    assert dates_of(planned, "layer-feed") == [LAYER_DAY]
    (task,) = (t for day in planned.days for t in day.seasons if t.care_id == "layer-feed")
    assert task.subject_id == "new-girls"
    assert task.title == "Layer feed and oyster shell for New girls"


def test_two_flocks_of_one_age_are_both_named(declare: Declare, catalogue: Catalogue) -> None:
    profile = declare(
        GARDEN + SPACIOUS + pullets("Reds", "hens = 4") + pullets("Blacks", "hens = 3")
    )
    lines = [
        line
        for walk in one_day(profile, catalogue, LAYER_DAY).rounds
        for line in walk.lines
        if line.tasks[0].care_id == "layer-feed"
    ]
    assert [line.tasks[0].subject_id for line in lines] == ["reds", "blacks"]
    assert "Reds" in lines[0].text
    assert "Blacks" in lines[1].text
    assert all(len(line.tasks) == 1 for line in lines)


@pytest.mark.parametrize("birds", ["roosters = 3", "others = 4"])
def test_birds_that_do_not_lay_get_no_layer_feed(
    declare: Declare, catalogue: Catalogue, birds: str
) -> None:
    profile = declare(GARDEN + pullets("Drakes", birds))
    assert "layer-feed" not in ids_of(one_day(profile, catalogue, LAYER_DAY))


def test_a_flock_or_site_with_the_name_of_a_house_is_not_taken_for_it(
    declare: Declare, catalogue: Catalogue
) -> None:
    text = GARDEN + SPACIOUS + OAK + pullets("Oak", "hens = 4", "oak")
    line = line_with(one_day(declare(text), catalogue, LAYER_DAY), "shell-apart")
    assert line.text == "Oyster shell in a dish of its own for Oak"
    walnut = GARDEN.replace('"Orchard"', '"Walnut"') + OAK
    own = declare(walnut + SPACIOUS + '[[care]]\nname = "Grit"\nevery = "1 day"\n')
    assert line_with(one_day(own, catalogue, NEW_YEAR), "grit").text == "Grit"


# Seasons


# Changes as in tzdata for 2026; the notice comes on the day before the night of the change, or on
# the day itself where the clock changes that evening.
@pytest.mark.parametrize(
    ("place", "zone", "forward", "back"),
    [
        ((51.5, -0.1), "Europe/London", date(2026, 3, 28), date(2026, 10, 24)),
        ((40.7, -74.0), "America/New_York", date(2026, 3, 7), date(2026, 10, 31)),
        ((51.88, -176.65), "America/Adak", date(2026, 3, 7), date(2026, 10, 31)),
        ((64.18, -51.72), "America/Nuuk", date(2026, 3, 28), date(2026, 10, 24)),
        ((23.11, -82.37), "America/Havana", date(2026, 3, 7), date(2026, 10, 31)),
        ((33.89, 35.50), "Asia/Beirut", date(2026, 3, 28), date(2026, 10, 24)),
        ((30.04, 31.24), "Africa/Cairo", date(2026, 4, 23), date(2026, 10, 29)),
        ((37.74, -25.67), "Atlantic/Azores", date(2026, 3, 28), date(2026, 10, 24)),
        ((-33.87, 151.2), "Australia/Sydney", date(2026, 10, 3), date(2026, 4, 4)),
        ((-31.55, 159.08), "Australia/Lord_Howe", date(2026, 10, 3), date(2026, 4, 4)),
        ((-36.85, 174.76), "Pacific/Auckland", date(2026, 9, 26), date(2026, 4, 4)),
        ((-43.95, -176.55), "Pacific/Chatham", date(2026, 9, 26), date(2026, 4, 4)),
        ((-33.45, -70.67), "America/Santiago", date(2026, 9, 5), date(2026, 4, 4)),
        ((-27.15, -109.43), "Pacific/Easter", date(2026, 9, 5), date(2026, 4, 4)),
    ],
)
def test_the_clock_change_is_said_the_day_before_with_its_direction(
    catalogue: Catalogue,
    place: tuple[float, float],
    zone: str,
    forward: date,
    back: date,
) -> None:
    profile = farm(*place, ZoneInfo(zone))
    for day, direction in ((forward, "forward"), (back, "back")):
        planned = some_days(profile, catalogue, day - DAY, 3)
        assert dates_of(planned, "clock-change") == [day]
        (task,) = (t for t in planned.days[1].seasons if t.care_id == "clock-change")
        assert task.title.startswith(f"Clocks go {direction} tonight")
        assert task.subject_id == "hill"


def dates_by_job(
    profile: Profile, catalogue: Catalogue, first: date, count: int
) -> dict[str, set[int]]:
    """On which days from `first` each job is due; clock changes follow the law, not the sun."""
    dates = Dates(
        profile, sky_over(profile), averages(profile), NO_RECORDS, in_force(profile, catalogue)
    )
    found: dict[str, set[int]] = defaultdict(set)
    for care in dates.cares:
        if not isinstance(care.due, ClockChanges):
            found[care.id] = {n for n in range(count) if dates.due(care, first + n * DAY)}
    return found


def half_a_year_on(day: date, care: Care) -> date:
    """The same day of the other hemisphere's year.

    What follows the sun's light has its half-year by the sun: half way round its orbit, an ellipse,
    is 179 to 186 days. All else counts days.
    """
    if not isinstance(care.due, DaylightPasses):
        return day + HALF_YEAR

    def sun_deg(then: date) -> float:
        century = (then - date(2000, 1, 1)).days / 36525
        return sun_apparent_long(century)

    def short_of_half_way(then: date) -> float:
        return abs((sun_deg(then) - sun_deg(day)) % 360 - 180)

    return min((day + n * DAY for n in range(176, 191)), key=short_of_half_way)


def around(day: date, within: int) -> list[date]:
    return [day + n * DAY for n in range(-within, within + 1)]


def unmatched(
    north: Profile, south: Profile, catalogue: Catalogue, count: int, within: int = 3
) -> dict[str, list[str]]:
    """Jobs due in one hemisphere with none in the other within so many days, half a year on."""
    margin = 10
    up = dates_by_job(north, catalogue, NEW_YEAR, count)
    down = dates_by_job(south, catalogue, NEW_YEAR, count + 200)
    missing: dict[str, list[str]] = {}
    for care in in_force(north, catalogue):
        if care.id not in up:
            continue
        there = {NEW_YEAR + n * DAY for n in down[care.id]}
        mirrored = {
            NEW_YEAR + n * DAY: half_a_year_on(NEW_YEAR + n * DAY, care) for n in up[care.id]
        }
        matched = set(mirrored.values())
        inside = (
            half_a_year_on(NEW_YEAR + margin * DAY, care),
            half_a_year_on(NEW_YEAR + (count - margin) * DAY, care),
        )
        lone = [
            f"{day} north" for day, on in mirrored.items() if there.isdisjoint(around(on, within))
        ]
        lone += [
            f"{other} south"
            for other in there
            if inside[0] <= other <= inside[1] and matched.isdisjoint(around(other, within))
        ]
        if lone:
            missing[care.id] = sorted(lone)
    return missing


# Half of 365.24 days.
HALF_YEAR = 183 * DAY

# Own values, shaped like an oceanic climate.
LOWS_C = (2.7, 2.6, 4.0, 6.0, 9.0, 12.0, 14.1, 14.0, 11.5, 8.6, 5.3, 3.2)
HIGHS_C = (8.2, 8.7, 11.5, 14.9, 18.3, 21.5, 24.0, 23.5, 20.3, 15.8, 11.3, 8.6)
OCEANIC = Climate(lows_c=LOWS_C, highs_c=HIGHS_C)
OCEANIC_SOUTH = Climate(lows_c=LOWS_C[6:] + LOWS_C[:6], highs_c=HIGHS_C[6:] + HIGHS_C[:6])


# Two years in CI, one while one works.
COUNT = 730 if UNHURRIED else 366


@pytest.mark.parametrize(
    ("latitude_deg", "climate", "mirrored"),
    [(51.5, None, None), (45.0, OCEANIC, OCEANIC_SOUTH)],
    ids=["estimated", "twelve values"],
)
def test_the_other_hemisphere_has_the_same_work_half_a_year_on(
    catalogue: Catalogue, latitude_deg: float, climate: Climate | None, mirrored: Climate | None
) -> None:
    north = farm(latitude_deg, climate=climate)
    south = farm(-latitude_deg, climate=mirrored, hatched=date(2025, 12, 20) + HALF_YEAR)
    assert unmatched(north, south, catalogue, COUNT) == {}


@pytest.mark.parametrize("latitude_deg", [30.5, 53.5])
def test_jobs_that_cold_or_warmth_hasten_are_mirrored_too(
    catalogue: Catalogue, latitude_deg: float
) -> None:
    hastened = tuple(c for c in catalogue if isinstance(c.due, Every) and c.due.extra)
    assert len(hastened) >= 2
    assert unmatched(farm(latitude_deg), farm(-latitude_deg), hastened, COUNT) == {}


@pytest.mark.parametrize("turn", range(12))
def test_seasonal_changes_keep_a_fortnight_apart_at_any_time_of_the_year(
    catalogue: Catalogue, turn: int
) -> None:
    vents = tuple(care for care in catalogue if care.id.startswith("vents-"))
    half_year = (-29.0,) * 6 + (60.0,) * 6  # own values: from 12 to 20 °C in eight days
    highs_c = half_year[turn:] + half_year[:turn]
    climate = Climate(lows_c=tuple(high - 10 for high in highs_c), highs_c=highs_c)
    due = dates_by_job(farm(climate=climate), vents, NEW_YEAR, 730)
    days = sorted(n for dates in due.values() for n in dates)
    assert len(days) >= 4
    assert all(after - before >= 14 for before, after in pairwise(days)), days


def test_vents_go_through_the_year_in_order(farm_year: Plan) -> None:
    changes = [
        task.care_id
        for day in farm_year.days
        for task in day.seasons
        if task.care_id.startswith("vents-") and task.subject_id == "oak"
    ]
    assert changes == ["vents-mild", "vents-open", "vents-autumn", "vents-cold"]


def test_long_days_come_before_short_days_in_the_north(farm_year: Plan) -> None:
    (longer,), (shorter,) = dates_of(farm_year, "long-days"), dates_of(farm_year, "short-days")
    # 14 h between sunrise and sunset at 51.5 N: 18 April and 25 August, from memory, two days.
    assert abs(longer - date(2026, 4, 18)) <= 2 * DAY
    assert abs(shorter - date(2026, 8, 25)) <= 2 * DAY


# Words


def said(planned: Plan) -> str:
    lines = (line for day in planned.days for walk in day.rounds for line in walk.lines)
    return " ".join(f"{ln.text} " + " ".join(t.why for t in ln.tasks) for ln in lines).lower()


@pytest.mark.parametrize(
    ("region", "used", "unused"),
    [
        ("US", ("waterers", "roost", "flashlight", "litter"), ("drinker", "perch", "torch")),
        ("UK", ("drinkers", "perch", "torch", "bedding"), ("waterer", "roost", "flashlight")),
        ("AU", ("drinkers", "perch", "torch", "litter"), ("waterer", "flashlight", "bedding")),
    ],
)
def test_jobs_are_said_in_the_words_of_the_region(
    declare: Declare,
    catalogue: Catalogue,
    region: str,
    used: tuple[str, ...],
    unused: tuple[str, ...],
) -> None:
    text = GARDEN.replace('"Europe/London"', f'"Europe/London"\nregion = "{region}"')
    words = said(some_days(declare(text), catalogue, date(2026, 6, 1), 14))
    assert all(word in words for word in used)
    assert not [word for word in (*unused, "{", "}") if re.search(rf"{re.escape(word)}", words)]


def test_an_estimated_climate_is_said_with_the_jobs_that_lean_on_it(
    declare: Declare, catalogue: Catalogue
) -> None:
    guessed = some_days(declare(SITE + WALNUT + GIRLS), catalogue, date(2026, 7, 1), 14)
    known = some_days(declare(GARDEN), catalogue, date(2026, 7, 1), 14)
    assert guessed.climate == "from the climate map"
    assert known.climate == "as given"
    told = source_words(averages(guessed.profile), "metric")
    leaning = {t.care_id for day in guessed.days for t in day.tasks if t.why.endswith(f" {told}")}
    assert leaning == {
        "litter-stirring", "drinker-scrub", "mite-look", "broody-count", "vents-open",
    }  # fmt: skip
    assert not [t for day in known.days for t in day.tasks if told in t.why]
    at_sea = SITE.replace("51.5", "-40.0").replace("-0.1", "-110.0")
    lost = declare(at_sea.replace("Europe/London", "Etc/GMT+7") + WALNUT + GIRLS)
    off_map = some_days(lost, catalogue, date(2026, 7, 1), 14)
    assert off_map.climate == "estimated from latitude"
    assert [t for day in off_map.days for t in day.tasks if TaskWords.estimated() in t.why]
    assert not [t for day in off_map.days for t in day.tasks if told in t.why]


# Records

QUIET = date(2026, 5, 12)
TOLD = Spell(first=QUIET, last=QUIET + DAY)


@pytest.mark.parametrize(
    ("records", "care_id", "walk"),
    [
        (
            Records(reports=(Report(kind="predator", spell=TOLD),)),
            "predator-repair",
            "morning",
        ),
        (Records(reports=(Report(kind="frost", spell=TOLD),)), "frost-look", "morning"),
        (
            Records(reports=(Report(kind="frost", spell=TOLD),)),
            "frost-look-midday",
            "midday",
        ),
        (Records(reports=(Report(kind="heat", spell=TOLD),)), "heat-look", "midday"),
    ],
)
def test_what_is_told_brings_its_job_on_those_days_and_nothing_else_changes(
    declare: Declare,
    catalogue: Catalogue,
    records: Records,
    care_id: str,
    walk: str,
) -> None:
    profile = declare(GARDEN)
    window = (QUIET - DAY, QUIET + 3 * DAY)
    usual = plan(profile, NO_RECORDS, *window, catalogue)
    told = plan(profile, records, *window, catalogue)
    assert dates_of(usual, care_id) == []
    assert dates_of(told, care_id) == [QUIET, QUIET + DAY]
    assert care_id in {t.care_id for t in tasks_in(the_round(told.days[1], walk).lines)}
    for before, after in zip(usual.days, told.days, strict=True):
        alike = {"frost": "frost-", "heat": "heat-", "predator": "predator-"}
        kind = records.reports[0].kind
        added = {care.id for care in catalogue if care.id.startswith(alike[kind])}
        assert [t for t in after.tasks if t.care_id not in added] == list(before.tasks)
        if kind != "predator":
            assert [c.lock_up for c in before.coops] == [c.lock_up for c in after.coops]


def test_the_usual_year_brings_frost_looks_where_one_night_in_five_freezes(
    farm_year: Plan, declare: Declare, catalogue: Catalogue
) -> None:
    frosty = set(dates_of(farm_year, "frost-look"))
    yearly = averages(farm_year.profile)
    assert date(2026, 1, 15) in frosty
    for day in (one.day for one in farm_year.days):
        likely = odds(yearly, FROST, day)
        assert likely < 0.205 or day in frosty
        assert likely >= 0.09 or day not in frosty
    assert not [day for day in frosty if 6 <= day.month <= 8]
    warm = GARDEN.replace('"2 °C"', '"9 °C"')
    mild = some_days(declare(warm), catalogue, date(2026, 1, 10), 14)
    assert dates_of(mild, "frost-look") == []
    # T7: an average low of 2 °C is a month with frosts.
    london = some_days(declare(GARDEN), catalogue, date(2026, 1, 10), 14)
    assert len(dates_of(london, "frost-look")) == 14
