"""The tables of the journal. Only what cannot be computed again is kept."""

from datetime import UTC, datetime

from sqlalchemy import (
    BigInteger,
    Column,
    Date,
    Dialect,
    Float,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.schema import SchemaItem

VERSION = 10  # of the schema, and the number of the newest migration
MIN_READER = 10  # what people say lies where an older program does not look

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


def _of_sites(name: str, *rest: SchemaItem) -> Table:
    """A table whose key begins with the site's id."""
    return Table(name, metadata, Column("site_id", String(40), primary_key=True), *rest)


schema = Table(
    "schema",
    metadata,
    Column("version", Integer, nullable=False),
    Column("min_reader", Integer, nullable=False),
)

alembic_version = Table(  # Alembic's own: which migration came last
    "alembic_version",
    MetaData(),
    Column("version_num", String(32), nullable=False),
    PrimaryKeyConstraint("version_num", name="alembic_version_pkc"),
)

revision = _of_sites(
    "revision",
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
    # What it is and for which houses (ids with blanks between): by these it is known again.
    Column("kind", Text),
    Column("houses", Text),
)

# What people say, one row a thing said; nothing is ever changed or deleted in it.
entry = _of_sites(
    "entry",
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("family", String(10), nullable=False),  # what is read together; an undo's is its entry's
    Column("kind", String(30), nullable=False),
    Column("version", Integer, nullable=False),
    Column("about", String(40), nullable=False),
    Column("day", Date, nullable=False),
    Column("care_id", String(80)),
    Column("takes_back", Integer),
    Column("who", Text, nullable=False),
    Column("person_id", String(40)),
    Column("said_at", UtcInstant, nullable=False),
    Column("happened_at", UtcInstant, nullable=False),
    Column("said", Text, nullable=False),  # the values of its kind, as JSON
    Index("ix_entry_family_day", "site_id", "family", "day"),
    Index("ix_entry_care", "site_id", "care_id", "happened_at"),
    Index("ix_entry_takes_back", "site_id", "takes_back"),
)

# Where older programs kept what people say; it was moved into `entry`, and is only kept.
report = _of_sites(
    "report",
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(20), nullable=False),
    Column("first", Date, nullable=False),
    Column("last", Date),
    Column("air_c", Float),
    Column("link", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
    Column("undone_by", Text),
    Column("grade", String(10)),  # how near a predator came
    Column("confirmed_on", Date),  # when somebody last said that it still holds
    Column("said_by", Text),
    Column("house_id", String(40)),  # of birds, as all that follow
    Column("birds", Integer),
    Column("words", Text),
    Column("signs", Text),  # with blanks between
    Column("egg_days", Integer),
    Column("meat_days", Integer),
)

# What was said of a report since: the row above is as it stands, this is how it became so.
report_change = _of_sites(
    "report_change",
    Column("report", Integer, primary_key=True, autoincrement=False),
    Column("turn", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(10), nullable=False),
    Column("day", Date),
    Column("was_last", Date),
    Column("was_grade", String(10)),
    Column("was_confirmed_on", Date),
    Column("who", Text, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
    Column("undone_by", Text),
    Column("was_egg_days", Integer),
)

closing = _of_sites(
    "closing",
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(20), nullable=False),
    Column("coop_id", String(40), nullable=False),
    Column("evening", Date, nullable=False),
    Column("at", UtcInstant, nullable=False),
    Column("who", Text, nullable=False),
    Column("flock", Integer, nullable=False),
    Column("count", Integer),
    Column("some_missing", Integer, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
    Column("undone_by", Text),
    Index("ix_closing_site_evening", "site_id", "evening"),
)

# May be emptied at any time: then everything is read, until the next night.
cache_settled = _of_sites(
    "cache_settled",
    Column("family", String(10), primary_key=True),
    Column("before", Date, nullable=False),
    Column("numbers", Text, nullable=False),  # of the entries before that still matter, as JSON
)

# One task (care, subject, date, ordinal) that somebody has done.
done = _of_sites(
    "done",
    Column("care_id", String(80), primary_key=True),
    Column("subject_id", String(40), primary_key=True),
    Column("day", Date, primary_key=True),
    Column("ordinal", Integer, primary_key=True, autoincrement=False),
    Column("who", Text, nullable=False),
    Column("at", UtcInstant, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
    Column("undone_by", Text),
    # As the diary is read, page by page: no reading sorts them all while the reminders wait.
    Index("ix_done_order", "site_id", "day", "care_id", "subject_id", "ordinal"),
)

# Each renewal of a person's links: the generation that began then.
renewal = _of_sites(
    "renewal",
    Column("person_id", String(40), primary_key=True),
    Column("generation", Integer, primary_key=True, autoincrement=False),
    Column("renewed_at", UtcInstant, nullable=False),
)

# A sign-in link: random, single use, kept as a hash.
invitation = _of_sites(
    "invitation",
    Column("secret_hash", String(64), primary_key=True),
    Column("person_id", String(40), nullable=False),
    Column("until", UtcInstant, nullable=False),
    Column("used_at", UtcInstant),
    # The ids of everybody through whom it was made, with blanks between; nobody: at the terminal.
    Column("made_by", Text),
)

session = _of_sites(
    "session",
    Column("id_hash", String(64), primary_key=True),
    Column("person_id", String(40), nullable=False),
    Column("device", Text, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("until", UtcInstant, nullable=False),
    Column("invited_by", Text),  # as the sign-in link's made_by
    Column("seen_at", UtcInstant),
)

# An answer that was taken once is not taken again: its token is spent.
spent_answer = _of_sites(
    "spent_answer",
    Column("token", String(43), primary_key=True),
    Column("evening", Date, nullable=False),
)

evening = _of_sites(
    "evening",
    Column("subject_id", String(40), primary_key=True),
    Column("day", Date, primary_key=True),
    Column("snapshot", Text, nullable=False),
)

# What a delivery is known by.
DELIVERY_KEY = (
    *("site_id", "subject_id", "day", "step"),
    *("opening", "person_id", "channel", "key_address"),
)

delivery = Table(
    "delivery",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("site_id", String(40), nullable=False),
    Column("subject_id", String(40), nullable=False),
    Column("day", Date, nullable=False, index=True),
    Column("step", String(80), nullable=False),
    Column("opening", Integer, nullable=False),
    Column("person_id", String(40), nullable=False),
    Column("channel", String(10), nullable=False),
    Column("operation", String(10), nullable=False),
    Column("message", Text, nullable=False),
    Column("urgency", Integer, nullable=False),
    Column("due_at", UtcInstant, nullable=False),
    Column("useful_until", UtcInstant, nullable=False),
    Column("state", String(20), nullable=False, index=True),
    Column("attempts", Integer, nullable=False),
    Column("maybe", Integer, nullable=False),  # an earlier attempt may have handed it over
    Column("next_at", UtcInstant, nullable=False),
    Column("lease_until", UtcInstant),
    Column("address", Text),  # where it went, and where a held message lies
    # Which of the person's addresses over the channel it is for; empty where they have but one.
    Column("key_address", String(200), nullable=False, server_default=""),
    UniqueConstraint(*DELIVERY_KEY, name="uq_delivery"),
)

attempt = Table(
    "attempt",
    metadata,
    Column("site_id", String(40), nullable=False),
    Column("delivery_id", Integer, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("channel", String(10), nullable=False),
    Column("began_at", UtcInstant, nullable=False),
    Column("ended_at", UtcInstant),
    Column("outcome", String(20)),
    Column("reason", Text),
)

memo = _of_sites(
    "memo",
    Column("name", String(80), primary_key=True),
    Column("value", Text, nullable=False),
)

accepted_profile = _of_sites(
    "accepted_profile",
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("text", Text, nullable=False),
    Column("accepted_at", UtcInstant, nullable=False),
)
