"""Who may come in: sign-in links, signed-in devices, renewals of a person's links."""

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, Row, Select, bindparam, delete, insert, select, update

from scheduler.journal import memos, tables
from scheduler.journal.rows import named, next_number
from scheduler.profile.shared_screen import is_of

_ASKED_FOR = timedelta(days=30)
_NOBODY: Mapping[str, str] = MappingProxyType({})
_RENAMED = "renamed"  # the memo of whom it is asked whether they only have another name
IDLE_AFTER = timedelta(days=90)
SIGNED_IN_FOR = timedelta(days=365)
_ANSWERS = "return-topic"  # the memo of its generation
_PEOPLE = "people"  # the memo that holds the ids of everybody in the profile in force
_OF_SESSION = ("id_hash", "person_id", "device", "made_at", "until", "seen_at")
_OF_INVITATION = ("secret_hash", "person_id", "until", "code_hash")
_RENEWALS = (  # put together once: every look asks it
    select(tables.renewal)
    .where(tables.renewal.c.site_id == bindparam("site"))
    .order_by(tables.renewal.c.person_id, tables.renewal.c.generation)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedIn:
    """One device on which a person, or a screen, is signed in; known by the hash of its session.

    `through` is everybody who had a hand in it: through whom came in who made its sign-in link, and
    last who made it. Nobody, when the link was made at the terminal.
    """

    id_hash: str
    person_id: str
    device: str
    made_at: datetime
    until: datetime
    through: tuple[str, ...] = ()
    seen_at: datetime | None = None  # to the day; None: by a program that did not write it down

    def is_idle(self, now: datetime) -> bool:
        """Whether it was not used for so long that it has ended."""
        return self.seen_at is not None and self.seen_at + IDLE_AFTER <= now

    def is_of(self, people: Collection[str]) -> bool:
        """Whether the person and all through whom they came in are among these people."""
        return is_of(self.person_id, people) and set(self.through) <= set(people)


@dataclass(frozen=True, slots=True, kw_only=True)
class GoneSite:
    """A site that the journal was for: the generation of each person's links, and its houses."""

    site_id: str
    people: Mapping[str, int]
    houses: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Renewal:
    """A person's links of that generation began then, and those before ended."""

    person_id: str
    generation: int
    renewed_at: datetime


def renewals(connection: Connection, site_id: str) -> tuple[Renewal, ...]:
    """Every renewal of the site, by person and generation."""
    of_renewal = ("person_id", "generation", "renewed_at")
    rows = connection.execute(_RENEWALS, {"site": site_id}).all()
    return tuple(Renewal(**named(row, of_renewal)) for row in rows)


def generations(connection: Connection, site_id: str) -> dict[str, int]:
    """The generation of each person's links and buttons; who is not named has the first, 0."""
    return {one.person_id: one.generation for one in renewals(connection, site_id)}


def renew(connection: Connection, site_id: str, person_id: str, now: datetime) -> int:
    """Begins the person's next generation of links and says its number."""
    table, mine = tables.renewal, {"site_id": site_id, "person_id": person_id}
    generation = next_number(connection, table.c.generation, **mine)
    connection.execute(insert(table), mine | {"generation": generation, "renewed_at": now})
    return generation


def answers_generation(connection: Connection, site_id: str) -> int:
    """The generation of the topic on which answers come back."""
    return int(memos.recall(connection, site_id, _ANSWERS) or 0)


def renew_answers(connection: Connection, site_id: str) -> int:
    """Begins the next generation of that topic and says its number."""
    following = answers_generation(connection, site_id) + 1
    memos.note(connection, site_id, _ANSWERS, str(following))
    return following


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation:
    """A sign-in link, known by the hash of its secret; `through` is as a session's.

    `code_hash` is that of the short code that may be typed instead; None: by an older program.
    """

    secret_hash: str
    person_id: str
    until: datetime
    code_hash: str | None = None
    through: tuple[str, ...] = ()


def invite(connection: Connection, site_id: str, invitation: Invitation) -> None:
    """Keeps a sign-in link."""
    row = named(invitation, _OF_INVITATION) | {"made_by": _joined(invitation.through)}
    connection.execute(insert(tables.invitation), {"site_id": site_id, **row})


def invited(
    connection: Connection, site_id: str, secret_hash: str, now: datetime
) -> Invitation | None:
    """The sign-in link, while it can be used."""
    row = connection.execute(_usable(site_id, now).filter_by(secret_hash=secret_hash)).first()
    return _invitation(row) if row else None


def invited_by_code(
    connection: Connection, site_id: str, code_hash: str, now: datetime
) -> Invitation | None:
    """The sign-in link whose short code that is, while it can be used."""
    row = connection.execute(_usable(site_id, now).filter_by(code_hash=code_hash)).first()
    return _invitation(row) if row else None


def open_invitations(connection: Connection, site_id: str, now: datetime) -> tuple[Invitation, ...]:
    """Every sign-in link that can be used, the one that ends last first."""
    newest_first = _usable(site_id, now).order_by(tables.invitation.c.until.desc())
    return tuple(map(_invitation, connection.execute(newest_first).all()))


def _usable(site_id: str, now: datetime) -> Select[Any]:
    table = tables.invitation
    return select(table).filter_by(site_id=site_id, used_at=None).where(table.c.until > now)


def _invitation(row: Row[Any]) -> Invitation:
    return Invitation(**named(row, _OF_INVITATION), through=_parted(row.made_by))


def use(connection: Connection, site_id: str, secret_hash: str, now: datetime) -> bool:
    """Uses a sign-in link up; False when somebody was first."""
    table = tables.invitation
    mine = update(table).filter_by(site_id=site_id, secret_hash=secret_hash, used_at=None)
    return connection.execute(mine.where(table.c.until > now).values(used_at=now)).rowcount == 1


def sign_in(connection: Connection, site_id: str, session: SignedIn) -> None:
    """Keeps a session."""
    row = named(session, _OF_SESSION) | {"invited_by": _joined(session.through)}
    connection.execute(insert(tables.session), {"site_id": site_id, **row})


def prune(connection: Connection, now: datetime) -> None:
    """Forgets sign-in links and sessions whose time is over, by a clock that can be believed."""
    connection.execute(delete(tables.invitation).where(tables.invitation.c.until < now))
    of = tables.session.c
    over = (of.until < now) | (of.seen_at < now - IDLE_AFTER)
    connection.execute(delete(tables.session).where(over))


def sign_out(connection: Connection, site_id: str, id_hash: str) -> None:
    """Ends a session."""
    connection.execute(delete(tables.session).filter_by(site_id=site_id, id_hash=id_hash))


def note_used(connection: Connection, site_id: str, id_hash: str, at: datetime) -> None:
    """When a session was last used."""
    mine = update(tables.session).filter_by(site_id=site_id, id_hash=id_hash)
    connection.execute(mine.values(seen_at=at))


def sign_out_all(connection: Connection, site_id: str, person_id: str) -> int:
    """Ends every session and sign-in link of the person; how many sessions there were."""
    mine = {"site_id": site_id, "person_id": person_id}
    connection.execute(delete(tables.invitation).filter_by(**mine))
    return connection.execute(delete(tables.session).filter_by(**mine)).rowcount


def keep_only(
    connection: Connection,
    site_id: str,
    person_ids: Collection[str],
    now: datetime,
    renamed: Mapping[str, str] = _NOBODY,
) -> dict[str, set[str]]:
    """Ends what everybody else has, and what they have let in; returns whom that signed out.

    Of these people, each with who had let them in there and is here no more.

    Their sessions and sign-in links, and those that were made through them, are gone; their next
    generation begins, so that somebody of the same id who comes later is somebody new.

    `renamed` are ids that went where others came: their people may only have another name. What
    they have is kept while the others are there, for thirty days, and ends nothing when they are
    back in their place.
    """
    new = _ask_of(connection, site_id, person_ids, now, renamed)
    people = {*person_ids, *asked_of(connection, site_id)}
    for person_id in sorted(_known(connection, site_id) - people):
        renew(connection, site_id, person_id, now)
        memos.forget_backup_alarm(connection, site_id, person_id)
    memos.note(connection, site_id, _PEOPLE, " ".join(sorted(people)))
    here, signed_out = people - new, dict[str, set[str]]()
    for table, through, key in (
        (tables.session, tables.session.c.invited_by, tables.session.c.id_hash),
        (tables.invitation, tables.invitation.c.made_by, tables.invitation.c.secret_hash),
    ):
        mine = select(key, table.c.person_id, through).filter_by(site_id=site_id)
        for found, person_id, by in connection.execute(mine).all():
            gone = set(_parted(by)) - here
            if not is_of(person_id, here) or gone:
                connection.execute(delete(table).filter_by(site_id=site_id).where(key == found))
            if table is tables.session and is_of(person_id, here) and gone:
                signed_out.setdefault(person_id, set()).update(gone)
    return signed_out


def gone_sites(connection: Connection, site_id: str) -> tuple[GoneSite, ...]:
    """Every site but this one whose people this journal was for."""
    table = tables.memo
    others = select(table).filter_by(name=_PEOPLE).where(table.c.site_id != site_id)
    found = []
    for row in connection.execute(others.order_by(table.c.site_id)).all():
        begun = generations(connection, row.site_id)
        people = {person_id: begun.get(person_id, 0) for person_id in row.value.split()}
        houses = memos.houses(connection, row.site_id)
        found.append(GoneSite(site_id=row.site_id, people=people, houses=tuple(sorted(houses))))
    return tuple(found)


def asked_of(connection: Connection, site_id: str) -> dict[str, str]:
    """Who may only have another name: the id that is gone, and the one that came in its place."""
    return {was: came for was, (came, _) in _asked_since(connection, site_id).items()}


def _asked_since(connection: Connection, site_id: str) -> dict[str, tuple[str, datetime]]:
    noted = json.loads(memos.recall(connection, site_id, _RENAMED) or "{}")
    return {was: (came, datetime.fromisoformat(at)) for was, (came, at) in noted.items()}


def _ask_of(
    connection: Connection,
    site_id: str,
    person_ids: Collection[str],
    now: datetime,
    renamed: Mapping[str, str],
) -> set[str]:
    """Notes whom there is a question of; it is over when it is answered, or nobody answers it.

    Returns whoever is back beside the other: they were not renamed, and are somebody new.
    """
    asked = {was: (came, now) for was, came in renamed.items()}
    asked |= _asked_since(connection, site_id)
    still = {
        was: (came, since.isoformat())
        for was, (came, since) in asked.items()
        if since + _ASKED_FOR > now and came in person_ids and was not in person_ids
    }
    back = {was for was, (came, _) in asked.items() if {was, came} <= set(person_ids)}
    for was in sorted(back):
        renew(connection, site_id, was, now)
    memos.note(connection, site_id, _RENAMED, json.dumps(still, sort_keys=True))
    return back


def _known(connection: Connection, site_id: str) -> set[str]:
    """Everybody of the profile that was in force before.

    A journal of an older program has no note of them: whoever was told something or came in.
    """
    noted = memos.recall(connection, site_id, _PEOPLE)
    if noted is not None:
        return set(noted.split())
    found: set[str] = set()
    for table in (tables.delivery, tables.session, tables.invitation):
        everybody = select(table.c.person_id).filter_by(site_id=site_id).distinct()
        found.update(connection.execute(everybody).scalars())
    return found


def _joined(people: Iterable[str]) -> str | None:
    return " ".join(people) or None


def _parted(people: str | None) -> tuple[str, ...]:
    return tuple((people or "").split())


def sessions(connection: Connection, site_id: str) -> tuple[SignedIn, ...]:
    """Every session that was not ended, the newest first."""
    table = tables.session
    mine = select(table).filter_by(site_id=site_id).order_by(table.c.made_at.desc())
    return tuple(
        SignedIn(**named(row, _OF_SESSION), through=_parted(row.invited_by))
        for row in connection.execute(mine).all()
    )
