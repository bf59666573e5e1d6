"""What a site tells besides its evenings: emergencies, let-out, free-range time, morning brief.

Whatever is wrong with it, the evenings go on.
"""

import logging
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.crew import Contact, duty, duty_ids
from scheduler.alerts.delivery import Delivery
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.step import Step
from scheduler.cares.closing import Closing
from scheduler.journal import deliveries, history
from scheduler.messages import own_faults
from scheduler.messages.site_news import news
from scheduler.service.almanac import Almanac
from scheduler.watch import eggs_told, morning_brief, unheard_answers
from scheduler.watch.emergency_calls import emergency_notes, on_duty_now, overs
from scheduler.watch.look import Seen
from scheduler.watch.looking_back import look_back
from scheduler.watch.messages_by_day import free_ranges, let_outs
from scheduler.watch.morning_brief import briefs
from scheduler.watch.profile_in_force import ProfileInForce
from scheduler.watch.site_note import Note, tell_all, told_to
from scheduler.watch.unheard_answers import Deafness

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
    crew = almanac.crew(day)
    if not crew:
        return ()
    found = [*let_outs(almanac, day, said), *free_ranges(almanac, day, said)]
    found += briefs(almanac, day, said, doubt_of)
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
    # What only who has left was told is told again.
    here = {contact.person_id for contact in almanac.crew(today)}
    on_duty = on_duty_now(almanac, connection, now)
    # What was reported just before midnight is no less urgent after it.
    late = [(today - _DAY, note) for note in emergency_notes(almanac, today - _DAY, said, on_duty)]
    of_today = notes_of(almanac, today, said, on_duty, doubt_of)
    for day, note in (*late, *((today, one) for one in of_today)):
        # An emergency rings for whoever has come on duty since as well.
        whom = note.people if note.step.is_urgent else here
        is_due = note.at <= now < note.until
        if not is_due or history.is_told(connection, almanac.site_id, day, note.step, whom):
            continue
        try:
            matter = note.tells(connection, now)
        except Exception:  # noqa: BLE001 - a note that cannot be made must stop no reminder
            _log.exception("note.not_made")
            continue
        if matter:
            yield from told_to(almanac, note.step, day, matter, note.at, note.people, note.until)


def next_note(almanac: Almanac, now: datetime, said: Sequence[Closing] = ()) -> datetime:
    """The next instant at which a note is due, today or tomorrow."""
    today = almanac.household.today(now)
    instants = [note.at for day in (today, today + _DAY) for note in notes_of(almanac, day, said)]
    return min((at for at in instants if at > now), default=now + _DAY)


def tell_besides(  # noqa: PLR0913 - what a tick knows
    connection: Connection,
    in_force: ProfileInForce,
    seen: Seen,
    nights: Iterable[Night],
    now: datetime,
    *,
    is_trusted: bool,
    deaf: Deafness | None,
    doubt_of: Callable[[], str],
) -> bool:
    """Writes down what is to be told now; False when that cannot be worked out."""
    almanac = in_force.almanac
    try:
        if is_trusted and almanac.watched_since:
            deliveries.add(connection, look_back(almanac, connection, seen.said, now))
        today = almanac.household.today(now)
        for coop_id in almanac.quarantined:
            matter = news(own_faults.cannot_plan, almanac.profile.coop_of(coop_id).name)
            tell_all(connection, almanac, Step("plan", about=coop_id), today, matter, now)
        deliveries.add(connection, list(overs(almanac, connection, seen.said, now)))
        deliveries.add(connection, list(eggs_told.follow(almanac, connection, now)))
        for one in due_notes(almanac, connection, seen.said, now, doubt_of):
            deliveries.add(connection, [one])
            if one.key.step.kind == "brief":
                day = one.key.day
                to_duty = one.key.person_id in duty_ids(almanac.crew(day), day)
                morning_brief.told(connection, almanac, day, now, to_duty=to_duty)
        told = unheard_answers.follow(almanac, connection, nights, deaf, now)
        deliveries.add(connection, list(told))
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
        _log.exception("notes.not_made")
        return False
    return True
