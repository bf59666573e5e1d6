"""Copy a whole journal to another place, unless reminders still write into either."""

from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from scheduler.journal.copy_whole import Copied, Tell, copy_whole
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import kept_in_at, unopened
from scheduler.machine.clock import Readings
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.service.data_place import DataPlace
from scheduler.service.health.pulses import every_pulse
from scheduler.service.health.tick_file import is_beating, read_pulse

Place = Path | str
_SERVER = "postgresql://"
_LONGEST = 4096  # octets of an address


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyOf:
    """What was copied, and both places as a person is told of them."""

    source: str
    target: str
    tables: tuple[Copied, ...]


@dataclass(frozen=True, slots=True)
class InUse:
    """Reminders write into these places; nothing was done."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NotCopied:
    """Why not; `is_refused`: trying again does not help, and nothing was changed."""

    why: str
    is_refused: bool


def place_named(text: str) -> Place | None:
    """The file, the file in a data folder, or the address of a server; None for anything else.

    A file that holds an address stands for it: so no password is on a command line.

    Raises:
        OSError: it may not be read.
    """
    if text.startswith(_SERVER):
        return text
    if not text.strip() or "://" in text or "\0" in text:
        return None
    path = Path(text)
    if path.is_dir():
        return path / JOURNAL_NAME
    if path.is_file():
        with path.open("rb") as file:
            start = file.read(_LONGEST).decode("utf-8", "replace").strip()
        if start.startswith(_SERVER):
            return start
    return path


def copy_journal(
    source: Place, target: Place, readings: Readings, tell: Tell, *, sure: bool
) -> CopyOf | InUse | NotCopied:
    """Copies it; unless somebody is `sure`, not while reminders write into one of the two."""
    try:
        places = {_named(place): place for place in (source, target)}
        used = () if sure else [n for n, place in places.items() if _is_in_use(place, readings)]
        if used:
            return InUse(tuple(used))
        copied = copy_whole(source, target, tell)
    except JournalFault as fault:
        return NotCopied(str(fault), fault.is_refused)
    return CopyOf(source=_named(source), target=_named(target), tables=copied)


def _named(place: Place) -> str:
    return kept_in_at(place).name


def _is_in_use(place: Place, readings: Readings) -> bool:
    if isinstance(place, Path):
        own = place.name == JOURNAL_NAME
        return own and is_beating(read_pulse(place.parent), readings)
    with closing(unopened(place)) as journal:
        hosts = every_pulse(DataPlace(Path(), place), journal, readings)
    return any(is_beating(one.pulse, readings) for one in hosts)
