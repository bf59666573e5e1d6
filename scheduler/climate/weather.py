"""The weather of one day: each value with how sure it is, where it comes from and how old it is."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from scheduler.climate.forecast import ForecastSource, OfficialWarning

ReadingSource = Literal["told", "measured", "forecast", "climate"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A value, its standard deviation, what told it, and when it was made or measured.

    `by` is the service whose forecast it is, `told` what that says itself, where `value` blends it
    with the year.
    """

    value: float
    sd: float = 0.0
    source: ReadingSource = "climate"
    at: datetime | None = None
    by: ForecastSource | None = None
    told: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """What `day` is like at the site: the low of its night before, the high of its day, in °C.

    Its night runs from local noon of the day before to its own noon, its day from midnight to
    midnight. What nothing tells of is None: gusts, rain, snow and cloud have no usual value.
    `index_f` is the highest heat index (°F scale) of its hours, `hot_from` when they first reach
    what is an emergency. `cloud_at_dusk` is a share of the sky, `rain_at_dusk_mm` what falls in
    that hour.
    """

    day: date
    low_c: Reading
    high_c: Reading
    humidity_at_high: Reading
    index_f: Reading | None = None
    hot_from: datetime | None = None
    gust_m_s: Reading | None = None
    rain_mm: Reading | None = None
    snow_cm: Reading | None = None
    cloud_at_dusk: Reading | None = None
    rain_at_dusk_mm: Reading | None = None
    warnings: tuple[OfficialWarning, ...] = ()
