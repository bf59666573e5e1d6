"""Keep what keepers report of their birds: a broody hen, an illness, a medicine."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Adds columns; an older program may still read, and says nothing of the birds."""
    op.add_column("report", sa.Column("house_id", sa.String(40)))
    op.add_column("report", sa.Column("birds", sa.Integer))
    op.add_column("report", sa.Column("words", sa.Text))
    op.add_column("report", sa.Column("signs", sa.Text))
    op.add_column("report", sa.Column("egg_days", sa.Integer))
    op.add_column("report", sa.Column("meat_days", sa.Integer))
    op.add_column("report_change", sa.Column("was_egg_days", sa.Integer))
    op.execute("UPDATE schema SET version = 7")
