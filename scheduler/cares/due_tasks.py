"""The tasks of one care that is due: of which coop or flock, and in which words."""

from collections.abc import Collection, Iterator, Mapping
from datetime import date, timedelta

from scheduler.cares.catalogue import Care, is_daily, is_of_a_spell, leans_on_climate
from scheduler.cares.climate_told import source_words
from scheduler.cares.day_plan import Subject, Task
from scheduler.cares.due import Dates, clock_shift
from scheduler.cares.minutes import minutes_for
from scheduler.cares.told_in_tasks import with_its_own, words_of_flock
from scheduler.cares.triggers import (
    ClockChanges,
    FirstOuting,
    FlockTrigger,
    Joining,
    OwnHouse,
    OwnTimes,
    YearlyCleaning,
)
from scheduler.husbandry.age import all_on_heat, lays, some_on_heat
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Units
from scheduler.profile.values import Profile
from scheduler.profile.words import words
from scheduler.wording.cares.tasks import TaskWords


def subject_of(care: Care) -> Subject:
    """What each task of the care is about."""
    if isinstance(care.due, FlockTrigger):
        return "flock"
    return "site" if isinstance(care.due, ClockChanges | OwnTimes) else "coop"


def due_tasks(
    dates: Dates, usual: Dates, care: Care, day: date, empty: Collection[str]
) -> tuple[Task, ...]:
    profile = dates.profile
    spoken = _said_of_all(dates, care, day)
    subject = subject_of(care)
    why = care.why.said(spoken, profile.units)
    is_usual = leans_on_climate(care) and not dates.is_told(care, day)
    if is_usual and (told := source_words(dates.averages, profile.units)):
        why += f" {told}"
    urgent = (
        care.urgent
        and (not usual.due(care, day) or dates.is_extreme(care, day))
        and not dates.rings_nobody(care, day)
    )
    # To a time of the day, so that no other is ticked along with it.
    has_its_hour = isinstance(care.due, FirstOuting) or (
        isinstance(care.due, Joining) and care.due.moves
    )
    came_c = dates.not_needed_c(care, day)
    tasks = []
    for subject_id, name, birds in _subjects(dates, care, day, empty):
        own = {**spoken, "flock": name, **_said_of(dates, subject, birds, day)}
        task = Task(
            care_id=care.id,
            subject=subject,
            subject_id=subject_id,
            day=day,
            ordinal=1,
            title=_with_weather(care.title.said(own, profile.units), came_c, profile.units),
            late_title=care.late.said(own, profile.units),
            short=care.short.said(own, profile.units),
            why=why,
            minutes=minutes_for(care, birds),
            daily=is_daily(care),
            of_its_day=is_daily(care) or is_of_a_spell(care),
            season=care.season,
            urgent=urgent,
            last=care.last,
            alone=has_its_hour,
        )
        tasks.append(task)
    return with_its_own(dates, care, tasks)


def _with_weather(title: str, came_c: float | None, units: Units) -> str:
    """The title; with what came instead where a forecast had asked for it and was wrong."""
    if came_c is None:
        return title
    return TaskWords.not_needed(
        job=title, degrees=write_quantity(round(came_c), "temperature", units)
    )


def _said_of_all(dates: Dates, care: Care, day: date) -> Mapping[str, str]:
    """What the catalogue's texts say in the same words of every subject of that day."""
    spoken = words(dates.profile.site.region)
    if not isinstance(care.due, ClockChanges):
        return spoken
    forward = clock_shift(dates.profile.site.zone, day) > timedelta()
    return {**spoken, "direction": TaskWords.forward() if forward else TaskWords.back()}


def _said_of(
    dates: Dates, subject: Subject, birds: tuple[Flock, ...], day: date
) -> Mapping[str, str]:
    if subject == "coop":
        return {"not_chicks": f" {TaskWords.not_chicks()}" if some_on_heat(birds, day) else ""}
    return words_of_flock(dates, birds[0], day) if subject == "flock" else {}


def _subjects(
    dates: Dates, care: Care, day: date, empty: Collection[str]
) -> Iterator[tuple[str, str, tuple[Flock, ...]]]:
    """The coops, the flocks or the site for which the care is due, with the birds it is for."""
    profile = dates.profile
    subject = subject_of(care)
    if subject == "site":
        yield profile.site.id, profile.site.name, ()
    elif subject == "flock":
        for flock in dates.flocks.due(care, day):
            if flock.coop not in empty or not profile.flocks_on(flock.coop, day):
                yield flock.id, flock.name, (flock,)
    else:
        for coop in profile.coop:
            if coop.id not in empty and _is_asked(dates, care, coop, day):
                yield coop.id, coop.name, profile.flocks_on(coop.id, day)


def _is_asked(dates: Dates, care: Care, coop: Coop, day: date) -> bool:
    due = care.due
    if isinstance(due, OwnHouse | YearlyCleaning) and not dates.house_asks(due, coop, day):
        return False
    return (
        _concerns(care, dates.profile, coop, day)
        and dates.reported_of(care, coop, day)
        and not dates.is_in_cleaning(care, coop, day)
    )


def _concerns(  # noqa: PLR0911 - one answer for each object
    care: Care, profile: Profile, coop: Coop, day: date
) -> bool:
    """Whether the care has an object in the house, and birds of an age for it."""
    netting = coop.run.netting if coop.run else "none"
    flocks = profile.flocks_on(coop.id, day)
    if care.only == "on heat":
        return some_on_heat(flocks, day)
    if care.only and all_on_heat(flocks, day):
        return False
    match care.only:
        case None | "off heat" | "let out":
            return True
        case "open feeder":
            return not coop.feeder or any(feeder.type != "treadle" for feeder in coop.feeder)
        case "ark":
            return coop.type == "ark"
        case "automatic door":
            return coop.door == "automatic"
        case "electric netting":
            return netting == "electric"
        case "overhead netting":
            return netting == "overhead"
        case "hens":
            return any(lays(flock, day) for flock in flocks)
