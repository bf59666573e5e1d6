"""What the diary holds, as it was said, each with what took it back."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from scheduler.cares.closing import Closing
from scheduler.cares.diary.door_entries import OfADoor
from scheduler.cares.diary.entry import Entry, Family, TakenBack, taken_back
from scheduler.cares.diary.job_entries import JobDone
from scheduler.cares.diary.of_doors import as_closing, said_in
from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal import entries
from scheduler.service.diary import Speaker


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
    said = entries.of_family(connection, site_id, family)
    struck = taken_back(said)
    for one in said:
        if not isinstance(one.what, TakenBack):
            by = struck.get(one.number)
            yield AsSaid(
                entry=one, undone_at=by.said_at if by else None, undone_by=by.who if by else ""
            )


def keep_closings(
    connection: Connection, site_id: str, said: Sequence[Closing], now: datetime
) -> None:
    """Keeps these in the diary, as they are said now."""
    new = [
        Entry(
            what=said_in(one), about=one.coop_id, day=one.evening, who=one.who, said_at=now,
            happened_at=one.at,
        )
        for one in said
    ]  # fmt: skip
    entries.keep(connection, site_id, new)


def keep_ticks(
    connection: Connection, site_id: str, keys: Sequence[TaskKey], done: Done, now: datetime
) -> None:
    """Keeps in the diary that these jobs were done, as it is said now."""
    new = [
        Entry(
            what=JobDone(care_id=key.care_id, ordinal=key.ordinal), about=key.subject_id,
            day=key.day, who=done.who, said_at=now, happened_at=done.at,
        )
        for key in keys
    ]  # fmt: skip
    entries.keep(connection, site_id, new)


def take_back(connection: Connection, site_id: str, number: int, who: str, now: datetime) -> None:
    """Keeps in the diary that the entry of that number does not count."""
    back = Entry(
        what=TakenBack(entry=number), about="", day=now.date(), who=who, said_at=now,
        happened_at=now,
    )  # fmt: skip
    entries.keep(connection, site_id, [], [back])


def speaks(who: str, now: datetime) -> Speaker:
    """Somebody who says something at the terminal, then."""
    return Speaker(who=who, now=now, today=now.date())
