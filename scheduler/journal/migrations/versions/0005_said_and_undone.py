"""Keep who took what back, who let whom in, where a message went, and how near a predator came."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Adds columns; an older program may still read, and takes what was undone as done."""
    op.add_column("closing", sa.Column("undone_by", sa.Text))
    op.add_column("done", sa.Column("undone_at", sa.BigInteger))
    op.add_column("done", sa.Column("undone_by", sa.Text))
    op.add_column("report", sa.Column("grade", sa.String(10)))
    op.add_column("report", sa.Column("confirmed_on", sa.Date))
    op.add_column("report", sa.Column("undone_by", sa.Text))
    op.add_column("invitation", sa.Column("made_by", sa.Text))
    op.add_column("session", sa.Column("invited_by", sa.Text))
    op.add_column("session", sa.Column("seen_at", sa.BigInteger))
    op.add_column("delivery", sa.Column("address", sa.Text))
    op.execute("UPDATE schema SET version = 5")
