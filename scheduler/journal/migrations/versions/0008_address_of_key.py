"""Know deliveries to several addresses of one person over one channel apart."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
KEY = ("site_id", "subject_id", "day", "step", "opening", "person_id", "channel")


def upgrade() -> None:
    """Makes the table anew, every row as it was: SQLite changes no key of a table that is there.

    What an older program adds, and everything added so far, has the empty address of old.
    """
    with op.batch_alter_table("delivery", recreate="always") as batch:
        batch.add_column(
            sa.Column("key_address", sa.String(200), nullable=False, server_default="")
        )
        batch.drop_constraint("uq_delivery", type_="unique")
        batch.create_unique_constraint("uq_delivery", [*KEY, "key_address"])
    op.execute("UPDATE schema SET version = 8")
