"""Looking back at deliveries and attempts: what was told, what failed, how each channel fares."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection, Subquery, func, select

from scheduler.alerts.delivery import ChannelName, Key
from scheduler.alerts.step import Step, decode
from scheduler.journal import tables
from scheduler.journal.delivery_key import KEY, key_of

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
    """Of each person and channel, the last attempt at a message, whatever its date."""
    table, attempts = tables.delivery, tables.attempt
    latest_first = (attempts.c.ended_at.desc(), table.c.id.desc(), attempts.c.number.desc())
    each = (table.c.person_id, table.c.channel)
    place = func.row_number().over(partition_by=each, order_by=latest_first).label("place")
    ranked = (
        select(
            table.c.id,
            *each,
            table.c.address,
            attempts.c.ended_at,
            attempts.c.outcome,
            attempts.c.reason,
            place,
        )
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


def last_tries(connection: Connection, site_id: str) -> dict[tuple[str, str], LastTry]:
    """Of each person and channel, what came of the last message or test, however long ago."""
    return {
        (row.person_id, row.channel): LastTry(
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
    table = tables.delivery
    mine = (table.c.site_id == site_id) & (table.c.subject_id == site_id)
    mine &= table.c.state != "early"
    mine &= table.c.day == day
    if among is None:
        found = select(table.c.id).where(mine, table.c.step == str(step)).limit(1)
        return connection.execute(found).first() is not None
    theirs = select(table.c.step).where(mine, table.c.person_id.in_(among)).distinct()
    return any(decode(text).told == step for text in connection.execute(theirs).scalars().all())


def has_arrived(connection: Connection, site_id: str, day: date, step: Step) -> bool:
    """Whether that step of the site's day may have reached anybody."""
    table = tables.delivery
    mine = (table.c.site_id == site_id) & (table.c.subject_id == site_id)
    gone = table.c.state.in_(_GONE)
    found = select(table.c.id).where(mine, table.c.day == day, table.c.step == str(step), gone)
    return connection.execute(found.limit(1)).first() is not None


def keys_of(connection: Connection, site_id: str, day: date, steps: Collection[Step]) -> list[Key]:
    """What is written down of those steps of the site's day."""
    table = tables.delivery
    mine = (table.c.site_id == site_id) & (table.c.subject_id == site_id) & (table.c.day == day)
    found = select(*KEY).where(mine, table.c.step.in_(map(str, steps)))
    return [key_of(row) for row in connection.execute(found).all()]


def told_since(connection: Connection, site_id: str, since: date) -> list[tuple[Key, bool]]:
    """The site's own messages of that date or later that went out, or still are to (False)."""
    table = tables.delivery
    mine = (table.c.site_id == site_id) & (table.c.subject_id == site_id) & (table.c.day >= since)
    mine &= (table.c.operation == "send") & table.c.state.in_([*_GONE, "sending", "pending"])
    found = select(*[*KEY, table.c.state]).where(mine).order_by(table.c.id)
    return [(key_of(row), row.state != "pending") for row in connection.execute(found).all()]


def was_called(connection: Connection, site_id: str, day: date) -> bool:
    """Whether a reminder of that evening was written down."""
    table = tables.delivery
    mine = select(table.c.step).where(table.c.site_id == site_id, table.c.day == day)
    return any(decode(step).is_reminder for step in connection.execute(mine).scalars().all())


def evenings_called(connection: Connection, site_id: str, since: date) -> list[date]:
    """The evenings from `since` on of which a reminder was written down, in order."""
    table = tables.evening
    days = select(table.c.day).where(table.c.site_id == site_id, table.c.day >= since).distinct()
    return list(connection.execute(days.order_by(table.c.day)).scalars().all())


def failures(connection: Connection, site_id: str, since: datetime) -> list[Failure]:
    """Of each person and channel, how many messages were given up since then."""
    table = tables.delivery
    count = func.count().label("failed")
    given_up = (
        select(table.c.person_id, table.c.channel, count)
        .where(
            table.c.site_id == site_id,
            table.c.operation == "send",
            table.c.state == "dead",
            table.c.due_at >= since,
        )
        .group_by(table.c.person_id, table.c.channel)
        .order_by(table.c.person_id, table.c.channel)
    )
    return [
        Failure(person_id=row.person_id, channel=row.channel, count=row.failed)
        for row in connection.execute(given_up).all()
    ]


def channel_history(connection: Connection, site_id: str) -> list[ChannelHistory]:
    """Each channel over which a message was ever sent; holding and taking back do not count."""
    table, deliveries = tables.attempt, tables.delivery
    ended = (
        select(table.c.ended_at, table.c.reason)
        .join(deliveries, deliveries.c.id == table.c.delivery_id)
        .where(
            table.c.site_id == site_id,
            table.c.ended_at.is_not(None),
            deliveries.c.operation == "send",
        )
        .order_by(table.c.ended_at.desc(), table.c.number.desc())
        .limit(1)
    )
    channels = select(table.c.channel).where(table.c.site_id == site_id).distinct()
    found = []
    for channel in sorted(connection.execute(channels).scalars().all()):
        here = ended.where(table.c.channel == channel)
        sent = connection.execute(here.where(table.c.outcome == "sent")).first()
        failed = connection.execute(here.where(table.c.outcome != "sent")).first()
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
    table, deliveries = tables.attempt, tables.delivery
    last = (
        select(table.c.outcome)
        .join(deliveries, deliveries.c.id == table.c.delivery_id)
        .where(
            table.c.site_id == site_id,
            table.c.outcome.in_(("sent", "permanent")),  # another says nothing of it
            deliveries.c.operation == "hold",
        )
        .order_by(table.c.ended_at.desc(), table.c.number.desc())
        .limit(1)
    )
    outcome = connection.execute(last).scalar_one_or_none()
    return None if outcome is None else outcome == "sent"
