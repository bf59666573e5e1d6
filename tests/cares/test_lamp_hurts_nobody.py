"""T1: a layer's light never falls by the programme, and never rises by more than an hour a week.

Morris 2004, World's Poult. Sci. J.: falling light suppresses lay, rising light stimulates it. An
hour a week at most: Michigan State Univ. Extension, in Agri-View 2019, second-hand.
"""

from collections.abc import Callable, Sequence
from datetime import UTC, date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.coop_day import coop_day
from scheduler.cares.lamp import Lamp, lamp_on, longest_day
from scheduler.cares.records import NO_RECORDS
from scheduler.cares.why_lamp import why_lamp
from scheduler.husbandry.lighting import target_hours
from scheduler.light.sun import SUNSET_DEG, At, Sky, sky_over
from scheduler.profile.coop import Coop, CoopLight
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile

Declare = Callable[[str], Profile]
DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
WEEK = timedelta(weeks=1)
ROUNDING = timedelta(seconds=1)

dates = st.dates(date(2025, 1, 1), date(2027, 6, 30))
latitudes = st.floats(-74, 74)


@st.composite
def flocks(draw: st.DrawFn, name: str) -> Flock:
    """Hens, young, or both, of any age, known or not, that came at any time or were there."""
    hens, young = draw(st.sampled_from([(6, 0), (0, 6), (1, 5), (0, 0)]))
    hatched = draw(st.none() | dates)
    arrived = draw(st.none() | dates)
    return Flock(
        name=name,
        id=name,
        coop="stone",
        hens=hens,
        young=young,
        roosters=1,
        hatched=hatched,
        age=None if hatched else draw(st.sampled_from([None, "chick", "pullet", "adult"])),
        raised_by=draw(st.sampled_from([None, "hen", "brooder", "bought"])),
        arrived=max(arrived, hatched) if arrived and hatched else arrived,
    )


def light(sky: Sky, day: date, lit: Lamp | None) -> timedelta:
    """From the lamp or sunrise to sunset, where the sun does not rise to its height at noon."""
    if lit is None:
        return sky.daylight(day)
    sets = sky.crossing(day, "evening", SUNSET_DEG)
    return (sets.instant if isinstance(sets, At) else sky.transit(day)) - lit.on


def lamps(
    coop: Coop, birds: Sequence[Flock], sky: Sky, first: date, days: int
) -> list[tuple[date, Lamp | None]]:
    found = []
    for day in (first + n * DAY for n in range(days)):
        here = tuple(each for each in birds if each.arrived is None or each.arrived <= day)
        found.append((day, lamp_on(coop, here, sky, day)))
    return found


@given(
    st.lists(flocks("old"), min_size=1, max_size=1),
    st.lists(flocks("new"), max_size=2),
    latitudes,
    st.none() | dates,
    dates,
)
def test_t1_the_programme_never_shortens_light_nor_adds_more_than_an_hour_a_week(
    old: list[Flock], new: list[Flock], latitude_deg: float, began: date | None, at: date
) -> None:
    sky = Sky.over(latitude_deg, 0.0, UTC)
    coop = Coop(name="Stone", id="stone", light=CoopLight(programme=True, first=began))
    happens = [each.arrived for each in (*old, *new) if each.arrived]
    happens += [each.hatched + 16 * WEEK for each in (*old, *new) if each.hatched]
    for first in {at, *((day - 10 * DAY) for day in happens), began or at}:
        lit = lamps(coop, [*old, *new], sky, first, 40)
        total = [(day, on, light(sky, day, on)) for day, on in lit]
        for (_, on, before), (day, _, after) in pairwise(total):
            assert on is None or after >= before - ROUNDING, day
        for (_, _, before), (day, on, after) in zip(total, total[7:], strict=False):
            assert on is None or after - before <= HOUR + ROUNDING, day
        for day, on in lit:
            if on is None:
                continue
            rise = sky.crossing(day, "morning", SUNSET_DEG)
            assert on.on < on.off
            assert not isinstance(rise, At) or on.off >= min(rise.instant, on.on + HOUR), day
            assert on.hours <= target_hours(longest_day(sky)) + 1e-9


