"""The last tick wherever it is told: in the host's own file, or in the journal that hosts share."""

from contextlib import suppress
from dataclasses import dataclass, field, replace

from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.service.data_place import DataPlace
from scheduler.service.health import tick_rows
from scheduler.service.health.tick_file import OwnPulse, Pulse, read_pulse
from scheduler.service.health.tick_rows import HostPulse


def last_pulse(place: DataPlace, journal: Journal | None, readings: Readings) -> Pulse | None:
    """The last tick of the reminders; of several hosts' that which fares best.

    None where there was none, or where nobody can know.
    """
    if not place.server:
        return read_pulse(place.folder)
    found = every_pulse(place, journal, readings)
    # While the server is away this host's own file knows how this host fares.
    return found[0].pulse if found else read_pulse(place.folder)


def every_pulse(
    place: DataPlace, journal: Journal | None, readings: Readings
) -> tuple[HostPulse, ...]:
    """The last tick of each host, the one that fares best first; nothing where none are shared."""
    if not place.server or journal is None:
        return ()
    with suppress(JournalFault):
        return tuple(tick_rows.read(journal, readings))
    return ()


@dataclass(slots=True)
class ToldPulse:
    """What this process tells of its ticks: in its file, and where hosts share a journal there."""

    place: DataPlace
    name: str
    _file: OwnPulse = field(init=False)
    _told: tuple[str, Pulse] | None = None

    def __post_init__(self) -> None:
        """Nothing has been told yet."""
        self._file = OwnPulse(self.place.folder)

    def beat(self, journal: Journal, site_id: str, pulse: Pulse, *, is_away: bool) -> None:
        """Tells of a tick; a journal that cannot be written is what the tick itself tells of."""
        self._file.beat(pulse)
        self._told = (site_id, pulse)
        if self.place.server and not is_away:  # each try would cost five seconds
            with suppress(JournalFault):
                tick_rows.write(journal, site_id, self.name, pulse)

    def stop(self, journal: Journal, readings: Readings) -> None:
        """Tells that no tick follows."""
        self._file.stop(readings)
        if self.place.server and self._told:
            site_id, last = self._told
            over = replace(last, stopped=True, wall=readings.wall.isoformat())
            with suppress(JournalFault):
                tick_rows.write(journal, site_id, self.name, over)
