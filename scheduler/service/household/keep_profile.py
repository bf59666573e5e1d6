"""Changes the profile for a page: the newest text, through the same checks, whole or not at all."""

import logging
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection

from scheduler.cares.diary.profile_entries import MOST_DIFFERENCES, Differs, ProfileChanged
from scheduler.journal import access, entries, history, memos, phones
from scheduler.journal.store import Journal
from scheduler.machine.paths import PROFILE_NAME, note_taken_over, now_kept_at, write_whole
from scheduler.profile.changeable import matter_at
from scheduler.profile.difference import Difference, differences
from scheduler.profile.load import Problems
from scheduler.profile.values import Profile
from scheduler.profile.who_may import Matter, may
from scheduler.service import diary
from scheduler.service.data_place import DataPlace
from scheduler.service.diary import Judged, Refused, Speaker
from scheduler.service.household import profile_text
from scheduler.service.household.accept_profile import accept
from scheduler.service.household.last_way import what_it_would_end
from scheduler.service.household.marked_text import mark_of, marked_text, numbered_text
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.service.people.phones import ringing
from scheduler.service.reachable import Lack
from scheduler.wording.service.changing import NotKept

Edit = Callable[[str], str]
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Editable:
    """The newest text of the profile, the mark by which a form names it, and its version.

    `read_only` is the path of a profile that lies elsewhere. `problems` are those of a file that
    was changed by hand: the text is then that of the profile in force.
    """

    text: str
    mark: str
    number: int = 0
    read_only: str = ""
    problems: Problems = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What would come of a change: the household, and what differs."""

    household: Household
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The profile has that number now; nothing differs where it was so already."""

    number: int
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Overtaken:
    """Somebody has changed it since the form was made: who, what, how it is; nothing was kept."""

    since: tuple[Difference, ...]
    who: str
    editable: Editable


@dataclass(frozen=True, slots=True, kw_only=True)
class Unusable:
    """The profile could not be used with that change, and nothing was kept."""

    problems: Problems


