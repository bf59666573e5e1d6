"""How the reminders of several hosts fare: a row each in the journal on the server they share."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import BigInteger, bindparam, cast, delete, func, select, type_coerce
from sqlalchemy.dialects.postgresql import Insert, insert

from scheduler.journal import tables
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.service.health.tick_file import Pulse, as_text, read_text

_FORGOTTEN_AFTER = timedelta(days=7)
_TABLE = tables.process


def _tell() -> Insert:
    """One statement: every tick makes it."""
    now = cast(func.floor(func.extract("epoch", func.clock_timestamp())), BigInteger)
    of, name = _TABLE.c, bindparam("process", type_=_TABLE.c.name.type)
    week_s = int(_FORGOTTEN_AFTER.total_seconds())
    old = delete(_TABLE).where(type_coerce(of.told_at, BigInteger) < now - week_s, of.name != name)
    told = insert(_TABLE).values(
        site_id=bindparam("site"), name=name, pulse=bindparam("told"), told_at=now
    )
    newer = {"pulse": told.excluded.pulse, "told_at": told.excluded.told_at}
    replacing = told.on_conflict_do_update(index_elements=[*_TABLE.primary_key], set_=newer)
    return replacing.add_cte(old.cte("old"))


_TELL = _tell()


@dataclass(frozen=True, slots=True, kw_only=True)
class HostPulse:
    """The last tick of one process, in the reader's seconds since boot."""

    name: str
    pulse: Pulse

    @property
    def machine(self) -> str:
        """The machine's name alone."""
        return self.name.partition(" ")[0]


def write(journal: Journal, site_id: str, name: str, pulse: Pulse) -> None:
    """Tells of a tick, by the server's clock; what is a week old is forgotten.

    Raises:
        JournalFault: it cannot be written.
    """
    with journal.noting() as connection:
        connection.execute(_TELL, {"site": site_id, "process": name, "told": as_text(pulse)})


def read(journal: Journal, readings: Readings) -> list[HostPulse]:
    """The last tick of every process, the one that fares best first.

    Raises:
        JournalFault: it cannot be read.
    """
    now = journal.time()
    return read_at(journal, now, readings) if now is not None else []


def read_at(journal: Journal, now: datetime, readings: Readings) -> list[HostPulse]:
    """As `read`, when it is `now` by the server's clock.

    Raises:
        JournalFault: it cannot be read.
    """
    with journal.reading() as connection:
        rows = connection.execute(select(_TABLE).order_by(_TABLE.c.name)).all()
    found = [
        HostPulse(
            name=row.name,
            pulse=_here(pulse, readings.boot_s - (now - row.told_at).total_seconds()),
        )
        for row in rows
        if (pulse := read_text(row.pulse))
    ]
    return sorted(found, key=lambda one: _worth(one.pulse), reverse=True)


def _here(pulse: Pulse, boot_s: float) -> Pulse:
    """The same tick by this machine's seconds since boot."""
    if pulse.complete_boot_s is None:
        return replace(pulse, boot_s=boot_s)
    return replace(
        pulse, boot_s=boot_s, complete_boot_s=boot_s - (pulse.boot_s - pulse.complete_boot_s)
    )


def _worth(pulse: Pulse) -> tuple[bool, float, float]:
    complete_s = pulse.complete_boot_s
    return not pulse.stopped, float("-inf") if complete_s is None else complete_s, pulse.boot_s
