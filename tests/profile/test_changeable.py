"""Every key of the profile can be changed on a page, or stands in the list of those that cannot."""

from collections.abc import Iterator
from typing import get_args

import pytest
from pydantic import BaseModel

from scheduler.profile.changeable import (
    NOT_ON_PAGES,
    Changeable,
    Section,
    changeable,
    changeable_at,
)
from scheduler.profile.every_key import every_key
from scheduler.profile.prepare import NAMED_TABLES
from scheduler.profile.units import Region
from scheduler.profile.values import Profile
from scheduler.wording.words import ENGLISH, speak
from tests.wording.marked import OPEN, marked


def walked(table: type[BaseModel], above: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Each key of the tables as pydantic has them, without a look at the list under test."""
    for name, field in table.model_fields.items():
        inner = next(iter(tables_in(field.annotation)), None)
        key = (*above, field.alias or name)
        if inner:
            yield from walked(inner, key)
        else:
            yield key


def tables_in(annotation: object) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from tables_in(part)


def test_every_key_can_be_changed_or_stands_among_those_that_cannot() -> None:
    there = {one.key for one in changeable()}
    assert there | NOT_ON_PAGES == set(walked(Profile))
    assert not there & NOT_ON_PAGES


@pytest.mark.parametrize("region", get_args(Region))
def test_each_has_a_label_and_what_is_measured_how_and_what_for(region: Region) -> None:
    for one in changeable():
        label, purpose, measure = one.label(region), one.purpose(region), one.measure(region)
        assert label[0].isupper() or label[0].isdigit(), one.key
        assert not label.endswith("."), one.key
        for said in filter(None, (purpose, measure)):
            assert said[0].isupper(), one.key
            assert said.endswith("."), one.key
        assert one.is_measured == bool(measure)
        assert purpose or not measure or one.key[-1] == "count", one.key


def test_every_option_has_words_of_its_own() -> None:
    speak(marked())
    try:
        for one in changeable():
            said = [one.option(option) for option in one.of.options]
            assert len(set(said)) == len(said)
            assert all(OPEN in option for option in said), one.key
    finally:
        speak(ENGLISH)
    assert _at(("coop", "floor")).option("whatever") == "whatever"


def test_each_size_is_measured() -> None:
    sizes = {
        one.key
        for one in changeable()
        if one.of.dimension in {"length", "area", "volume", "mass"} and one.key[0] != "site"
    }
    assert not {key for key in sizes if not _at(key).is_measured}


def _at(key: tuple[str, ...]) -> Changeable:
    return next(one for one in changeable() if one.key == key)


@pytest.mark.parametrize(
    ("where", "key"),
    [
        (("coop", "walnut", "vent", 0, "size"), ("coop", "vent", "size")),
        (("cares", "mite-look", "every"), ("cares", "every")),
        (("site", "name"), ("site", "name")),
        (("units",), ("units",)),
        (("coop", "name", "name"), ("coop", "name")),
        (("coop", "walnut"), None),
        (("coop", "walnut", "id"), None),
        (("web", "listen"), None),
        ((), None),
    ],
)
def test_an_address_leads_to_its_key(
    where: tuple[str | int, ...], key: tuple[str, ...] | None
) -> None:
    found = changeable_at(where)
    assert (found.key if found else None) == key


def test_members_change_birds_and_jobs_and_nothing_else() -> None:
    by_matter = {matter: {one.key[0] for one in changeable() if one.matter == matter}
                 for matter in ("flocks", "household")}  # fmt: skip
    assert by_matter["flocks"] == {"flock", "cares", "care", "rounds"}
    assert "person" in by_matter["household"]
    assert {one.section for one in changeable()} == set(get_args(Section))


def test_the_kind_of_an_input_is_that_of_its_values() -> None:
    kinds = {one.key: (one.kind, one.dimension, one.is_list, one.has_none) for one in every_key()}
    assert kinds["coop", "floor"] == ("quantity", "area", False, False)
    assert kinds["coop", "height"] == ("quantity", "length", False, False)
    assert kinds["coop", "slope"] == ("number", None, False, False)
    assert kinds["coop", "vent", "steps"] == ("count", None, False, False)
    assert kinds["climate", "lows"] == ("quantity", "temperature", True, False)
    assert kinds["climate", "humidity"] == ("number", None, True, False)
    assert kinds["reminders", "everybody"] == ("quantity", "duration", True, False)
    assert kinds["reminders", "steps"] == ("choice", None, True, False)
    assert kinds["lockup", "cap"] == ("clock", None, False, True)
    assert kinds["lockup", "no_sun"] == ("clock", None, False, False)
    assert kinds["lockup", "angle"] == ("quantity", "angle", False, False)
    assert kinds["flock", "coop"] == ("house", None, False, False)
    assert kinds["care", "every"] == ("quantity", "duration", False, False)
    assert kinds["site", "latitude"] == ("coordinate", None, False, False)
    assert kinds["site", "timezone"] == ("text", None, False, False)
    assert kinds["forecast", "rounding"] == ("choice", None, False, False)
    assert kinds["person", "brief"] == ("switch", None, False, False)
    assert kinds["care", "from"] == ("date", None, False, False)
    assert {kind for kind, *_ in kinds.values()} >= {"count", "text", "choice"}
    assert all((kind, "id") in kinds for kind in NAMED_TABLES)
