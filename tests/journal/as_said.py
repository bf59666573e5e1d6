"""What the diary holds, as it was said, each with what took it back."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from scheduler.cares.closing import Closing
from scheduler.cares.diary.door_entries import OfADoor
from scheduler.cares.diary.entry import Entry, Family, TakenBack, taken_back
from scheduler.cares.diary.of_doors import as_closing
from scheduler.journal import diary


@dataclass(frozen=True, slots=True, kw_only=True)
class AsSaid:
    """An entry, and when and by whom it was taken back."""

    entry: Entry
    undone_at: datetime | None
    undone_by: str

    @property
    def closing(self) -> Closing:
        """What it says of a door, whether it was taken back or not."""
        assert isinstance(self.entry.what, OfADoor)
        return as_closing(self.entry, self.entry.what)


def as_said(connection: Connection, site_id: str, family: Family = "door") -> Iterator[AsSaid]:
    """Everything said of that family but what takes back, in the order of saying."""
    said = diary.of_family(connection, site_id, family)
    struck = taken_back(said)
    for one in said:
        if not isinstance(one.what, TakenBack):
            by = struck.get(one.number)
            yield AsSaid(
                entry=one, undone_at=by.said_at if by else None, undone_by=by.who if by else ""
            )
