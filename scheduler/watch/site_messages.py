"""What a site tells besides its evenings: emergencies, let-out, free-range time, morning brief."""

import logging
from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.crew import Contact, duty
from scheduler.alerts.delivery import Delivery
from scheduler.cares.closing import Closing
from scheduler.journal import history
from scheduler.service.almanac import Almanac
from scheduler.watch.emergency_calls import emergency_notes, on_duty_now
from scheduler.watch.free_range_message import free_ranges
from scheduler.watch.let_out_message import let_outs
from scheduler.watch.morning_brief import briefs
from scheduler.watch.site_note import Note, told_to

_DAY = timedelta(days=1)
_log = logging.getLogger(__name__)


def notes_of(
    almanac: Almanac,
    day: date,
    said: Sequence[Closing] = (),
    on_duty: Contact | None = None,
    doubt_of: Callable[[], str] = str,
) -> tuple[Note, ...]:
    """Everything the site may tell on that date, in the order of the instants.

    `on_duty` hears of emergencies; else whoever has the evenings. `doubt_of` is asked for a brief:
    why the reminders cannot be relied on, or nothing.
    """
    crew = almanac.crew
    if not crew:
        return ()
    found = [*let_outs(almanac, day, said, crew), *free_ranges(almanac, day, said, crew)]
    found += briefs(almanac, day, said, crew, doubt_of)
    found += emergency_notes(almanac, day, said, on_duty or duty(crew, day).first)
    return tuple(sorted(found, key=lambda note: note.at))


def due_notes(
    almanac: Almanac,
    connection: Connection,
    said: Sequence[Closing],
    now: datetime,
    doubt_of: Callable[[], str] = str,
) -> Iterator[Delivery]:
    """The notes of today that are due and still of use, and last evening's emergencies."""
    today = almanac.household.today(now)
    crew = almanac.crew
    here = {contact.person_id for contact in crew}  # what only who has left was told is told again
    site_id = almanac.site_id
    on_duty = on_duty_now(almanac, connection, crew, now)
    # What was reported just before midnight is no less urgent after it.
    late = [(today - _DAY, note) for note in emergency_notes(almanac, today - _DAY, said, on_duty)]
    of_today = notes_of(almanac, today, said, on_duty, doubt_of)
    for day, note in (*late, *((today, one) for one in of_today)):
        # An emergency rings for whoever has come on duty since as well.
        whom = note.people if note.step.is_urgent else here
        is_due = note.at <= now < note.until
        if not is_due or history.is_told(connection, site_id, day, note.step, whom):
            continue
        try:
            message = note.words(connection, now)
        except Exception:  # noqa: BLE001 - a note that cannot be made must stop no reminder
            _log.exception("note.not_made")
            continue
        if message:
            yield from told_to(almanac, note.step, day, message, note.at, note.people, note.until)


def next_note(almanac: Almanac, now: datetime, said: Sequence[Closing] = ()) -> datetime:
    """The next instant at which a note is due, today or tomorrow."""
    today = almanac.household.today(now)
    instants = [note.at for day in (today, today + _DAY) for note in notes_of(almanac, day, said)]
    return min((at for at in instants if at > now), default=now + _DAY)
