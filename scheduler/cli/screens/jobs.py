"""`duskfold jobs`: every job by its id, on or off, how often, when next; and what was ticked."""

import sys
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, timedelta
from typing import NoReturn

from scheduler.cares.doing import LOOKED_BACK_DAYS, Done, TaskKey
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.cli.screens.speaker import speaker
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.profile.problem import nearest
from scheduler.profile.words import instant, local_clock
from scheduler.service.every_job import AHEAD, ListedJob, every_job
from scheduler.service.jobs import take_back, ticked_last, ticks, title_of
from scheduler.service.open_profile import Household

_HEADINGS = ("job", "what", "next", "how often")
_TICKED = ("of", "job", "what", "ticked by", "at")
_WORDS = ("ticked", "undo")


def run(
    session: Session, what: Sequence[str], day: date | None, by: str | None, *, json: bool
) -> None:
    """Lists every job, or the ticks of the last week, or takes the last tick of a job back."""
    match what:
        case []:
            _show(session, json=json)
        case ["ticked"]:
            _show_ticked(session, day, json=json)
        case ["undo", job]:
            _undo(session, job, day, by, json=json)
        case ["undo", *_]:
            _refuse("undo", " ".join(what[1:]) or "nothing", "one job by its id (jobs ticked)")
        case _:
            said = " ".join(what)
            _refuse("WHAT", said, "nothing, ticked, or undo JOB", nearest(said, _WORDS))


def _ticks(session: Session, household: Household, day: date | None) -> dict[TaskKey, Done]:
    first = day or household.today(session.now) - timedelta(days=LOOKED_BACK_DAYS)
    with session.journal() as journal:
        marks = ticks(journal, household.profile.site.id, first)
    return {key: mark for key, mark in marks.items() if day in {None, key.day}}


def _show_ticked(session: Session, day: date | None, *, json: bool) -> None:
    household = session.household()
    marks = _ticks(session, household, day)
    if json:
        print(as_json({"ticked": [_tick(household, *one) for one in marks.items()]}))
        return
    rows = [_row(household, key, mark) for key, mark in marks.items()]
    print(table(rows, _TICKED) if rows else "Nothing was ticked.")
    if rows:
        print(wrapped("To take the last tick of a job back: duskfold jobs undo JOB"))


def _undo(session: Session, job: str, day: date | None, by: str | None, *, json: bool) -> None:
    household = session.household()
    who = speaker("jobs undo", household.profile, by)
    marks = _ticks(session, household, day)
    keys = ticked_last(marks, job, day)
    if not keys:
        ids = list(dict.fromkeys(key.care_id for key in marks))
        accepted = f"a job that was ticked: {', '.join(ids)}" if ids else "nothing: none was ticked"
        _refuse("undo", job, accepted, nearest(job, ids))
    with session.journal() as journal:
        take_back(journal, household.profile.site.id, keys, who, session.now)
    if json:
        taken = [_tick(household, key, marks[key]) for key in keys]
        print(as_json({"done": "taken back", "ticked": taken}))
        return
    for key in keys:
        of, _, what, name, at = _row(household, key, marks[key])
        print(f"Taken back: {what} of {of}, ticked by {name} at {at}.")


def _row(household: Household, key: TaskKey, mark: Done) -> tuple[str, str, str, str, str]:
    site = household.profile.site
    at = local_clock(mark.at, site.zone, site.region, key.day)
    return key.day.isoformat(), key.care_id, title_of(household, key), mark.who, at


def _tick(household: Household, key: TaskKey, mark: Done) -> dict[str, object]:
    return {
        "date": key.day.isoformat(),
        "id": key.care_id,
        "subject": key.subject_id,
        "title": title_of(household, key),
        "who": mark.who,
        "at": instant(mark.at),
    }


def _refuse(where: str, found: str, accepted: str, hint: str = "") -> NoReturn:
    said = f'{where}: found "{found}"; accepted: {accepted}. {hint}'.rstrip()
    complain(f"duskfold jobs: {said}")
    sys.exit(CANNOT_USE)


def _show(session: Session, *, json: bool) -> None:
    """Prints the jobs of the plan, then those that are off."""
    household = session.household()
    today = household.today(session.now)
    empty = session.emptied(household, today, AHEAD.days + 1)
    listed = every_job(household, session.records(household), today, empty)
    if json:
        print(as_json({"jobs": [_facts(job) for job in listed]}))
        return
    for on, heading in ((True, "In the plan"), (False, "Off")):
        rows = [
            (job.id, job.title, f"{job.next_due or '–'}", job.often)
            for job in listed
            if job.on == on
        ]
        if rows:
            print(heading)
            print(table(rows, _HEADINGS, indent=2))
            print()
    print(
        wrapped(
            "One in full: duskfold why JOB. To switch one on or off, in the profile: "
            "[cares.JOB] on = true, or false."
        )
    )


def _facts(job: ListedJob) -> dict[str, object]:
    return asdict(job) | {"next_due": job.next_due.isoformat() if job.next_due else None}
