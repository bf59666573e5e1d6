"""What the evenings need now, and when to look again; one that fails silences no other."""

import logging
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.decide import Pursuit
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.held_messages import strays
from scheduler.alerts.pursue import next_instant, pursue, with_what_was_said_late
from scheduler.alerts.step import Step
from scheduler.journal import deliveries
from scheduler.messages import own_faults
from scheduler.messages.site_news import news
from scheduler.service.almanac import Almanac
from scheduler.service.doors.follow import carry_out
from scheduler.watch import site_messages
from scheduler.watch.look import Seen
from scheduler.watch.parcel import FromMemory
from scheduler.watch.profile_in_force import ProfileInForce
from scheduler.watch.quiet_hours import can_be_said, night_ends
from scheduler.watch.site_note import told_to_duty
from scheduler.watch.without_journal import Unwritten
from scheduler.watch.worded import worded

_LONGEST = timedelta(hours=1)
_log = logging.getLogger(__name__)


def pursued(
    almanac: Almanac, nights: Iterable[Night], now: datetime
) -> Iterator[tuple[Night, Pursuit]]:
    """What each evening needs; nothing, and its houses are put aside, when that is not known."""
    for night in nights:
        try:
            yield night, pursue(night, now)
        except Exception:  # noqa: BLE001 - one evening that cannot be followed must not silence the others
            _log.exception("evening.not_followed")
            almanac.quarantined.update(one.coop_id for one in night.evening.doors)
            yield night, Pursuit()


def write_due(
    connection: Connection, almanac: Almanac, nights: list[Night], seen: Seen, now: datetime
) -> bool:
    """Writes down what the evenings need; whether that adds a delivery."""
    pursuits = list(pursued(almanac, nights, now))
    for night, pursuit in pursuits:
        carry_out(connection, night, pursuit)
    # What is held for doors that are none any more; not while one is only out of sight.
    held = () if almanac.quarantined else strays(nights, seen.rows, now)
    deliveries.add(connection, held)
    return any(pursuit.add for _, pursuit in pursuits)


def next_look(  # noqa: PLR0913 - all that may be due next
    connection: Connection,
    almanac: Almanac,
    nights: Iterable[Night],
    seen: Seen,
    now: datetime,
    *,
    told_deaf: bool,
) -> datetime:
    """When something may be due next; at once where that cannot be worked out."""
    instants = []
    try:
        instants += [next_instant(night, now) for night in nights]
        instants.append(site_messages.next_note(almanac, now, seen.said))
        if told_deaf and (ends := night_ends(almanac, now)):
            instants.append(ends)
    except Exception:  # noqa: BLE001 - what cannot be worked out must not silence the rest
        _log.exception("next.not_known")
        return now
    if due := deliveries.next_due(connection, almanac.site_id):
        instants.append(due)
    return min(*instants, now + _LONGEST)


def due_from_memory(  # noqa: PLR0913 - what a tick knows without its journal
    unwritten: Unwritten,
    in_force: ProfileInForce,
    seen: Seen,
    nights: Sequence[Night],
    now: datetime,
    *,
    is_lasting: bool,
    is_shared: bool = False,
) -> Iterator[FromMemory]:
    """Each delivery that is due, under way from then on; `is_lasting`: no restart would help.

    `is_shared`: the journal is a server's.
    """
    almanac = in_force.almanac
    for _, found in pursued(almanac, nights, now):
        unwritten.drop(found.drop)
        unwritten.add(found.add)
    if is_lasting and can_be_said(almanac, nights, now):
        # Whoever is on duty hears once a day that nothing can be written.
        today, told = almanac.household.today(now), {row.key for row in seen.rows}
        words = news(own_faults.not_written, on_a_server=is_shared)
        on_duty = told_to_duty(almanac, Step("not-written"), today, words, now)
        unwritten.add(one for one in on_duty if one.key not in told)
    told_of = [*map(with_what_was_said_late, nights)]
    for one in unwritten.take(now):
        name, address = in_force.reached(one.key) or ("", None)
        said = worded(one, almanac.profile.person_names, lambda _: told_of, now)
        unwritten.said(one.key, said.mark, said.generation)
        marked = replace(one, mark=said.mark, generation=said.generation)
        yield FromMemory(delivery=marked, person_name=name, address=address, say=said.say)
