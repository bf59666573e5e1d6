"""Reads a report as a keeper writes it, at a terminal or in the fields of a page."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal, get_args

from scheduler.cares.records import Report, ReportKind, Spell
from scheduler.cares.reported import read_day
from scheduler.profile.load import Problems
from scheduler.profile.problem import Problem, Unreadable, nearest, shown
from scheduler.profile.units import Region, read_quantity

Field = Literal["kind", "first", "last", "air", "link", "who"]
KINDS: tuple[ReportKind, ...] = get_args(ReportKind)
WITH_AIR: frozenset[ReportKind] = frozenset({"heat", "frost"})
LONGEST_LINK = 300
LONGEST_WHO = 120
_TWO_YEARS = timedelta(days=731)
_ADDRESS = re.compile(r"https?://[^\s/?#]\S*", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldReport:
    """The texts of a report as written; a day not given is None, another text not given empty."""

    kind: str
    first: str | None = None
    last: str | None = None
    air: str = ""
    link: str = ""
    who: str = ""


def read_report(told: ToldReport, region: Region, today: date) -> Report | Problems:
    """The report, or one problem for each wrong field, in the order of `Field`, which is its key.

    Begins today unless told; lasts one day, an order until further notice. `found` is quoted.
    """
    problems: list[Problem] = []
    kind = _kind(told, problems)
    spell = _spell(told, today, problems)
    air_c = _air_c(told, region, problems)
    problems += _wrong_texts(told)
    if problems or kind is None:
        return tuple(problems)
    return Report(kind=kind, spell=spell, air_c=air_c, link=told.link, who=told.who)


def _kind(told: ToldReport, problems: list[Problem]) -> ReportKind | None:
    for kind in KINDS:
        if kind == told.kind:
            return kind
    problems.append(
        Problem(
            key=("kind",),
            found=shown(told.kind),
            accepted=", ".join(KINDS),
            hint=nearest(told.kind, KINDS),
        )
    )
    return None


def _spell(told: ToldReport, today: date, problems: list[Problem]) -> Spell:
    """The days as told; what cannot be read counts as not told, beside its problem."""
    first = _day("first", told.first, today, today, problems) or today
    last = _day("last", told.last, first, today, problems)
    if last and last < first:
        found, accepted = f'"{last}"', f"a day from {first} on"
        problems.append(Problem(key=("last",), found=found, accepted=accepted))
    return Spell(first=first, last=last or (None if told.kind == "order" else first))


def _day(
    field: Field, text: str | None, since: date, today: date, problems: list[Problem]
) -> date | None:
    if text is None:
        return None
    try:
        day = read_day(text, since)
    except Unreadable as unreadable:
        accepted = unreadable.accepted
    else:
        if abs(day - today) <= _TWO_YEARS:
            return day
        accepted = f"a day from {today - _TWO_YEARS} to {today + _TWO_YEARS}"
    problems.append(Problem(key=(field,), found=f'"{text}"', accepted=accepted))
    return None


def _air_c(told: ToldReport, region: Region, problems: list[Problem]) -> float | None:
    if not told.air:
        return None
    if told.kind in KINDS and told.kind not in WITH_AIR:
        refused = Unreadable("no temperature here", "Only heat and frost have one.")
    else:
        try:
            return read_quantity(told.air, "temperature", region)
        except Unreadable as unreadable:
            refused = unreadable
    found = f'"{told.air}"'
    problems.append(
        Problem(key=("air",), found=found, accepted=refused.accepted, hint=refused.hint)
    )
    return None


def _wrong_texts(told: ToldReport) -> Iterator[Problem]:
    """Both are shown to others, as an address to follow and on one line."""
    link_fits = len(told.link) <= LONGEST_LINK and told.link.isprintable()
    if told.link and not (link_fits and _ADDRESS.fullmatch(told.link)):
        accepted = f"an http or https address of at most {LONGEST_LINK} characters"
        yield Problem(key=("link",), found=shown(told.link), accepted=accepted)
    if len(told.who) > LONGEST_WHO or not told.who.isprintable():
        accepted = f"at most {LONGEST_WHO} characters on one line"
        yield Problem(key=("who",), found=shown(told.who), accepted=accepted)
