"""Keep the revisions of published events."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Creates the schema row and the revisions."""
    schema = op.create_table(
        "schema",
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("min_reader", sa.Integer, nullable=False),
    )
    op.create_table(
        "revision",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("uid", sa.String(200), primary_key=True),
        sa.Column("part", sa.String(20), nullable=False),
        sa.Column("day", sa.Date, nullable=False),
        sa.Column("start", sa.String(20), nullable=False),
        sa.Column("end", sa.String(20), nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("description", sa.Text, nullable=False),
        sa.Column("rings", sa.Integer, nullable=False),
        sa.Column("sequence", sa.Integer, nullable=False),
        sa.Column("changed_at", sa.BigInteger, nullable=False),
        sa.Column("cancelled_on", sa.Date),
    )
    op.create_index("ix_revision_day", "revision", ["day"])
    op.bulk_insert(schema, [{"version": 1, "min_reader": 1}])
