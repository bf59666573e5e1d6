"""What a forecast says, as values: its hours, where and when it was made, and official warnings."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

ForecastSource = Literal["met-norway", "open-meteo", "us-nws"]
WarningKind = Literal["storm", "frost", "heat"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hour:
    """One instant of a forecast; what the source does not tell of it is None.

    `air_c`, `humidity` (0 to 1), `cloud` (share of the sky, 0 to 1) and `wind_m_s` are those of the
    instant; `gust_m_s`, `rain_mm` and `snow_cm` the highest and the sums of the `hours` that begin
    with it. `rain_mm` is all water that falls, snow melted. `lowest_c` and `highest_c` bound the
    air of those hours, where the source tells them apart from the instants.
    """

    at: datetime
    air_c: float | None
    hours: float = 1.0
    humidity: float | None = None
    cloud: float | None = None
    wind_m_s: float | None = None
    gust_m_s: float | None = None
    rain_mm: float | None = None
    snow_cm: float | None = None
    lowest_c: float | None = None
    highest_c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """The hours of one source, rising, made at `made_at` for a place; all instants aware UTC."""

    source: ForecastSource
    made_at: datetime
    latitude_deg: float
    longitude_deg: float
    hours: Sequence[Hour]
    elevation_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OfficialWarning:
    """A warning in force from `onset` to `ends`, quoted as its sender has worded it."""

    id: str
    kind: WarningKind
    event: str
    headline: str
    sender: str
    onset: datetime
    ends: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What a keeper's own thermometer showed."""

    at: datetime
    air_c: float
    humidity: float | None = None
