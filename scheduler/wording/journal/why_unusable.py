"""Why the data cannot be used, as it is kept until somebody reads it (`told_later`)."""

from scheduler.wording.words import Words


class WhySqlite:
    """What SQLite says, word for word."""

    locked = Words("database is locked")
    no_database = Words("file is not a database")
    malformed = Words("database disk image is malformed")
    read_only = Words("attempt to write a readonly database")
    full = Words("database or disk is full")
    broken = Words("disk I/O error")
    not_opened = Words("unable to open database file")


class WhyPostgres:
    """What a database on a server, or its driver, means by what it says."""

    away = Words("cannot be reached")
    cut = Words("the connection was cut")
    wrong_password = Words("wrong password")
    no_password = Words("no password")
    not_let_in = Words("not let in")
    not_trusted = Words("not trusted")
    not_there = Words("not there")
    missing_rights = Words("missing rights")
    locked = Words("locked")
    disk_full = Words("disk full")
    unknown = Words("SQLSTATE {state}")
    no_driver = Words("psycopg is not installed")
    old_server = Words("server version {version}")


class WhyUnusable:
    """What is wrong with the data itself, or with the place where it lies."""

    damaged_row = Words("a row is damaged ({error})")
    not_made_yet = Words("not there yet")
    older = Words("older schema")
    newer = Words(
        "a newer Duskfold wrote it (schema {version}; this program reads up to {most}). It was "
        "left untouched. Install the newer version"
    )
    unfinished = Words("an unfinished copy")
    other_site = Words("another site")
    other_clock = Words("the clock of this host is not the database's")
    network = Words("network file system {kind}")
    read_only = Words("read-only")


class WhyPost:
    """Why messages, or what came of them, do not get on."""

    died = Words("a courier has died")
    not_begun = Words("a courier cannot begin")
    hangs = Words("a send does not come back")


class DatabaseOnServer:
    """A database as a person is told of it; no password stands in it."""

    name = Words("PostgreSQL database {database} on {server}")
    here = Words("this machine")
