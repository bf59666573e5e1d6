"""What a house with chicks under heat is asked: nothing that turns out, stirs or airs a brooder.

That a brooder is neither emptied nor stirred through, has no draught and keeps its feed at night is
common practice, no source. Twice a year, and a month apart: see test_cleaning.
"""

from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.changed import effect_of
from scheduler.cares.day_plan import Task
from scheduler.cares.newcomer import Newcomer
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.cares.usual_day import usual_day
from scheduler.husbandry.figures import figures
from scheduler.profile.values import Profile
from tests.unhurried import unhurried

Declare = Callable[[str], Profile]
DAY = timedelta(days=1)
HEAT_DAYS = 42
HOUSE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
[climate]
coldest_month_low = "2 °C"
warmest_month_high = "24 °C"
[rounds]
keen = true
[[coop]]
name = "Pen"
floor = "2 m x 2 m"
[[coop.vent]]
size = "20 cm x 40 cm"
place = "low"
"""
TURNS_OUT = {
    "deep-clean", "clean-out", "litter-stirring", "bedding-top-up", "vents-cold", "vents-mild",
    "vents-open", "vents-autumn", "feed-lift",
}  # fmt: skip
WHOLE_HOUSE = {"deep-clean", "clean-out"}


def chicks(hatched: date) -> str:
    return f'[[flock]]\nname = "Few"\nyoung = 8\nhatched = {hatched}\nraised_by = "brooder"\n'


HENS = '[[flock]]\nname = "Old"\nhens = 9\nhatched = 2023-03-01\n'


def tasks(profile: Profile, catalogue: Catalogue, first: date, last: date) -> list[Task]:
    return [t for d in plan(profile, NO_RECORDS, first, last, catalogue).days for t in d.tasks]


@pytest.mark.parametrize("hatched", [date(2025, month, 1) for month in (1, 3, 5, 7, 9, 11)])
def test_a_brooder_is_not_emptied_stirred_aired_or_kept_from_its_feed(
    declare: Declare, catalogue: Catalogue, hatched: date
) -> None:
    profile = declare(HOUSE + chicks(hatched))
    asked = tasks(profile, catalogue, hatched, hatched + (HEAT_DAYS - 1) * DAY)
    assert {"water", "feed", "brooder-evening"} <= {task.care_id for task in asked}
    assert not TURNS_OUT & {task.care_id for task in asked}


@pytest.mark.parametrize("hatched", [date(2025, month, 1) for month in (1, 3, 5, 7, 9, 11)])
@unhurried
def test_beside_hens_the_house_is_cleaned_once_the_chicks_are_off_heat(
    declare: Declare, catalogue: Catalogue, hatched: date
) -> None:
    profile = declare(HOUSE + HENS + chicks(hatched))
    asked = tasks(profile, catalogue, hatched, hatched + 364 * DAY)
    cleaned = [task.day for task in asked if task.care_id in WHOLE_HOUSE]
    assert min(cleaned) >= hatched + HEAT_DAYS * DAY
    assert all(then - before >= timedelta(days=31) for before, then in pairwise(cleaned))
    for task in asked:
        if task.care_id in {"litter-stirring", "bedding-top-up", "feed-lift"}:
            on_heat = task.day < hatched + HEAT_DAYS * DAY
            assert task.title.endswith("(not the chicks')") is on_heat


def test_a_deep_clean_that_chicks_held_up_comes_on_the_first_weekly_day_after(
    declare: Declare, catalogue: Catalogue
) -> None:
    warm = HOUSE.replace('"24 °C"', '"30 °C"')  # nights that let chicks off heat at six weeks
    alone = declare(warm + HENS)
    (usual,) = {
        task.day
        for task in tasks(alone, catalogue, date(2025, 1, 1), date(2025, 12, 31))
        if task.care_id == "deep-clean"
    }
    hatched = usual - 7 * DAY
    profile = declare(warm + HENS + chicks(hatched))
    (then,) = (
        task.day
        for task in tasks(profile, catalogue, date(2025, 1, 1), date(2025, 12, 31))
        if task.care_id == "deep-clean"
    )
    assert then == usual + 35 * DAY


@pytest.mark.parametrize(
    ("birds", "labels"),
    [
        ("", []),
        (
            HENS,
            ["stir the bedding (not the chicks')", "top up the bedding (not the chicks') every"],
        ),
    ],
)
def test_the_figures_stir_no_brooder_either(
    declare: Declare, birds: str, labels: list[str]
) -> None:
    hatched = date(2025, 5, 1)
    profile = declare(HOUSE + birds + chicks(hatched))

    def told(day: date) -> list[str]:
        found = figures(profile, profile.coop[0], usual_day(profile, day))
        return [str(one.label) for one in found if one.key in {"stirring", "top-up"}]

    assert told(hatched + (HEAT_DAYS - 1) * DAY) == labels
    assert told(hatched + HEAT_DAYS * DAY) == ["stir the bedding", "top up the bedding every"]


@pytest.mark.parametrize("by", ["brooder", "hen"])
def test_those_raised_here_have_a_first_outing_too_and_a_fortnight_of_early_calls(
    declare: Declare, catalogue: Catalogue, by: str
) -> None:
    hatched = date(2025, 5, 1)
    text = HOUSE.replace('name = "Pen"', 'name = "Pen"\nranging = "all day"') + chicks(hatched)
    profile = declare(text.replace("brooder", by))
    planned = plan(profile, NO_RECORDS, hatched, hatched + 120 * DAY, catalogue).days
    outings = [day.day for day in planned for task in day.tasks if task.care_id == "settle-over"]
    assert outings == [hatched + 84 * DAY]
    flock, *_ = house = profile.flock
    later = [day.day for day in planned[84:]]
    early = [d for d in later if Newcomer(flock, house, NO_RECORDS, d).learns_the_way_home()]
    assert early == [hatched + n * DAY for n in range(84, 98)]


def test_chicks_that_hatch_beside_hens_change_the_feed_of_all_that_day(
    declare: Declare, catalogue: Catalogue
) -> None:
    hatched = date(2025, 5, 1)
    profile = declare(HOUSE + HENS + chicks(hatched))
    found = tasks(profile, catalogue, hatched - DAY, hatched + 80 * DAY)
    (fed,) = (task for task in found if task.care_id == "shared-feed")
    assert (fed.day, fed.title) == (
        hatched,
        "Same feed for all with Few: chick starter, shell apart",
    )
    assert "unmedicated" in fed.why
    alone = tasks(declare(HOUSE + chicks(hatched)), catalogue, hatched, hatched + 80 * DAY)
    assert "shared-feed" not in {task.care_id for task in alone}


@pytest.mark.parametrize(("age_days", "beside"), [(3, ""), (41, ""), (3, HENS), (42, "")])
def test_heat_asks_for_the_lamp_of_chicks_and_airs_none_of_them(
    declare: Declare, catalogue: Catalogue, age_days: int, beside: str
) -> None:
    # They need 34 °C in their first week; draught chills them. Common practice, no source.
    day = date(2025, 7, 1)
    profile = declare(HOUSE + beside + chicks(day - age_days * DAY))
    heat = Records(reports=(Report(kind="heat", spell=Spell(first=day, last=day), air_c=36.0),))
    (planned,) = plan(profile, heat, day, day, catalogue).days
    urgent = {task.care_id for task in planned.tasks if task.urgent}
    on_heat = age_days < HEAT_DAYS
    assert ("heat-chicks" in urgent) is on_heat
    assert ("heat-emergency" in urgent) is (bool(beside) or not on_heat)


def test_those_that_move_in_with_hens_at_twelve_weeks_are_told_of_one_feed_once(
    declare: Declare, catalogue: Catalogue
) -> None:
    moved = date(2025, 7, 24)
    text = HOUSE + HENS + chicks(moved - 84 * DAY) + f"arrived = {moved}\n"
    titles = [task.title for task in tasks(declare(text), catalogue, moved, moved)]
    assert titles.count("Same feed for all with Few: grower, shell apart") == 1


@pytest.mark.parametrize(
    ("by", "daily"), [("brooder", "brooder-evening"), ("hen", "hen-chicks-count")]
)
def test_chicks_of_no_known_day_are_looked_at_every_evening(
    declare: Declare, catalogue: Catalogue, by: str, daily: str
) -> None:
    day = date(2025, 5, 1)
    text = HOUSE + chicks(day).replace(f"hatched = {day}", 'age = "chick"').replace("brooder", by)
    asked = [
        t.care_id
        for t in tasks(declare(text), catalogue, day, day + 27 * DAY)
        if t.subject == "flock"
    ]
    assert asked == [daily] * 28


@pytest.mark.parametrize(("hens", "met"), [(1, False), (2, True)])
def test_chicks_meet_no_hen_that_raised_them(
    declare: Declare, catalogue: Catalogue, hens: int, met: bool
) -> None:
    hatched = date(2025, 5, 1)
    text = HOUSE + chicks(hatched).replace("brooder", "hen") + f"hens = {hens}\n"
    asked = tasks(declare(text), catalogue, hatched, hatched + 90 * DAY)
    mixed = {"mixing-see", "mixing-together", "mixed-feed"} & {task.care_id for task in asked}
    assert bool(mixed) is met


def test_frost_that_asks_nothing_of_a_brooder_is_not_said_to_be_planned_for(
    declare: Declare, catalogue: Catalogue
) -> None:
    day = date(2025, 5, 1)
    frost = Report(kind="frost", spell=Spell(first=day, last=day), air_c=-12.0)
    (said,) = effect_of(frost, NO_RECORDS, declare(HOUSE + chicks(day)), catalogue, day)
    assert said.endswith("the chicks are under heat. Go by how they lie.")


def test_a_lamp_that_stays_on_is_looked_at_still(catalogue: Catalogue) -> None:
    why = {care.id: str(care.why) for care in catalogue}
    assert "until ten weeks at most, and check the lamp each evening" in why["off-heat"]
    assert "heat off" not in why["perch-start"]  # due on the same day, lamp on or off


@pytest.mark.parametrize(("hatched", "weeks"), [(date(2025, 2, 20), 10), (date(2025, 6, 1), 6)])
def test_the_lamp_is_looked_at_each_evening_for_as_long_as_cold_nights_keep_it_on(
    declare: Declare, catalogue: Catalogue, hatched: date, weeks: int
) -> None:
    # Nights of 10 °C or above (common practice, no source) come there in May; a deep clean falls
    # on 12 April.
    last = hatched + 77 * DAY
    found = tasks(declare(HOUSE + chicks(hatched)), catalogue, hatched, last)
    looked = [task.day for task in found if task.care_id == "brooder-evening"]
    assert looked == [hatched + n * DAY for n in range(weeks * 7)]
    emptied = [task.day for task in found if task.care_id in WHOLE_HOUSE]
    assert all(day >= hatched + weeks * 7 * DAY for day in emptied)


def test_chicks_that_move_in_off_heat_bring_no_lamp(declare: Declare, catalogue: Catalogue) -> None:
    came = date(2025, 3, 20)
    text = HOUSE + chicks(came - 45 * DAY) + f"arrived = {came}\n"
    found = tasks(declare(text), catalogue, came, came + 20 * DAY)
    assert "brooder-evening" not in {task.care_id for task in found}


def test_hens_that_ranged_before_chicks_hatched_beside_them_have_no_first_outing_after(
    declare: Declare, catalogue: Catalogue
) -> None:
    hatched = date(2025, 5, 1)
    text = HOUSE.replace('name = "Pen"', 'name = "Pen"\nranging = "all day"')
    for old in (HENS, HENS + "arrived = 2024-01-01\n"):
        profile = declare(text + old + chicks(hatched))
        found = tasks(profile, catalogue, hatched - DAY, hatched + 120 * DAY)
        outings = [(t.subject_id, t.day) for t in found if t.care_id == "settle-over"]
        assert outings == [("few", hatched + 84 * DAY)]
