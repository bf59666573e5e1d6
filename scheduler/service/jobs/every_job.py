"""Every job there is: whether it is in the plan, how often it comes, when next."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.cares.catalogue import in_force
from scheduler.cares.catalogue_words import spoken
from scheduler.cares.due_words import due_words
from scheduler.cares.emptied import Place
from scheduler.cares.plan import plan, waits_for_the_end_of
from scheduler.cares.records import Records
from scheduler.service.household.open_profile import Household

AHEAD = timedelta(days=365)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedJob:
    """One job as a list shows it; `next_due` is None when it does not come within a year.

    Or when its day is not known: `waits` says until when.
    """

    id: str
    title: str
    on: bool
    often: str
    next_due: date | None
    waits: str = ""


def every_job(
    household: Household, records: Records, today: date, empty: Collection[Place] = frozenset()
) -> tuple[ListedJob, ...]:
    """The jobs of the plan in the order of their next day, then those switched off, by id.

    The coops in `empty`, by id and date, have no birds then, and no jobs.
    """
    profile = household.profile
    year = plan(profile, records, today, today + AHEAD, household.catalogue, empty)
    next_due: dict[str, date] = {}
    for day in year.days:
        for task in day.tasks:
            next_due.setdefault(task.care_id, day.day)
    own = in_force(profile, household.catalogue)
    on = {care.id for care in own}
    off = [care for care in household.catalogue if care.id not in on]
    listed = [
        ListedJob(
            id=care.id,
            title=spoken(care.title, profile),
            on=care.id in on,
            often=due_words(care, profile.units),
            next_due=next_due.get(care.id),
            waits=""
            if care.id in next_due or care.id not in on
            else waits_for_the_end_of(care, profile, records, today, household.catalogue),
        )
        for care in (*own, *off)
    ]
    return tuple(sorted(listed, key=lambda job: (not job.on, job.next_due or date.max, job.id)))
