"""The answers become the profile in force, and whoever gave them its first owner."""

from dataclasses import replace
from datetime import datetime

from scheduler.journal.store import Journal
from scheduler.profile.load import Problems
from scheduler.profile.starter import starter_text
from scheduler.service.data_place import DataPlace
from scheduler.service.first_run.first_key import end_key
from scheduler.service.first_run.read_answers import answers_of
from scheduler.service.first_run.so_far import SoFar, write_so_far
from scheduler.service.household.keep_profile import begin
from scheduler.service.household.open_profile import Household
from scheduler.service.people import access


def begin_household(
    place: DataPlace, so_far: SoFar, listen: str, now: datetime
) -> Household | Problems:
    """Keeps the profile that the answers make, or says what is wrong with it.

    `listen` is where the pages are to be reached from now on; empty: wherever the environment says.

    Raises:
        JournalFault, OSError: it cannot be kept; nothing is in force then.
    """
    answers = replace(answers_of(so_far), listen=listen)
    # Before the profile is there: who is cut off in between may still be signed in.
    write_so_far(place.folder, replace(so_far, kept_at=now))
    begun = begin(place, starter_text(answers), now, answers.person_name)
    if isinstance(begun, Household):
        end_key(place.folder)
    return begun


def sign_in_owner(  # noqa: PLR0913, PLR0917 - who, where, on what, when
    journal: Journal,
    place: DataPlace,
    household: Household,
    so_far: SoFar,
    device: str,
    now: datetime,
) -> str:
    """The cookie of whoever answered, as the first owner; one begun before and never used ends.

    Raises:
        JournalFault, OSError: the journal or the answers' file cannot be written.
    """
    site_id, owner = household.profile.site.id, household.profile.person[0]
    if so_far.session_hash:
        access.sign_out(journal, site_id, so_far.session_hash)
    secret = access.invite(journal, site_id, owner.id, now).rpartition("/")[2]
    cookie = access.sign_in(journal, site_id, secret, device, now) or ""
    begun = replace(so_far, session_hash=access.session_hash(cookie))
    write_so_far(place.folder, begun)
    return cookie
