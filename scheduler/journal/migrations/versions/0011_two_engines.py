"""Keep, where hosts share a journal, what of one the others need: changes, health, calendars."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"

_SLOTS = 16


def upgrade() -> None:
    """Makes the tables; an older program does not ask for them."""
    change = op.create_table(
        "change",
        sa.Column("slot", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("number", sa.BigInteger, nullable=False),
    )
    op.create_table(
        "process",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("name", sa.String(200), primary_key=True),
        sa.Column("pulse", sa.Text, nullable=False),
        sa.Column("told_at", sa.BigInteger, nullable=False),
    )
    op.create_table(
        "cache_calendar",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("name", sa.String(100), primary_key=True),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.Column("changed_at", sa.BigInteger, nullable=False),
        sa.Column("last_day", sa.Date, nullable=False),
    )
    op.bulk_insert(change, [{"slot": slot, "number": 0} for slot in range(_SLOTS)])
    if op.get_bind().dialect.name == "postgresql":
        _by_code_point()
    op.execute("UPDATE schema SET version = 11")


def _by_code_point() -> None:
    """Texts without a length, compared as SQLite does: whatever language the server is set to."""
    rows = op.get_bind().execute(
        sa.text(
            "SELECT table_name, column_name FROM information_schema.columns "
            "WHERE table_schema = current_schema() AND data_type IN ('character varying', 'text') "
            "AND table_name <> 'alembic_version'"
        )
    )
    for table, column in rows.all():
        op.execute(f'ALTER TABLE "{table}" ALTER COLUMN "{column}" TYPE text COLLATE "C"')
