"""How the reminders fare: a small file that each tick replaces, and what can be read from it."""

import json
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from scheduler.service.clock import Readings
from scheduler.service.trust import Trust

HEALTH_NAME = "health.json"
OLDEST_TICK_S = 45.0  # three periods


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """The last tick: `complete_boot_s` is when one was last planned, claimed and written down.

    Seconds since boot do not jump when the clock is set. `fault` says why a tick is incomplete,
    `deaf` why answers from phones do not come in.
    """

    wall: str
    boot_s: float
    complete_boot_s: float | None
    trust: Trust
    profile_number: int
    profile_problems: int = 0
    fault: str = ""
    deaf: str = ""
    oldest_tick_s: float = OLDEST_TICK_S


def write_pulse(folder: Path, pulse: Pulse) -> None:
    """Replaces the file by rename; a disk that takes nothing is no reason to stop."""
    path, draft = folder / HEALTH_NAME, folder / f".{HEALTH_NAME}"
    try:
        draft.write_text(json.dumps(asdict(pulse)), encoding="utf-8")
        draft.replace(path)
    except OSError:
        # The old file grows old, which is what a reader is to see.
        with suppress(OSError):
            draft.unlink()


def read_pulse(folder: Path) -> Pulse | None:
    """The last tick that was told of, or None."""
    try:
        return Pulse(**json.loads((folder / HEALTH_NAME).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None


def is_beating(pulse: Pulse | None, readings: Readings) -> bool:
    """Whether ticks come and are complete, whatever else there is to say."""
    if pulse is None or pulse.complete_boot_s is None:
        return False
    age_s = readings.boot_s - pulse.complete_boot_s
    return 0 <= age_s <= pulse.oldest_tick_s


def faults_of(pulse: Pulse | None, readings: Readings) -> list[str]:
    """Every reason why the reminders cannot be relied on now, in plain words; empty when none."""
    if pulse is None:
        return ["The reminders are not running: start `duskfold watch`."]
    found = []
    age_s = readings.boot_s - pulse.boot_s
    if not 0 <= age_s <= pulse.oldest_tick_s:
        found.append(f"The reminders have not been heard from since {_said(pulse.wall)}.")
    complete = pulse.complete_boot_s
    if complete is None or readings.boot_s - complete > pulse.oldest_tick_s:
        why = f": {pulse.fault}" if pulse.fault else ""
        found.append(f"The reminders cannot write down what they do{why}.")
    if pulse.deaf:
        found.append(f"Answers from phones cannot be heard: {pulse.deaf}.")
    if pulse.trust == "untrusted":
        found.append("The clock of this machine is wrong: it shows a time that is already past.")
    if pulse.profile_problems:
        found.append(
            "The changed profile cannot be used (duskfold check); the old one is in force."
        )
    return found


def _said(wall: str) -> str:
    return f"{datetime.fromisoformat(wall).astimezone(UTC):%Y-%m-%d %H:%M} UTC"
