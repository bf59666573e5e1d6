"""Keep what keepers report: weather, a predator's visit, housing orders."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Creates the reports; an older program does not know them, but may still read the rest."""
    op.create_table(
        "report",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("first", sa.Date, nullable=False),
        sa.Column("last", sa.Date),
        sa.Column("air_c", sa.Float),
        sa.Column("link", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("made_at", sa.BigInteger, nullable=False),
        sa.Column("undone_at", sa.BigInteger),
    )
    op.execute("UPDATE schema SET version = 2")
