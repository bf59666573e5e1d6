"""What a task says of its own birds and house, beyond the catalogue's words."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta

from scheduler.cares import vents
from scheduler.cares.catalogue import Care
from scheduler.cares.coop_day import coop_day
from scheduler.cares.day_plan import Task
from scheduler.cares.due import Dates
from scheduler.cares.free_range import FreeRange
from scheduler.cares.newcomer import Newcomer
from scheduler.cares.triggers import FirstOuting, Joining
from scheduler.cares.vent_seasons import CHANGES
from scheduler.cares.withheld_eggs import Caution, asked_about, carried, withheld
from scheduler.husbandry.growth import FEED_WORDS, feed_for
from scheduler.profile.flock import Flock
from scheduler.profile.phrase import say
from scheduler.profile.words import local_clock
from scheduler.wording.cares.tasks import OwnInTasks, TaskWords
from scheduler.wording.spoken import short_day

_FIRST_OUTING = timedelta(hours=1)  # at most; common practice, no source


def words_of_flock(dates: Dates, flock: Flock, day: date) -> dict[str, str]:
    """What a job's texts say of its own flock: the day of its quarantine, the feed of its house."""
    house = dates.profile.flocks_on(flock.coop, day)
    apart = Newcomer(flock, house, dates.records, day).quarantine
    return {
        "day": apart.words if apart else "",
        "count": apart.count if apart else "",
        "feed": FEED_WORDS[feed_for(house, day)](),
        # They may have been out before, from a house of their own.
        "from_house": _from_house(dates, flock) if flock.joined else "",
    }


def _from_house(dates: Dates, flock: Flock) -> str:
    return f" {TaskWords.from_house(house=dates.profile.coop_of(flock.coop).name)}"


def with_its_own(dates: Dates, care: Care, tasks: Iterable[Task]) -> tuple[Task, ...]:
    """Them with what only the day and their own birds or house tell."""
    if isinstance(care.due, FirstOuting):
        return tuple(_with_times(dates, task) for task in tasks)
    if isinstance(care.due, Joining) and care.due.sleeps:
        return tuple(_with_lit_house(dates, task) for task in tasks)
    return tuple(_with_eggs_withheld(dates, care, _with_own_vents(dates, care, tasks)))


def _with_times(dates: Dates, task: Task) -> Task:
    """A first outing says from when to when: the last hour before they are called in."""
    profile = dates.profile
    house = next(flock.coop for flock in profile.flock if flock.id == task.subject_id)
    coop = coop_day(profile, dates.sky, profile.coop_of(house), task.day, dates.records)
    spell = coop.free_range
    if not isinstance(spell, FreeRange):
        return task
    start = max(spell.start, spell.call_in - _FIRST_OUTING)
    out, back = (
        local_clock(at, profile.site.zone, profile.site.region) for at in (start, spell.call_in)
    )
    title = OwnInTasks.outing(job=task.title, out=out, back=back)
    return replace(task, title=title, late_title=task.title)


def _with_lit_house(dates: Dates, task: Task) -> Task:
    """Those for whom the lamp of the others is too long sleep apart, and get used to it there."""
    flock = next(flock for flock in dates.profile.flock if flock.id == task.subject_id)
    lit = dates.flocks.lit_house(flock, task.day)
    if lit is None:
        return task
    house, until = lit
    here = dates.profile.flocks_on(flock.coop, task.day)
    meets = Newcomer(flock, here, dates.records, task.day).meets_others_from
    why = OwnInTasks.sleep_apart_why(house=house)
    if meets:
        why = f"{why} {OwnInTasks.by_day_together(day=short_day(meets))}"
    title = OwnInTasks.sleep_apart_title(flock=flock.name, day=short_day(until))
    return replace(task, title=title, short=OwnInTasks.sleep_apart_short(), why=why)


def _with_eggs_withheld(dates: Dates, care: Care, tasks: Iterable[Task]) -> Iterator[Task]:
    """A job with eggs says that they are not to be eaten, where a medicine was given."""
    for task in tasks:
        told = dates.records, task.subject_id, task.day
        eggs = care.eggs and (
            withheld(*told) or asked_about(*told) or carried(dates.profile, dates.records, task.day)
        )
        if eggs:
            perhaps = isinstance(eggs, Caution) and eggs.perhaps
            short = OwnInTasks.eggs_short_perhaps if perhaps else OwnInTasks.eggs_short
            yield replace(
                task,
                title=OwnInTasks.eggs_title(job=task.title, until=eggs.until_words),
                short=short(job=task.short),
                why=eggs.why,
            )
        else:
            yield task


def _with_own_vents(dates: Dates, care: Care, tasks: Iterable[Task]) -> Iterator[Task]:
    """A change of vents says what to set in this coop, or is left out where nothing changes."""
    coops = {coop.id: coop for coop in dates.profile.coop}
    for task in tasks:
        coop = coops.get(task.subject_id)
        if care.id not in CHANGES or not coop or not coop.vent:
            yield task
        elif own := vents.change(care.id, dates.profile, coop, task.day, dates.averages):
            title, why = own
            air = say(why, dates.profile.units)
            yield replace(task, title=title, why=f"{task.why} {air}".strip())
