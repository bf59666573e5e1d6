"""Official warnings that are still in force, quoted as their senders have worded them."""

from datetime import date, datetime, timedelta

from scheduler.cares.records import Records
from scheduler.climate.forecast import OfficialWarning
from scheduler.wording.service.outlook import OfficialWarnings

_DAY = timedelta(days=1)


def warnings_of(records: Records, today: date, now: datetime) -> tuple[OfficialWarning, ...]:
    """Those of today and tomorrow that have not ended, each once."""
    days = (records.weather_on(day) for day in (today, today + _DAY))
    found = (one for day in days if day for one in day.weather.warnings if one.ends > now)
    return tuple({one.id: one for one in found}.values())


def quoted(warning: OfficialWarning) -> str:
    """Its headline and who sent it."""
    return OfficialWarnings.quoted(sender=warning.sender, headline=warning.headline)
