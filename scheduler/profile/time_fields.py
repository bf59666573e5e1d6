"""How a date, a time of day or a time zone is read."""

import re
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, date, time, tzinfo
from typing import Any

from pydantic import ValidationInfo

from scheduler.profile.problem import Unreadable, meant_day
from scheduler.wording.profile.problem_words import Meant
from scheduler.wording.profile.reading_words import Moments
from scheduler.wording.words import Words

_CLOCK = re.compile(r"(\d{1,2})(?::(\d{2}))?(?::00)?\s*([ap]\.?m\.?)?", re.IGNORECASE)


def read_wall_time(value: object) -> time:
    """A wall-clock time: "22:30", "10:30 pm", or a TOML time.

    Raises:
        Unreadable: anything else, or seconds other than zero.
    """
    return _wall_time(value, Moments.time_of_day)


def _wall_time(value: object, accepted: Words) -> time:
    if isinstance(value, time):
        if value.tzinfo or value.second or value.microsecond:
            raise Unreadable(accepted())
        return value
    found = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found or not (found[2] or found[3]):
        raise Unreadable(accepted(), _with_colon(value))
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3]:
        if not 1 <= hour <= 12:  # noqa: PLR2004 - a twelve-hour clock
            raise Unreadable(accepted())
        hour = hour % 12 + (12 if found[3].lower().startswith("p") else 0)
    if hour > 23 or minute > 59:  # noqa: PLR2004 - a clock
        raise Unreadable(accepted())
    return time(hour, minute)


def _with_colon(value: object) -> str:
    """The clock that was meant where the minutes stand behind a point, as half of Europe writes."""
    text = f"{value:.2f}" if isinstance(value, float) else str(value).strip()
    meant = re.fullmatch(r"([01]?\d|2[0-3])[.,h]([0-5]\d)", text)
    return Meant.spelling(spelling=f"{meant[1]}:{meant[2]}") if meant else ""


def read_optional_wall_time(value: Any, _: ValidationInfo) -> time | None:  # noqa: ANN401 - as above
    if value is None or (isinstance(value, str) and value.strip().lower() == "none"):
        return None
    return _wall_time(value, Moments.time_or_none)


def read_date(value: Any, _: ValidationInfo) -> date:  # noqa: ANN401 - as above
    if type(value) is date:
        return value
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value.strip()):
        with suppress(ValueError):
            return date.fromisoformat(value.strip())
    raise Unreadable(Moments.date(), meant_day(str(value)))


def read_zone(value: Any, info: ValidationInfo) -> tzinfo:  # noqa: ANN401 - as above
    if isinstance(value, tzinfo):
        return value
    if value is None:
        return UTC  # not known because something else is wrong, which is told there
    context: Mapping[str, Any] = info.context or {}
    if not isinstance(value, str):
        raise Unreadable(Moments.zone())
    zone: tzinfo = context["zone"](value)
    return zone
