from collections.abc import Callable
from datetime import date, timedelta
from typing import get_args

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.husbandry.age import LAYER_WEEKS
from scheduler.husbandry.housing import criteria
from scheduler.husbandry.needs import RuleSet
from scheduler.profile.values import Profile

Declare = Callable[[str], Profile]

FIRST = date(2025, 4, 1)
CHICKS = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
[[coop]]
name = "Walnut"
[[flock]]
name = "Chicks"
young = 8
hatched = 2025-04-01
raised_by = "brooder"
"""
GROWN = '\n[[flock]]\nname = "Girls"\nhens = 6\n'
BOUGHT = CHICKS.replace(
    "young = 8\nhatched = 2025-04-01", "hens = 4\narrived = 2025-04-01"
).replace("brooder", "bought")


def first_days(profile: Profile, catalogue: Catalogue) -> dict[str, date]:
    found: dict[str, date] = {}
    for day in plan(profile, NO_RECORDS, FIRST, FIRST + timedelta(days=200), catalogue).days:
        for task in day.tasks:
            found.setdefault(task.care_id, day.day)
    return found


@pytest.mark.parametrize(
    ("care_id", "expected"),
    [
        # Recomputed by hand. Layer feed is PNW 477; all others are common practice, no source.
        ("perch-start", date(2025, 5, 13)),
        ("off-heat", date(2025, 5, 13)),
        ("mixing-see", date(2025, 6, 17)),
        ("mixing-together", date(2025, 6, 24)),
        ("nests-open", date(2025, 7, 22)),
        ("layer-feed", date(2025, 8, 5)),
    ],
)
def test_the_stages_of_chicks_hatched_on_the_first_of_april(
    declare: Declare, catalogue: Catalogue, care_id: str, expected: date
) -> None:
    assert first_days(declare(CHICKS + GROWN), catalogue)[care_id] == expected


@pytest.mark.parametrize("rules", get_args(RuleSet))
def test_the_nests_are_opened_on_the_day_from_which_the_check_asks_for_them(
    declare: Declare, catalogue: Catalogue, rules: RuleSet
) -> None:
    profile = declare(CHICKS)
    opened = first_days(profile, catalogue)["nests-open"]
    around = [opened + timedelta(days=n) for n in range(-20, 20)]
    asked = [
        any(each.key == "nests" for each in criteria(profile, profile.coop[0], rules, day, 24.0))
        for day in around
    ]
    assert asked == [day >= opened for day in around]


def test_pullets_that_come_between_sixteen_and_eighteen_weeks_have_nests_opened(
    declare: Declare, catalogue: Catalogue
) -> None:
    for weeks in (15, 16, 17, 18):
        hatched = FIRST - timedelta(weeks=weeks)
        profile = declare(BOUGHT.replace("hens = 4", f"hens = 4\nhatched = {hatched}"))
        opened = first_days(profile, catalogue).get("nests-open")
        expected = {15: FIRST + timedelta(weeks=1), 16: FIRST, 17: FIRST, 18: None}
        assert opened == expected[weeks]


def test_quarantine_of_bought_birds_ends_after_thirty_days(
    declare: Declare, catalogue: Catalogue
) -> None:
    # USDA, quoted by Hobby Farms: bought 1 April, released no earlier than 1 May.
    found = first_days(declare(BOUGHT), catalogue)
    assert found["quarantine-start"] == FIRST
    assert found["quarantine-over"] == date(2025, 5, 1)


@pytest.mark.parametrize("care_id", ["mixing-see", "mixing-together", "mixed-feed"])
def test_chicks_that_are_all_the_birds_there_are_join_nobody(
    declare: Declare, catalogue: Catalogue, care_id: str
) -> None:
    assert care_id not in first_days(declare(CHICKS), catalogue)
    assert care_id in first_days(declare(CHICKS + GROWN), catalogue)


def test_first_eggs_do_not_ask_anew_for_what_the_check_asks_from_layer_feed_on(
    declare: Declare, catalogue: Catalogue
) -> None:
    # The check says "count them as hens and roosters now" from LAYER_WEEKS on (housing_check).
    found = first_days(declare(CHICKS), catalogue)
    assert found["first-eggs"] > FIRST + timedelta(weeks=LAYER_WEEKS)
    why = next(str(care.why) for care in catalogue if care.id == "first-eggs")
    assert "count as hens by now" in why
    assert "from now on" not in why


def test_layer_feed_for_young_of_unknown_sex_says_what_it_is_with_a_rooster(
    declare: Declare, catalogue: Catalogue
) -> None:
    # Half of a hatch are cockerels, and layer feed harms them in time (common practice, no source).
    assert "layer-feed" in first_days(declare(CHICKS), catalogue)
    why = next(str(care.why) for care in catalogue if care.id == "layer-feed")
    assert "{rooster} among them? Grower for all, shell apart" in why
