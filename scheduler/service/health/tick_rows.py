"""How the reminders of several hosts fare: a row each in the journal that they share."""

from dataclasses import dataclass, replace
from datetime import timedelta

from sqlalchemy import delete, select

from scheduler.journal import tables
from scheduler.journal.rows import insert_or_replace
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.service.health.tick_file import Pulse, as_text, read_text

_FORGOTTEN_AFTER = timedelta(days=7)
_TABLE = tables.process


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
    """Tells of a tick, by the journal's clock; what is a week old is forgotten.

    Raises:
        JournalFault: it cannot be written.
    """
    now = journal.time()
    if now is None:
        return
    row = {"site_id": site_id, "name": name, "pulse": as_text(pulse), "told_at": now}
    with journal.noting() as connection:
        insert_or_replace(connection, _TABLE, [row])
        old = _TABLE.c.told_at < now - _FORGOTTEN_AFTER
        connection.execute(delete(_TABLE).where(old))


def read(journal: Journal, readings: Readings) -> list[HostPulse]:
    """The last tick of every process, the one that fares best first.

    Raises:
        JournalFault: it cannot be read.
    """
    now = journal.time()
    with journal.reading() as connection:
        rows = connection.execute(select(_TABLE).order_by(_TABLE.c.name)).all()
    found = [
        HostPulse(
            name=row.name,
            pulse=_here(pulse, readings.boot_s - (now - row.told_at).total_seconds()),
        )
        for row in rows
        if now is not None and (pulse := read_text(row.pulse))
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
