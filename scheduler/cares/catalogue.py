"""Cares as values: the catalogue of the package, as the profile changes it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from scheduler.profile.problem import Problem
from scheduler.profile.values import CareChange, OwnCare, Profile, RoundName

OWN = "the keeper's own"

Mark = Literal["S", "M", "C"]
Of = Literal["low", "high"]
Passing = Literal["rising", "falling"]
Only = Literal["ark", "electric netting", "overhead netting", "automatic door", "hens"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """More due days while an average is above or below a temperature."""

    days: int
    of: Of
    phase: int = 0
    above: float | None = None
    below: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Every:
    """Due each `days` days, `phase` days into the cycle, and on the days of `extra` besides."""

    days: int
    phase: int = 0
    extra: Extra | None = None


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

    of: Of
    at: float
    passing: Passing
    group: str
    apart: int = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherSign:
    """Due on days of told frost or heat, else on days whose average is at or beyond `at` °C."""

    sign: Literal["frost", "heat"]
    of: Of
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Age:
    """Due once for each flock with a hatch date, at `weeks` weeks."""

    weeks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """Due on the day of a predator's visit and until `days` days have passed."""

    of: Literal["predator"]
    days: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockChanges:
    """Due on the day before the night in which the clock changes."""


Trigger = (
    Every | SunPasses | DaylightPasses | ClimatePasses | WeatherSign | Age | Recorded | ClockChanges
)
_KINDS: dict[str, type[Trigger]] = {
    "every": Every,
    "sun": SunPasses,
    "daylight": DaylightPasses,
    "climate": ClimatePasses,
    "weather": WeatherSign,
    "age": Age,
    "record": Recorded,
    "clock": ClockChanges,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """What has to be done, what makes it due, in which round, how long it takes, and why."""

    id: str
    title: str
    short: str
    why: str
    due: Trigger
    round: RoundName
    minutes: int
    mark: Mark
    source: str
    keen: bool = False
    season: bool = False
    only: Only | None = None


Catalogue = tuple[Care, ...]


def read(raw: Mapping[str, Any]) -> Catalogue:
    """The catalogue as values, in rank order.

    Raises:
        KeyError, TypeError: the package's own file is broken, which is a bug.
    """
    return tuple(_care(care_id, table) for care_id, table in raw["care"].items())


def _care(care_id: str, table: Mapping[str, Any]) -> Care:
    due = dict(table["due"])
    kind = _KINDS[due.pop("kind")]
    if "extra" in due:
        due["extra"] = Extra(**due["extra"])
    rest = {key: value for key, value in table.items() if key not in {"due", "set"}}
    return Care(id=care_id, due=kind(**due), keen=table["set"] == "keen", **rest)


def leans_on_climate(care: Care) -> bool:
    """Whether the averages of the year decide on which days the care is due."""
    if isinstance(care.due, Every):
        return care.due.extra is not None
    return isinstance(care.due, ClimatePasses | WeatherSign)


def is_daily(care: Care) -> bool:
    """Whether the care is due every day."""
    return isinstance(care.due, SunPasses) or (isinstance(care.due, Every) and care.due.days == 1)


def in_force(profile: Profile, catalogue: Catalogue) -> Catalogue:
    """The cares that this profile has on, changed as it says, then the keeper's own."""
    kept = (
        _changed(care, change)
        for care in catalogue
        if _is_on(care, change := profile.cares.get(care.id), keen=profile.rounds.keen)
    )
    return (*kept, *(_own(own) for own in profile.care))


def _is_on(care: Care, change: CareChange | None, *, keen: bool) -> bool:
    if change and change.on is not None:
        return change.on
    return keen or not care.keen


def _changed(care: Care, change: CareChange | None) -> Care:
    if not change:
        return care
    if change.every is not None:
        care = replace(care, due=Every(days=_whole_days(change.every)))
    return replace(
        care,
        minutes=care.minutes if change.minutes is None else change.minutes,
        round=change.round or care.round,
        title=change.text or care.title,
        short=change.text or care.short,
    )


def _own(own: OwnCare) -> Care:
    return Care(
        id=own.id,
        title=own.name,
        short=own.name,
        why=own.why,
        due=Every(days=_whole_days(own.every)),
        round=own.round,
        minutes=own.minutes,
        mark="C",
        source=OWN,
    )


def _whole_days(minutes: float) -> int:
    return max(1, round(minutes / 1440))


def problems(profile: Profile, catalogue: Catalogue) -> Iterator[Problem]:
    """Own jobs that take the id of a job of the catalogue, and intervals where none belongs."""
    known = {care.id: care for care in catalogue}
    for index, own in enumerate(profile.care):
        if own.id in known:
            accepted = "an id that the catalogue does not use"
            yield Problem(key=("care", index, "id"), found=f'"{own.id}"', accepted=accepted)
    for care_id, change in profile.cares.items():
        care = known.get(care_id)
        if care and change.every is not None and not isinstance(care.due, Every):
            yield Problem(
                key=("cares", care_id, "every"),
                found="an interval",
                accepted="on, minutes, round, text",
                hint="This job follows the season, not a number of days.",
            )
