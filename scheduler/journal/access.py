"""Who may come in: sign-in links, signed-in devices, renewals of a person's links."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, delete, func, insert, select, update

from scheduler.journal import tables


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedIn:
    """One device on which a person is signed in; known by the hash of its session's id."""

    id_hash: str
    person_id: str
    device: str
    made_at: datetime
    until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Renewal:
    """A person's links of that generation began then, and those before ended."""

    person_id: str
    generation: int
    renewed_at: datetime


def renewals(connection: Connection, site_id: str) -> tuple[Renewal, ...]:
    """Every renewal of the site, by person and generation."""
    table = tables.renewal
    mine = select(table).where(table.c.site_id == site_id)
    rows = connection.execute(mine.order_by(table.c.person_id, table.c.generation)).all()
    return tuple(
        Renewal(person_id=row.person_id, generation=row.generation, renewed_at=row.renewed_at)
        for row in rows
    )


def renew(connection: Connection, site_id: str, person_id: str, now: datetime) -> int:
    """Begins the person's next generation of links and says its number."""
    table = tables.renewal
    highest = select(func.coalesce(func.max(table.c.generation), 0))
    mine = highest.where(table.c.site_id == site_id, table.c.person_id == person_id)
    generation = int(connection.execute(mine).scalar_one()) + 1
    row = {
        "site_id": site_id,
        "person_id": person_id,
        "generation": generation,
        "renewed_at": now,
    }
    connection.execute(insert(table), row)
    return generation


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation:
    """A sign-in link, known by the hash of its secret."""

    secret_hash: str
    person_id: str
    until: datetime


def invite(connection: Connection, site_id: str, invitation: Invitation, now: datetime) -> None:
    """Keeps a sign-in link, and forgets those whose time is over."""
    table = tables.invitation
    connection.execute(delete(table).where(table.c.until < now))
    row = {
        "site_id": site_id,
        "secret_hash": invitation.secret_hash,
        "person_id": invitation.person_id,
        "until": invitation.until,
    }
    connection.execute(insert(table), row)


def invited(connection: Connection, site_id: str, secret_hash: str, now: datetime) -> str | None:
    """Whom a sign-in link is for, while it can be used."""
    table = tables.invitation
    mine = select(table.c.person_id).where(
        table.c.site_id == site_id,
        table.c.secret_hash == secret_hash,
        table.c.used_at.is_(None),
        table.c.until > now,
    )
    person_id: str | None = connection.execute(mine).scalar_one_or_none()
    return person_id


def use(connection: Connection, site_id: str, secret_hash: str, now: datetime) -> bool:
    """Uses a sign-in link up; False when somebody was first."""
    table = tables.invitation
    mine = (table.c.site_id == site_id) & (table.c.secret_hash == secret_hash)
    mine &= table.c.used_at.is_(None) & (table.c.until > now)
    return connection.execute(update(table).where(mine).values(used_at=now)).rowcount == 1


def sign_in(connection: Connection, site_id: str, session: SignedIn) -> None:
    """Keeps a session, and forgets those whose time is over."""
    table = tables.session
    connection.execute(delete(table).where(table.c.until < session.made_at))
    row = {
        "site_id": site_id,
        "id_hash": session.id_hash,
        "person_id": session.person_id,
        "device": session.device,
        "made_at": session.made_at,
        "until": session.until,
    }
    connection.execute(insert(table), row)


def sign_out(connection: Connection, site_id: str, id_hash: str) -> None:
    """Ends a session."""
    table = tables.session
    mine = (table.c.site_id == site_id) & (table.c.id_hash == id_hash)
    connection.execute(delete(table).where(mine))


def keep_only(connection: Connection, site_id: str, person_ids: Collection[str]) -> None:
    """Ends the sessions and sign-in links of everybody else."""
    for table in (tables.session, tables.invitation):
        others = (table.c.site_id == site_id) & table.c.person_id.not_in(person_ids)
        connection.execute(delete(table).where(others))


def sessions(connection: Connection, site_id: str) -> tuple[SignedIn, ...]:
    """Every session that was not ended, the newest first."""
    table = tables.session
    mine = select(table).where(table.c.site_id == site_id).order_by(table.c.made_at.desc())
    return tuple(
        SignedIn(
            id_hash=row.id_hash,
            person_id=row.person_id,
            device=row.device,
            made_at=row.made_at,
            until=row.until,
        )
        for row in connection.execute(mine).all()
    )
