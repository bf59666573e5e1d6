"""Know which closings of long ago still matter, so that a look reads no others."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"


def upgrade() -> None:
    """Adds a table that may be emptied; an older program neither reads nor needs it."""
    op.create_table(
        "cache_settled",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("before", sa.Date, nullable=False),
        sa.Column("numbers", sa.Text, nullable=False),
    )
    op.create_index("ix_closing_site_evening", "closing", ["site_id", "evening"])
    op.drop_index("ix_closing_evening", "closing")
    op.execute("UPDATE schema SET version = 9")
