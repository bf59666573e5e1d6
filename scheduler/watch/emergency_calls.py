"""Whoever is on duty is rung for an emergency, and whoever knew of it hears that it is over."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import partial

from sqlalchemy import Connection

from scheduler.alerts.crew import Contact, duty
from scheduler.alerts.delivery import Delivery, Matter
from scheduler.alerts.reminded_evening import among
from scheduler.cares.closing import Closing
from scheduler.journal import deliveries
from scheduler.service.almanac import Almanac
from scheduler.service.reports.emergencies import Call, calls_on
from scheduler.service.reports.emergency_known import beyond_walk, news, untold
from scheduler.watch.emergency_over import Endings
from scheduler.watch.site_note import Note, told_to

_DAY = timedelta(days=1)


def emergency_notes(
    almanac: Almanac, day: date, said: Sequence[Closing], on_duty: Contact | None
) -> Iterator[Note]:
    """What whoever is on duty is told of that date's emergencies but has not just said."""
    for call in calls_on(almanac, day, said):
        if on_duty and not call.is_of(on_duty.name):
            yield Note(
                step=call.step,
                at=call.at,
                useful_until=call.useful_until,
                people=(on_duty.person_id,),
                tells=partial(_told, almanac, said, day, call, on_duty.person_id),
                late_until=call.late_until,
            )


def on_duty_now(almanac: Almanac, connection: Connection, now: datetime) -> Contact | None:
    """Who has the evening under way, though another has them from tomorrow; else who has them."""
    today = almanac.household.today(now)
    first = duty(almanac.crew(today), today).first
    if not almanac.records.reports:  # nobody hears of any
        return first
    evenings = deliveries.evenings(connection, almanac.site_id, today - _DAY)
    begun = [one for one in evenings if now < one.let_out]
    return among(begun[-1], almanac.crew(begun[-1].day)).on_duty if begun else first


def _told(  # noqa: PLR0913, PLR0917 - of which call, of what day, to whom, when
    almanac: Almanac,
    said: Sequence[Closing],
    day: date,
    call: Call,
    person_id: str,
    connection: Connection,
    now: datetime,
) -> Matter | None:
    """What of the call is still to be told to that person; None when it is nothing."""
    calls, site_id = calls_on(almanac, day, said), almanac.site_id
    left = (
        untold(almanac, connection, call, calls, day, now)
        if now >= call.useful_until
        else beyond_walk(connection, site_id, call, calls, day, now, frozenset({person_id}))
    )
    left = news(almanac, connection, left, day, (person_id,)) if left else None
    return left.matter(almanac, almanac.page("/"), now) if left else None


def overs(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], now: datetime
) -> Iterator[Delivery]:
    """That an emergency is over, for whoever was told of it; what has not gone out is given up.

    And that it holds again, for whoever had heard of its end: whoever is on duty is rung for that.
    """
    on_duty = on_duty_now(almanac, connection, now)
    ends = Endings(almanac, connection, said, now)
    rung = on_duty.person_id if on_duty else ""
    again = (
        replace(one, people=tuple(each for each in one.people if each != rung))
        for one in ends.put_back()
    )
    for one in (*ends.ended(), *again):
        deliveries.drop(connection, one.unsent)
        day = almanac.household.today(one.at)
        yield from told_to(almanac, one.step, day, one.matter, one.at, one.people)
