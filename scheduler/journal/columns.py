"""What the columns of the journal's tables are made of."""

from datetime import UTC, datetime

from sqlalchemy import BigInteger, Column, Dialect, MetaData, String, Table, Text, TypeDecorator
from sqlalchemy.schema import SchemaItem
from sqlalchemy.types import TypeEngine

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
            raise TypeError(f"not an aware UTC instant: {value!r}")
        return int(value.timestamp())

    def process_result_value(self, value: int | None, dialect: Dialect) -> datetime | None:
        """The instant that was kept."""
        del dialect
        return None if value is None else datetime.fromtimestamp(value, UTC)


def short(most: int) -> TypeEngine[str]:
    """A short text. PostgreSQL measures none, and orders them all by code point as SQLite does."""
    return String(most).with_variant(Text(collation="C"), "postgresql")


WORDS = Text().with_variant(Text(collation="C"), "postgresql")


def of_sites(name: str, *rest: SchemaItem) -> Table:
    """A table whose key begins with the site's id."""
    return Table(name, metadata, Column("site_id", short(40), primary_key=True), *rest)
