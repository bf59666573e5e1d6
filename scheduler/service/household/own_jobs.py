"""The keeper's own jobs that come again: from when each is known, and when it was done."""

import json
from datetime import date

from sqlalchemy import Connection

from scheduler.journal import done, memos
from scheduler.service.household.open_profile import Household

_ADDED = "own-jobs"
Days = tuple[tuple[str, date], ...]


def known(connection: Connection, household: Household) -> tuple[Days, Days]:
    """By care id: the day from which each is known, and every day on which one was done."""
    ids = [own.id for own in household.profile.care if own.every is not None]
    if not ids:
        return (), ()
    site_id = household.profile.site.id
    added = _added(connection, site_id)
    times = done.times_of(connection, site_id, ids)
    return (
        tuple((care_id, added[care_id]) for care_id in ids if care_id in added),
        tuple((care_id, household.today(at)) for care_id, at in times),
    )


def note_added(connection: Connection, household: Household, today: date) -> None:
    """Notes of each job that was not known that it is from today on, and forgets those gone.

    `today` is of a clock that is trusted: what one that ran ahead noted is from today on as well.
    """
    site_id = household.profile.site.id
    before = _added(connection, site_id)
    now = {own.id: min(before.get(own.id, today), today) for own in household.profile.care}
    if now != before:
        text = json.dumps({care_id: day.isoformat() for care_id, day in now.items()})
        memos.note(connection, site_id, _ADDED, text)


def _added(connection: Connection, site_id: str) -> dict[str, date]:
    text = memos.recall(connection, site_id, _ADDED)
    found: dict[str, str] = json.loads(text) if text else {}
    return {care_id: date.fromisoformat(day) for care_id, day in found.items()}
