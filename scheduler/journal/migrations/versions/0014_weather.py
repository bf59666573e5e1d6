"""Keep what was decided of each day's weather, and what the keepers' own thermometers showed."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"

_BY_CODE_POINT = sa.Text(collation="C")


def upgrade() -> None:
    """Makes the tables; an older program does not ask for them."""
    id_text = sa.String(40).with_variant(_BY_CODE_POINT, "postgresql")
    op.create_table(
        "weather_decided",
        sa.Column("site_id", id_text, primary_key=True),
        sa.Column("day", sa.Date, primary_key=True),
        sa.Column("decided_at", sa.BigInteger, nullable=False),
        sa.Column("value", sa.Text().with_variant(_BY_CODE_POINT, "postgresql"), nullable=False),
    )
    op.create_table(
        "weather_measured",
        sa.Column("site_id", id_text, primary_key=True),
        sa.Column("sensor_id", id_text, primary_key=True),
        sa.Column("at", sa.BigInteger, primary_key=True, autoincrement=False),
        sa.Column("air_c", sa.Float, nullable=False),
        sa.Column("humidity", sa.Float),
    )
    op.execute("UPDATE schema SET version = 14")
