"""Cares as values: the catalogue of the package, as the profile changes it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Literal

from scheduler.cares.house_intervals import Cleaning, Upkeep
from scheduler.cares.records import PredatorGrade, Records, ReportKind
from scheduler.profile.flock import RaisedBy
from scheduler.profile.own_cares import CareChange, OwnCare, RoundName
from scheduler.profile.problem import Problem
from scheduler.profile.values import Profile

OWN = "the keeper's own"

Mark = Literal["S", "P", "Q", "M", "C"]
Of = Literal["low", "high", "daylight"]
Passing = Literal["rising", "falling"]
Only = Literal[
    "ark",
    "electric netting",
    "overhead netting",
    "automatic door",
    "hens",
    "on heat",
    "off heat",
    "let out",
    "open feeder",
]
Brooding = Literal["brooder", "hen"]
FeedGiven = Literal["grower", "layer", "not layer", "shared"]


@dataclass(frozen=True, slots=True, kw_only=True)
class During:
    """A part of the year: while an average (°C) or the day length (hours) is above or below."""

    of: Of
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
class WeatherSign:
    """Due on days told to be as cold or hot as `at` °C; untold, when the average is.

    Heat also where its index (°F scale), with the damp of the place, comes to `index`. Told heat
    counts 2 °C hotter on its first three days. With `emergency`, a place where such dry heat is
    ordinary has its own limit: 5 °C above its average, at most 40 °C. With `usual_days` only so
    often where it is the average alone.
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
    raised_by: Brooding | None = None
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
class ClockChanges:
    """Due on the day before the night in which the clock changes."""


Trigger = (
    Every
    | OwnTimes
    | OwnHouse
    | YearlyCleaning
    | SunPasses
    | DaylightPasses
    | ClimatePasses
    | WeatherSign
    | Age
    | Arrival
    | Quarantined
    | Joining
    | FirstOuting
    | Recorded
    | ClockChanges
)
_KINDS: dict[str, type[Trigger]] = {
    "every": Every,
    "own house": OwnHouse,
    "cleaning": YearlyCleaning,
    "sun": SunPasses,
    "daylight": DaylightPasses,
    "climate": ClimatePasses,
    "weather": WeatherSign,
    "age": Age,
    "arrival": Arrival,
    "quarantine": Quarantined,
    "joining": Joining,
    "first outing": FirstOuting,
    "record": Recorded,
    "clock": ClockChanges,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """What has to be done, what makes it due, in which round, how long it takes, and why.

    `minutes` are for a house of twelve; `a_bird` of them for each bird more or fewer. One that is
    `in_cleaning` is part of a deep clean or clean-out, and not apart from it on that day.
    """

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
    urgent: bool = False
    passes: bool = False
    last: bool = False
    mixes: bool = False
    in_cleaning: bool = False
    only: Only | None = None
    feed: FeedGiven | None = None
    own_words: bool = False
    a_bird: float = 0.0
    eggs: bool = False


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
    if "during" in due:
        due["during"] = During(**due["during"])
    if extra := due.get("extra"):
        due["extra"] = Extra(**(extra | {"during": During(**extra["during"])}))
    rest = {key: value for key, value in table.items() if key not in {"due", "set"}}
    return Care(id=care_id, due=kind(**due), keen=table["set"] == "keen", **rest)


def leans_on_climate(care: Care) -> bool:
    """Whether the averages of the year decide on which days the care is due."""
    if isinstance(care.due, Every):
        parts = (care.due.during, care.due.extra.during if care.due.extra else None)
        return any(part is not None and part.of != "daylight" for part in parts)
    if isinstance(care.due, OwnHouse):
        return care.due.of not in {"nest refresh", "open water"}
    return isinstance(care.due, ClimatePasses | WeatherSign | YearlyCleaning)


def is_daily(care: Care) -> bool:
    """Whether the care is due every day."""
    every = isinstance(care.due, Every | OwnTimes) and care.due.days == 1
    return isinstance(care.due, SunPasses) or every


def is_of_a_spell(care: Care) -> bool:
    """Whether the care is due on each day of a spell of a flock's life: each day has its own."""
    match care.due:
        case Quarantined(over=over):
            return not over
        case Joining(for_days=days):
            return days > 1
        case Age(every_days=days):
            return days == 1
    return False


def over(cares: Catalogue, records: Records, day: date) -> frozenset[str]:
    """The ids of those that are of no use on `day`, as no report that asks for them holds."""
    return frozenset(
        care.id
        for care in cares
        if care.passes and not (isinstance(care.due, Recorded) and records.of(care.due.of, day))
    )


def in_force(profile: Profile, catalogue: Catalogue) -> Catalogue:
    """The cares that this profile has on, changed as it says, then the keeper's own."""
    kept = (
        _changed(care, change)
        for care in catalogue
        if _is_on(care, change := profile.cares.get(care.id), keen=profile.rounds.keen)
    )
    return (*kept, *(_own(own, place) for place, own in enumerate(profile.care)))


def _is_on(care: Care, change: CareChange | None, *, keen: bool) -> bool:
    if change and change.on is not None:
        return change.on
    return keen or not care.keen


def _changed(care: Care, change: CareChange | None) -> Care:
    if not change:
        return care
    if change.every is not None:
        # The keeper's interval holds all year: what the seasons add is theirs to say.
        phase = care.due.phase if isinstance(care.due, Every) else 0
        care = replace(care, due=Every(days=_whole_days(change.every), phase=phase))
    return replace(
        care,
        minutes=care.minutes if change.minutes is None else change.minutes,
        a_bird=care.a_bird if change.minutes is None else 0.0,
        round=change.round or care.round,
        title=change.text or care.title,
        short=change.text or care.short,
        own_words=change.text is not None,
    )


def _own(own: OwnCare, place: int) -> Care:
    days = _whole_days(own.every) if own.every is not None else 0
    return Care(
        id=own.id,
        title=own.name,
        short=own.name,
        why=own.why,
        # One a week later than the one before, so that they do not all fall on one day.
        due=OwnTimes(
            days=days,
            once=own.on,
            first=own.first,
            last=own.last,
            phase=7 * place % days if days else 0,
        ),
        own_words=True,
        round=own.round,
        minutes=own.minutes,
        mark="C",
        source=OWN,
    )


def _whole_days(minutes: float) -> int:
    return round(minutes / 1440)


def problems(profile: Profile, catalogue: Catalogue) -> Iterator[Problem]:
    """Own jobs that take the id of a job of the catalogue, and intervals where none belongs."""
    known = {care.id: care for care in catalogue}
    for index, own in enumerate(profile.care):
        if own.id in known:
            accepted = "an id that the catalogue does not use"
            yield Problem(key=("care", index, "id"), found=f'"{own.id}"', accepted=accepted)
    for care_id, change in profile.cares.items():
        care = known.get(care_id)
        if (
            care
            and change.every is not None
            and not isinstance(care.due, Every | OwnHouse | YearlyCleaning)
        ):
            yield Problem(
                key=("cares", care_id, "every"),
                found="an interval",
                accepted="on, minutes, round, text",
                hint="This job follows the season, not a number of days.",
            )