@given(flocks("old"), latitudes, dates)
def test_t1_whoever_moves_in_changes_nothing_for_layers_that_were_there(
    newcomers: Flock, latitude_deg: float, day: date
) -> None:
    sky = Sky.over(latitude_deg, 0.0, UTC)
    coop = Coop(name="Stone", id="stone", light=CoopLight(programme=True))
    layers = Flock(name="Layers", id="layers", coop="stone", hens=6)
    alone, together = (lamp_on(coop, each, sky, day) for each in ((layers,), (layers, newcomers)))
    assert (alone is None) == (together is None)
    if alone and together:
        assert (alone.on, alone.off) == (together.on, together.off)


BARN = """
[site]
name = "Barn"
latitude = 51.5
longitude = 0.0
timezone = "Europe/London"
[[coop]]
name = "Stone"
[[coop.drinker]]
type = "nipple"
inside = true
[[coop.feeder]]
inside = true
[coop.light]
programme = true
"""
LAYERS = '[[flock]]\nname = "Layers"\nhens = 10\n'


def lamp_of(profile: Profile, day: date) -> Lamp | None:
    return coop_day(profile, sky_over(profile), profile.coop[0], day, NO_RECORDS).lamp


@pytest.mark.parametrize("weeks", [9, 17])
def test_t1_young_and_pullets_that_join_are_told_to_be_kept_apart(
    declare: Declare, weeks: int
) -> None:
    came = date(2025, 12, 10)
    text = BARN + LAYERS
    text += f'[[flock]]\nname = "New"\nyoung = 4\nhatched = {came - weeks * WEEK}\n'
    text += f'arrived = {came}\nraised_by = "hen"\n'
    profile = declare(text)
    before, after = (lamp_of(profile, day) for day in (came - DAY, came))
    assert before
    assert after
    assert after.hours == before.hours == 14
    assert "New" not in why_lamp(before)
    told = why_lamp(after)
    if weeks == 9:
        assert "New: house them apart until 28 January. Under 16 weeks old" in told
    else:
        assert "New come from shorter days: house them apart until" in told
    settled = lamp_of(profile, came + (16 - min(weeks, 16) + 12) * WEEK)
    assert settled is None or "New" not in why_lamp(settled)


def test_t1_bought_birds_that_join_after_their_quarantine_still_come_from_short_days(
    declare: Declare,
) -> None:
    came = date(2025, 12, 10)
    ends = came + 30 * DAY
    text = f'[[flock]]\nname = "New"\nyoung = 4\nhatched = {came - 17 * WEEK}\n'
    profile = declare(BARN + LAYERS + text + f'arrived = {came}\nraised_by = "bought"\n')
    # At 51.5° the day of 9 January has 8.1 h: 9.1 h then, 14 h five weeks later.
    for day in (came, ends, ends + 7 * DAY, ends + 34 * DAY):
        assert "New come from shorter days: house them apart until 13 February" in why_lamp(
            lamp_of(profile, day) or pytest.fail("no lamp")
        )
    assert "New" not in why_lamp(lamp_of(profile, ends + 35 * DAY) or pytest.fail("no lamp"))


def test_t1_bought_birds_that_come_in_the_long_days_come_from_no_shorter_ones(
    declare: Declare,
) -> None:
    came = date(2025, 7, 20)
    text = f'[[flock]]\nname = "New"\nyoung = 4\nhatched = {came - 17 * WEEK}\n'
    profile = declare(BARN + LAYERS + text + f'arrived = {came}\nraised_by = "bought"\n')
    for n in range(60):
        lamp = lamp_of(profile, came + n * DAY)
        assert lamp is None or "shorter days" not in why_lamp(lamp)


def test_t1_layers_without_a_hatch_date_that_come_in_winter_are_brought_up_by_steps(
    declare: Declare,
) -> None:
    came = date(2025, 12, 10)
    profile = declare(BARN + LAYERS + f"arrived = {came}\n")
    assert lamp_of(profile, came - DAY) is None
    steps = [lamp_of(profile, came + n * WEEK) for n in range(8)]
    hours = [step.hours for step in steps if step]
    assert hours[0] == pytest.approx(8.9, abs=0.1)
    assert hours[-1] == 14
    assert "an hour more each week up to 14 h" in why_lamp(steps[0] or pytest.fail("no lamp"))


def test_t1_a_programme_that_begins_in_winter_begins_by_steps(declare: Declare) -> None:
    began = date(2025, 12, 10)
    profile = declare(BARN + f"from = {began}\n" + LAYERS)
    assert lamp_of(profile, began - DAY) is None
    first, later = (lamp_of(profile, began + n * WEEK) for n in (0, 6))
    assert first
    assert later
    assert first.hours == pytest.approx(8.9, abs=0.1)
    assert later.hours == 14
