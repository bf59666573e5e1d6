"""Cares as values: the catalogue of the package, as the profile changes it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Literal

from scheduler.cares.catalogue_text import NO_TEXT, CareText, own_text, read_text
from scheduler.cares.records import Records
from scheduler.cares.triggers import (
    Age,
    ChancePasses,
    ClimatePasses,
    Every,
    Forecast,
    Joining,
    OwnHouse,
    OwnTimes,
    Quarantined,
    Recorded,
    SunPasses,
    Trigger,
    WeatherSign,
    YearlyCleaning,
    read_trigger,
)
from scheduler.profile.own_cares import CareChange, OwnCare, RoundName
from scheduler.profile.problem import Problem, Unreadable
from scheduler.profile.values import Profile
from scheduler.wording.cares.profile_jobs import JobProblems
from scheduler.wording.cares.tasks import TaskWords
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import pattern_of

Mark = Literal["S", "P", "Q", "M", "C"]
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
FeedGiven = Literal["grower", "layer", "not layer", "shared"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """What has to be done, what makes it due, in which round, how long it takes, and why.

    `late` is its title once its day is over, where the title says when. `minutes` are for a house
    of twelve; `a_bird` of them for each bird more or fewer. One that is
    `in_cleaning` is part of a deep clean or clean-out, and not apart from it on that day.
    """

    id: str
    title: CareText
    short: CareText
    why: CareText
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
    late: CareText = NO_TEXT
    a_bird: float = 0.0
    eggs: bool = False


Catalogue = tuple[Care, ...]
_TEXTS = ("title", "late", "short", "why")


def read(raw: Mapping[str, Any]) -> Catalogue:
    """The catalogue as values, in rank order.

    Raises:
        KeyError, TypeError, ValueError: the package's own file is broken, which is a bug.
    """
    return tuple(_care(care_id, table) for care_id, table in raw["care"].items())


def _care(care_id: str, table: Mapping[str, Any]) -> Care:
    rest = {key: value for key, value in table.items() if key not in {"due", "set"}}
    rest |= {key: _text(care_id, key, rest[key]) for key in _TEXTS if key in rest}
    rest["source"] = pattern_of(f"catalogue.{care_id}.source", rest["source"])
    due = read_trigger(table["due"])
    return Care(id=care_id, due=due, keen=table["set"] == "keen", **rest)


def _text(care_id: str, key: str, text: str) -> CareText:
    try:
        return read_text(pattern_of(f"catalogue.{care_id}.{key}", text))
    except Unreadable as unreadable:
        place = f"catalogue: [care.{care_id}] {key}"
        raise ValueError(f"{place}: {unreadable.accepted}") from None


def leans_on_climate(care: Care) -> bool:
    """Whether the averages of the year decide on which days the care is due."""
    if isinstance(care.due, Every):
        parts = (care.due.during, care.due.extra.during if care.due.extra else None)
        return any(part is not None and part.of != "daylight" for part in parts)
    if isinstance(care.due, OwnHouse):
        return care.due.of not in {"nest refresh", "open water"}
    return isinstance(care.due, ChancePasses | ClimatePasses | WeatherSign | YearlyCleaning)


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
    """The ids of those that are of no use on `day`, as nothing that asks for them holds."""
    return frozenset(care.id for care in cares if care.passes and not _asked(care, records, day))


def _asked(care: Care, records: Records, day: date) -> bool:
    match care.due:
        case Recorded(of=of):
            return bool(records.of(of, day))
        case Forecast(sign=sign):
            return records.is_foretold(sign, day)
    return False


def in_force(profile: Profile, catalogue: Catalogue) -> Catalogue:
    """The cares that this profile has on, changed as it says, then the keeper's own."""
    as_it_is = CareChange()
    changes = [(care, profile.cares.get(care.id, as_it_is)) for care in catalogue]
    kept = (
        _changed(care, change)
        for care, change in changes
        if (profile.rounds.keen or not care.keen if change.on is None else change.on)
    )
    return (*kept, *(_own(own, place) for place, own in enumerate(profile.care)))


def _changed(care: Care, change: CareChange) -> Care:
    if change.every is not None:
        # The keeper's interval holds all year: what the seasons add is theirs to say.
        phase = care.due.phase if isinstance(care.due, Every) else 0
        care = replace(care, due=Every(days=_whole_days(change.every), phase=phase))
    text = None if change.text is None else own_text(change.text)
    return replace(
        care,
        minutes=care.minutes if change.minutes is None else change.minutes,
        a_bird=care.a_bird if change.minutes is None else 0.0,
        round=change.round or care.round,
        title=care.title if text is None else text,
        short=care.short if text is None else text,
        late=care.late if text is None else NO_TEXT,
    )


def _own(own: OwnCare, place: int) -> Care:
    days = _whole_days(own.every) if own.every is not None else 0
    # One a week later than the one before, so that they do not all fall on one day.
    phase = 7 * place % days if days else 0
    return Care(
        id=own.id,
        title=own_text(own.name),
        short=own_text(own.name),
        why=own_text(own.reason),
        due=OwnTimes(days=days, once=own.on, first=own.first, last=own.last, phase=phase),
        round=own.round,
        minutes=own.minutes,
        mark="C",
        source=TaskWords.own_source(),
    )


def _whole_days(minutes: float) -> int:
    return round(minutes / 1440)


def problems(profile: Profile, catalogue: Catalogue) -> Iterator[Problem]:
    """Own jobs that take the id of a job of the catalogue, and intervals where none belongs."""
    known = {care.id: care for care in catalogue}
    for index, own in enumerate(profile.care):
        if own.id in known:
            accepted = JobProblems.id_is_free()
            yield Problem(key=("care", index, "id"), found=f'"{own.id}"', accepted=accepted)
    for care_id, change in profile.cares.items():
        care = known.get(care_id)
        of_a_season = care and not isinstance(care.due, Every | OwnHouse | YearlyCleaning)
        if of_a_season and change.every is not None:
            yield Problem(
                key=("cares", care_id, "every"),
                found=JobProblems.interval(),
                accepted=in_a_row(("on", "minutes", "round", "text")),
                hint=JobProblems.follows_season(),
            )
