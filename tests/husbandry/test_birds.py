from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.husbandry.age import age_weeks, newly_moved, too_young_to_range, weeks_old
from scheduler.husbandry.groups import (
    MASS_KG,
    Group,
    groups,
    head_count,
    left_out,
    mass_at_kg,
)
from scheduler.profile.flock import AgeClass, Flock

DAY = date(2026, 6, 1)
counts = st.integers(0, 60)


def flock(  # noqa: PLR0913 - each is one thing that a keeper may declare
    *,
    hens: int = 0,
    roosters: int = 0,
    young: int = 0,
    others: int = 0,
    mass_kg: float | None = None,
    weeks: float | None = None,
    age: AgeClass | None = None,
    arrived: date | None = None,
) -> Flock:
    return Flock(
        name="Girls",
        id="girls",
        coop="walnut",
        hens=hens,
        roosters=roosters,
        young=young,
        others=others,
        mass_kg=mass_kg,
        hatched=DAY - timedelta(weeks=weeks) if weeks is not None else None,
        age=age,
        arrived=arrived,
    )


@pytest.mark.parametrize(
    ("kind", "mass_kg"), [("bantam", 0.9), ("light", 1.8), ("medium", 2.0), ("heavy", 3.0)]
)
def test_a_kind_has_its_mass(kind: str, mass_kg: float) -> None:
    assert MASS_KG[kind] == mass_kg  # common practice, no source


def test_the_keepers_own_mass_stands_over_that_of_the_kind() -> None:
    assert groups([flock(hens=6, mass_kg=2.4)], DAY) == (
        Group(count=6, mass_kg=2.4, lay_share=0.7),
    )


def test_eggs_come_from_grown_hens_only() -> None:
    mixed = flock(hens=6, roosters=1, young=3)
    hens, rooster, young = groups([mixed], DAY)
    assert (hens.laying, rooster.laying, young.laying) == (True, False, False)
    assert [each.laying for each in groups([flock(hens=6, weeks=20)], DAY)] == [False]
    assert [each.laying for each in groups([flock(hens=6, weeks=21)], DAY)] == [True]
    assert [each.laying for each in groups([flock(hens=6, age="pullet")], DAY)] == [False]


def test_a_rooster_is_heavier_than_a_hen_and_a_young_bird_lighter() -> None:
    hens, rooster, young = groups([flock(hens=6, roosters=1, young=3)], DAY)
    assert young.mass_kg < hens.mass_kg < rooster.mass_kg


def test_ducks_are_counted_on_a_line_of_their_own() -> None:
    with_ducks = [flock(hens=4, others=3), flock(others=2)]
    assert head_count(groups(with_ducks, DAY)) == 4
    assert left_out(with_ducks) == 5
    assert groups([flock(others=2)], DAY) == ()


def test_age_is_by_hatch_date_else_by_class_else_unknown() -> None:
    assert weeks_old(flock(hens=1, weeks=7.0), DAY) == 7
    assert weeks_old(flock(hens=1, age="chick"), DAY) == 4
    assert weeks_old(flock(hens=1), DAY) is None
    assert age_weeks(flock(hens=1, age="chick"), DAY) is None


@given(st.tuples(counts, counts, counts, counts).filter(any))
def test_every_chicken_is_in_one_group(birds: tuple[int, int, int, int]) -> None:
    hens, roosters, young, others = birds
    declared = flock(hens=hens, roosters=roosters, young=young, others=others)
    found = groups([declared], DAY)
    assert head_count(found) == hens + roosters + young == declared.birds - left_out([declared])
    assert all(group.count and group.mass_kg > 0 for group in found)


@given(st.floats(0.5, 5), st.floats(-5, 300), st.floats(-5, 300))
def test_a_bird_grows_until_it_is_grown(grown_kg: float, weeks: float, later: float) -> None:
    younger, older = sorted((weeks, later))
    assert 0 < mass_at_kg(grown_kg, younger) <= mass_at_kg(grown_kg, older) <= grown_kg
    assert mass_at_kg(grown_kg, 20) == pytest.approx(grown_kg)


@pytest.mark.parametrize(
    ("declared", "young"),
    [
        (flock(young=1, weeks=11.9), True),
        (flock(young=1, weeks=12), False),
        (flock(young=1, age="chick"), True),
        (flock(young=1, age="pullet"), False),
        (flock(hens=1), False),
    ],
)
def test_birds_under_twelve_weeks_do_not_range(declared: Flock, young: bool) -> None:
    assert too_young_to_range(declared, DAY) is young


@pytest.mark.parametrize(("days", "newly"), [(-1, False), (0, True), (13, True), (14, False)])
def test_a_flock_is_newly_moved_for_fourteen_days(days: int, newly: bool) -> None:
    moved = flock(hens=6, arrived=DAY - timedelta(days=days))
    assert newly_moved(moved, DAY) is newly
    assert not newly_moved(flock(hens=6), DAY)
