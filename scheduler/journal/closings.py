"""What keepers said of their doors, as the diary has it, and which signed answers are spent."""

from datetime import date

from sqlalchemy import Connection, bindparam, func, select

from scheduler.cares.closing import Closing
from scheduler.cares.diary.entry import Entry
from scheduler.cares.diary.of_doors import closings_of
from scheduler.journal import entries, tables
from scheduler.journal.rows import insert_unknown

_OF = tables.entry.c
_TURNS = (  # put together once: every page asks it
    select(_OF.about, _OF.day, func.count())
    .filter_by(site_id=bindparam("site"), family="door")
    .where(_OF.day >= bindparam("since"))
    .group_by(_OF.about, _OF.day)
)


def closings(connection: Connection, site_id: str, evening: date = date.max) -> tuple[Closing, ...]:
    """What was said, in the order of saying; what was taken back is "undone".

    Of evenings that are long over only what still matters to one that is not, or to `evening`.
    """
    return tuple(one.closing for one in closings_of(entries_read(connection, site_id, evening)))


def entries_read(connection: Connection, site_id: str, evening: date = date.max) -> list[Entry]:
    """The entries that say so."""
    return entries.that_matter(connection, site_id, "door", evening)


def turns(connection: Connection, site_id: str, since: date) -> dict[tuple[str, date], int]:
    """How much was said of each coop and evening from `since` on: a number that only grows."""
    rows = connection.execute(_TURNS, {"site": site_id, "since": since}).all()
    return {(coop_id, evening): number for coop_id, evening, number in rows}


def spend(connection: Connection, site_id: str, token: str, evening: date) -> bool:
    """Spends the token of an answer; False when it was spent before."""
    row = {"site_id": site_id, "token": token, "evening": evening}
    return insert_unknown(connection, tables.spent_answer, row) == 1
