"""The tables of the journal. Only what cannot be computed again is kept."""

from datetime import UTC, datetime

from sqlalchemy import (
    BigInteger,
    Column,
    Date,
    Dialect,
    Float,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
)

VERSION = 2  # of the schema; a journal's `min_reader` is the least version that may read it

metadata = MetaData()


class UtcInstant(TypeDecorator[datetime]):
    """An aware UTC instant kept as whole seconds; naive and other zones are refused.

    SQLite's own datetimes lose the zone and the fold.
    """

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        """Seconds since 1970."""
        del dialect
        if value is None:
            return None
        if value.tzinfo is not UTC:
            raise ValueError(f"not an aware UTC instant: {value!r}")
        return int(value.timestamp())

    def process_result_value(self, value: int | None, dialect: Dialect) -> datetime | None:
        """The instant that was kept."""
        del dialect
        return None if value is None else datetime.fromtimestamp(value, UTC)


schema = Table(
    "schema",
    metadata,
    Column("version", Integer, nullable=False),
    Column("min_reader", Integer, nullable=False),
)

revision = Table(
    "revision",
    metadata,
    Column("site_id", String(40), primary_key=True),
    Column("uid", String(200), primary_key=True),
    Column("part", String(20), nullable=False),
    Column("day", Date, nullable=False, index=True),
    # An instant ("…Z") or a civil date, as text: a whole day has no instant.
    Column("start", String(20), nullable=False),
    Column("end", String(20), nullable=False),
    Column("title", Text, nullable=False),
    Column("description", Text, nullable=False),
    Column("rings", Integer, nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("changed_at", UtcInstant, nullable=False),
    Column("cancelled_on", Date),
)

report = Table(
    "report",
    metadata,
    Column("site_id", String(40), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(20), nullable=False),
    Column("first", Date, nullable=False),
    Column("last", Date),
    Column("air_c", Float),
    Column("link", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
)
