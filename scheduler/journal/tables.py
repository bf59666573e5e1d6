"""The tables of the journal. Only what cannot be computed again is kept."""

from sqlalchemy import (
    BigInteger,
    Column,
    Date,
    Float,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from scheduler.journal import columns, weather_tables
from scheduler.journal.columns import WORDS, of_sites, short

VERSION = 15  # of the schema, and the number of the newest migration
MIN_READER = 10  # what people say lies where an older program does not look
UNFINISHED = 1_000_000  # the oldest reader of what is still being copied: no program is so new

# The types by which they are made, and all of them together.
UtcInstant, metadata = columns.UtcInstant, columns.metadata
weather_decided, weather_measured = weather_tables.weather_decided, weather_tables.weather_measured

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

# Only while a copy into this journal is not finished: of which journal it is the copy.
unfinished_copy = Table("unfinished_copy", MetaData(), Column("source", Text, nullable=False))

revision = of_sites(
    "revision",
    Column("uid", short(200), primary_key=True),
    Column("part", short(20), nullable=False),
    Column("day", Date, nullable=False, index=True),
    # An instant ("…Z") or a civil date, as text: a whole day has no instant.
    Column("start", short(20), nullable=False),
    Column("end", short(20), nullable=False),
    Column("title", WORDS, nullable=False),
    Column("description", WORDS, nullable=False),
    Column("rings", Integer, nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("changed_at", UtcInstant, nullable=False),
    Column("cancelled_on", Date),
    # What it is and for which houses (ids with blanks between): by these it is known again.
    Column("kind", WORDS),
    Column("houses", WORDS),
)

# What people say, one row a thing said; nothing is ever changed or deleted in it.
entry = of_sites(
    "entry",
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("family", short(10), nullable=False),  # what is read together; an undo's is its entry's
    Column("kind", short(30), nullable=False),
    Column("version", Integer, nullable=False),
    Column("about", short(40), nullable=False),
    Column("day", Date, nullable=False),
    Column("care_id", short(80)),
    Column("takes_back", Integer),
    Column("who", WORDS, nullable=False),
    Column("person_id", short(40)),
    Column("said_at", UtcInstant, nullable=False),
    Column("happened_at", UtcInstant, nullable=False),
    Column("said", WORDS, nullable=False),  # the values of its kind, as JSON
    Index("ix_entry_family_day", "site_id", "family", "day"),
    Index("ix_entry_care", "site_id", "care_id", "happened_at"),
    Index("ix_entry_takes_back", "site_id", "takes_back"),
)

# Where older programs kept what people say; it was moved into `entry`, and is only kept.
report = of_sites(
    "report",
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("kind", short(20), nullable=False),
    Column("first", Date, nullable=False),
    Column("last", Date),
    Column("air_c", Float),
    Column("link", WORDS, nullable=False),
    Column("who", WORDS, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
    Column("undone_by", WORDS),
    Column("grade", short(10)),  # how near a predator came
    Column("confirmed_on", Date),  # when somebody last said that it still holds
    Column("said_by", WORDS),
    Column("house_id", short(40)),  # of birds, as all that follow
    Column("birds", Integer),
    Column("words", WORDS),
    Column("signs", WORDS),  # with blanks between
    Column("egg_days", Integer),
    Column("meat_days", Integer),
)

# What was said of a report since: the row above is as it stands, this is how it became so.
report_change = of_sites(
    "report_change",
    Column("report", Integer, primary_key=True, autoincrement=False),
    Column("turn", Integer, primary_key=True, autoincrement=False),
    Column("kind", short(10), nullable=False),
    Column("day", Date),
    Column("was_last", Date),
    Column("was_grade", short(10)),
    Column("was_confirmed_on", Date),
    Column("who", WORDS, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
    Column("undone_by", WORDS),
    Column("was_egg_days", Integer),
)

closing = of_sites(
    "closing",
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("kind", short(20), nullable=False),
    Column("coop_id", short(40), nullable=False),
    Column("evening", Date, nullable=False),
    Column("at", UtcInstant, nullable=False),
    Column("who", WORDS, nullable=False),
    Column("flock", Integer, nullable=False),
    Column("count", Integer),
    Column("some_missing", Integer, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
    Column("undone_by", WORDS),
    Index("ix_closing_site_evening", "site_id", "evening"),
)

# May be emptied at any time: then everything is read, until the next night.
cache_settled = of_sites(
    "cache_settled",
    Column("family", short(10), primary_key=True),
    Column("before", Date, nullable=False),
    Column("numbers", WORDS, nullable=False),  # of the entries before that still matter, as JSON
)

# One task (care, subject, date, ordinal) that somebody has done.
done = of_sites(
    "done",
    Column("care_id", short(80), primary_key=True),
    Column("subject_id", short(40), primary_key=True),
    Column("day", Date, primary_key=True),
    Column("ordinal", Integer, primary_key=True, autoincrement=False),
    Column("who", WORDS, nullable=False),
    Column("at", UtcInstant, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("undone_at", UtcInstant),
    Column("undone_by", WORDS),
    # As the diary is read, page by page: no reading sorts them all while the reminders wait.
    Index("ix_done_order", "site_id", "day", "care_id", "subject_id", "ordinal"),
)

# Each renewal of a person's links: the generation that began then.
renewal = of_sites(
    "renewal",
    Column("person_id", short(40), primary_key=True),
    Column("generation", Integer, primary_key=True, autoincrement=False),
    Column("renewed_at", UtcInstant, nullable=False),
)

# A sign-in link: random, single use, kept as a hash.
invitation = of_sites(
    "invitation",
    Column("secret_hash", short(64), primary_key=True),
    Column("person_id", short(40), nullable=False),
    Column("until", UtcInstant, nullable=False),
    Column("used_at", UtcInstant),
    # The ids of everybody through whom it was made, with blanks between; nobody: at the terminal.
    Column("made_by", WORDS),
    Column("code_hash", short(64)),  # of the short code that may be typed instead
)

session = of_sites(
    "session",
    Column("id_hash", short(64), primary_key=True),
    Column("person_id", short(40), nullable=False),
    Column("device", WORDS, nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("until", UtcInstant, nullable=False),
    Column("invited_by", WORDS),  # as the sign-in link's made_by
    Column("seen_at", UtcInstant),
)

# A device that rings by push from its browser; it counts while its session is there.
phone = of_sites(
    "phone",
    Column("id", short(16), primary_key=True),
    Column("person_id", short(40), nullable=False),
    Column("session", short(64), nullable=False),  # the hash that it is kept by
    Column("label", WORDS, nullable=False),
    Column("endpoint", WORDS, nullable=False),
    Column("p256dh", short(100), nullable=False),
    Column("auth", short(40), nullable=False),
    Column("key_id", short(100), nullable=False),
    Column("made_at", UtcInstant, nullable=False),
    Column("handed_at", UtcInstant),  # its push service last took a message
    Column("arrived_at", UtcInstant),  # it last said that it had shown one
    Column("rang", short(10)),
    Column("rang_at", UtcInstant),
    Column("rang_quiet", short(10)),
    Column("rang_quiet_at", UtcInstant),
    Column("ended_at", UtcInstant),
    Column("ended_why", short(20)),
)

# An answer that was taken once is not taken again: its token is spent.
spent_answer = of_sites(
    "spent_answer",
    Column("token", short(43), primary_key=True),
    Column("evening", Date, nullable=False),
)

evening = of_sites(
    "evening",
    Column("subject_id", short(40), primary_key=True),
    Column("day", Date, primary_key=True),
    Column("snapshot", WORDS, nullable=False),
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
    Column("site_id", short(40), nullable=False),
    Column("subject_id", short(40), nullable=False),
    Column("day", Date, nullable=False, index=True),
    Column("step", short(80), nullable=False),
    Column("opening", Integer, nullable=False),
    Column("person_id", short(40), nullable=False),
    Column("channel", short(10), nullable=False),
    Column("operation", short(10), nullable=False),
    Column("message", WORDS, nullable=False),  # empty; an older program kept its words there
    Column("matter", WORDS),
    Column("rings_at", UtcInstant),
    Column("mark", short(20), nullable=False, server_default=""),  # of what it told of the doors
    Column("generation", Integer),  # of the links and buttons that it went out with
    Column("second", Integer, nullable=False, server_default="0"),  # once more: it came too early
    Column("urgency", Integer, nullable=False),
    Column("due_at", UtcInstant, nullable=False),
    Column("useful_until", UtcInstant, nullable=False),
    Column("state", short(20), nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("maybe", Integer, nullable=False),  # an earlier attempt may have handed it over
    Column("next_at", UtcInstant, nullable=False),
    Column("lease_until", UtcInstant),
    Column("address", WORDS),  # where it went, and where a held message lies
    # Which of the person's addresses over the channel it is for; empty where they have but one.
    Column("key_address", short(200), nullable=False, server_default=""),
    Column("shown_at", UtcInstant),  # a phone said that it had shown it
    UniqueConstraint(*DELIVERY_KEY, name="uq_delivery"),
)
# The order in which what waits is claimed: no claim reads and sorts the whole queue.
Index(
    "ix_delivery_in_order",
    *(delivery.c.site_id, delivery.c.state, delivery.c.channel),
    *(delivery.c.urgency.desc(), delivery.c.due_at, delivery.c.id),
)

attempt = Table(
    "attempt",
    metadata,
    Column("site_id", short(40), nullable=False),
    Column("delivery_id", Integer, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("channel", short(10), nullable=False),
    Column("began_at", UtcInstant, nullable=False),
    Column("ended_at", UtcInstant),
    Column("outcome", short(20)),
    Column("reason", WORDS),
)

memo = of_sites(
    "memo",
    Column("name", short(80), primary_key=True),
    Column("value", WORDS, nullable=False),
)

accepted_profile = of_sites(
    "accepted_profile",
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("text", WORDS, nullable=False),
    Column("accepted_at", UtcInstant, nullable=False),
)

# How often each slot of processes has written. Only where the file itself does not tell.
CHANGE_SLOTS = 16
change = Table(
    "change",
    metadata,
    Column("slot", Integer, primary_key=True, autoincrement=False),
    Column("number", BigInteger, nullable=False),
)

# How each process fares that reminds, by the clock of the database.
process = of_sites(
    "process",
    Column("name", short(200), primary_key=True),
    Column("pulse", WORDS, nullable=False),
    Column("told_at", UtcInstant, nullable=False),
)

# The calendars as they are handed out: made again when they are not there.
cache_calendar = of_sites(
    "cache_calendar",
    Column("name", short(100), primary_key=True),
    Column("content", LargeBinary, nullable=False),
    Column("changed_at", UtcInstant, nullable=False),
    Column("last_day", Date, nullable=False),
)
