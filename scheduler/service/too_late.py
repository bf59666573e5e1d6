"""Of which days something can still be said: none that is to come, none of long ago."""

from datetime import date, timedelta
from typing import Literal

from scheduler.service.diary import Refused

SAID_WITHIN = timedelta(days=60)  # a day further back is a slip of the pen
DayKind = Literal["evening", "day"]


def is_too_late(day: date, today: date) -> bool:
    """Whether that day is too long ago for anybody to know."""
    return day < today - SAID_WITHIN


def cannot_be_of(day: date, today: date, key: str, kind: DayKind) -> Refused | None:
    """Why nobody can know that of such a day yet, or any more."""
    if day > today:
        past = "tonight or an evening before" if kind == "evening" else "today or a day before"
        return Refused(key=key, found=day.isoformat(), accepted=past)
    if is_too_late(day, today):
        a_day = "an evening" if kind == "evening" else "a day"
        return Refused(
            key=key,
            found=day.isoformat(),
            accepted=f"{a_day} in the last {SAID_WITHIN.days} days",
            question=f"That is too long ago for anybody to know. Which {kind} do you mean?",
        )
    return None
