"""`duskfold jobs`: every job by its id, on or off, how often, when next."""

from dataclasses import asdict

from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.service.every_job import AHEAD, ListedJob, every_job

_HEADINGS = ("job", "what", "next", "how often")


def show(session: Session, *, json: bool) -> None:
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
