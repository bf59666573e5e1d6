"""How the reminders fare: a small file that each tick replaces, and what can be read from it."""

import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from scheduler.service.clock import Readings
from scheduler.service.trust import Trust

HEALTH_NAME = "health.json"
OLDEST_TICK_S = 45.0  # three periods
_READ_AFTER_S = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """The last tick: `complete_boot_s` is when one was last planned, claimed and written down.

    Seconds since boot do not jump when the clock is set. `fault` says why a tick is incomplete,
    `deaf` why answers from phones do not come in, `not_followed` why a changed profile that is
    right in itself is not in force.
    """

    wall: str
    boot_s: float
    complete_boot_s: float | None
    trust: Trust
    profile_number: int
    profile_problems: int = 0
    not_followed: str = ""
    fault: str = ""
    deaf: str = ""
    deaf_since: str = ""
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
    return _is_of_now(pulse.complete_boot_s, pulse, readings)


def _is_of_now(tick_boot_s: float, pulse: Pulse, readings: Readings) -> bool:
    """Whether a tick that began then is the last there can be, in this boot.

    A reader may look at its clock just before the tick begins that it then reads of.
    """
    return -_READ_AFTER_S <= readings.boot_s - tick_boot_s <= pulse.oldest_tick_s


CauseKind = Literal[
    "not-running",
    "nobody",
    "silent",
    "clock-behind",
    "clock-ahead",
    "not-written",
    "not-followed",
    "cut-off",
    "not-getting-through",
    "deaf",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One reason why the reminders cannot be relied on, as a sentence, and what to do about it.

    `remedy` is for a page: no command stands in it. `command` is what a terminal adds.
    """

    kind: CauseKind
    what: str
    remedy: str
    command: str = ""


_WATCH_YOURSELF = "Until then watch the door yourself."


def causes_of(
    pulse: Pulse | None, readings: Readings, said: Callable[[datetime], str]
) -> list[Cause]:
    """What the last tick shows to be wrong now, the worst first; `said` tells an instant."""
    if pulse is None:
        return [
            Cause(
                kind="not-running",
                what="The reminders are not running.",
                remedy=f"Start Duskfold on the machine where it is installed. {_WATCH_YOURSELF}",
                command="Start them: duskfold serve",
            )
        ]
    found = []
    last = said(datetime.fromisoformat(pulse.wall).astimezone(UTC))
    if not _is_of_now(pulse.boot_s, pulse, readings):
        found.append(
            Cause(
                kind="silent",
                what=f"The reminders have not been heard from since {last}.",
                remedy=f"Start Duskfold's machine again, or Duskfold on it. {_WATCH_YOURSELF}",
                command="Start them: duskfold serve",
            )
        )
    if pulse.trust == "untrusted":
        found.append(
            Cause(
                kind="clock-behind",
                what="The clock of this machine is wrong: it shows a time that is already past.",
                remedy=(
                    "No reminders go out until it is right: set the clock of Duskfold's machine, "
                    f"or connect it to the network. {_WATCH_YOURSELF}"
                ),
            )
        )
    if pulse.trust == "doubtful":
        found.append(
            Cause(
                kind="clock-ahead",
                what=(
                    f"The clock of Duskfold's machine may be wrong: it shows {last}, which is far "
                    "ahead of what it showed before."
                ),
                remedy=(
                    "Reminders go by it. If it is right, say so; if not, set the clock of "
                    "Duskfold's machine, or connect it to the network."
                ),
                command="If it is right: duskfold health --agree-clock",
            )
        )
    complete = pulse.complete_boot_s
    if complete is None or readings.boot_s - complete > pulse.oldest_tick_s:
        why = f": {pulse.fault}" if pulse.fault else ""
        found.append(
            Cause(
                kind="not-written",
                what=f"The reminders cannot write down what they do{why}.",
                remedy=(
                    "They go on from memory. Look at the disk of Duskfold's machine: it may be "
                    "full, or may not be written."
                ),
            )
        )
    if pulse.not_followed:
        found.append(
            Cause(
                kind="not-followed",
                what=(
                    f"The changed profile is not in force: {pulse.not_followed}. The old one is in "
                    "force."
                ),
                remedy="Change the profile again, so that somebody can be told by it.",
            )
        )
    elif pulse.profile_problems:
        found.append(
            Cause(
                kind="not-followed",
                what="The changed profile cannot be used; the old one is in force.",
                remedy="Look at the profile again: something in it is not right.",
                command="What is wrong: duskfold check",
            )
        )
    if pulse.deaf:
        heard = pulse.deaf_since and datetime.fromisoformat(pulse.deaf_since).astimezone(UTC)
        since = f" since {said(heard)}" if heard else ""
        found.append(
            Cause(
                kind="deaf",
                what=f"Answers from phones cannot be heard{since}: {pulse.deaf}.",
                remedy="Say on these pages that a door is shut; the buttons on phones do not work.",
            )
        )
    return found


def faults_of(pulse: Pulse | None, readings: Readings) -> list[str]:
    """Every reason why the reminders cannot be relied on now, in plain words; empty when none."""
    return [at_the_terminal(one) for one in causes_of(pulse, readings, _said)]


def at_the_terminal(cause: Cause) -> str:
    """The cause as a terminal says it."""
    return f"{cause.what} {cause.command}".rstrip()


def _said(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"
