"""Find what waits in the order in which it is claimed: no claim reads and sorts the whole queue."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"


def upgrade() -> None:
    """Has an index of the order take the place of the one of the state alone."""
    order: list[str | sa.TextClause] = [
        "site_id",
        "state",
        "channel",
        sa.text("urgency DESC"),
        "due_at",
        "id",
    ]
    op.create_index("ix_delivery_in_order", "delivery", order)
    op.drop_index("ix_delivery_state", "delivery")
    op.execute("UPDATE schema SET version = 13")
