"""Which entries are of which evening or day: their numbers, the newest first, page by page."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, Select, bindparam, func, or_, select

from scheduler.journal import tables

_OF = tables.entry.c
_OF_SITE = _OF.site_id == bindparam("site")
_NEXT_FAMILY = select(func.min(_OF.family)).where(_OF_SITE, _OF.family > bindparam("after"))
_NEXT = (
    select(_OF.day, _OF.number)
    .where(
        _OF_SITE,
        _OF.family == bindparam("family"),
        _OF.day <= bindparam("day"),
        or_(_OF.day < bindparam("day"), _OF.number < bindparam("number")),
    )
    .order_by(_OF.day.desc(), _OF.number.desc())
    .limit(bindparam("most"))
)
_OF_THE_YEAR = _NEXT.where(_OF.day > bindparam("floor"))
_OF_THESE = _OF.about.in_(bindparam("abouts", expanding=True))
_OF_KINDS = _OF.kind.in_(bindparam("kinds", expanding=True))
PAGE = 500
_DAYS = 366  # of a house of which little is said no page reads every year


@dataclass(frozen=True, slots=True, order=True)
class PlaceInDiary:
    """A place in the diary: before it stands what is of an earlier day, or was said earlier."""

    day: date
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What of the diary is asked for; without families, kinds or houses, of all of them."""

    families: Collection[str] = ()
    kinds: Collection[str] = ()
    abouts: Collection[str] = ()
    since: date = date.min
    until: date = date.max

    @property
    def newest(self) -> PlaceInDiary:
        """The place before which everything stands that is asked for."""
        if self.until == date.max:
            return PlaceInDiary(date.max, 0)
        return PlaceInDiary(date.fromordinal(self.until.toordinal() + 1), 0)


def before(
    connection: Connection, site_id: str, place: PlaceInDiary, most: int, asked: Asked
) -> tuple[list[int], PlaceInDiary | None]:
    """The entries that stand next before that place, the newest first; and the place to go on from.

    At most so many, of at most a year; None: nothing earlier is there. How long it takes hangs on
    what was said in that year, not on the whole diary.
    """
    place, families = min(place, asked.newest), asked.families or [*_families(connection, site_id)]
    known: dict[str, Any] = {"site": site_id}
    last = _next(connection, _NEXT, known, families, place)
    if not last or last[0].day < asked.since:
        return [], None
    floor = date.fromordinal(max(1, asked.since.toordinal() - 1, last[0].day.toordinal() - _DAYS))
    query, these = _OF_THE_YEAR, {"abouts": [*asked.abouts], "kinds": [*asked.kinds]}
    query = query.where(_OF_THESE) if asked.abouts else query
    query = query.where(_OF_KINDS) if asked.kinds else query
    found = _next(connection, query, known | these | {"floor": floor}, families, place, most + 1)
    numbers = [one.number for one in found[:most]]
    if len(found) > most:
        return numbers, found[most - 1]
    rest = PlaceInDiary(date.fromordinal(floor.toordinal() + 1), 0)
    earlier = _next(connection, _NEXT, known, families, rest)
    return numbers, rest if earlier and earlier[0].day >= asked.since else None


def after(connection: Connection, site_id: str, number: int, asked: Asked) -> list[int]:
    """The next 500 of these entries after that number, in the order of saying."""
    late = select(_OF.number).where(_OF.site_id == site_id, _OF.number > number)
    late = late.where(_OF.day >= asked.since, _OF.day <= asked.until)
    if asked.families:
        late = late.where(_OF.family.in_(asked.families))
    if asked.kinds:
        late = late.where(_OF.kind.in_(asked.kinds))
    if asked.abouts:
        late = late.where(_OF.about.in_(asked.abouts))
    return [*connection.execute(late.order_by(_OF.number).limit(PAGE)).scalars()]


def of_days(connection: Connection, site_id: str, family: str, days: Collection[date]) -> list[int]:
    """Everything of that family that is of one of these days."""
    found = select(_OF.number).filter_by(site_id=site_id, family=family).where(_OF.day.in_(days))
    return [*connection.execute(found).scalars()] if days else []


def _next(  # noqa: PLR0913, PLR0917 - what is asked, how, from where on, how many
    connection: Connection,
    query: Select[date, int],
    known: dict[str, Any],
    families: Collection[str],
    place: PlaceInDiary,
    most: int = 1,
) -> list[PlaceInDiary]:
    """The next places before that one by that query, the newest first."""
    asked = known | {"day": place.day, "number": place.number, "most": most}
    found = (
        PlaceInDiary(day, number)
        for family in families
        for day, number in connection.execute(query, asked | {"family": family}).all()
    )
    return sorted(found, reverse=True)[:most]


def _families(connection: Connection, site_id: str) -> Iterator[str]:
    """Those of which something was said, also to a newer program: one look into the index each."""
    last: str | None = ""
    while last is not None:
        last = connection.execute(_NEXT_FAMILY, {"site": site_id, "after": last}).scalar_one()
        if last is not None:
            yield last
