"""The phones that ring by push from their browser; one counts while its session is there."""

from collections.abc import Collection, Sequence
from datetime import date, datetime, timedelta
from typing import Any, Literal

from sqlalchemy import Connection, Row, bindparam, func, insert, select, update

from scheduler.alerts.delivery import Key, Outcome
from scheduler.alerts.phone import Phone, Rang, Subscription
from scheduler.journal import tables
from scheduler.journal.access import SIGNED_IN_FOR
from scheduler.journal.rows import columns_of, key_of, named
from scheduler.tokens.receipt import Receipt

EndedWhy = Literal["removed", "gone", "taken over", "signed out"]
_TABLE, _OF, _SESSION = tables.phone, tables.phone.c, tables.session.c
_SUBSCRIBED = ("endpoint", "p256dh", "auth", "key_id")
_SINCE = (
    *("id", "person_id", "session", "label", "made_at", "handed_at", "arrived_at"),
    *("rang", "rang_at", "rang_quiet", "rang_quiet_at"),
)
_RECENT = timedelta(days=4)  # a receipt of an evening longer ago tells nothing that matters
_HERE = (
    select(_TABLE)
    .join(
        tables.session,
        (_SESSION.site_id == _OF.site_id)
        & (_SESSION.id_hash == _OF.session)
        & (_SESSION.person_id == _OF.person_id),
    )
    .where(_OF.site_id == bindparam("site"), _OF.ended_at.is_(None))
    .order_by(_OF.person_id, _OF.made_at, _OF.id)
)


def phones(connection: Connection, site_id: str) -> tuple[Phone, ...]:
    """Every phone whose session has not ended, by person and age."""
    return tuple(map(_phone, connection.execute(_HERE, {"site": site_id}).all()))


def _phone(row: Row[Any]) -> Phone:
    return Phone(**named(row, _SINCE), subscription=Subscription(**named(row, _SUBSCRIBED)))


def add(connection: Connection, site_id: str, phone: Phone) -> None:
    """Keeps a phone."""
    row = named(phone, _SINCE) | named(phone.subscription, _SUBSCRIBED)
    connection.execute(insert(_TABLE), {"site_id": site_id, **row})


def end(
    connection: Connection, site_id: str, ids: Collection[str], now: datetime, why: EndedWhy
) -> None:
    """Ends these phones, and forgets where they were; those that have ended stay as they did."""
    mine = update(_TABLE).filter_by(site_id=site_id, ended_at=None).where(_OF.id.in_(ids))
    nowhere = dict.fromkeys(("endpoint", "p256dh", "auth"), "")
    connection.execute(mine.values(ended_at=now, ended_why=why, **nowhere))


def end_signed_out(connection: Connection, site_id: str, now: datetime) -> None:
    """Ends the phones whose session has ended."""
    here = {one.id for one in phones(connection, site_id)}
    known = select(_OF.id).filter_by(site_id=site_id, ended_at=None)
    if gone := {*connection.execute(known).scalars()} - here:
        end(connection, site_id, gone, now, "signed out")


def ended_since(
    connection: Connection, site_id: str, since: datetime, why: Collection[EndedWhy]
) -> list[tuple[str, str, datetime, EndedWhy]]:
    """Person, label, instant and reason of each phone that ended since then for one of these."""
    told = (_OF.person_id, _OF.label, _OF.ended_at, _OF.ended_why)
    mine = select(*told).filter_by(site_id=site_id)
    found = mine.where(_OF.ended_at >= since, _OF.ended_why.in_(why)).order_by(_OF.ended_at)
    return [(*row[:3], row.ended_why) for row in connection.execute(found).all()]


def of_endpoint(connection: Connection, site_id: str, endpoint: str) -> Sequence[str]:
    """The ids of the phones that have not ended and are reached there."""
    mine = select(_OF.id).filter_by(site_id=site_id, endpoint=endpoint, ended_at=None)
    return connection.execute(mine).scalars().all()


def note_rang(  # noqa: PLR0913 - of which phone, what, when
    connection: Connection, site_id: str, phone_id: str, rang: Rang, now: datetime, *, quiet: bool
) -> None:
    """What its person answered to "Did it ring?"."""
    values = {"rang_quiet": rang, "rang_quiet_at": now} if quiet else {"rang": rang, "rang_at": now}
    connection.execute(update(_TABLE).filter_by(site_id=site_id, id=phone_id).values(**values))


def follow_outcome(connection: Connection, key: Key, outcome: Outcome, at: datetime) -> None:
    """A phone that its push service does not know any more ends; of others when it took one."""
    if key.channel != "phone":
        return
    if outcome.kind == "bad address":
        end(connection, key.site_id, [key.address], at, "gone")
    elif outcome.kind == "sent":
        mine = update(_TABLE).filter_by(site_id=key.site_id, id=key.address)
        connection.execute(mine.values(handed_at=at))


def goes_to_another(connection: Connection, key: Key) -> bool:
    """Whether another phone of that person has the same message, or its first try is to come."""
    if key.channel != "phone":
        return False
    of = tables.delivery
    same = columns_of(key)
    del same["key_address"]
    others = select(of.c.id).filter_by(**same).where(of.c.key_address != key.address)
    fresh = (of.c.state == "pending") & (of.c.attempts == 0)
    alive = of.c.state.in_(("sent", "perhaps sent", "sending")) | fresh
    return connection.execute(others.where(alive).limit(1)).first() is not None


def note_arrived(connection: Connection, receipt: Receipt, now: datetime) -> bool:
    """That the phone has shown that message; False for a phone that has ended.

    Whoever only ever answers on the notification uses their session by that: it goes on.
    """
    mine = {"site_id": receipt.site_id, "id": receipt.phone_id, "ended_at": None}
    found = connection.execute(update(_TABLE).filter_by(**mine).values(arrived_at=now)).rowcount
    if not found:
        return False
    session = select(_OF.session).filter_by(**mine).scalar_subquery()
    used = update(tables.session).filter_by(site_id=receipt.site_id)
    going_on = used.where(_SESSION.id_hash == session)
    connection.execute(going_on.values(seen_at=now, until=now + SIGNED_IN_FOR))
    of = tables.delivery
    told = {"site_id": receipt.site_id, "channel": "phone", "key_address": receipt.phone_id}
    recent = select(of).filter_by(**told, shown_at=None).where(of.c.day >= (now - _RECENT).date())
    for row in connection.execute(recent).all():
        key = key_of(row)
        if receipt.message_id in {key.message_id, key.id_of_second}:
            connection.execute(update(of).filter_by(id=row.id).values(shown_at=now))
    return True


def handed_over(connection: Connection, site_id: str, since: date) -> dict[int, datetime]:
    """When the last attempt at each delivery to a phone of that date or later ended, by its row."""
    deliveries, tried = tables.delivery, tables.attempt.c
    mine = (
        select(deliveries.c.id, func.max(tried.ended_at))
        .join(tables.attempt, tried.delivery_id == deliveries.c.id)
        .where(deliveries.c.site_id == site_id, deliveries.c.channel == "phone")
        .where(deliveries.c.day >= since, deliveries.c.state.in_(("sent", "perhaps sent")))
        .group_by(deliveries.c.id)
    )
    return {row[0]: row[1] for row in connection.execute(mine).all() if row[1]}
