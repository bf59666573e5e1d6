"""Looking back at deliveries and attempts: what was told, what failed, how each channel fares."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, Subquery, func, select

from scheduler.alerts.delivery import ChannelName, Key, Operation
from scheduler.alerts.step import Step, decode
from scheduler.journal import tables
from scheduler.journal.rows import KEY, key_of

_GONE = ("sent", "perhaps sent")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelHistory:
    """When a channel last handed a message over, when it last failed, and why."""

    channel: str
    sent_at: datetime | None
    failed_at: datetime | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """How many messages to one person were given up over one way."""

    person_id: str
    channel: ChannelName
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LastTry:
    """What came of the last attempt to tell a person over a channel; `address` where known."""

    at: datetime
    outcome: str
    reason: str
    address: str | None


def newest_tries(site_id: str) -> Subquery:
    """Of each person, channel and phone, the last attempt at a message, whatever its date."""
    table, attempts = tables.delivery, tables.attempt
    latest_first = (attempts.c.ended_at.desc(), table.c.id.desc(), attempts.c.number.desc())
    each = (table.c.person_id, table.c.channel, table.c.key_address)
    place = func.row_number().over(partition_by=each, order_by=latest_first).label("place")
    came = (table.c.address, attempts.c.ended_at, attempts.c.outcome, attempts.c.reason)
    ranked = (
        select(table.c.id, *each, *came, place)
        .join(attempts, attempts.c.delivery_id == table.c.id)
        .where(
            table.c.site_id == site_id,
            table.c.operation == "send",
            attempts.c.ended_at.is_not(None),
            # Given up with nowhere to go: that way was not set up, which shows nothing of it.
            table.c.address.is_not(None) | (attempts.c.outcome != "permanent"),
        )
        .subquery()
    )
    return select(ranked).where(ranked.c.place == 1).subquery()


def last_tries(connection: Connection, site_id: str) -> dict[tuple[str, str, str], LastTry]:
    """Of each person, channel and phone, what came of the last message or test, however long ago.

    The last is empty for every other channel.
    """
    return {
        (row.person_id, row.channel, row.key_address): LastTry(
            at=row.ended_at, outcome=row.outcome, reason=row.reason or "", address=row.address
        )
        for row in connection.execute(select(newest_tries(site_id))).all()
    }


def is_told(
    connection: Connection,
    site_id: str,
    day: date,
    step: Step,
    among: Collection[str] | None = None,
) -> bool:
    """Whether that step of the site's day was written down, and not told too early.

    With `among`, for one of those people, or passed on to them.
    """
    of = tables.delivery.c
    mine = _of_site(site_id, of.step).filter_by(day=day).where(of.state != "early")
    if among is None:
        return connection.execute(mine.filter_by(step=str(step)).limit(1)).first() is not None
    theirs = mine.where(of.person_id.in_(among)).distinct()
    return any(decode(text).told == step for text in connection.execute(theirs).scalars().all())


def _of_site(site_id: str, *columns: ColumnElement[Any]) -> Select[Any]:
    """Of the site's own messages, which are about no house."""
    return select(*columns).filter_by(site_id=site_id, subject_id=site_id)


def has_arrived(connection: Connection, site_id: str, day: date, step: Step) -> bool:
    """Whether that step of the site's day may have reached anybody."""
    of = tables.delivery.c
    found = _of_site(site_id, of.id).filter_by(day=day, step=str(step)).where(of.state.in_(_GONE))
    return connection.execute(found.limit(1)).first() is not None


def keys_of(connection: Connection, site_id: str, day: date, steps: Collection[Step]) -> list[Key]:
    """What is written down of those steps of the site's day."""
    mine = _of_site(site_id, *KEY).filter_by(day=day)
    found = mine.where(tables.delivery.c.step.in_(map(str, steps)))
    return [key_of(row) for row in connection.execute(found).all()]


def told_since(connection: Connection, site_id: str, since: date) -> list[tuple[Key, bool]]:
    """The site's own messages of that date or later that went out, or still are to (False)."""
    of = tables.delivery.c
    mine = _of_site(site_id, *KEY, of.state).filter_by(operation="send").where(of.day >= since)
    found = mine.where(of.state.in_([*_GONE, "sending", "pending"])).order_by(of.id)
    return [(key_of(row), row.state != "pending") for row in connection.execute(found).all()]


def was_called(connection: Connection, site_id: str, day: date) -> bool:
    """Whether a reminder of that evening was written down."""
    mine = select(tables.delivery.c.step).filter_by(site_id=site_id, day=day)
    return any(decode(step).is_reminder for step in connection.execute(mine).scalars().all())


def evenings_called(connection: Connection, site_id: str, since: date) -> list[date]:
    """The evenings from `since` on of which a reminder was written down, in order."""
    day = tables.evening.c.day
    days = select(day).filter_by(site_id=site_id).where(day >= since).distinct().order_by(day)
    return list(connection.execute(days).scalars().all())


def failures(connection: Connection, site_id: str, since: datetime) -> list[Failure]:
    """Of each person and channel, how many messages were given up since then."""
    of = tables.delivery.c
    each = (of.person_id, of.channel)
    given_up = select(*each, func.count().label("failed")).where(of.due_at >= since)
    mine = given_up.filter_by(site_id=site_id, operation="send", state="dead")
    return [
        Failure(person_id=row.person_id, channel=row.channel, count=row.failed)
        for row in connection.execute(mine.group_by(*each).order_by(*each)).all()
    ]


def channel_history(connection: Connection, site_id: str) -> list[ChannelHistory]:
    """Each channel over which a message was ever sent; holding and taking back do not count."""
    tried = tables.attempt.c
    ended = _newest_try(site_id, "send", tried.ended_at, tried.reason)
    ended = ended.where(tried.ended_at.is_not(None))
    channels = select(tried.channel).filter_by(site_id=site_id).distinct()
    found = []
    for channel in sorted(connection.execute(channels).scalars().all()):
        here = ended.where(tried.channel == channel)
        sent = connection.execute(here.where(tried.outcome == "sent")).first()
        failed = connection.execute(here.where(tried.outcome != "sent")).first()
        if sent or failed:
            found.append(
                ChannelHistory(
                    channel=channel,
                    sent_at=sent.ended_at if sent else None,
                    failed_at=failed.ended_at if failed else None,
                    reason=(failed.reason or "") if failed else "",
                )
            )
    return found


def holds(connection: Connection, site_id: str) -> bool | None:
    """Whether the push server took the last message that it was to hold; None: not tried yet."""
    outcome = tables.attempt.c.outcome
    tried = _newest_try(site_id, "hold", outcome)
    told = tried.where(outcome.in_(("sent", "permanent")))  # another says nothing of it
    last = connection.execute(told).scalar_one_or_none()
    return None if last is None else last == "sent"


def _newest_try(site_id: str, operation: Operation, *columns: ColumnElement[Any]) -> Select[Any]:
    """The site's newest attempt at such a delivery, of those that are asked for."""
    tried, deliveries = tables.attempt.c, tables.delivery
    return (
        select(*columns)
        .join(deliveries, deliveries.c.id == tried.delivery_id)
        .where(tried.site_id == site_id, deliveries.c.operation == operation)
        .order_by(tried.ended_at.desc(), tried.number.desc())
        .limit(1)
    )
