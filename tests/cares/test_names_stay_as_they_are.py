"""Whatever a keeper calls birds, houses and jobs, it is told in those very words."""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import chain
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.catalogue import Catalogue, in_force
from scheduler.cares.catalogue_text import own_text, read_text
from scheduler.cares.catalogue_words import spoken
from scheduler.cares.plan import plan
from scheduler.cares.problems import problems
from scheduler.cares.records import NO_RECORDS
from scheduler.cares.usual_day import usual_day
from scheduler.husbandry.figures import figures
from scheduler.husbandry.keeper_words import figure_words
from scheduler.profile.own_cares import CareChange, OwnCare
from scheduler.profile.quantity import read_written, write
from scheduler.profile.units import Units
from scheduler.profile.values import Profile
from tests.conftest import declared

HOUSE = """
[site]
name = "Orchard"
latitude = 40.0
longitude = -75.0
timezone = "America/New_York"
[[coop]]
name = "QQ"
floor = "1 m²"
height = "1 m"
[coop.perches]
length = "30 m"
[[coop.vent]]
size = "10 cm x 40 cm"
place = "high"
[[flock]]
name = "QQ"
young = 10
raised_by = "brooder"
hatched = 2025-03-03
"""
PROFILE = declared(HOUSE)
HATCHED = date(2025, 3, 3)
TELLING_DAYS = [HATCHED + timedelta(weeks=weeks) for weeks in (0, 1, 3, 8)]
ANY_NAME = st.one_of(
    st.sampled_from(["Pen 3 m {x} chicks", "°F 40 l", "{flock} 12 m", "{12 m}", "5 °C rise"]),
    st.text(min_size=1, max_size=20),
)


def called(name: str, units: Units) -> Profile:
    """The house and its chicks by that name, and a job of the keeper's own by it."""
    (coop,), (flock,) = PROFILE.coop, PROFILE.flock
    own = OwnCare.model_construct(
        id="own", name=name, why=name, every=1440.0, on=None, first=None, last=None,
        round="morning", minutes=1,
    )  # fmt: skip
    change = CareChange.model_construct(text=name)
    return PROFILE.model_copy(
        update={
            "units": units,
            "coop": (coop.model_copy(update={"name": name}),),
            "flock": (flock.model_copy(update={"name": name}),),
            "care": (own,),
            "cares": {"water": change},
        }
    )


def everything_said(profile: Profile, catalogue: Catalogue) -> Iterator[str]:
    for day in TELLING_DAYS:
        for planned in plan(profile, NO_RECORDS, day, day, catalogue).days:
            for task in planned.tasks:
                yield from (task.title, task.late_title, task.short, task.why)
        for figure in figures(profile, profile.coop[0], usual_day(profile, day)):
            yield from figure_words(figure, profile.units)
    for problem in problems(profile, catalogue):
        yield from (problem.found, problem.accepted, problem.hint)
    for care in in_force(profile, catalogue):
        yield spoken(care.title, profile, profile.flock[0].name)


@pytest.fixture(scope="module")
def said_of_qq(catalogue: Catalogue) -> dict[Units, list[str]]:
    """Everything that is said, in each of the units, of what is called QQ."""
    return {
        units: list(everything_said(called("QQ", units), catalogue)) for units in get_args(Units)
    }


def test_the_name_and_quantities_are_among_what_is_said(
    said_of_qq: dict[Units, list[str]],
) -> None:
    marks: dict[Units, str] = {"metric": "\u00a0°C", "us": "\u00a0°F", "uk": "\u00a0sq ft"}
    for units, mark in marks.items():
        said = said_of_qq[units]
        assert any("QQ" in text and mark in text for text in said), units
        assert said.count("QQ") >= len(TELLING_DAYS)


@given(ANY_NAME, st.sampled_from(get_args(Units)))
def test_any_name_arrives_unchanged_in_every_text(
    catalogue: Catalogue, said_of_qq: dict[Units, list[str]], name: str, units: Units
) -> None:
    told = list(everything_said(called(name, units), catalogue))
    assert told == [text.replace("QQ", name) for text in said_of_qq[units]]


@given(st.text(max_size=40), st.sampled_from(get_args(Units)))
def test_a_keepers_own_words_mean_nothing_but_themselves(text: str, units: Units) -> None:
    words = {"x": "y", "flock": "Pullets"}
    for own in chain((text,), (f"{text}{{flock}} {{12 m}}",)):
        assert own_text(own).said(words, units) == own


@pytest.mark.parametrize("units", get_args(Units))
def test_a_text_of_the_catalogue_is_filled_in_once(units: Units) -> None:
    text = read_text("Keep {flock} {12 m} apart")
    told = text.said({"flock": "{12 m} {flock}"}, units)
    assert told == f"Keep {{12 m}} {{flock}} {write(read_written('12 m'), units)} apart"
