"""Know published events again by kind and houses, and who had no letters of their own by name.

Until now a house, flock, person or job whose name has no Latin letter, and no id, was called by its
position (`coop-1`). It is called by its name now, and what was kept of it goes along.
"""

import json
import tomllib
from collections import Counter
from collections.abc import Iterator

import sqlalchemy as sa
from alembic import op

from scheduler.profile.prepare import NAMED_TABLES, id_of, slug

revision = "0006"
down_revision = "0005"

# Where ids of each kind stand; those of evenings begun and of messages sent end with their night.
_PLACES = {
    "coop": (
        ("closing", "coop_id"),
        ("done", "subject_id"),
        ("evening", "subject_id"),
        ("delivery", "subject_id"),
    ),
    "flock": (("done", "subject_id"),),
    "person": (
        ("renewal", "person_id"),
        ("invitation", "person_id"),
        ("session", "person_id"),
        ("delivery", "person_id"),
    ),
    "care": (("done", "care_id"),),
}


def upgrade() -> None:
    """Adds columns, and renames what was called by its position."""
    op.add_column("revision", sa.Column("kind", sa.Text))
    op.add_column("revision", sa.Column("houses", sa.Text))
    for site_id, text in _newest_profiles():
        for kind, old, new in _called_by_position(text):
            for table, column in _PLACES[kind]:
                rows = sa.table(table, sa.column("site_id"), sa.column(column))
                mine = (rows.c.site_id == site_id) & (rows.c[column] == old)
                op.execute(rows.update().where(mine).values({column: new}))
            if kind in {"coop", "person"}:
                _in_snapshots(site_id, old, new)
            if kind == "person":
                _in_lists(site_id, old, new)
                _remember(site_id, old, new)
            if kind == "care":
                _since_when(site_id, old, new)
    op.execute("UPDATE schema SET version = 6")


def _newest_profiles() -> list[tuple[str, str]]:
    rows = op.get_bind().execute(
        sa.text("SELECT site_id, text FROM accepted_profile ORDER BY number")
    )
    return list({row.site_id: row.text for row in rows}.items())


def _called_by_position(text: str) -> Iterator[tuple[str, str, str]]:
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    for kind in NAMED_TABLES:
        tables = raw.get(kind)
        called = {}
        for number, table in enumerate(tables if isinstance(tables, list) else [tables], start=1):
            name = table.get("name") if isinstance(table, dict) and "id" not in table else None
            if isinstance(name, str) and name.strip() and not slug(name):
                called[f"{kind}-{number}"] = id_of(kind, name)
        # Of two with one name nobody knows which is meant: the profile has to say it.
        times = Counter(called.values())
        yield from ((kind, old, new) for old, new in called.items() if times[new] == 1)


def _in_snapshots(site_id: str, old: str, new: str) -> None:
    # Ids stand there as JSON strings; no other value is written like an id of a position.
    op.execute(
        sa.text(
            "UPDATE evening SET snapshot = replace(snapshot, :old, :new) WHERE site_id = :site"
        ).bindparams(old=f'"{old}"', new=f'"{new}"', site=site_id)
    )


def _in_lists(site_id: str, old: str, new: str) -> None:
    """Lists with blanks between: who was there, and through whom somebody was let in."""
    for table, column, key in (
        ("session", "invited_by", "id_hash"),
        ("invitation", "made_by", "secret_hash"),
        ("memo", "value", "name"),
    ):
        rows = sa.table(table, sa.column("site_id"), sa.column(column), sa.column(key))
        mine = rows.c.site_id == site_id
        if table == "memo":
            mine &= rows.c.name == "people"
        for row in op.get_bind().execute(sa.select(rows.c[key], rows.c[column]).where(mine)).all():
            ids = (row[1] or "").split()
            if old in ids:
                told = " ".join(new if one == old else one for one in ids)
                op.execute(
                    rows.update().where(mine & (rows.c[key] == row[0])).values({column: told})
                )


def _since_when(site_id: str, old: str, new: str) -> None:
    """Since when there is a job of one's own: its first date is reckoned from there."""
    memo = sa.table("memo", sa.column("site_id"), sa.column("name"), sa.column("value"))
    mine = (memo.c.site_id == site_id) & (memo.c.name == "own-jobs")
    text = op.get_bind().execute(sa.select(memo.c.value).where(mine)).scalar()
    added = json.loads(text) if text else {}
    if old in added:
        told = {new if one == old else one: day for one, day in added.items()}
        op.execute(memo.update().where(mine).values(value=json.dumps(told)))


def _remember(site_id: str, old: str, new: str) -> None:
    """So that the addresses which a person has subscribed to stay theirs."""
    op.execute(
        sa.text("INSERT INTO memo (site_id, name, value) VALUES (:site, :name, :old)").bindparams(
            site=site_id, name=f"was-called-{new}", old=old
        )
    )
