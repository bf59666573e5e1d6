"""The one port of every forecast: what a source is asked with, and what it answers."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Literal, Protocol

from scheduler.channels.http import Request
from scheduler.climate.forecast import Forecast, ForecastSource
from scheduler.wording.sources.forecasts import WhyNoForecast, WhyUnreadable
from scheduler.wording.told_later import for_later
from scheduler.wording.words import by_code

ROUNDINGS = (0.01, 0.1)  # of a degree: about 1 km and 11 km
Decimals = Literal[1, 2]
_ELEVATION_STEP_M = 10

RefusalKind = Literal[
    "no connection",
    "not secure",
    "moved",
    "too large",
    "garbled",
    "no copy",
    "not let in",
    "outside",
    "not understood",
    "throttled",
    "broken",
    "strange",
]
UnreadableKind = Literal[
    "not json", "shape", "unit", "times", "temperature", "place", "future", "empty"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Roughly where the site is, as a service may know it: to so many decimals."""

    latitude_deg: float = field(repr=False)
    longitude_deg: float = field(repr=False)
    elevation_m: int | None = field(default=None, repr=False)
    decimals: Decimals = 2

    @property
    def latitude(self) -> str:
        """As it is sent: with one decimal or two."""
        return _written(self.latitude_deg, self.decimals)

    @property
    def longitude(self) -> str:
        """As it is sent: with one decimal or two."""
        return _written(self.longitude_deg, self.decimals)


def rough(
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float | None = None,
    rounding: float = 0.01,
) -> Place:
    """The place to 0.01° or 0.1°, whichever of `ROUNDINGS` is nearer, its elevation to 10 m."""
    decimals: Decimals = 1 if rounding > sum(ROUNDINGS) / 2 else 2
    return Place(
        latitude_deg=float(_written(latitude_deg, decimals)),
        longitude_deg=float(_written(longitude_deg, decimals)),
        elevation_m=None
        if elevation_m is None
        else _ELEVATION_STEP_M * round(elevation_m / _ELEVATION_STEP_M),
        decimals=decimals,
    )


def _written(degrees: float, decimals: Decimals) -> str:
    step = Decimal(1).scaleb(-decimals)
    return str(Decimal(str(degrees)).quantize(step, ROUND_HALF_EVEN) + 0)  # + 0: never -0.00


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """What a source is asked with; `last_modified` is the copy's, letter by letter, or "".

    `agent` names the program and whom to write to.
    """

    place: Place
    agent: str
    last_modified: str = ""

    @property
    def headers(self) -> Mapping[str, str]:
        """Who asks, and that only news are wanted where there is a copy."""
        conditional = {"If-Modified-Since": self.last_modified} if self.last_modified else {}
        return {"User-Agent": self.agent, "Accept-Encoding": "gzip", **conditional}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fresh:
    """Bytes, not yet read; not to be asked again before `expires`.

    `deprecated`: the service says that this way of asking will end.
    """

    body: bytes = field(repr=False)
    last_modified: str = ""
    expires: datetime | None = None
    deprecated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Unchanged:
    """The copy still stands; not to be asked again before `expires`."""

    expires: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Nothing came. `reason` is kept in English and has no place, no address and no contact.

    `retry_after_s` is what the service asked for, or its rules ask; `until_restart`: never again
    before the keeper has changed something.
    """

    kind: RefusalKind
    reason: str
    retry_after_s: float | None = None
    until_restart: bool = False


Answer = Fresh | Unchanged | Refused


def refused(
    kind: RefusalKind, retry_after_s: float | None = None, *, until_restart: bool = False
) -> Refused:
    """A refusal of that kind with its reason."""
    return Refused(
        kind=kind,
        reason=for_later(by_code(WhyNoForecast, kind)),
        retry_after_s=retry_after_s,
        until_restart=until_restart,
    )


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Bytes that are no forecast to be trusted, and why."""

    kind: UnreadableKind

    @property
    def reason(self) -> str:
        """Why, as it is kept; without any of what was read."""
        return for_later(by_code(WhyUnreadable, self.kind))


class ForecastPort(Protocol):
    """A service that tells the weather of a place; it raises nothing."""

    @property
    def name(self) -> ForecastSource:
        """Which source it is."""
        ...

    def requests(self, asking: Asking) -> tuple[Request, ...]:
        """Exactly what `fetch` would ask, in order, as far as it can be known before."""
        ...

    def fetch(self, asking: Asking, now: datetime) -> Answer:
        """One try, within the limits of the client."""
        ...

    def read(self, body: bytes, place: Place, got_at: datetime) -> Forecast | Unreadable:
        """What the bytes that came at `got_at` say of the place; pure."""
        ...
