"""Opens what the reminders need: the profile that is to be in force, the journal, the key."""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from errno import ENOENT
from functools import partial
from os import strerror
from pathlib import Path

from scheduler.journal import memos
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal, unopened
from scheduler.machine.secrets import secret
from scheduler.machine.signing_key import signing_key
from scheduler.profile.load import Problems
from scheduler.profile.person import Person
from scheduler.profile.problem import Problem
from scheduler.service.data_place import DataPlace
from scheduler.service.household.open_profile import Household
from scheduler.service.household.profile_text import finish, is_prepared
from scheduler.service.household.reload import ProfileFile, last_accepted
from scheduler.service.household.renames import may_be_the_same_site
from scheduler.service.people.open_channels import lacking
from scheduler.service.people.phones import own_key_id, read_ringing
from scheduler.service.reachable import Lack, cut_off_by, reaches_anybody, ways_of, who_can_be_told
from scheduler.watch.journal_recovery import MOUNTS, open_checked
from scheduler.wording.journal.advice import PlaceRefusals
from scheduler.wording.journal.why_unusable import WhyUnusable
from scheduler.wording.told_later import for_later
from scheduler.wording.watch.profile import FileUnread

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class NobodyToTell:
    """No message can reach anybody of the profile, be it for want of secrets."""

    people: tuple[Person, ...]
    lacks: tuple[Lack, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedWatch:
    """What a watch needs before it begins: the household in force, the journal, the key.

    `refused` is what the profile's file holds while the last accepted one is in force; `lacks` are
    the secrets that are missing. `is_away`: the journal's server cannot be reached yet, and the
    file's profile is in force until it can.
    """

    file: ProfileFile
    place: DataPlace
    household: Household
    journal: Journal
    recovered: str
    key: bytes
    lacks: tuple[Lack, ...] = ()
    refused: Household | Problems | None = None
    is_away: bool = False


def open_watch(
    path: Path,
    place: DataPlace,
    environment: Mapping[str, str],
    now: datetime,
    *,
    needs_somebody: bool = True,
) -> OpenedWatch | Problems | NobodyToTell:
    """Opens profile, journal and key.

    A profile that cannot be used, or by which nobody could be told, gives way to the last one
    accepted. So does one whose site may only have another name: its records go on.

    Raises:
        JournalFault: the journal cannot be used.
        OSError: the profile or the key cannot be read.
    """
    mounts = MOUNTS.read_text() if MOUNTS.exists() else ""
    key = signing_key(place.folder, environment)
    file = ProfileFile(path, place.folder)
    is_row = bool(place.server) and not file.is_there
    found = () if is_row else _read(file, now, place)

    def lacks(of: Household) -> tuple[Lack, ...]:
        return lacking(of.profile, partial(secret, environment=environment))

    def nobody_of(household: Household) -> NobodyToTell | None:
        missing = lacks(household)
        # A phone that nobody has tried yet may ring all the same.
        profile = household.profile
        if not needs_somebody or reaches_anybody(profile, missing) or profile.phones:
            return None
        return NobodyToTell(people=household.profile.person, lacks=missing)

    if not place.has_journal and isinstance(found, Household) and (nobody := nobody_of(found)):
        return nobody
    try:
        opened = open_checked(place, now, mounts)
    except JournalFault as fault:
        if not (place.server and fault.is_away) or isinstance(found, tuple):
            raise
        return nobody_of(found) or OpenedWatch(
            file=file,
            place=place,
            household=found,
            journal=unopened(place.journal),
            recovered="",
            key=key,
            lacks=lacks(found),
            is_away=True,
        )
    key_id = own_key_id(place, environment)

    def ringing(household: Household) -> Household:
        with opened.journal.reading() as connection:
            site_id, is_shared = household.profile.site.id, bool(place.server)
            ring = read_ringing(connection, site_id, now, key_id, is_shared=is_shared)
        return household.with_phones(ring, household.today(now))

    found = _by_the_journal(opened.journal, found, file, place, now)
    last = _in_force(opened.journal, found, now) if place.server else None
    last = last or _better(opened.journal, found, now, lacks, ringing)
    used = last or found
    if isinstance(used, tuple):
        opened.journal.close()
        return used
    used = ringing(used)
    if nobody := nobody_of(used):
        opened.journal.close()
        return nobody
    missing = lacks(used)
    _warn_of_unreachable(used, missing)
    return OpenedWatch(
        file=file,
        place=place,
        household=used,
        journal=opened.journal,
        recovered=opened.recovered,
        key=key,
        lacks=missing,
        refused=found if last else None,
    )


def _by_the_journal(
    journal: Journal,
    found: Household | Problems,
    file: ProfileFile,
    place: DataPlace,
    now: datetime,
) -> Household | Problems:
    """What the file holds, judged as of what the journal knows; without a file, the journal's row.

    Raises:
        FileNotFoundError: there is neither.
    """
    with journal.reading() as connection:
        file.known = max(file.known, memos.last_accepted_at(connection) or file.known)
    if place.server and not file.is_there:
        return _row(journal, now, file.path)
    if not place.server and is_prepared(place.folder):
        finish(journal, place.folder)
        return _read(file, now, place)
    return _read(file, now, place) if isinstance(found, tuple) else found


def _row(journal: Journal, now: datetime, path: Path) -> Household:
    """The household by the journal alone.

    Raises:
        FileNotFoundError: it has none either.
    """
    found = last_accepted(journal, now)
    if found is None:
        journal.close()
        raise FileNotFoundError(ENOENT, strerror(ENOENT), str(path))
    return found


def _in_force(journal: Journal, found: Household | Problems, now: datetime) -> Household | None:
    """The household that every host goes by, where this one's file is another; else None.

    Raises:
        JournalFault: they go by another site.
    """
    last = last_accepted(journal, now)
    if last is None or (isinstance(found, Household) and found.text == last.text):
        return None
    ours, theirs = last.profile.site, found.profile.site if isinstance(found, Household) else None
    if theirs and theirs.id != ours.id:
        journal.close()
        name = journal.kept_in.name
        text = PlaceRefusals.other_site(name=name, its_site=ours.id, this_site=theirs.id)
        raise JournalFault(text, for_later(WhyUnusable.other_site), is_refused=True)
    _log.warning("profile.differs using=last-accepted")
    return last


def _better(
    journal: Journal,
    found: Household | Problems,
    now: datetime,
    lacks: Callable[[Household], tuple[Lack, ...]],
    ringing: Callable[[Household], Household],
) -> Household | None:
    """The household that was accepted last, where the file's is worse; else None."""
    with journal.reading() as connection:
        kept = memos.last_accepted(connection)
    # The one that was accepted last, as it is at nearly every start, is no worse than itself.
    if kept and isinstance(found, Household) and kept[1] == found.text:
        return None
    last = last_accepted(journal, now)
    known = found if isinstance(found, tuple) else ringing(found)
    if last is None or not _is_worse(known, ringing(last), lacks):
        return None
    _log.error("profile.refused using=last-accepted")
    return last


def _is_worse(
    found: Household | Problems, last: Household, lacks: Callable[[Household], tuple[Lack, ...]]
) -> bool:
    """Whether the file's profile cannot be used, or silences somebody whom the last one reaches."""
    if isinstance(found, tuple):
        return True
    before, after = ((one.profile, lacks(one)) for one in (last, found))
    is_served = reaches_anybody(*before)
    if not reaches_anybody(*after):
        return is_served or may_be_the_same_site(last, found)
    is_same_site = found.profile.site.id == last.profile.site.id
    ends_a_way = is_same_site and bool(cut_off_by(before, after))
    return is_served and (ends_a_way or may_be_the_same_site(last, found))


def _warn_of_unreachable(household: Household, lacks: tuple[Lack, ...]) -> None:
    profile = household.profile
    reach = who_can_be_told(profile, ways_of(profile), {}, None).lacking(lacks)
    reached = {way.person_id for way in reach.working}
    for number, person in enumerate(profile.person, start=1):
        if person.id not in reached:
            _log.warning("person.unreachable number=%d", number)


def _read(file: ProfileFile, now: datetime, place: DataPlace) -> Household | Problems:
    """What the file holds; where there is a journal, one that cannot be read is a problem of its.

    The profile that was accepted last may be in there, and is better than no reminders.
    """
    try:
        return file.open(now)
    except OSError as error:
        if isinstance(error, FileNotFoundError) or not place.has_journal:
            raise
        found, accepted = FileUnread.found(why=error.strerror), FileUnread.accepted()
        return (Problem(key=(), file=str(file.path), found=found, accepted=accepted),)
