"""The US National Weather Service's grids: the United States and territories, seven days.

Written from its published interface (OpenAPI description, weather-gov/api). A place is looked up
once for weeks; its grid is then asked. Old data with status 200 are known, so only `updateTime`
says how old a forecast is.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from statistics import fmean
from typing import Any, ClassVar, Protocol

from scheduler.channels.deadline import Deadline
from scheduler.channels.http import Request
from scheduler.climate.forecast import Forecast, ForecastSource, Hour
from scheduler.sources import forecast_json as found
from scheduler.sources import us_nws_layers as layers
from scheduler.sources.forecast_json import NoForecast
from scheduler.sources.forecast_port import (
    Answer,
    Asking,
    Fresh,
    Place,
    Refused,
    Unreadable,
    refused,
)
from scheduler.sources.one_get import Client, got

SERVER = "https://api.weather.gov"
POINT_STANDS = timedelta(weeks=4)  # offices move their grids now and then (common practice)
_ADDRESS = "forecastGridData"
_GRID = re.compile(r"/gridpoints/([A-Z]{3})/([0-9]{1,4}),([0-9]{1,4})$")


@dataclass(frozen=True, slots=True)
class Grid:
    """A square of an office's map; its address says as much as coordinates do."""

    office: str = field(repr=False)
    x: int = field(repr=False)
    y: int = field(repr=False)


class KeptGrid(Protocol):
    """Where the answer of the look-up is kept for weeks."""

    def grid(self, place: Place, now: datetime) -> Grid | None:
        """The square of that place, as long as its look-up stands."""
        ...

    def keep_grid(self, place: Place, grid: Grid | None, now: datetime) -> None:
        """Keeps it; None forgets it."""
        ...


@dataclass(slots=True)
class GridInMemory:
    """Keeps one look-up for as long as the process runs."""

    _of: Place | None = field(default=None, repr=False)
    _grid: Grid | None = field(default=None, repr=False)
    _until: datetime | None = None

    def grid(self, place: Place, now: datetime) -> Grid | None:
        """The square of that place, as long as its look-up stands."""
        stands = self._of == place and self._until is not None and now < self._until
        return self._grid if stands else None

    def keep_grid(self, place: Place, grid: Grid | None, now: datetime) -> None:
        """Keeps it; None forgets it."""
        self._of, self._grid, self._until = place, grid, now + POINT_STANDS


@dataclass(frozen=True, slots=True, kw_only=True)
class UsNws:
    """The source; `server` is another one in tests alone."""

    client: Client = field(default_factory=Client)
    kept: KeptGrid = field(default_factory=GridInMemory)
    server: str = SERVER
    name: ClassVar[ForecastSource] = "us-nws"

    def requests(self, asking: Asking, now: datetime | None = None) -> tuple[Request, ...]:
        """The look-up, and the grid where it is known at `now`."""
        grid = self.kept.grid(asking.place, now) if now else None
        return requests(asking, self.server, grid)

    def fetch(self, asking: Asking, now: datetime) -> Answer:
        """One try: the grid, looked up first where it is not known or has moved."""
        with self.client.round() as line:
            grid = self.kept.grid(asking.place, now)
            if grid is not None:
                answer = self._grid(asking, grid, line, now)
                if not isinstance(answer, Refused) or answer.kind != "outside":
                    return answer
                self.kept.keep_grid(asking.place, None, now)
            looked_up = self._look_up(asking, line, now)
            if not isinstance(looked_up, Grid):
                return looked_up
            self.kept.keep_grid(asking.place, looked_up, now)
            # What was last modified is another square's.
            return self._grid(replace(asking, last_modified=""), looked_up, line, now)

    def read(self, body: bytes, place: Place, got_at: datetime) -> Forecast | Unreadable:
        """The forecast that the bytes are."""
        return read(body, place, got_at)

    def _grid(self, asking: Asking, grid: Grid, line: Deadline, now: datetime) -> Answer:
        return got(grid_request(asking, grid, self.server), self.client, line, now)

    def _look_up(self, asking: Asking, line: Deadline, now: datetime) -> Grid | Answer:
        answer = got(point_request(asking, self.server), self.client, line, now)
        if not isinstance(answer, Fresh):
            return answer
        grid = read_point(answer.body)
        return grid if isinstance(grid, Grid) else refused("strange")


def requests(asking: Asking, server: str = SERVER, grid: Grid | None = None) -> tuple[Request, ...]:
    """What is asked, exactly: the look-up, then the grid, whose address only the look-up tells."""
    first = point_request(asking, server)
    return (first,) if grid is None else (first, grid_request(asking, grid, server))


def point_request(asking: Asking, server: str = SERVER) -> Request:
    """The look-up of the place."""
    url = f"{server}/points/{point_of(asking.place)}"
    return Request(method="GET", url=url, headers=replace(asking, last_modified="").headers)


def point_of(place: Place) -> str:
    """The place as the service writes it; one with a zero at its end it sends on (from memory)."""
    return f"{_short(place.latitude)},{_short(place.longitude)}"


