"""The stations that the climate map was made with, and the year that the program tells anywhere."""

import csv
import lzma
from datetime import date
from functools import cache
from pathlib import Path
from typing import NamedTuple

from scheduler.climate.curve import Averages, averages
from scheduler.profile.load import Loaded, parse

MONTHS = range(12)
_FILE = Path(__file__).parent / "data" / "climate_stations.csv.xz"
_PROFILE = """\
[site]
name = "Hill"
latitude = {latitude_deg}
longitude = {longitude_deg}
timezone = "{zone}"
{elevation}

[[coop]]
name = "Walnut"

[[flock]]
name = "Girls"
hens = 6
"""

Monthly = tuple[float | None, ...]


class Station(NamedTuple):
    """A station's averages by month, in °C and percent; None where it has none."""

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    low_c: Monthly
    high_c: Monthly
    low_sd_c: Monthly
    high_sd_c: Monthly
    humidity_percent: Monthly
    frost_share: Monthly


@cache
def stations() -> tuple[Station, ...]:
    """All of them."""
    with lzma.open(_FILE, "rt", encoding="utf-8") as file:
        return tuple(map(_station, csv.DictReader(file)))


def _station(row: dict[str, str]) -> Station:
    columns = ("low", "high", "sd_low", "sd_high", "humidity", "frost_share")
    return Station(
        row["name"],
        float(row["lat"]),
        float(row["lon"]),
        float(row["elev_m"]),
        *(_monthly(row, column) for column in columns),
    )


def _monthly(row: dict[str, str], column: str) -> Monthly:
    told = (row[f"{column}_{month + 1}"] for month in MONTHS)
    return tuple(float(text) if text else None for text in told)


def year_told(latitude_deg: float, longitude_deg: float, elevation_m: float | None) -> Averages:
    """The year as a household there is told it that gives no averages of its own."""
    hours = round(longitude_deg / 15)
    text = _PROFILE.format(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        zone=f"Etc/GMT{-hours:+d}" if hours else "Etc/GMT",
        elevation="" if elevation_m is None else f'elevation = "{elevation_m} m"',
    )
    loaded = parse(text.encode(), file="hill.toml", today=date(2026, 11, 30))
    assert isinstance(loaded, Loaded), loaded
    return averages(loaded.profile)
