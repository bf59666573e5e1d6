"""Of which days something can still be said: none that is to come, none of long ago."""

from datetime import date, timedelta
from typing import Literal

from scheduler.service.diary import Refused
from scheduler.wording.service.days import DaySpokenOf

SAID_WITHIN = timedelta(days=60)  # a day further back is a slip of the pen
DayKind = Literal["evening", "day"]


def is_too_late(day: date, today: date) -> bool:
    """Whether that day is too long ago for anybody to know."""
    return day < today - SAID_WITHIN


def cannot_be_of(day: date, today: date, key: str, kind: DayKind) -> Refused | None:
    """Why nobody can know that of such a day yet, or any more."""
    is_evening = kind == "evening"
    if day > today:
        past = DaySpokenOf.past_evening if is_evening else DaySpokenOf.past_day
        return Refused(key=key, found=day.isoformat(), accepted=past(), is_typed=True)
    if is_too_late(day, today):
        recent = DaySpokenOf.recent_evening if is_evening else DaySpokenOf.recent_day
        asked = DaySpokenOf.which_evening if is_evening else DaySpokenOf.which_day
        return Refused(
            key=key,
            found=day.isoformat(),
            accepted=recent(days=SAID_WITHIN.days),
            question=asked(),
            is_typed=True,
        )
    return None
