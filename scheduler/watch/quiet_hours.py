"""The hours that people sleep through: nobody is rung then for what no door waits for."""

from collections.abc import Iterable
from datetime import UTC, datetime, time, timedelta

from scheduler.alerts.evening_so_far import Night
from scheduler.service.almanac import Almanac

_DAY = timedelta(days=1)
_ABOUT_TO_WAIT = timedelta(hours=1)
_NIGHT, _MORNING = time(22), time(7)  # local


def night_ends(almanac: Almanac, now: datetime) -> datetime | None:
    """When the night ends that people sleep through, 22:00 to 07:00 local; None by day."""
    local = now.astimezone(almanac.profile.site.zone)
    if _MORNING <= local.time() < _NIGHT:
        return None
    day = local.date() + (_DAY if local.time() >= _NIGHT else timedelta())
    return datetime.combine(day, _MORNING, local.tzinfo).astimezone(UTC)


def can_be_said(almanac: Almanac, nights: Iterable[Night], now: datetime) -> bool:
    """Whether it is day, or a door waits whose lock-up is at most an hour away."""
    return night_ends(almanac, now) is None or any(
        night.states[one.coop_id].waits
        and one.lock_up <= now + _ABOUT_TO_WAIT
        and almanac.evening_of(now, one.coop_id) == night.evening.day
        for night in nights
        for one in night.evening.doors
    )
