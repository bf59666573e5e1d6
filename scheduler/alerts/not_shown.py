"""A loud message that a phone does not show, or does not get: its person's next way, at once."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.alerts.crew import key_address
from scheduler.alerts.delivery import LOUD, Delivery
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.who_knows import newest_words

SHOWN_WITHIN = timedelta(seconds=90)  # common practice, no source; usual is 1 to 6 s


def by_the_next_way(night: Night, now: datetime) -> list[Delivery]:
    """What is loud and was not shown 90 seconds after it was handed over, over one way more.

    Only of a phone that has told of others: of one that never did, silence means nothing. So goes
    what could not be handed over for as long. Once a phone of that person has shown it, nothing.
    """
    if now >= night.evening.let_out:
        return []
    found = {}
    for row, at in _awaited(night):
        contact = night.evening.contact(row.key.person_id)
        for way in contact.after_phones[:1] if at <= now else ():
            key = replace(row.key, channel=way[0], address=key_address(way))
            found[key] = Delivery(
                key=key,
                priority=row.priority,
                matter=row.matter,
                due_at=now,
                useful_until=night.evening.let_out,
            )
    return list(found.values())


def looked_for_at(night: Night) -> list[datetime]:
    """When a message counts as not shown, of those that may still be shown."""
    return [at for _, at in _awaited(night)]


def _awaited(night: Night) -> Iterator[tuple[Row, datetime]]:
    """Each newest message that a phone has not told of, or not got, and until when it may."""
    crew = {one.person_id: one for one in night.evening.crew}
    newest = newest_words(night)
    shown = {
        (row.key.person_id, row.key.step, row.key.opening) for row in night.rows if row.shown_at
    }
    for row in night.rows:
        key, contact = row.key, crew.get(row.key.person_id)
        holds = night.is_open if key.step.is_reminder else night.is_searched
        if (
            contact is not None
            and key.channel == "phone"
            and row.priority >= LOUD
            and holds
            and (key.step.is_reminder or key.step.is_search)
            and newest[key.person_id].key.step == key.step
            and key.opening == night.turn
            and (key.person_id, key.step, key.opening) not in shown
        ):
            told = row.handed_at if key.address in contact.says_shown else None
            since = row.due_at if row.state == "pending" else told
            if since is not None:
                yield row, since + SHOWN_WITHIN
