"""When the forecast was made that the plan last went by, and why there is none now."""

from collections.abc import Iterable, Iterator
from datetime import datetime

from scheduler.cares.decided import DecidedDay
from scheduler.cares.records import Records
from scheduler.climate.blend import DROPPED_AFTER
from scheduler.profile.values import Profile
from scheduler.service.weather.outlook import instant_said
from scheduler.wording.service.outlook import NoForecast


def last_forecast(days: Iterable[DecidedDay]) -> datetime | None:
    """When the newest was made that any of these days was decided by; None where none was."""
    return max(_made(days), default=None)


def _made(days: Iterable[DecidedDay]) -> Iterator[datetime]:
    for one in days:
        for reading in (one.weather.low_c, one.weather.high_c, one.weather.gust_m_s):
            if reading and reading.source == "forecast" and reading.at:
                yield reading.at


def lost_since(profile: Profile, records: Records, now: datetime) -> datetime | None:
    """When the last forecast was made, if services may be asked and it is too old to be used."""
    last = last_forecast(records.weather)
    if not (profile.forecast and profile.forecast.sources) or last is None:
        return None
    return last if now - last > DROPPED_AFTER else None


def why_no_forecast(profile: Profile, records: Records, now: datetime) -> str:
    """Why the plan goes by the year's averages, in a sentence; empty where it has a forecast."""
    last = last_forecast(records.weather)
    if last and now - last <= DROPPED_AFTER:
        return ""
    if not (profile.forecast and profile.forecast.sources):
        return NoForecast.not_asked()
    return none_since(profile, last, now) if last else NoForecast.none_now()


def none_since(profile: Profile, last: datetime, now: datetime) -> str:
    """That the last forecast is too old."""
    return NoForecast.none_since(at=instant_said(profile, last, now))
