"""`duskfold jobs`: every job by its id, on or off, how often, when next; and what was ticked."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date, timedelta

from scheduler.cares.done_and_waiting import LOOKED_BACK_DAYS, Done, TaskKey
from scheduler.cli.compose import Session
from scheduler.cli.screens.facts import done_facts
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import Typed
from scheduler.profile.problem import nearest
from scheduler.profile.words import capitalized, local_clock
from scheduler.service.diary import Speaker
from scheduler.service.household.open_profile import Household
from scheduler.service.jobs.every_job import AHEAD, ListedJob, every_job
from scheduler.service.jobs.kept_ticks import take_back, ticked_last, ticks, title_of
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.refusals import AcceptedThere
from scheduler.wording.cli.said import JobsScreen, JobsTable
from scheduler.wording.spoken import in_a_row

_HEADINGS = (JobsTable.job, JobsTable.what, JobsTable.next, JobsTable.how_often)
_TICKED = (JobsTable.of, JobsTable.job, JobsTable.what, JobsTable.ticked_by, JobsTable.at)
_WORDS = ("ticked", "undo")


def run(
    session: Session, what: Sequence[str], on: str | None, by: str | None, *, json: bool
) -> None:
    """Lists every job, or the ticks of the last week, or takes the last tick of a job back."""
    household, typed = session.household(), Typed("jobs")
    day, who = typed.day("--date", on), typed.speaker(household.profile, by)
    match what:
        case []:
            typed.end_if_wrong()
            _show(session, household, json=json)
        case ["ticked"]:
            typed.end_if_wrong()
            _show_ticked(session, household, day, json=json)
        case ["undo", job]:
            keys = _ticked_last(session, household, job, day, typed)
            _undo(session, household, keys, who, json=json)
        case ["undo", *more]:
            typed.refuse_word_or_nothing("undo", " ".join(more), AcceptedThere.job_by_id())
            typed.give_up()
        case _:
            said = " ".join(what)
            accepted = AcceptedThere.jobs_words()
            typed.refuse_word(Metavar.what(), said, accepted, nearest(said, _WORDS))
            typed.give_up()


def _ticks(session: Session, household: Household, day: date | None) -> dict[TaskKey, Done]:
    first = day or household.today(session.now) - timedelta(days=LOOKED_BACK_DAYS)
    with session.journal() as journal:
        marks = ticks(journal, household.profile.site.id, first)
    return {key: mark for key, mark in marks.items() if day in {None, key.day}}


def _show_ticked(session: Session, household: Household, day: date | None, *, json: bool) -> None:
    marks = _ticks(session, household, day)
    if json:
        print(as_json({"ticked": [_tick(household, *one) for one in marks.items()]}))
        return
    rows = [_row(household, key, mark) for key, mark in marks.items()]
    if not rows:
        print(JobsScreen.none_ticked())
        return
    print(table(rows, [heading() for heading in _TICKED]))
    print(wrapped(JobsScreen.how_to_undo()))


def _ticked_last(
    session: Session, household: Household, job: str, day: date | None, typed: Typed
) -> dict[TaskKey, Done]:
    marks = _ticks(session, household, day)
    keys = ticked_last(marks, job, day)
    if not keys:
        ids = list(dict.fromkeys(key.care_id for key in marks))
        accepted = (
            AcceptedThere.job_ticked(jobs=in_a_row(ids)) if ids else AcceptedThere.none_ticked()
        )
        typed.refuse_word("undo", job, accepted, nearest(job, ids))
    typed.end_if_wrong()
    return {key: marks[key] for key in keys}


def _undo(
    session: Session, household: Household, marks: Mapping[TaskKey, Done], who: str, *, json: bool
) -> None:
    with session.journal() as journal:
        now, profile = session.now, household.profile
        by = Speaker.called(who, profile, now, household.today(now))
        take_back(journal, household.profile.site.id, list(marks), by)
    if json:
        taken = [_tick(household, *one) for one in marks.items()]
        print(as_json(done_facts("taken back") | {"ticked": taken}))
        return
    for one in marks.items():
        of, _, what, _, at = _row(household, *one)
        told = JobsScreen.skipped if one[1].skipped else JobsScreen.ticked
        print(told(title=what, who=one[1].who, day=of, time=at))


def _row(household: Household, key: TaskKey, mark: Done) -> tuple[str, str, str, str, str]:
    site = household.profile.on(key.day).site
    at = local_clock(mark.at, site.zone, site.region, key.day)
    who = JobsScreen.who_skipped(who=mark.who) if mark.skipped else mark.who
    return key.day.isoformat(), key.care_id, title_of(household, key), who, at


def _tick(household: Household, key: TaskKey, mark: Done) -> dict[str, object]:
    return {
        "date": key.day,
        "id": key.care_id,
        "subject": key.subject_id,
        "title": title_of(household, key),
        "who": mark.who,
        "at": mark.at,
        "skipped": mark.skipped,
    }


def _show(session: Session, household: Household, *, json: bool) -> None:
    """Prints the jobs of the plan, then those that are off."""
    today = household.today(session.now)
    empty = session.emptied(household, today, AHEAD.days + 1)
    listed = every_job(household, session.records(household), today, empty)
    if json:
        print(as_json({"jobs": [asdict(job) for job in listed]}))
        return
    for on, heading in ((True, JobsScreen.in_the_plan), (False, JobsScreen.off)):
        rows = [(job.id, job.title, _next(job), job.often) for job in listed if job.on == on]
        if rows:
            print(heading())
            print(table(rows, [one() for one in _HEADINGS], indent=2))
            print()
    for waits in dict.fromkeys(job.waits for job in listed if job.waits):
        ids = in_a_row([job.id for job in listed if job.waits == waits])
        print(wrapped(JobsScreen.waiting(why=capitalized(waits), jobs=ids)))
    print(wrapped(JobsScreen.more()))


def _next(job: ListedJob) -> str:
    if job.next_due:
        return job.next_due.isoformat()
    return JobsScreen.not_known() if job.waits else "–"
