"""What can make a care due, as values."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from scheduler.cares.house_intervals import Cleaning, Upkeep
from scheduler.cares.records import PredatorGrade, ReportKind
from scheduler.profile.flock import RaisedBy

Passing = Literal["rising", "falling"]
Kind = Literal[
    "every",
    "own house",
    "cleaning",
    "sun",
    "daylight",
    "climate",
    "chance",
    "weather",
    "age",
    "arrival",
    "quarantine",
    "joining",
    "first outing",
    "record",
    "forecast",
    "clock",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class During:
    """A part of the year: while an average (°C) or the day length (hours) is above or below."""

    of: Literal["low", "high", "daylight"]
    above: float | None = None
    below: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """More due days in a part of the year."""

    days: int
    during: During
    phase: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Every:
    """Due each `days` days, `phase` days into the cycle, and on the days of `extra` besides.

    With `during` only in that part of the year.
    """

    days: int
    phase: int = 0
    extra: Extra | None = None
    during: During | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTimes:
    """A keeper's own job: once on a date, or each `days` days, from and until a date if named.

    Counted from the day it was last done; before that `first` is its first day, or it is first due
    `days` days after it was added. Where neither is known, on the grid of `phase`.
    """

    days: int = 0
    once: date | None = None
    first: date | None = None
    last: date | None = None
    phase: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnHouse:
    """Due as often as the coop's own floor, nests or drinkers ask."""

    of: Upkeep


@dataclass(frozen=True, slots=True, kw_only=True)
class YearlyCleaning:
    """Due on the weekly day after the coop's share of the year: out of hard frost, months apart."""

    of: Cleaning


@dataclass(frozen=True, slots=True, kw_only=True)
class SunPasses:
    """Due on each date on whose evening the sun passes `angle` degrees."""

    angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DaylightPasses:
    """Due when the day length passes `hours`."""

    hours: float
    passing: Passing


@dataclass(frozen=True, slots=True, kw_only=True)
class ClimatePasses:
    """Due when an average passes `at` °C; changes of one group keep `apart` days of distance."""

    of: Literal["low", "high"]
    at: float
    passing: Passing
    group: str
    apart: int = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class ChancePasses:
    """Due when nights as cold (`low`), or days as hot (`high`), as `at` °C begin or end.

    They begin at a chance of 20 % and end below 10 %; changes of one group keep `apart` days of
    distance.
    """

    of: Literal["low", "high"]
    at: float
    passing: Literal["begins", "ends"]
    group: str
    apart: int = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherSign:
    """Due on days told or forecast to be as cold or hot as `at` °C; else where that is usual.

    Heat also where its index (°F scale), with the damp of the place, comes to `index`. Told heat
    counts 2 °C hotter on its first three days. With `emergency` never for what is usual; where such
    heat is ordinary it has its own limit: 5 °C above the average, at most 40 °C. With `usual_days`
    only so often where it is what is usual alone.
    """

    sign: Literal["frost", "heat"]
    of: Literal["low", "high"]
    at: float
    index: float | None = None
    emergency: bool = False
    usual_days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Age:
    """Due once for each flock with a hatch date, at `weeks` weeks.

    A flock that comes later, but before it is `until` weeks old, has it on its day of arrival. For
    chicks under heat (brooder) or a hen only, if `raised_by` says so; with `every_days` again so
    often for `for_days` days, and where nights are too cold by then to go without heat for
    `cold_for_days`.
    """

    weeks: int
    raised_by: Literal["brooder", "hen"] | None = None
    until: int = 0
    every_days: int = 0
    for_days: int = 0
    cold_for_days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """Due once for each flock with a day of arrival, `days` days after it.

    With `or_hatched` after the day it hatched, where it never arrived.
    """

    days: int
    raised_by: RaisedBy | None = None
    or_hatched: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Quarantined:
    """Due on each day of a flock's quarantine; one that is `over` on the first day after it."""

    over: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Joining:
    """Due for `for_days` days from when a flock may first see the others, or `meets` them.

    A bought one after its quarantine; any other by its hatch date, at eleven weeks or at twelve.
    One that `sleeps` there comes again when the lamp of the others is no longer too long for it;
    one that `moves` in comes only then.
    """

    meets: bool = False
    sleeps: bool = False
    moves: bool = False
    for_days: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstOuting:
    """Due once for each flock that came or hatched on a known day: the first day it may range."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """Due from the first day of such a report to its end, for `days` days at most if named.

    Of a predator's visit only where it came as near as `grade`, of an illness with `notifiable`
    only where a sign of it has to be reported; of birds in their house alone.
    """

    of: ReportKind
    days: int = 0
    grade: PredatorGrade | None = None
    notifiable: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """Due on days of which a forecast tells such gusts, or so much snow on a roof."""

    sign: Literal["wind", "roof"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockChanges:
    """Due on the day before the night in which the clock changes."""


FlockTrigger = Age | Arrival | Quarantined | Joining | FirstOuting
Trigger = (
    Every
    | OwnTimes
    | OwnHouse
    | YearlyCleaning
    | SunPasses
    | DaylightPasses
    | ClimatePasses
    | ChancePasses
    | WeatherSign
    | FlockTrigger
    | Recorded
    | Forecast
    | ClockChanges
)
_KINDS: dict[Kind, type[Trigger]] = {
    "every": Every,
    "own house": OwnHouse,
    "cleaning": YearlyCleaning,
    "sun": SunPasses,
    "daylight": DaylightPasses,
    "climate": ClimatePasses,
    "chance": ChancePasses,
    "weather": WeatherSign,
    "age": Age,
    "arrival": Arrival,
    "quarantine": Quarantined,
    "joining": Joining,
    "first outing": FirstOuting,
    "record": Recorded,
    "forecast": Forecast,
    "clock": ClockChanges,
}


def read_trigger(raw: Mapping[str, Any]) -> Trigger:
    """The trigger of that kind in the catalogue's file."""
    due = dict(raw)
    kind = _KINDS[due.pop("kind")]
    if "during" in due:
        due["during"] = During(**due["during"])
    if extra := due.get("extra"):
        due["extra"] = Extra(**(extra | {"during": During(**extra["during"])}))
    return kind(**due)
