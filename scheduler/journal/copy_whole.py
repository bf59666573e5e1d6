"""A whole journal copied from one place to another, whichever engine each is kept in.

Rows go over as the engine has them, by primary key, and each batch is committed: a copy that ends
early goes on after the last key that arrived. Until the end nobody can open what is copied into.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from hashlib import sha256
from itertools import zip_longest
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, delete, func, insert, literal, select, tuple_

from scheduler.journal import copy_marked, tables
from scheduler.journal.copied_tables import COPIED
from scheduler.journal.fault import JournalFault
from scheduler.journal.schema import version_of
from scheduler.journal.store import Journal, unopened
from scheduler.wording.journal.advice import CopyDoing, CopyRefusals

ROWS = 500  # of a batch
Tell = Callable[[str, int, int], None]  # what is done with so many rows, of so many


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """A table: how many rows both sides have, and the SHA-256 of them that both sides gave.

    `before` rows were there already, from a copy that was not finished.
    """

    table: str
    rows: int
    before: int
    digest: str


@dataclass(slots=True)
class _Told:
    """Adds the rows up, for whoever is told."""

    tell: Tell
    doing: str
    of: int
    rows: int = 0

    def add(self, rows: int) -> None:
        self.rows = min(self.rows + rows, self.of)
        self.tell(self.doing, self.rows, self.of)


@dataclass(slots=True)
class _Digest:
    """The rows of a table in the order of their keys."""

    rows: int = 0
    _sum: Any = field(default_factory=sha256)

    def add(self, rows: Sequence[Mapping[str, Any]]) -> None:
        self.rows += len(rows)
        for row in rows:
            self._sum.update(repr(tuple(row.values())).encode("utf-8", "surrogatepass"))

    @property
    def said(self) -> tuple[int, str]:
        return self.rows, self._sum.hexdigest()


def copy_whole(
    source: Path | str, target: Path | str, tell: Tell = lambda *_: None
) -> tuple[Copied, ...]:
    """Copies every row that cannot be computed again, and reads all of it again from both sides.

    The source is only read, as it was at one moment. Goes on with a copy of the same source that
    was not finished; an empty journal in the target's place is made anew.

    Raises:
        JournalFault: refused, then nothing was changed; or either failed, then it can go on.
    """
    _refuse_same_file(source, target)
    with closing(unopened(source)) as old, old.reading() as kept:
        _refuse_unreadable(old.kept_in.name, kept)
        with closing(unopened(target)) as new:
            _refuse_same_database(old, kept, new)
            with new.writing() as writing:
                copy_marked.begin(writing.connection, new.kept_in.name, of=old.kept_in.known_as)
            found = tuple(_Copy(old, kept, new, tell).all())
            with _going_on(new) as connection:
                copy_marked.finish(connection)
    return found


@dataclass(frozen=True, slots=True)
class _Copy:
    """From the old, in its one transaction, into the new."""

    old: Journal
    kept: Connection
    new: Journal
    tell: Tell

    def all(self) -> Iterator[Copied]:
        with self.old.faults():
            of = sum(_count(self.kept, table) for table in COPIED)
        copied, checked = (
            _Told(self.tell, CopyDoing.copied(), of),
            _Told(self.tell, CopyDoing.checked(), of),
        )
        before = [self._copy(table, copied) for table in COPIED]
        for table, there in zip(COPIED, before, strict=True):
            yield self._check(table, there, checked)

    def _copy(self, table: Table, told: _Told) -> int:
        """Copies what comes after the greatest key that is there; how many there were."""
        keys = [*table.primary_key]
        with self.new.reading() as there:
            before = _count(there, table)
            greatest = select(*keys).order_by(*(key.desc() for key in keys)).limit(1)
            last = there.execute(greatest).one_or_none()
        told.add(before)
        for rows in _pages(self.old, self.kept, table, last):
            with _in_table(table.name), _going_on(self.new) as connection:
                connection.execute(insert(table), rows)
            told.add(len(rows))
        return before

    def _check(self, table: Table, before: int, told: _Told) -> Copied:
        """Compares both sides; what a source that has changed since left is copied once more."""
        (rows, digest), there = self._read(table, told)
        if there != (rows, digest):
            with _going_on(self.new) as connection:
                connection.execute(delete(table))
            again = _Told(self.tell, CopyDoing.once_more(), rows)
            before = self._copy(table, again)
            (rows, digest), there = self._read(table, again)
        if there != (rows, digest):
            name = self.new.kept_in.name
            raise JournalFault(CopyRefusals.not_equal(name=name, table=table.name), "not-equal")
        return Copied(table=table.name, rows=rows, before=before, digest=digest)

    def _read(self, table: Table, told: _Told) -> tuple[tuple[int, str], tuple[int, str]]:
        # Side by side: neither server is left waiting until it cuts the line.
        ours, theirs = _Digest(), _Digest()
        with self.new.reading() as there:
            both = _pages(self.old, self.kept, table), _pages(self.new, there, table)
            for one, other in zip_longest(*both, fillvalue=()):
                ours.add(one)
                theirs.add(other)
                told.add(len(one))
        return ours.said, theirs.said


def _count(connection: Connection, table: Table) -> int:
    return connection.execute(select(func.count()).select_from(table)).scalar_one()


def _pages(
    journal: Journal, connection: Connection, table: Table, last: Sequence[Any] | None = None
) -> Iterator[list[dict[str, Any]]]:
    """The rows after that key, in the order of their keys."""
    keys = [*table.primary_key]
    asked = select(table).order_by(*keys).limit(ROWS)
    while True:
        page = asked
        if last is not None:
            after = (literal(value, key.type) for value, key in zip(last, keys, strict=True))
            page = asked.where(tuple_(*keys) > tuple_(*after))
        with journal.faults():
            rows = [dict(row) for row in connection.execute(page).mappings()]
        if rows:
            yield rows
        if len(rows) < ROWS:
            return
        last = [rows[-1][key.name] for key in keys]


@contextmanager
def _going_on(journal: Journal) -> Iterator[Connection]:
    """A write transaction; ends when somebody else has finished the copy meanwhile."""
    with journal.writing() as writing:
        if not copy_marked.is_unfinished(writing.connection):
            finished = CopyRefusals.finished(name=journal.kept_in.name)
            raise JournalFault(finished, "finished-by-another")
        yield writing.connection


@contextmanager
def _in_table(name: str) -> Iterator[None]:
    """Says of a fault where it was."""
    try:
        yield
    except JournalFault as fault:
        raise JournalFault(
            CopyRefusals.in_table(fault=fault, table=name),
            fault.reason,
            is_locked=fault.is_locked,
            is_refused=fault.is_refused,
        ) from fault


def _refuse_unreadable(name: str, connection: Connection) -> None:
    version, min_reader = version_of(connection)
    if version == tables.VERSION and min_reader != tables.UNFINISHED:
        return
    if not version:
        refusal = CopyRefusals.no_journal
    elif min_reader == tables.UNFINISHED:
        refusal = CopyRefusals.unfinished
    elif version < tables.VERSION:
        refusal = CopyRefusals.older
    else:
        refusal = CopyRefusals.newer
    raise JournalFault(refusal(name=name), "unreadable", is_refused=True)


def _refuse_same_file(source: Path | str, target: Path | str) -> None:
    if isinstance(source, Path):
        if not source.is_file():
            raise JournalFault(CopyRefusals.no_file(path=source), "no-such-file", is_refused=True)
        if isinstance(target, Path) and target.exists() and source.samefile(target):
            _refuse_same(str(source))


def _refuse_same_database(old: Journal, kept: Connection, new: Journal) -> None:
    """Two addresses may lead to one database."""
    if kept.dialect.name != "postgresql" or new.engine.dialect.name != "postgresql":
        return
    asked = select(
        func.pg_postmaster_start_time(),
        func.current_database(),
        func.current_schema(),
    )
    with new.reading() as there:
        theirs = there.execute(asked).one()
    with old.faults():
        ours = kept.execute(asked).one()
    if ours == theirs:
        _refuse_same(old.kept_in.name)


def _refuse_same(name: str) -> None:
    raise JournalFault(CopyRefusals.same_place(name=name), "same-place", is_refused=True)
