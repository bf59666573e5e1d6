"""The journal on a PostgreSQL server, shared by several hosts.

Whoever decides holds one advisory lock alone, whoever only claims and settles holds it beside
others: so of a statement and a claim one is always first, as on SQLite. A host that falls asleep
with the lock loses it.
"""

import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from importlib.util import find_spec
from itertools import chain
from typing import Any

from sqlalchemy import (
    URL,
    Connection,
    Engine,
    TextClause,
    create_engine,
    event,
    make_url,
    text,
)
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.pool import ConnectionPoolEntry

from scheduler.journal import tables
from scheduler.journal.fault import JournalFault, said_of
from scheduler.journal.kept_in import Changes, Look
from scheduler.journal.postgresql_says import ADVICE, OF_STATE, REFUSED
from scheduler.wording.channels.ways import OutcomeKinds
from scheduler.wording.journal.advice import PostgresRefusals
from scheduler.wording.journal.why_unusable import DatabaseOnServer, WhyPostgres, WhyUnusable
from scheduler.wording.told_later import for_later, told
from scheduler.wording.words import Words

OLDEST = 14  # of the servers that are looked after by their makers
_ALONE = text("SELECT pg_advisory_xact_lock(7311092)")
_BESIDE = text("SELECT pg_advisory_xact_lock_shared(7311092)")
# A transaction that has written nothing has no number of its own, and changes nothing.
_COUNTED = text(
    "UPDATE change SET number = number + 1 "
    "WHERE slot = :slot AND pg_current_xact_id_if_assigned() IS NOT NULL"
)
_LOOK = text(
    "SELECT (SELECT oid FROM pg_database WHERE datname = current_database())::bigint, "
    "(SELECT coalesce(sum(number), 0) FROM change)::bigint, "
    "extract(epoch FROM clock_timestamp())::float8"
)
_IS_THERE = text("SELECT 1")
# A host that fell asleep, or whose cable was pulled, must not keep the others from their work.
_SETTINGS = {
    "lock_timeout": "{wait_ms}ms",
    "statement_timeout": "30s",
    "idle_in_transaction_session_timeout": "10s",
    "client_connection_check_interval": "5s",
    "application_name": "duskfold",
}
_WAITS = {  # of the connection, in seconds; the last in milliseconds
    "keepalives_idle": 5,
    "keepalives_interval": 2,
    "keepalives_count": 3,
    "tcp_user_timeout": 10_000,
}


