"""Keep what keepers say of a door, evenings under way, deliveries and what came of them."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Creates the tables of the reminders; an older program may still read the rest."""
    op.create_table(
        "closing",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("coop_id", sa.String(40), nullable=False),
        sa.Column("evening", sa.Date, nullable=False),
        sa.Column("at", sa.BigInteger, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("flock", sa.Integer, nullable=False),
        sa.Column("count", sa.Integer),
        sa.Column("some_missing", sa.Integer, nullable=False),
        sa.Column("made_at", sa.BigInteger, nullable=False),
    )
    op.create_index("ix_closing_evening", "closing", ["evening"])
    op.create_table(
        "spent_answer",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("token", sa.String(43), primary_key=True),
        sa.Column("evening", sa.Date, nullable=False),
    )
    op.create_table(
        "evening",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("subject_id", sa.String(40), primary_key=True),
        sa.Column("day", sa.Date, primary_key=True),
        sa.Column("snapshot", sa.Text, nullable=False),
    )
    op.create_table(
        "delivery",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("site_id", sa.String(40), nullable=False),
        sa.Column("subject_id", sa.String(40), nullable=False),
        sa.Column("day", sa.Date, nullable=False),
        sa.Column("step", sa.String(80), nullable=False),
        sa.Column("opening", sa.Integer, nullable=False),
        sa.Column("person_id", sa.String(40), nullable=False),
        sa.Column("channel", sa.String(10), nullable=False),
        sa.Column("operation", sa.String(10), nullable=False),
        sa.Column("message", sa.Text, nullable=False),
        sa.Column("urgency", sa.Integer, nullable=False),
        sa.Column("due_at", sa.BigInteger, nullable=False),
        sa.Column("useful_until", sa.BigInteger, nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("maybe", sa.Integer, nullable=False),
        sa.Column("next_at", sa.BigInteger, nullable=False),
        sa.Column("lease_until", sa.BigInteger),
        sa.UniqueConstraint(
            "site_id",
            "subject_id",
            "day",
            "step",
            "opening",
            "person_id",
            "channel",
            name="uq_delivery",
        ),
    )
    op.create_index("ix_delivery_day", "delivery", ["day"])
    op.create_index("ix_delivery_state", "delivery", ["state"])
    op.create_table(
        "attempt",
        sa.Column("site_id", sa.String(40), nullable=False),
        sa.Column("delivery_id", sa.Integer, primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("channel", sa.String(10), nullable=False),
        sa.Column("began_at", sa.BigInteger, nullable=False),
        sa.Column("ended_at", sa.BigInteger),
        sa.Column("outcome", sa.String(20)),
        sa.Column("reason", sa.Text),
    )
    op.create_table(
        "memo",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("name", sa.String(80), primary_key=True),
        sa.Column("value", sa.Text, nullable=False),
    )
    op.create_table(
        "accepted_profile",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("accepted_at", sa.BigInteger, nullable=False),
    )
    op.execute("UPDATE schema SET version = 3")
