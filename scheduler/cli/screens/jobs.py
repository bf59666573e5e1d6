"""`duskfold jobs`: every job by its id, on or off, how often, when next; and what was ticked."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date, timedelta

from scheduler.cares.done_and_waiting import LOOKED_BACK_DAYS, Done, TaskKey
from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import Typed
from scheduler.profile.problem import nearest
from scheduler.profile.words import local_clock
from scheduler.service.diary import Speaker
from scheduler.service.household.open_profile import Household
from scheduler.service.jobs.every_job import AHEAD, every_job
from scheduler.service.jobs.kept_ticks import take_back, ticked_last, ticks, title_of

_HEADINGS = ("job", "what", "next", "how often")
_TICKED = ("of", "job", "what", "ticked by", "at")
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
            found = f'"{" ".join(more)}"' if more else "nothing"
            typed.refuse("undo", found, "one job by its id (jobs ticked)")
            typed.give_up()
        case _:
            said = " ".join(what)
            accepted = "nothing, ticked, or undo JOB"
            typed.refuse("WHAT", f'"{said}"', accepted, nearest(said, _WORDS))
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
    print(table(rows, _TICKED) if rows else "No job has been ticked.")
    if rows:
        print(wrapped("To take back a job's last tick: duskfold jobs undo JOB"))


def _ticked_last(
    session: Session, household: Household, job: str, day: date | None, typed: Typed
) -> dict[TaskKey, Done]:
    marks = _ticks(session, household, day)
    keys = ticked_last(marks, job, day)
    if not keys:
        ids = list(dict.fromkeys(key.care_id for key in marks))
        accepted = (
            f"a job that was ticked: {', '.join(ids)}"
            if ids
            else "nothing, because no job has been ticked"
        )
        typed.refuse("undo", f'"{job}"', accepted, nearest(job, ids))
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
        print(as_json({"done": "taken back", "ticked": taken}))
        return
    for one in marks.items():
        of, _, what, _, at = _row(household, *one)
        ticked = 'marked "not this time"' if one[1].skipped else "ticked"
        print(f"Taken back: {what}, which {one[1].who} {ticked} for {of} at {at}.")


def _row(household: Household, key: TaskKey, mark: Done) -> tuple[str, str, str, str, str]:
    site = household.profile.site
    at = local_clock(mark.at, site.zone, site.region, key.day)
    who = f"{mark.who} (not this time)" if mark.skipped else mark.who
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
    for on, heading in ((True, "In the plan"), (False, "Off")):
        rows = [
            (job.id, job.title, f"{job.next_due or ('not known' if job.waits else '–')}", job.often)
            for job in listed
            if job.on == on
        ]
        if rows:
            print(heading)
            print(table(rows, _HEADINGS, indent=2))
            print()
    for waits in dict.fromkeys(job.waits for job in listed if job.waits):
        print(
            wrapped(f"{waits.capitalize()}: {', '.join(j.id for j in listed if j.waits == waits)}.")
        )
    print(
        wrapped(
            "To read about a job: duskfold why JOB. To switch one on or off, write in the profile: "
            "[cares.JOB] on = true, or on = false."
        )
    )