NotDone = Overtaken | Unusable | Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class _Now:
    """What there is now: the editable text, what the file held, and what was accepted last."""

    editable: Editable
    content: bytes | None
    accepted: tuple[int, str] | None
    household: Household | None  # by the editable text


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptProfile:
    """The profile of a data folder, as the pages read and change it.

    `given` is the path that the process was started with, `lacks_of` says which secrets are
    missing for a profile.
    """

    journal: Journal
    place: DataPlace
    given: Path
    lacks_of: Callable[[Profile], tuple[Lack, ...]] = lambda _: ()

    @property
    def path(self) -> Path:
        """Where the profile lies now."""
        return now_kept_at(self.given, self.place.folder)

    def editable(self, now: datetime) -> Editable:
        """The newest text, and whether it can be changed here.

        Raises:
            JournalFault: the journal cannot be read.
            OSError: the file is there and cannot be read.
        """
        return self._now(now).editable

    def preview(self, by: Speaker, base: str, edit: Edit) -> Preview | NotDone:
        """What would come of that change, by the text that `base` marks; nothing is kept.

        Raises:
            JournalFault, OSError: as `editable`.
        """
        known = self._now(by.now)
        return self._refused(known, base) or self._judged(known, by, edit(known.editable.text))

    def keep(self, by: Speaker, base: str, edit: Edit) -> Kept | NotDone:
        """Keeps that change of the text that `base` marks, or says why not.

        Raises:
            JournalFault, OSError: as `editable`; nothing was kept.
        """
        known = self._now(by.now)
        if why := self._refused(known, base):
            return why
        return self._keep(known, by, edit(known.editable.text), ProfileChanged(number=0))

    def put_back(self, by: Speaker, number: int, base: str) -> Kept | NotDone:
        """Puts that version back, over a file too that was changed by hand and cannot be used.

        Raises:
            JournalFault, OSError: as `editable`; nothing was kept.
        """
        known = self._now(by.now)
        if why := self._refused(known, base, over_mistakes=True):
            return why
        text = numbered_text(self.journal, number)
        if not text:
            return _refused(NotKept.version_gone())
        said = ProfileChanged(number=0, how="put back", put_back=number)
        return self._keep(known, by, text, said)

    def take_over(self, by: Speaker) -> Kept | Refused:
        """From now on the profile lies in the data folder, where the pages can change it.

        The file that it was taken from stays as it is, and is not followed any more.

        Raises:
            JournalFault, OSError: as `editable`; nothing was kept.
        """
        known = self._now(by.now)
        if why := may(by.voice, "household"):
            return diary.beyond(why)
        if not known.editable.read_only:
            return _refused(NotKept.taken_over_already())
        if known.household is None or known.editable.problems:
            return _refused(NotKept.mistakes())
        folder = self.place.folder
        try:
            write_whole(folder / PROFILE_NAME, known.household.text.encode(), private=True)
            note_taken_over(folder, self.given)
        except OSError as error:
            return _refused(NotKept.not_written(why=error.strerror or ""))
        said = ProfileChanged(number=0, how="taken over")
        as_it_is = Preview(household=known.household, differences=())
        number = self._written_down(known, by, as_it_is, said)
        _log.warning("profile.taken_over number=%s", number)
        return Kept(number=number or 0, differences=())

    def _now(self, now: datetime) -> _Now:
        if not self.place.server:
            profile_text.finish(self.journal, self.place.folder)
        with self.journal.reading() as connection:
            accepted, at = memos.last_accepted(connection), memos.last_accepted_at(connection)
        now = max(now, at or now)
        if self.place.server:
            content = accepted[1].encode() if accepted else profile_text.content_of(self.path)
        else:
            content = profile_text.content_of(self.path)
        is_here = bool(self.place.server) or self.path == self.place.folder / PROFILE_NAME
        found = read_profile(content, str(self.path), now) if content is not None else None
        problems = found if isinstance(found, tuple) else ()
        household = found if isinstance(found, Household) else None
        if household is None and accepted:
            in_force = read_profile(accepted[1].encode(), "last-accepted", now)
            household = in_force if isinstance(in_force, Household) else None
        text = household.text if household else ""
        editable = Editable(
            text=text,
            mark=mark_of(text),
            number=accepted[0] if accepted else 0,
            read_only="" if is_here else str(self.path),
            problems=problems,
        )
        return _Now(editable=editable, content=content, accepted=accepted, household=household)

    def _refused(self, known: _Now, base: str, *, over_mistakes: bool = False) -> NotDone | None:
        """Why nothing can be changed by that form, whatever it asks."""
        if known.editable.read_only:
            return _refused(NotKept.elsewhere())
        if known.household is None or (known.editable.problems and not over_mistakes):
            return _refused(NotKept.mistakes())
        if base == known.editable.mark:
            return None
        was = marked_text(self.journal, base)
        with self.journal.reading() as connection:
            said = entries.of_family(connection, known.household.profile.site.id, "profile")
        since = differences(was, known.editable.text) if was else ()
        return Overtaken(since=since, who=said[-1].who if said else "", editable=known.editable)

    def _judged(self, known: _Now, by: Speaker, text: str) -> Preview | NotDone:
        """What that text would make, or why it cannot be."""
        found = read_profile(text.encode(), str(self.path), by.now)
        if isinstance(found, tuple):
            return Unusable(problems=found)
        told = differences(known.editable.text, text)
        for matter in _matters(told):
            if why := may(by.voice, matter):
                return diary.beyond(why)
        if known.household:
            with self.journal.reading() as connection:
                site_id = known.household.profile.site.id
                tries = history.last_tries(connection, site_id)
                here = phones.phones(connection, known.household.profile.site.id)
                sessions = {one.id_hash: one for one in access.sessions(connection, site_id)}
            # With somebody go those whom they had let in, and their phones.
            people = {one.id for one in found.profile.person}
            stay = [one for one in here if sessions[one.session].is_of(people)]
            before = known.household.profile.with_phones(ringing(here, by.now))
            after = found.profile.with_phones(ringing(stay, by.now))
            if question := what_it_would_end(before, after, self.lacks_of, tries):
                return _refused(question)
        return Preview(household=found, differences=told)

    def _keep(self, known: _Now, by: Speaker, text: str, said: ProfileChanged) -> Kept | NotDone:
        found = self._judged(known, by, text)
        if not isinstance(found, Preview):
            return found
        is_new = found.household.text != (known.accepted[1] if known.accepted else None)
        if not is_new and not known.editable.problems and not found.differences:
            return Kept(number=known.editable.number, differences=())
        try:
            number = self._written_down(known, by, found, said)
        except OSError as error:
            return _refused(NotKept.not_written(why=error.strerror or ""))
        if number is None:
            return Overtaken(since=(), who="", editable=self.editable(by.now))
        if not self.place.server:
            # Where it fails the journal has it already, and whoever looks next ends it.
            with suppress(OSError):
                profile_text.put_in_place(self.place.folder)
        _log.info("profile.changed_on_a_page number=%d", number)
        return Kept(number=number, differences=found.differences)

    def _written_down(
        self, known: _Now, by: Speaker, found: Preview, said: ProfileChanged
    ) -> int | None:
        """The number under which the journal has it now; None where another came first.

        Raises:
            OSError: the new text cannot be laid beside the file; nothing was kept.
        """
        household, told = found.household, found.differences
        site_id = household.profile.site.id

        def judge(connection: Connection) -> Judged[int | None]:
            if memos.last_accepted(connection) != known.accepted or self._has_moved(known):
                return Judged(answer=None)
            if not self.place.server and not known.editable.read_only:
                profile_text.prepare(self.place.folder, household.text, known.content)
            number = accept(connection, household, by.now, known.household)
            shown = [
                Differs(where=one.where, before=one.before, after=one.after)
                for one in told[:MOST_DIFFERENCES]
            ]
            what = replace(
                said,
                number=number,
                differs=tuple(shown),
                more=len(told) - len(shown),
            )
            return Judged(answer=number, said=[by.entry(what, site_id, by.today)])

        matter: Matter = "household" if "household" in _matters(told) else "flocks"
        kept = diary.say(self.journal, site_id, by, matter, None, judge)
        return kept if isinstance(kept, int) else None

    def _has_moved(self, known: _Now) -> bool:
        """Whether the file was changed by hand since it was read."""
        return not self.place.server and profile_text.content_of(self.path) != known.content


def begin(place: DataPlace, text: str, now: datetime, who: str = "") -> Household | Problems:
    """The first profile of a data folder: in its file, and in force; or what is wrong with it.

    Raises:
        JournalFault: the journal cannot be used; there is no profile.
        OSError: the file cannot be written; there is no profile.
    """
    found = read_profile(text.encode(), str(place.folder / PROFILE_NAME), now)
    if isinstance(found, tuple):
        return found
    with closing(place.open()) as journal, journal.writing() as writing:
        if not place.server:
            profile_text.prepare(place.folder, found.text, None)
        number = accept(writing.connection, found, now, None)
        by = Speaker(who=who, now=now, today=found.today(now))
        what = ProfileChanged(number=number, how="begun")
        site_id = found.profile.site.id
        begun = Judged(answer=None, said=[by.entry(what, site_id, by.today)])
        diary.keep(writing.connection, site_id, by, begun)
    if not place.server:
        profile_text.put_in_place(place.folder)
    _log.info("profile.begun")
    return found


def _matters(told: tuple[Difference, ...]) -> tuple[Matter, ...]:
    return tuple(dict.fromkeys(matter_at(one.where) for one in told))


def _refused(question: str) -> Refused:
    return Refused(found="", accepted="", question=question)
