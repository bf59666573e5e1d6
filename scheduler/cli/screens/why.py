"""`duskfold why`: what makes a job due, its rule and source, and what would change it."""

from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table
from scheduler.cli.typed import Typed
from scheduler.service.jobs.explain_job import AHEAD, explain
from scheduler.service.jobs.which_job import NoSuchJob, find_job
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.refusals import AcceptedThere
from scheduler.wording.cli.said import WhyScreen


def show(session: Session, job: str, on: str | None, *, json: bool) -> None:
    """Explains a job, or the lock-up, on a date."""
    household = session.household()
    typed = Typed("why")
    day = typed.day("--date", on) or household.today(session.now)
    found = find_job(household, job)
    if isinstance(found, NoSuchJob):
        typed.refuse_word(Metavar.job(), job, AcceptedThere.job(), found.hint)
        typed.give_up()
    typed.end_if_wrong()
    empty = session.emptied(household, day, AHEAD.days + 1)
    rows = explain(household, session.records(household, day), found, day, empty)
    if json:
        why = [
            {"label": row.label, "text": row.in_profile or row.text, "coop": row.coop}
            for row in rows
        ]
        job_id = found if isinstance(found, str) else found.id
        print(as_json({"job": job_id, "date": day, "why": why}))
        return
    print(table([(WhyScreen.label(label=row.label), row.in_profile or row.text) for row in rows]))
