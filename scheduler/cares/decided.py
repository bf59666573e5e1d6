"""What has been decided of the weather of a day: which signs of frost and heat hold on it.

It is decided twice a day, so that jobs do not come and go with every forecast.
"""

from dataclasses import dataclass
from datetime import date, datetime

from scheduler.climate.weather import Weather

# Signs that a forecast alone gives: wind for lids, and wind in which birds stay in.
WIND, GALE = "wind", "gale"


@dataclass(frozen=True, slots=True, kw_only=True)
class DecidedDay:
    """The weather of a day as it was last decided, and by key which signs hold.

    `stood` are signs that held when the day's rounds began and no longer do: their jobs stay, and
    are told not to be needed. `shift_minutes` is how much earlier than under a clear sky it gets
    too dark that evening, `told_since` by sign when each emergency of the day was first decided.
    """

    weather: Weather
    decided_at: datetime
    signs: frozenset[str] = frozenset()
    stood: frozenset[str] = frozenset()
    shift_minutes: int = 0
    told_since: tuple[tuple[str, datetime], ...] = ()

    def since(self, sign: str) -> datetime | None:
        """Since when that emergency is told; None: it is none, or nobody was told of it."""
        return dict(self.told_since).get(sign)

    @property
    def day(self) -> date:
        """The civil date that it is about."""
        return self.weather.day