def grid_request(asking: Asking, grid: Grid, server: str = SERVER) -> Request:
    """The forecast of the square; always of the server that is named, whatever a look-up says."""
    url = f"{server}/gridpoints/{grid.office}/{grid.x},{grid.y}"
    return Request(method="GET", url=url, headers=asking.headers)


def _short(decimal: str) -> str:
    return decimal.rstrip("0").rstrip(".")


def read_point(body: bytes) -> Grid | Unreadable:
    """The square in which the place lies, or why the bytes name none."""
    try:
        return _named(str(found.table(found.parsed(body).get("properties")).get(_ADDRESS, "")))
    except NoForecast as fault:
        return Unreadable(fault.kind)


def _named(address: str) -> Grid:
    # Only the square is taken from the address: no answer may send us to another host.
    named = _GRID.search(address)
    if named is None:
        raise NoForecast("shape")
    return Grid(named[1], int(named[2]), int(named[3]))


def read(body: bytes, place: Place, got_at: datetime) -> Forecast | Unreadable:
    """The forecast for the place, or why the bytes are none."""
    return found.reading(lambda: found.sound(_forecast(found.parsed(body), place), place, got_at))


def _forecast(whole: Mapping[str, Any], place: Place) -> Forecast:
    properties = found.table(whole.get("properties"))
    latitude, longitude = _middle(whole.get("geometry"), place)
    return Forecast(
        source="us-nws",
        made_at=found.instant(properties.get("updateTime")),
        latitude_deg=latitude,
        longitude_deg=longitude,
        elevation_m=_elevation(properties.get("elevation")),
        hours=_hours(properties),
    )


def _middle(geometry: object, place: Place) -> tuple[float, float]:
    """The middle of the square; where none is told, the look-up's word for the place stands."""
    if geometry is None:
        return place.latitude_deg, place.longitude_deg
    rings = found.rows(found.table(geometry).get("coordinates"))
    corners = [found.rows(corner) for corner in found.rows(rings[0] if rings else None)]
    east = [found.number(corner[0]) for corner in corners if len(corner) > 1]
    north = [found.number(corner[1]) for corner in corners if len(corner) > 1]
    if not corners or None in east or None in north or len(east) != len(corners):
        raise NoForecast("shape")
    return fmean(each or 0.0 for each in north), fmean(each or 0.0 for each in east)


def _elevation(block: object) -> float | None:
    if not isinstance(block, dict):
        return None
    height = found.number(block.get("value"))
    return None if height is None else layers.unit(block.get("unitCode"), "height")(height)


def _hours(properties: Mapping[str, Any]) -> tuple[Hour, ...]:
    air = layers.by_hour(layers.runs(properties, "temperature", "air"))
    for value in air.values():
        found.celsius(value)
    lowest = _at_their_hour(layers.runs(properties, "minTemperature", "air"), air, min)
    highest = _at_their_hour(layers.runs(properties, "maxTemperature", "air"), air, max)
    humidity = layers.by_hour(layers.runs(properties, "relativeHumidity", "percent"))
    cloud = layers.by_hour(layers.runs(properties, "skyCover", "percent"))
    wind = layers.by_hour(layers.runs(properties, "windSpeed", "wind"))
    gust = layers.by_hour(layers.runs(properties, "windGust", "wind"))
    rain = layers.shared_by_hour(layers.runs(properties, "quantitativePrecipitation", "water"))
    snow = layers.shared_by_hour(layers.runs(properties, "snowfallAmount", "snow"))
    return tuple(
        Hour(
            at=at,
            air_c=air[at],
            humidity=found.share(humidity.get(at)),
            cloud=found.share(cloud.get(at)),
            wind_m_s=found.wind(wind.get(at)),
            gust_m_s=found.gust(gust.get(at), wind.get(at)),
            rain_mm=found.water(rain.get(at)),
            snow_cm=found.snow(snow.get(at)),
            lowest_c=lowest.get(at),
            highest_c=highest.get(at),
        )
        for at in sorted(air)
    )


class _Chooser(Protocol):
    def __call__(self, one: float, other: float, /) -> float: ...


def _at_their_hour(
    extremes: list[layers.Run], air: Mapping[datetime, float | None], chosen: _Chooser
) -> dict[datetime, float]:
    """The low or high of each run, at that hour of it which is itself the coldest or warmest.

    They are those of twelve hours or more: said of each hour they would spread a night's low over
    the day beside it.
    """
    placed: dict[datetime, float] = {}
    for run in extremes:
        value = found.celsius(run.value)
        known = {at: hour for at in run.hours if (hour := air.get(at)) is not None}
        if value is None or not known:
            continue
        outermost = next(iter(known.values()))
        for each in known.values():
            outermost = chosen(outermost, each)
        at = next(at for at, each in known.items() if each == outermost)
        placed[at] = chosen(value, outermost)
    return placed
