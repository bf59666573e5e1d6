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
    op.add_column("report", sa.Column("said_by", sa.Text))
    op.create_table(
        "report_change",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("report", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("turn", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("kind", sa.String(10), nullable=False),
        sa.Column("day", sa.Date),
        sa.Column("was_last", sa.Date),
        sa.Column("was_grade", sa.String(10)),
        sa.Column("was_confirmed_on", sa.Date),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("made_at", sa.BigInteger, nullable=False),
        sa.Column("undone_at", sa.BigInteger),
        sa.Column("undone_by", sa.Text),
    )
    op.add_column("invitation", sa.Column("made_by", sa.Text))
    op.add_column("session", sa.Column("invited_by", sa.Text))
    op.add_column("session", sa.Column("seen_at", sa.BigInteger))
    op.add_column("delivery", sa.Column("address", sa.Text))
    op.execute("UPDATE schema SET version = 5")
