"""Jobs as they are ticked: kept as done, or taken back; and which ticks count."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime
from types import MappingProxyType

from sqlalchemy import Connection

from scheduler.cares import job_title
from scheduler.cares.catalogue import in_force
from scheduler.cares.closing import Closing
from scheduler.cares.diary.job_entries import JobDone, JobSkipped
from scheduler.cares.diary.of_jobs import numbers_of
from scheduler.cares.done_and_waiting import Done, TaskKey, key_of
from scheduler.cares.job_title import cares_by_id
from scheduler.journal import done, entries
from scheduler.journal.store import Journal
from scheduler.service import diary
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Judged, Refused, Speaker
from scheduler.service.household.open_profile import Household
from scheduler.service.reports.emergencies import calls_on
from scheduler.service.reports.emergency_known import Withdrawn, said_as_much, withdrawn

NEVER_WORSE: Mapping[TaskKey, datetime] = MappingProxyType({})


def asked_since(
    almanac: Almanac,
    gone: Iterable[Withdrawn],
    said: Sequence[Closing],
    ticked: Iterable[TaskKey],
    now: datetime,
) -> dict[TaskKey, datetime]:
    """Since when each urgent job of the dates on which one is ticked is asked as it is at `now`.

    That is when it was told of last: a worse report asks anew, and so does the midday walk, but for
    what was ticked within the hour before it. One that only stands alone since another was
    withdrawn does not.
    """
    household = almanac.household
    if not almanac.records.reports:  # nothing else asks for anything urgent, on no date
        return {}
    cares = in_force(household.profile, household.catalogue)
    urgent = {care.id for care in cares if care.urgent}
    days = {key.day for key in ticked if key.care_id in urgent}
    gone = tuple(gone) if days else ()
    found: dict[TaskKey, datetime] = {}
    for day in days:
        for call in calls_on(almanac, day, said):
            if call.at > now or any(said_as_much(almanac, call, gone)):
                continue
            since = call.counts_from
            for task in (task for _, line in call.lines for task in line.tasks):
                key = key_of(task)
                found[key] = max(since, found.get(key, since))
    return found


def counting(
    marks: Mapping[TaskKey, Done], asked: Mapping[TaskKey, datetime]
) -> dict[TaskKey, Done]:
    """The ticks that count: none that was made before its job was asked as it is now."""
    return {key: mark for key, mark in marks.items() if key not in asked or mark.at >= asked[key]}


def that_count(
    almanac: Almanac,
    connection: Connection,
    said: Sequence[Closing],
    marks: Mapping[TaskKey, Done],
    now: datetime,
) -> dict[TaskKey, Done]:
    """Those of these ticks that count at `now`, by what is asked and what was withdrawn."""
    gone = withdrawn(connection, almanac.site_id)
    return counting(marks, asked_since(almanac, gone, said, marks, now))


def ticks(journal: Journal, site_id: str, first: date) -> dict[TaskKey, Done]:
    """The jobs of the dates from `first` on that are ticked, in the order of ticking."""
    with journal.reading() as connection:
        found = done.since(connection, site_id, first)
    return dict(sorted(found.items(), key=lambda one: one[1].at))


def ticked_last(marks: Mapping[TaskKey, Done], care_id: str, day: date | None) -> list[TaskKey]:
    """The jobs of that care that were ticked last, with one tap; of that date if it is given."""
    mine = {
        key: mark.at
        for key, mark in marks.items()
        if key.care_id == care_id and day in {None, key.day}
    }
    last = max(mine.values(), default=None)
    return [key for key, at in mine.items() if at == last]


def title_of(household: Household, key: TaskKey) -> str:
    """What the job is called, see `cares.job_title`."""
    profile = household.profile
    return job_title.title_of(profile, cares_by_id(profile, household.catalogue), key)


def mark(  # noqa: PLR0913 - what, who, when, since when it is asked
    journal: Journal,
    site_id: str,
    keys: Sequence[TaskKey],
    by: Speaker,
    *,
    at: datetime | None = None,
    asked: Mapping[TaskKey, datetime] = NEVER_WORSE,
    skipped: bool = False,
) -> Refused | None:
    """Keeps that somebody did or skipped these jobs; who was first since they are asked so stays.

    A tick from before its job was `asked` as it is now stays in the diary, beside the new one.
    """
    kind, then = JobSkipped if skipped else JobDone, at or by.now

    def judge(connection: Connection) -> Judged[None]:
        known = done.since(connection, site_id, min(key.day for key in keys))
        stands = {
            key for key, one in known.items() if key not in asked or not one.at < asked[key] <= then
        }
        new = [
            by.entry(kind(care_id=key.care_id, ordinal=key.ordinal), key.subject_id, key.day, then)
            for key in keys
            if key not in stands
        ]
        return Judged(answer=None, said=new)

    return diary.say(journal, site_id, by, "jobs", None, judge)


def take_back(journal: Journal, site_id: str, keys: Collection[TaskKey], by: Speaker) -> bool:
    """Takes back that these jobs were done; the diary still tells of it. Whether any was."""

    def judge(connection: Connection) -> Judged[bool]:
        first = min((key.day for key in keys), default=date.max)
        back = numbers_of(entries.of_family(connection, site_id, "job", first), keys)
        return Judged(answer=bool(back), back=back)

    return diary.say(journal, site_id, by, "jobs", None, judge) is True
