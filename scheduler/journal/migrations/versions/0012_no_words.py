"""Keep of a delivery what it tells, not in which words: no text, no link, no answer."""

import json
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"

_WORDS = ("title", "body", "stem", "priority", "link")
_BY_CODE_POINT = sa.Text(collation="C")
_NEW = (
    sa.Column("matter", sa.Text().with_variant(_BY_CODE_POINT, "postgresql")),
    sa.Column("rings_at", sa.BigInteger),
    sa.Column(
        "mark",
        sa.String(20).with_variant(_BY_CODE_POINT, "postgresql"),
        nullable=False,
        server_default="",
    ),
    sa.Column("generation", sa.Integer),
    sa.Column("second", sa.Integer, nullable=False, server_default="0"),
)
_DELIVERY = sa.table(
    "delivery",
    *(sa.column(name) for name in ("id", "site_id", "subject_id", "state", "message")),
    *(sa.column(name) for name in ("matter", "rings_at", "second", "operation", "step")),
)


def upgrade() -> None:
    """Takes when a held message rings, and the words of what waits besides the evenings."""
    for column in _NEW:
        op.add_column("delivery", column)
    connection = op.get_bind()
    for row in connection.execute(sa.select(_DELIVERY)).all():
        mine = sa.update(_DELIVERY).where(_DELIVERY.c.id == row.id)
        connection.execute(mine.values(message="", **_kept(row)))
    op.execute("UPDATE schema SET version = 12")


def _kept(row: Any) -> dict[str, Any]:  # noqa: ANN401 - a row of whatever the journal has
    """What is told of an evening's doors is worded anew; the site's own news keep their words."""
    try:
        said = json.loads(row.message)
    except ValueError:  # what could not be read rings all the same
        said = {}
    rings_at = said.get("rings_at")
    kept: dict[str, Any] = {
        "rings_at": int(datetime.fromisoformat(rings_at).timestamp()) if rings_at else None,
        "second": int(row.operation == "send" and bool(said.get("target_id"))),
    }
    if row.subject_id == row.site_id and row.state in {"pending", "sending"} and "title" in said:
        words = {name: said[name] for name in _WORDS if said.get(name)}
        kept["matter"] = json.dumps({"words": {"body": "", **words}})
    return kept
