"""Keep the phones that ring by push from their browser, and what they said that they had shown."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"

_BY_CODE_POINT = sa.Text(collation="C")


def _short(most: int) -> sa.types.TypeEngine[str]:
    return sa.String(most).with_variant(_BY_CODE_POINT, "postgresql")


def upgrade() -> None:
    """Makes the table and the columns; an older program does not ask for them."""
    words = sa.Text().with_variant(_BY_CODE_POINT, "postgresql")
    op.create_table(
        "phone",
        sa.Column("site_id", _short(40), primary_key=True),
        sa.Column("id", _short(16), primary_key=True),
        sa.Column("person_id", _short(40), nullable=False),
        sa.Column("session", _short(64), nullable=False),
        sa.Column("label", words, nullable=False),
        sa.Column("endpoint", words, nullable=False),
        sa.Column("p256dh", _short(100), nullable=False),
        sa.Column("auth", _short(40), nullable=False),
        sa.Column("key_id", _short(100), nullable=False),
        sa.Column("made_at", sa.BigInteger, nullable=False),
        sa.Column("handed_at", sa.BigInteger),
        sa.Column("arrived_at", sa.BigInteger),
        sa.Column("rang", _short(10)),
        sa.Column("rang_at", sa.BigInteger),
        sa.Column("rang_quiet", _short(10)),
        sa.Column("rang_quiet_at", sa.BigInteger),
        sa.Column("ended_at", sa.BigInteger),
        sa.Column("ended_why", _short(20)),
    )
    op.add_column("delivery", sa.Column("shown_at", sa.BigInteger))
    op.add_column("invitation", sa.Column("code_hash", _short(64)))
    op.execute("UPDATE schema SET version = 15")
