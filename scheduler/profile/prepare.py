"""Fills in what follows from something else: ids from names, units, the only coop, the time zone.

It works on the raw tables and leaves what is wrong for the reading that follows; where a thing
cannot be filled in because another is wrong, it puts something harmless, so that one mistake is
one problem.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import suppress
from hashlib import sha256
from typing import Any, get_args

from scheduler.profile.coordinates import LIMITS, Axis, read_coordinate
from scheduler.profile.problem import Problem, Unreadable
from scheduler.profile.units import Region
from scheduler.wording.profile.file_words import NoTimeZone, TooFewBrackets
from scheduler.wording.profile.reading_words import Moments

NAMED_TABLES = ("coop", "flock", "person", "care", "sensor")
_PARTS_OF_A_COOP = ("drinker", "feeder", "vent")
USUAL_UNITS = {"US": "us", "UK": "uk"}


def slug(name: str) -> str:
    """A short name of small letters, digits and hyphens; empty when the script has none of them."""
    plain = unicodedata.normalize("NFKD", name[:200]).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40].strip("-")


def id_of(kind: str, name: str) -> str:
    """The id made from a name in any script, whatever stands before or behind it in the file."""
    plain = unicodedata.normalize("NFC", " ".join(name.split())).casefold().encode()
    return slug(name) or f"{kind}-{sha256(plain).hexdigest()[:8]}"


def proposed_zone(latitude_deg: float, longitude_deg: float) -> str | None:
    """The zone name that tzfpy has for the place, offline; None in the open sea."""
    from tzfpy import get_tz  # noqa: PLC0415 - its data is only needed when no zone is written

    name = get_tz(longitude_deg, latitude_deg)
    return None if not name or name.startswith("Etc/") else name


def region_of(raw: Mapping[str, Any]) -> Region:
    """The region that the site names, or "other"."""
    site = raw.get("site")
    named = site.get("region") if isinstance(site, Mapping) else None
    by_fold: dict[str, Region] = {region.casefold(): region for region in get_args(Region)}
    return by_fold.get(" ".join(str(named).split()).casefold(), "other")


def prepare(raw: dict[str, Any]) -> Iterator[Problem]:
    """Fills the raw tables in place; tells tables with too few brackets, and a missing zone."""
    yield from _repeatable(raw)
    raw.setdefault("units", USUAL_UNITS.get(region_of(raw), "metric"))
    fill_names(raw)
    site = raw.get("site")
    if isinstance(site, dict):
        yield from _fill_zone(site, "site")
    move = raw.get("move")
    if isinstance(move, dict):
        yield from _fill_zone(move, "move")


def fill_names(raw: dict[str, Any]) -> None:
    """Fills in the id of each thing that has none written, and the house of what is in one."""
    for table in NAMED_TABLES:
        _fill_ids(raw.get(table), table)
    _fill_coop_of(raw, "flock")
    _fill_coop_of(raw, "sensor")
    _fill_duty(raw)
    _fill_ids([raw.get("site")], "site")


def _repeatable(raw: dict[str, Any]) -> Iterator[Problem]:
    for table in NAMED_TABLES:
        if isinstance(raw.get(table), dict):
            yield _single(table, f"[[{table}]]")
            raw[table] = [raw[table]]
    coops = raw.get("coop")
    for index, coop in enumerate(coops if isinstance(coops, list) else ()):
        for part in _PARTS_OF_A_COOP:
            if isinstance(coop, dict) and isinstance(coop.get(part), dict):
                yield _single("coop", f"[[coop.{part}]]", index, part)
                coop[part] = [coop[part]]


def _single(table: str, header: str, *rest: str | int) -> Problem:
    return Problem(
        key=(table, *rest),
        found=TooFewBrackets.found(),
        accepted=TooFewBrackets.accepted(),
        hint=TooFewBrackets.double(header=header),
    )


def _fill_ids(tables: object, kind: str) -> None:
    if not isinstance(tables, list):
        return
    for number, table in enumerate(tables, start=1):
        if isinstance(table, dict):
            name = table.get("name")
            is_named = isinstance(name, str) and bool(name.strip())
            # A place has one site, so its number is no position; its diary is kept under that id.
            by_name = is_named and (kind != "site" or slug(str(name)))
            made = id_of(kind, str(name)) if by_name else f"{kind}-{number}"
            table.setdefault("id", made)


def _fill_coop_of(raw: Mapping[str, Any], kind: str) -> None:
    """The only coop, where none is written, and the id of one that is written by its name."""
    coops, things = raw.get("coop"), raw.get(kind)
    if not isinstance(things, list):
        return
    listed = coops if isinstance(coops, list) else []
    by_name = {folded(c.get("name")): c.get("id") for c in listed if isinstance(c, dict)}
    ids = {c.get("id") for c in listed if isinstance(c, dict) and isinstance(c.get("id"), str)}
    # A profile may still name a house by its position, as they were called until version 0.2.
    for number, coop in enumerate(listed, start=1):
        if isinstance(coop, dict) and not slug(str(coop.get("name", ""))):
            by_name.setdefault(f"coop-{number}", coop.get("id"))
    only = coops[0] if isinstance(coops, list) and len(coops) == 1 else None
    for thing in things:
        is_in_one = isinstance(thing, dict) and (
            kind == "flock" or folded(thing.get("where")) == "coop"
        )
        if is_in_one and isinstance(only, dict):
            thing.setdefault("coop", only["id"])
        coop = thing.get("coop") if isinstance(thing, dict) else None
        if isinstance(coop, str) and coop not in ids:
            thing["coop"] = by_name.get(folded(coop), coop)


def _fill_duty(raw: Mapping[str, Any]) -> None:
    """The id of each weekday's person who is written by name, where one alone is called that."""
    duty, people = raw.get("duty"), raw.get("person")
    if not isinstance(duty, dict) or not isinstance(people, list):
        return
    listed = [person for person in people if isinstance(person, dict)]
    ids = {person.get("id") for person in listed if isinstance(person.get("id"), str)}
    for day, who in duty.items():
        called = [one.get("id") for one in listed if folded(one.get("name")) == folded(who)]
        if isinstance(who, str) and who not in ids and len(called) == 1:
            duty[day] = called[0]


def folded(name: object) -> str:
    """How names are compared: without capitals and odd blanks."""
    return " ".join(str(name).casefold().split())


def _fill_zone(site: dict[str, Any], name: str) -> Iterator[Problem]:
    if "timezone" in site:
        return
    latitude_deg = _coordinate(site.get("latitude"), "latitude")
    longitude_deg = _coordinate(site.get("longitude"), "longitude")
    site["timezone"] = None  # read as: not known, nothing to hold it against
    if latitude_deg is None or longitude_deg is None:
        return
    site["timezone"] = proposed_zone(latitude_deg, longitude_deg)
    if site["timezone"] is None:
        yield Problem(
            key=(name, "timezone"),
            found=NoTimeZone.found(),
            accepted=Moments.zone(),
            hint=NoTimeZone.check(),
        )


def _coordinate(value: object, axis: Axis) -> float | None:
    if isinstance(value, str):
        with suppress(Unreadable):
            return read_coordinate(value, axis)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        return float(value) if abs(value) <= LIMITS[axis] else None
    return None
