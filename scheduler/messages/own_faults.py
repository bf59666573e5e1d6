"""The messages that Duskfold itself is not to be relied on: its disk, its clock, its sums."""

from datetime import date

from scheduler.alerts.delivery import LOUD, LOUDEST, Message
from scheduler.messages.phrases import fitted
from scheduler.wording.messages.by_day import Morning
from scheduler.wording.messages.own_faults import OwnFaults
from scheduler.wording.spoken import long_day_with_year, short_day


def not_written(*, on_a_server: bool = False) -> Message:
    """The journal cannot be written, and that will not mend itself."""
    if on_a_server:
        return Message(OwnFaults.no_database(), OwnFaults.no_database_body())
    return Message(OwnFaults.no_disk(), OwnFaults.no_disk_body())


def cannot_plan(coop_name: str) -> Message:
    """One house's evening cannot be worked out."""
    title = fitted(lambda where: OwnFaults.cannot_plan(names=where), [coop_name])
    return Message(title, OwnFaults.cannot_plan_body(), priority=LOUDEST)


def recovered(how: str) -> Message:
    """The journal was damaged: what is known now, from a "copy" or "empty"."""
    body = {"copy": OwnFaults.from_copy, "empty": OwnFaults.from_nothing}[how]
    return Message(OwnFaults.recovered(), body(), priority=LOUD)


def unknown_time() -> Message:
    """The clock cannot be right."""
    return Message(OwnFaults.unknown_time(), OwnFaults.unknown_time_body(), priority=LOUDEST)


def said_ahead(*, is_sure: bool) -> Message:
    """The clock ran ahead: what was said by it would silence an evening that is to come.

    Unless that `is_sure`, only what was said of doors to be shut was taken back.
    """
    title, body = OwnFaults.doors_ahead, OwnFaults.doors_ahead_body
    if is_sure:
        title, body = OwnFaults.said_ahead, OwnFaults.said_ahead_body
    return Message(title(), body(), priority=LOUD)


def clock_ahead(day: date, clock: str) -> Message:
    """The clock shows a time far ahead of what it showed before, and nobody has agreed to it."""
    title = OwnFaults.clock_ahead(clock=clock, day=long_day_with_year(day))
    return Message(title, OwnFaults.clock_ahead_body())


def missed_evenings(first: date, count: int) -> Message:
    """So many evenings had no reminder, whatever the reason."""
    title = OwnFaults.missed_evening(day=short_day(first))
    if count > 1:
        title = OwnFaults.missed_evenings(count=f"{count:,}", day=short_day(first))
    return Message(title, OwnFaults.missed_body(), priority=LOUD)


def not_relied_on(what: str) -> str:
    """In the brief, why nobody can count on being reminded; `what` is a whole sentence."""
    return Morning.cannot_rely(why=what)
