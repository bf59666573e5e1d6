"""Which jobs were done, by what was said of them."""

from collections.abc import Iterable

from scheduler.cares.diary.entry import Entry, taken_back
from scheduler.cares.diary.job_entries import JobSkipped, OfAJob
from scheduler.cares.done_and_waiting import Done, TaskKey


def done_of(entries: Iterable[Entry]) -> dict[TaskKey, Done]:
    """The jobs that were done or skipped and are not taken back; of each what was said last."""
    return {
        task_of(one, what): Done(
            who=one.who, at=one.happened_at, skipped=isinstance(what, JobSkipped)
        )
        for one in standing(entries)
        if isinstance(what := one.what, OfAJob) and what.ordinal > 0
    }


def numbers_of(entries: Iterable[Entry], keys: Iterable[TaskKey]) -> list[int]:
    """The entries by which those of these jobs count as done or skipped that do."""
    stands = {
        task_of(one, what): one.number
        for one in standing(entries)
        if isinstance(what := one.what, OfAJob)
    }
    return [stands[key] for key in dict.fromkeys(keys) if key in stands]


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """What was said of jobs and still stands, in the order of saying."""
    known = sorted(entries, key=lambda one: one.number)
    struck = taken_back(known)
    return [one for one in known if isinstance(one.what, OfAJob) and one.number not in struck]


def task_of(entry: Entry, what: OfAJob) -> TaskKey:
    """The task that the entry is about."""
    return TaskKey(what.care_id, entry.about, entry.day, what.ordinal)