@dataclass(frozen=True, slots=True)
class PostgresServer:
    """A database of a server; whoever meets a lock waits `wait_ms` for it.

    `url` begins with postgresql: and may hold a password, which is shown nowhere.
    """

    url: str = field(repr=False)
    wait_ms: int

    @property
    def name(self) -> str:
        """Server and database, without user or password."""
        return self._called(Words.__call__)

    @property
    def known_as(self) -> str:
        """The same in every language."""
        return self._called(for_later)

    def _called(self, say: Callable[..., str]) -> str:
        found = _parsed(self.url)
        at = found.query.get("host") or found.host or say(DatabaseOnServer.here)
        at = at if isinstance(at, str) else ", ".join(at)
        server = f"{at}:{found.port}" if found.port else at
        database = found.database or found.username or ""
        return say(DatabaseOnServer.name, database=database, server=server)

    def engine(self) -> Engine:
        """Connections to the server, each made when it is first needed."""
        if find_spec("psycopg") is None:
            raise JournalFault(
                PostgresRefusals.no_driver(), for_later(WhyPostgres.no_driver), is_refused=True
            )
        waits = _WAITS | {"connect_timeout": max(2, self.wait_ms // 1000)}
        found = _parsed(self.url).set(drivername="postgresql+psycopg")
        try:
            engine = create_engine(found, connect_args=waits)
        except ArgumentError as error:
            raise self.fault(error) from error
        _settle(engine, self)
        return engine

    @contextmanager
    def reading(self, engine: Engine) -> Iterator[Connection]:
        """A transaction in which everything is of one moment."""
        of_one_moment = engine.execution_options(
            isolation_level="REPEATABLE READ", postgresql_readonly=True
        )
        with _begun(of_one_moment, _IS_THERE) as connection:
            yield connection

    @contextmanager
    def writing(self, engine: Engine, *, beside: bool) -> Iterator[Connection]:
        """A transaction that waits for those it must not run beside; it counts as a change."""
        with _begun(engine, _BESIDE if beside else _ALONE) as connection:
            yield connection
            connection.execute(_COUNTED, {"slot": os.getpid() % tables.CHANGE_SLOTS})

    def noting(self, engine: Engine) -> AbstractContextManager[Connection]:
        """A connection without a transaction, which waits for nobody."""
        return _at_once(engine).connect()

    def look(self, engine: Engine) -> Look:
        """The database's identity, how often it was written, and the server's time of day."""
        connection, (identity, number, seconds) = _asked(_at_once(engine), _LOOK)
        connection.close()
        return Look(Changes(identity, number), datetime.fromtimestamp(seconds, UTC))

    def fault(self, error: Exception) -> JournalFault:
        """What the server's or the driver's error means; its text is cut at the first line."""
        if not isinstance(error, DBAPIError | ArgumentError):  # its text may hold the row's
            damaged = for_later(WhyUnusable.damaged_row, error=type(error).__name__)
            return JournalFault(said_of(self.name, told(damaged), None), damaged)
        said = str(error.orig if isinstance(error, DBAPIError) else error)
        state = _state(error)
        sign = OF_STATE.get(state) or next((one for one in ADVICE if one in said.lower()), "")
        is_cut = isinstance(error, DBAPIError) and (error.connection_invalidated or not state)
        why, advice = ADVICE.get(sign, (WhyPostgres.cut if is_cut else WhyPostgres.unknown, None))
        first = said.splitlines()[0].removesuffix(".") if said else type(error).__name__
        return JournalFault(
            said_of(self.name, first, advice),
            for_later(why, state=state),
            is_locked=why is WhyPostgres.locked,
            is_away=why in {WhyPostgres.away, WhyPostgres.cut},
            is_cut=why is WhyPostgres.cut,
            is_refused=why in REFUSED,
        )


def _state(error: Exception) -> str:
    """The five signs by which the SQL standard knows the error; empty where the driver has none."""
    orig = error.orig if isinstance(error, DBAPIError) else None
    return getattr(orig, "sqlstate", None) or ""


def _parsed(url: str) -> URL:
    try:
        return make_url(url)
    except (ArgumentError, ValueError) as error:
        raise JournalFault(
            PostgresRefusals.bad_address(), for_later(OutcomeKinds.bad_address), is_refused=True
        ) from error


def _at_once(engine: Engine) -> Engine:
    """For statements without a transaction: each costs one way there and back."""
    return engine.execution_options(isolation_level="AUTOCOMMIT")


@contextmanager
def _begun(engine: Engine, first: TextClause) -> Iterator[Connection]:
    """A transaction in which that was asked first; kept whole or not at all."""
    connection, _ = _asked(engine, first)
    with connection:
        yield connection
        connection.commit()


def _asked(engine: Engine, first: TextClause) -> tuple[Connection, tuple[Any, ...]]:
    """A connection on which that was asked first, and its answer.

    One that was cut while nobody used it is no fault: another is made. To find that out beforehand
    would cost one more way there and back each time.
    """
    connection = engine.connect()
    try:
        return connection, tuple(connection.execute(first).one())
    except DBAPIError as error:
        connection.close()
        if not error.connection_invalidated:
            raise
    connection = engine.connect()
    try:
        return connection, tuple(connection.execute(first).one())
    except BaseException:
        connection.close()
        raise


def _settle(engine: Engine, server: PostgresServer) -> None:
    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _: ConnectionPoolEntry) -> None:  # noqa: ANN401 - DB-API
        major = connection.info.server_version // 10_000
        if major < OLDEST:
            connection.close()
            raise JournalFault(
                PostgresRefusals.old_server(name=server.name, version=major, oldest=OLDEST),
                for_later(WhyPostgres.old_server, version=major),
                is_refused=True,
            )
        with connection.cursor() as cursor:
            asked = ", ".join(["set_config(%s, %s, false)"] * len(_SETTINGS))
            given = [(name, one.format(wait_ms=server.wait_ms)) for name, one in _SETTINGS.items()]
            cursor.execute(f"SELECT {asked}", [*chain.from_iterable(given)])
        connection.commit()
