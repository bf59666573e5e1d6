"""A difference between two texts of a profile, in a line for people."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, time

from scheduler.profile.by_name import from_id
from scheduler.profile.changeable import Changeable, changeable_at
from scheduler.profile.difference import Difference, is_personal
from scheduler.profile.every_key import ProfileKey
from scheduler.profile.prepare import NAMED_TABLES
from scheduler.profile.problem import Unreadable
from scheduler.profile.quantity import write_quantity
from scheduler.profile.raw_tables import named_tables, names_of
from scheduler.profile.typed_value import NOTHING
from scheduler.profile.units import Region, Units, read_extent, read_quantity
from scheduler.profile.words import clock, words
from scheduler.wording.profile.difference_told import (
    AddressesThatDiffer,
    JobsThatDiffer,
    PartsThatCame,
    PartsThatWent,
    SidesOfAnArea,
    SwitchWords,
    ThingsThatDiffer,
    ValuesThatDiffer,
    WhatDiffers,
)
from scheduler.wording.spoken import day_month_year, in_a_row
from scheduler.wording.words import every

Names = Mapping[tuple[str, str], str]
_CAME, _WENT = every(PartsThatCame), every(PartsThatWent)


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """To whom it is told: in which units and region, with what things and jobs are called.

    `names` has them by kind and id: ("coop", "walnut"), ("cares", "mite-look").
    """

    names: Names
    units: Units
    region: Region


def names_in(*texts: str) -> dict[tuple[str, str], str]:
    """What the things of these texts are called by kind and id; the first text has the last word.

    Raises:
        tomllib.TOMLDecodeError: one of them is no TOML.
    """
    found: dict[tuple[str, str], str] = {}
    for text in texts:
        tables = named_tables(text)
        for kind in NAMED_TABLES:
            named = {(kind, thing_id): name for thing_id, name in names_of(tables, kind).items()}
            found = named | found
    return found


def said(difference: Difference, to: Telling) -> str:
    """The line: "Walnut, floor inside: 2.9 m² (was not known)", "Added: Elm house"."""
    where = difference.where
    if not where or isinstance(where[0], int):
        return WhatDiffers.something()  # as a damaged diary, or another program, may have it
    if len(where) == 2 and where[0] in NAMED_TABLES:  # noqa: PLR2004 - a kind and an id
        came_or_went = ThingsThatDiffer.came if difference.after else ThingsThatDiffer.went
        return came_or_went(name=difference.after or difference.before)
    if isinstance(where[-1], int):
        return _of_part(difference, to)
    if (where[0], where[-1]) == ("cares", "on"):
        on_or_off = JobsThatDiffer.off if difference.after == "false" else JobsThatDiffer.on
        return on_or_off(job=_thing(difference, to))
    one = changeable_at(where)
    return _of_key(one, difference, to) if one else WhatDiffers.something()


def _of_part(difference: Difference, to: Telling) -> str:
    came_or_went = (_CAME if difference.after else _WENT).get(str(difference.where[-2]))
    if not came_or_went:
        return WhatDiffers.something()
    part = difference.after or difference.before
    return came_or_went(thing=_thing(difference, to), part=part, **words(to.region))


def _of_key(one: Changeable, difference: Difference, to: Telling) -> str:
    before, after = difference.before, difference.after
    if one.key[-1] == "name" and before and after:
        return ThingsThatDiffer.renamed(before=before, after=after)
    label, thing = one.label(to.region), _thing(difference, to)
    in_sentence = label[:1].lower() + label[1:]
    what = WhatDiffers.of_thing(thing=thing, label=in_sentence) if thing else label
    if is_personal(difference.where):
        return _of_address(what, before, after)
    return _of_value(one, what, before, after, to)


def _of_address(what: str, before: str, after: str) -> str:
    if before and after:
        return AddressesThatDiffer.changed(what=what)
    came_or_went = AddressesThatDiffer.came if after else AddressesThatDiffer.went
    return came_or_went(what=what)


def _of_value(one: Changeable, what: str, before: str, after: str, to: Telling) -> str:
    told_before, told_after = _told(one, before, to), _told(one, after, to)
    if told_before == told_after:  # in these units they are the same
        told_before, told_after = before, after
    if not after:
        gone = ValuesThatDiffer.not_known if one.is_measured else ValuesThatDiffer.left_open
        return gone(what=what, before=told_before)
    if not before:
        new = ValuesThatDiffer.measured if one.is_measured else ValuesThatDiffer.said
        return new(what=what, after=told_after)
    return ValuesThatDiffer.other(what=what, before=told_before, after=told_after)


def _thing(difference: Difference, to: Telling) -> str:
    """What the thing is called to which it belongs; "" where that is the place itself."""
    kind, *rest = difference.where
    if not rest or kind not in (*NAMED_TABLES, "cares"):
        return ""
    return to.names.get((str(kind), str(rest[0]))) or from_id(str(rest[0]))


def _told(one: Changeable, written: str, to: Telling) -> str:
    if not one.of.is_list:
        return _told_one(one, written, to)
    return in_a_row([_told_one(one, part, to) for part in written.split(", ") if part])


def _told_one(one: Changeable, written: str, to: Telling) -> str:
    match one.of.kind:
        case "choice":
            return one.option(written)
        case "switch":
            return SwitchWords.yes() if written == "true" else SwitchWords.no()
        case "house" | "person":
            kind = "coop" if one.of.kind == "house" else "person"
            return to.names.get((kind, written), written)
        case "date" | "clock":
            return _moment(written, to.region)
        case "quantity":
            return _quantity(one.of, written, to)
        case _:
            return written


def _moment(written: str, region: Region) -> str:
    with suppress(ValueError):
        return day_month_year(date.fromisoformat(written))
    with suppress(ValueError):
        return clock(time.fromisoformat(written), region)
    return SwitchWords.never() if written.casefold() == NOTHING else written


def _quantity(key: ProfileKey, written: str, to: Telling) -> str:
    if key.dimension is None or key.dimension in {"duration", "angle"}:
        return written
    with suppress(Unreadable):
        if key.dimension == "area":
            return _area(written, to)
        amount = read_quantity(written, key.dimension, to.region)
        return write_quantity(amount, key.dimension, to.units)
    return written


def _area(written: str, to: Telling) -> str:
    extent = read_extent(written, to.region)
    if extent.sides_m is None:
        return write_quantity(extent.area_m2, "area", to.units)
    width, length = (write_quantity(side, "length", to.units) for side in extent.sides_m)
    return SidesOfAnArea.by(width=width, length=length)
