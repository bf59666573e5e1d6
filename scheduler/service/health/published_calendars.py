"""What is wrong with the calendars as they lie there, ready to be handed out."""

import re
from collections.abc import Iterator

from scheduler.journal.store import Journal
from scheduler.service.calendars.calendar_files import MOST_BYTES, MOST_EVENTS
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.health.causes import Cause
from scheduler.wording.service.faults import CalendarFaults

# RFC 5545 3.1 and 3.6: lines that have a name, folded by a space, between the calendar's two.
_WHOLE = re.compile(
    rb"BEGIN:VCALENDAR\r\n(?:[A-Z0-9-]++[:;][^\r\n]*+\r\n(?: [^\r\n]*+\r\n)*+)+END:VCALENDAR\r\n"
)
_UID = re.compile(rb"\r\nUID:([^\r]+)")


def amiss_on_the_shelf(shelf: Shelf, journal: Journal | None, site_id: str) -> Iterator[Cause]:
    """A note for each calendar that programs may not read; none before the first is published.

    Raises:
        JournalFault: they are in the journal, which cannot be read.
    """
    found = shelf.read(journal, site_id)
    for name in sorted({*shelf.last_days(journal, site_id), *found}):
        content = found[name].content if name in found else None
        events = content.count(b"\r\nBEGIN:VEVENT\r\n") if content else 0
        if content is None or not _is_whole(content, events):
            broken = CalendarFaults.unreadable if content is None else CalendarFaults.damaged
            yield Cause(
                kind="calendar",
                what=broken(name=name),
                remedy=CalendarFaults.remedy(),
                command=CalendarFaults.command(),
            )
        elif events > MOST_EVENTS or len(content) > MOST_BYTES:
            yield Cause(
                kind="calendar",
                what=CalendarFaults.large(
                    name=name,
                    events=events,
                    size=f"{len(content) / 1000:.0f}",
                    most_events=MOST_EVENTS,
                    most_size=MOST_BYTES // 1000,
                ),
                remedy=CalendarFaults.large_remedy(),
            )


def _is_whole(content: bytes, events: int) -> bool:
    try:
        content.decode()
    except UnicodeDecodeError:
        return False
    uids = _UID.findall(content)
    ends = content.count(b"\r\nEND:VEVENT\r\n")
    return bool(_WHOLE.fullmatch(content)) and 0 < events == ends == len(set(uids)) == len(uids)
