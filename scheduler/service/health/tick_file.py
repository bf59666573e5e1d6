"""How the reminders fare: a small file that each tick replaces, and what can be read from it."""

import json
from contextlib import suppress
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from typing import Any, Literal

from scheduler.machine.clock import Readings
from scheduler.machine.clock_trust import Trust
from scheduler.service.reachable import Lack

HEALTH_NAME = "health.json"
OLDEST_TICK_S = 45.0  # three periods
READ_AFTER_S = 5.0


NotFollowed = Literal["nobody", "another-site", "secret", "secret-file"]


GapOf = Literal["service", "warnings", "sensor", "ending"]


@dataclass(frozen=True, slots=True)
class WeatherGap:
    """A weather service that gave nothing new or will end, a thermometer not used, and why."""

    of: GapOf
    name: str
    why: str  # as it is kept


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """The last tick: `complete_boot_s` is when one was last planned, claimed and written down.

    Seconds since boot do not jump when the clock is set. `fault` says why a tick is incomplete,
    `deaf` why answers from phones do not come in, `not_followed` why a changed profile that is
    right in itself is not in force; `unplanned` are the houses without a plan of their evening,
    `lacks` the secrets that are missing, `differs` that the host's file is not the profile in
    force, `ahead_s` how far its clock is ahead of the others' where that is too far, `other_key`
    that links made on it are unknown on the others, `gaps` what of the weather is not told,
    `heartbeat` that somebody elsewhere waits for its visits.
    `stopped`: no other tick follows, and `wall` says since when.
    """

    wall: str
    boot_s: float
    complete_boot_s: float | None
    trust: Trust
    profile_number: int
    profile_problems: int = 0
    not_followed: str = ""
    not_followed_kind: NotFollowed = "nobody"
    unplanned: tuple[str, ...] = ()
    lacks: tuple[Lack, ...] = ()
    differs: bool = False
    ahead_s: float = 0.0
    other_key: bool = False
    gaps: tuple[WeatherGap, ...] = ()
    heartbeat: bool = False
    fault: str = ""
    deaf: str = ""
    deaf_since: str = ""
    oldest_tick_s: float = OLDEST_TICK_S
    stopped: bool = False


class OwnPulse:
    """What this process tells in the file, beside others that may tell of themselves there."""

    def __init__(self, folder: Path) -> None:
        """Nothing has been told yet."""
        self._folder = folder
        self._told: Pulse | None = None
        self._other: Pulse | None = None

    def beat(self, pulse: Pulse) -> None:
        """Tells of a tick."""
        before = read_pulse(self._folder)
        if before and before != self._told and not before.stopped:
            self._other = before
        write_pulse(self._folder, pulse)
        self._told = pulse

    def stop(self, readings: Readings) -> None:
        """Tells that no tick follows, unless another process has just told that it runs."""
        last, other = self._told, self._other
        if last is None or read_pulse(self._folder) != last:
            return
        if other is None or not is_of_now(other.boot_s, other, readings):
            at = readings.wall.isoformat()
            write_pulse(self._folder, replace(last, stopped=True, wall=at))


def write_pulse(folder: Path, pulse: Pulse) -> None:
    """Replaces the file by rename; a disk that takes nothing is no reason to stop."""
    path, draft = folder / HEALTH_NAME, folder / f".{HEALTH_NAME}"
    try:
        draft.write_text(as_text(pulse), encoding="utf-8")
        draft.replace(path)
    except OSError:
        # The old file grows old, which is what a reader is to see.
        with suppress(OSError):
            draft.unlink()


def read_pulse(folder: Path) -> Pulse | None:
    """The last tick that was told of, or None."""
    try:
        return read_text((folder / HEALTH_NAME).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None


def as_text(pulse: Pulse) -> str:
    """The tick as JSON."""
    return json.dumps(asdict(pulse))


def read_text(text: str) -> Pulse | None:
    """The tick that the text tells of; None for one that is unreadable."""
    try:
        told = json.loads(text)
        lacks = tuple(Lack(**_known(Lack, one)) for one in told.get("lacks", ()))
        gaps = tuple(WeatherGap(**_known(WeatherGap, one)) for one in told.get("gaps", ()))
        lists = {"unplanned": tuple(told.get("unplanned", ())), "lacks": lacks, "gaps": gaps}
        return Pulse(**_known(Pulse, told) | lists)
    except (ValueError, TypeError, AttributeError):
        return None


def _known(kind: type[Pulse | Lack | WeatherGap], told: dict[str, Any]) -> dict[str, Any]:
    """Without what a newer version tells beside: its tick is one all the same."""
    names = {one.name for one in fields(kind)}
    return {name: value for name, value in told.items() if name in names}


def is_beating(pulse: Pulse | None, readings: Readings) -> bool:
    """Whether ticks come and are complete, whatever else there is to say."""
    if pulse is None or pulse.complete_boot_s is None:
        return False
    return is_of_now(pulse.complete_boot_s, pulse, readings)


def is_of_now(tick_boot_s: float, pulse: Pulse, readings: Readings) -> bool:
    """Whether a tick that began then is the last there can be, in this boot, and others follow.

    A reader may look at its clock just before the tick begins that it then reads of.
    """
    is_late = not -READ_AFTER_S <= readings.boot_s - tick_boot_s <= pulse.oldest_tick_s
    return not (is_late or pulse.stopped)
