"""The lamp of a coop: an equal choice to none, in the morning, held, and never without feed."""

from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.lamp import longest_day
from scheduler.cares.problems import problems
from scheduler.cares.records import NO_RECORDS
from scheduler.light.sun import At, sky_over
from scheduler.profile.values import Profile

BARN = """
[site]
name = "Barn"
latitude = {latitude}
longitude = 0.0
timezone = "Europe/London"
[[coop]]
name = "Stone"
{inside}
[coop.light]
programme = true
[[flock]]
name = "Layers"
hens = 10
{born}
"""
INSIDE = '[[coop.drinker]]\ntype = "nipple"\ninside = true\n[[coop.feeder]]\ninside = true\n'
Declare = Callable[[str], Profile]
HOUR = timedelta(hours=1)


def barn(
    declare: Declare,
    latitude: float = 51.5,
    born: str = "hatched = 2024-03-01",
    inside: str = INSIDE,
) -> Profile:
    return declare(BARN.format(latitude=latitude, born=born, inside=inside))


def days(profile: Profile, first: date, count: int) -> list[CoopDay]:
    sky = sky_over(profile)
    return [
        coop_day(profile, sky, profile.coop[0], first + timedelta(days=n), NO_RECORDS)
        for n in range(count)
    ]


def test_light_and_day_make_fourteen_hours_until_a_natural_dusk(declare: Declare) -> None:
    # Morris 2004: constant 14 h lays as many as a step-up programme.
    for day in days(barn(declare), date(2026, 11, 1), 60):
        assert day.lamp
        assert isinstance(day.sunset, At)
        assert day.sunset.instant - day.lamp.on == pytest.approx(
            14 * HOUR, abs=timedelta(seconds=2)
        )
        assert isinstance(day.sunrise, At)
        assert day.lamp.off > day.sunrise.instant


def test_it_is_off_while_days_are_long_enough_and_never_shortens_light(declare: Declare) -> None:
    year = days(barn(declare), date(2026, 1, 1), 365)
    for day in year:
        assert (day.lamp is None) == (day.daylight >= 14 * HOUR)
    light = [max(day.daylight, 14 * HOUR) for day in year if day.lamp]
    assert all(after >= before for before, after in pairwise(light))


def test_the_target_is_the_longest_day_where_that_is_shorter(declare: Declare) -> None:
    tropical = barn(declare, latitude=12.0)
    longest = longest_day(sky_over(tropical))
    assert longest < 14 * HOUR
    winter = days(tropical, date(2026, 12, 1), 1)[0]
    assert winter.lamp
    assert isinstance(winter.sunset, At)
    assert winter.sunset.instant - winter.lamp.on <= longest + timedelta(seconds=1)


def test_pullets_come_into_light_at_sixteen_weeks_by_an_hour_a_week(declare: Declare) -> None:
    young = barn(declare, born="hatched = 2025-08-11")
    hatched = date(2025, 8, 11)
    before = days(young, hatched + timedelta(weeks=16) - timedelta(days=1), 1)[0]
    assert before.lamp is None
    after = days(young, hatched + timedelta(weeks=16), 70)
    hours = [
        (day.sunset.instant - day.lamp.on) / HOUR
        for day in after
        if day.lamp and isinstance(day.sunset, At)
    ]
    assert len(hours) == 70
    assert all(-0.001 <= later - now <= 1.001 or later >= 13.99 for now, later in pairwise(hours))
    assert hours[0] < 10
    assert hours[-1] == pytest.approx(14, abs=0.01)


def test_lamp_times_are_instants_that_no_clock_change_moves(declare: Declare) -> None:
    around = days(barn(declare), date(2026, 10, 22), 8)
    lamps = [day.lamp.on for day in around if day.lamp]
    assert len(lamps) == 8
    for before, after in pairwise(lamps):
        assert abs(after - before - timedelta(days=1)) < timedelta(minutes=5)


def test_a_lamp_without_feed_and_water_inside_is_a_problem(
    declare: Declare, catalogue: Catalogue
) -> None:
    thirsty = barn(declare, inside='[[coop.drinker]]\ntype = "bell"\n')
    (problem,) = problems(thirsty, catalogue)
    assert problem.key == ("coop", 0, "light", "programme")
    assert "feed and water stand inside" in problem.accepted
    assert list(problems(barn(declare), catalogue)) == []


@pytest.mark.parametrize(
    ("sizes", "key"),
    [
        ('floor = "2 m²"\n[coop.perches]\nlength = "30 m"', ("perches", "length")),
        (
            'floor = "1 m x 2 m"\nheight = "1 m"\n[[coop.vent]]\nsize = "3 m x 3 m"',
            ("vent",),
        ),
        ('floor = "1 m²"\n[coop.nests]\ncount = 40\nsize = "30 cm x 30 cm"', ("nests", "size")),
    ],
)
def test_sizes_that_cannot_all_be_true_are_problems(
    declare: Declare, catalogue: Catalogue, sizes: str, key: tuple[str, ...]
) -> None:
    text = (
        '[site]\nname = "A"\nlatitude = 51\nlongitude = 0\ntimezone = "Europe/London"\n'
        f'[[coop]]\nname = "C"\n{sizes}\n[[flock]]\nname = "F"\nhens = 3\n'
    )
    (problem,) = problems(declare(text), catalogue)
    assert problem.key == ("coop", 0, *key)
