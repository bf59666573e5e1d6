"""A profile becomes the one in force: written down, and who is not in it any more signed out."""

from datetime import datetime

from sqlalchemy import Connection

from scheduler.journal import access, memos
from scheduler.journal.store import Journal
from scheduler.service.household.open_profile import Household
from scheduler.service.household.renames import people_renamed
from scheduler.service.people import entry_notice


def accept_profile(
    journal: Journal, household: Household, now: datetime, before: Household | None
) -> int:
    """Keeps the household's profile as the newest, and says its number.

    Whoever was in the one `before` and is not in it any more is signed in nowhere.

    Raises:
        JournalFault: the journal cannot be written.
    """
    with journal.writing() as writing:
        return accept(writing.connection, household, now, before)


def accept(
    connection: Connection, household: Household, now: datetime, before: Household | None
) -> int:
    """As `accept_profile`, where a write transaction is under way."""
    pairs = people_renamed(before.profile, household.profile) if before else ()
    called = {was.id: came.id for was, came in pairs}
    profile = household.profile
    number = memos.accept(connection, profile.site.id, household.text, now)
    people = [person.id for person in profile.person]
    ended = access.keep_only(connection, profile.site.id, people, now, called)
    if ended and before:
        entry_notice.tell_ended(connection, before.profile, profile, ended, now)
    memos.note_houses(connection, profile.site.id, [coop.id for coop in profile.coop])
    return number
