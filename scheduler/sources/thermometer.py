"""A keeper's own thermometer: a file that something else writes, read and judged; never written."""

import json
import math
import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Literal

from scheduler.climate.forecast import Measured
from scheduler.wording.sources.thermometers import WhyNotMeasured
from scheduler.wording.told_later import for_later
from scheduler.wording.words import by_code

# What follows is common practice, no source.
COLDEST_C, WARMEST_C = -60.0, 60.0  # beyond these no keeper has measured air
OLDEST = timedelta(hours=2)
JUMP_C = 15.0
JUMP_WITHIN = timedelta(minutes=10)
STUCK_FOR = timedelta(hours=24)
_AHEAD = timedelta(minutes=5)
_MOST_OCTETS = 4096

UnfitKind = Literal[
    "missing",
    "too large",
    "not a reading",
    "outside range",
    "no humidity",
    "old",
    "ahead",
    "jumped",
    "stuck",
]


@dataclass(frozen=True, slots=True)
class Unfit:
    """Why what a thermometer says is not used."""

    kind: UnfitKind

    @property
    def reason(self) -> str:
        """Why, as it is kept."""
        return for_later(by_code(WhyNotMeasured, self.kind))


def look(path: Path, now: datetime, before: Sequence[Measured] = ()) -> Measured | Unfit:
    """What the file shows, judged by the readings `before`; it raises nothing and never waits."""
    try:
        content, written_at = _content(path)
    except (OSError, ValueError):
        return Unfit("missing")
    reading = read(content, written_at)
    return reading if isinstance(reading, Unfit) else judged(reading, before, now)


def _content(path: Path) -> tuple[bytes, datetime]:
    """At most one octet more than is read, and when the file was written.

    Raises:
        OSError: it is not there, cannot be read, or is no ordinary file.
    """
    # A pipe in its place would keep us waiting for whoever writes.
    file = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    with os.fdopen(file, "rb") as opened:
        status = os.fstat(file)
        if not stat.S_ISREG(status.st_mode):
            raise OSError
        return opened.read(_MOST_OCTETS + 1), datetime.fromtimestamp(status.st_mtime, UTC)


def read(content: bytes, written_at: datetime) -> Measured | Unfit:
    """The reading that the content is: `-3.4`, or an object with air_c, humidity and at.

    Without `at` it is of when the file was written.
    """
    if len(content) > _MOST_OCTETS:
        return Unfit("too large")
    try:
        told = json.loads(content)
    except (ValueError, RecursionError):
        told = None
    fields: dict[str, Any] = told if isinstance(told, dict) else {"air_c": told}
    air_c, humidity = _number(fields.get("air_c")), fields.get("humidity")
    at = _instant(fields["at"]) if fields.get("at") is not None else written_at
    if air_c is None or at is None:
        return Unfit("not a reading")
    share = None if humidity is None else _number(humidity)
    if humidity is not None and (share is None or not 0 <= share <= 1):
        return Unfit("no humidity")
    return Measured(at=at, air_c=air_c, humidity=share)


def _number(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return float(value)
    except OverflowError:
        return math.inf


def _instant(value: object) -> datetime | None:
    """An aware ISO 8601 instant in UTC; a time without its zone is none."""
    if not isinstance(value, str):
        return None
    try:
        at = datetime.fromisoformat(value)
        return at.astimezone(UTC) if at.tzinfo else None
    except (ValueError, OverflowError):
        return None


def judged(reading: Measured, before: Sequence[Measured], now: datetime) -> Measured | Unfit:
    """The reading, if it can be believed after those that were believed `before`, in any order."""
    if not COLDEST_C <= reading.air_c <= WARMEST_C:  # NaN is neither
        return Unfit("outside range")
    if reading.at > now + _AHEAD:
        return Unfit("ahead")
    if now - reading.at > OLDEST:
        return Unfit("old")
    earlier = sorted((each for each in before if each.at < reading.at), key=_at, reverse=True)
    if any(
        reading.at - each.at <= JUMP_WITHIN and abs(reading.air_c - each.air_c) > JUMP_C
        for each in earlier
    ):
        return Unfit("jumped")
    return Unfit("stuck") if _stuck(reading, earlier) else reading


def _at(reading: Measured) -> datetime:
    return reading.at


def _stuck(reading: Measured, latest_first: Sequence[Measured]) -> bool:
    """Whether it has been the same, to the digit, for a whole day."""
    since = reading.at
    for each in latest_first:
        if each.air_c != reading.air_c:
            break
        since = each.at
    return reading.at - since >= STUCK_FOR
