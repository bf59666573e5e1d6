"""Keep jobs that were done, who is signed in, and how often a person's links were renewed."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Creates the tables of the pages; an older program may still read the rest."""
    op.add_column("closing", sa.Column("undone_at", sa.BigInteger))
    op.create_table(
        "done",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("care_id", sa.String(80), primary_key=True),
        sa.Column("subject_id", sa.String(40), primary_key=True),
        sa.Column("day", sa.Date, primary_key=True),
        sa.Column("ordinal", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("at", sa.BigInteger, nullable=False),
        sa.Column("made_at", sa.BigInteger, nullable=False),
    )
    order = ["site_id", "day", "care_id", "subject_id", "ordinal"]
    op.create_index("ix_done_order", "done", order)
    op.create_table(
        "renewal",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("person_id", sa.String(40), primary_key=True),
        sa.Column("generation", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("renewed_at", sa.BigInteger, nullable=False),
    )
    op.create_table(
        "invitation",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("secret_hash", sa.String(64), primary_key=True),
        sa.Column("person_id", sa.String(40), nullable=False),
        sa.Column("until", sa.BigInteger, nullable=False),
        sa.Column("used_at", sa.BigInteger),
    )
    op.create_table(
        "session",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("id_hash", sa.String(64), primary_key=True),
        sa.Column("person_id", sa.String(40), nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("made_at", sa.BigInteger, nullable=False),
        sa.Column("until", sa.BigInteger, nullable=False),
    )
    op.execute("UPDATE schema SET version = 4")
