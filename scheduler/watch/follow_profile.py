"""Follows the profile's file: takes a changed one over, or tells why it is not followed."""

import logging
from collections.abc import Callable, Sequence
from dataclasses import InitVar, dataclass, field
from datetime import datetime

from scheduler.alerts.delivery import Matter
from scheduler.alerts.step import Step, step_at
from scheduler.journal import deliveries, memos
from scheduler.journal.kept_in import Changes
from scheduler.journal.store import Journal
from scheduler.messages import profile_changed, ways_out
from scheduler.messages.site_news import news
from scheduler.profile.load import Problems
from scheduler.service.health.causes import TO_FOLLOW
from scheduler.service.health.tick_file import NotFollowed
from scheduler.service.household.accept_profile import accept_profile
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.service.household.reload import ProfileFile, last_accepted
from scheduler.service.household.renames import what_may_be_renamed
from scheduler.service.houses_emptied import no_birds_any_more
from scheduler.service.reachable import Lack, cut_off_by, reaches_anybody, ways_of, who_can_be_told
from scheduler.watch import who_left
from scheduler.watch.look import Seen
from scheduler.watch.opening import OpenedWatch
from scheduler.watch.profile_in_force import ProfileInForce
from scheduler.watch.site_note import tell_all
from scheduler.wording.told_later import for_later
from scheduler.wording.watch.profile import WhyNotFollowed

_log = logging.getLogger(__name__)


@dataclass(slots=True)
class ProfileFollower:
    """Sees to it that the profile in force is the file's, as far as that can be followed."""

    opened: InitVar[OpenedWatch]
    in_force: ProfileInForce
    changed_profile: Callable[[datetime], Household | Problems | None] = field(init=False)
    number: int = 0  # of the profile that was accepted last
    problems: int = 0
    not_followed: str = ""  # why a changed profile that is right in itself is not in force
    not_followed_kind: NotFollowed = "nobody"
    differs: bool = False  # this host's file is not what all of them go by
    _is_shared: bool = False
    _file: ProfileFile = field(init=False)
    _own_text: str = ""  # of this host's file; empty while it cannot be used
    _changes: Changes | None = None  # of the journal, when another host's profile was looked for
    _changed: Household | Problems | None = None
    _awaits: tuple[Household, tuple[Lack, ...]] | None = None  # not followed for want of secrets

    def __post_init__(self, opened: OpenedWatch) -> None:
        """The first look accepts the profile that was opened, or tells why the file's is not."""
        self.changed_profile = opened.file.changed
        self._file = opened.file
        self._changed = opened.refused or opened.household
        self._is_shared = bool(opened.place.server)
        self._own_text = _text_of(self._changed)
        if opened.is_away:
            self._changed = None  # whether others go by another one is seen once it is back
            return
        with opened.journal.reading() as connection:
            last = memos.last_accepted(connection)
        if last and (opened.refused or self._is_shared):
            self.number = last[0]
        if last and self._is_shared:  # another host may have a newer one: a start makes none
            self._changed, self.differs = None, opened.refused is not None

    def follow(self, journal: Journal, changes: Changes, seen: Seen, now: datetime) -> bool:
        """Follows a changed profile or secret, or tells why not; whether anything has changed.

        `changes` are the journal's, of a moment ago.

        Raises:
            JournalFault: the journal cannot be written; it is followed the next time.
        """
        # Kept until it is dealt with: the journal may fail half way.
        if (saved := self.changed_profile(now)) is not None:
            self._own_text = _text_of(saved)
            # What a page has kept is followed from the journal, with all that comes of it.
            is_well = not (self.problems or self.not_followed)
            is_known = self._own_text and self._own_text == self.in_force.household.text
            self._changed = None if is_known and is_well else saved
        self._changed = self._changed or self._awaited()
        has_other_secrets = self.in_force.ask_for_secrets()
        if self._changed is None:
            return self._follow_others(journal, changes, seen, now) or has_other_secrets
        if isinstance(self._changed, tuple):
            self._awaits = None
            self._refuse(journal, self._changed, now)
        else:
            self._take_over(journal, seen, self._changed, now)
        self._changed = None
        return True

    def _follow_others(self, journal: Journal, changes: Changes, seen: Seen, now: datetime) -> bool:
        """Takes over what a page, a command or another host has accepted; whether there was any."""
        if changes == self._changes:
            return False
        with journal.reading() as connection:
            if not self._is_shared and memos.last_number(connection) in {0, self.number}:
                self._changes = changes
                return False
            kept, at = memos.last_accepted(connection), memos.last_accepted_at(connection)
        if kept and at and kept[0] != self.number and kept[1] != self.in_force.household.text:
            found = read_profile(kept[1].encode(), "last-accepted", max(now, at))
            if isinstance(found, tuple):
                self.problems = len(found)  # a newer program's: this one goes on by the old one
                return False
            self._become(journal, seen, found, at, is_ours=False)
        has_own = self._is_shared and self._file.is_there
        self.differs = has_own and kept is not None and kept[1] != self._own_text
        self.number = kept[0] if kept else self.number
        self._changes = changes
        return bool(kept and at)

    def _awaited(self) -> Household | None:
        """The changed profile that was not followed for want of secrets, once it has others."""
        if self._awaits is None:
            return None
        found, lacks = self._awaits
        return found if self.in_force.ways.lacking(found.profile) != lacks else None

    def _take_over(self, journal: Journal, seen: Seen, found: Household, now: datetime) -> None:
        self._awaits = None
        found = self.in_force.ringing(found, now)
        lacks = self.in_force.ways.lacking(found.profile)
        if why_not := self._why_not(found, lacks):
            self._cannot_follow(journal, *why_not, now)
            return
        self._become(journal, seen, found, now, is_ours=True)

    def _become(
        self, journal: Journal, seen: Seen, found: Household, now: datetime, *, is_ours: bool
    ) -> None:
        """Goes by the profile, and tells what follows from it: every host the same, once."""
        in_force = self.in_force
        found = in_force.ringing(found, now)
        lacks = in_force.ways.lacking(found.profile)
        channels = in_force.ways.channels_for(found.profile, in_force.answers_generation)
        almanac = in_force.almanac_of(journal, found, channels, now)
        emptied = no_birds_any_more(
            in_force.almanac, almanac, seen.begun, in_force.household.today(now)
        )
        before = last_accepted(journal, now) if is_ours else in_force.household
        renamed = what_may_be_renamed(before, found)
        if is_ours:
            self.accept(journal, found, now, before)
        # Everything that can fail is done: now all of it changes at once.
        self.problems, self.not_followed, self.differs = 0, "", False
        in_force.become(almanac, channels, lacks)
        if emptied:
            matter = news(profile_changed.no_more_reminders, emptied)
            self._tell(journal, step_at("emptied", now), matter, now)
        if renamed:
            matter = news(profile_changed.renamed, renamed)
            self._tell(journal, step_at("renamed", now), matter, now)
        self._tell_who_left(journal, seen, now)
        self._tell_what_is_missing(journal, now)

    def _why_not(self, found: Household, lacks: tuple[Lack, ...]) -> tuple[NotFollowed, str] | None:
        """Why the changed profile is not followed; with other secrets it may be."""
        if self.in_force.reaches_anybody and not reaches_anybody(found.profile, lacks):
            # Followed, it would silence every evening to come, and nobody would hear of it.
            self._awaits = (found, lacks)
            wanting = lacks if reaches_anybody(found.profile) else ()
            why = for_later(WhyNotFollowed.nobody)
            if wanting:
                why = for_later(WhyNotFollowed.nobody_because, why=wanting[0].why)
            return _for_want_of(wanting), why
        ours, theirs = self.in_force.household.profile, found.profile
        if theirs.site.id != ours.site.id:
            its, this = theirs.site.id, ours.site.id
            why = for_later(WhyNotFollowed.other_site, its_site=its, this_site=this)
            return "another-site", why
        if ended := cut_off_by((ours, self.in_force.lacks), (theirs, lacks)):
            _log.error("profile.needs_secret channel=%s", ended[0].channel)
            self._awaits = (found, lacks)
            return _for_want_of(ended), ended[0].why
        return None

    def accept(
        self, journal: Journal, household: Household, now: datetime, before: Household | None = None
    ) -> None:
        """Writes the household's profile and its number to the journal.

        Raises:
            JournalFault: the journal cannot be written.
        """
        self.number = accept_profile(journal, household, now, before)
        _log.info("profile.accepted number=%d", self.number)

    # -- telling of it ----------------------------------------------------------------------

    def _tell(self, journal: Journal, step: Step, matter: Matter, now: datetime) -> None:
        today = self.in_force.household.today(now)
        with journal.writing() as writing:
            tell_all(writing.connection, self.in_force.almanac, step, today, matter, now)

    def _refuse(self, journal: Journal, problems: Problems, now: datetime) -> None:
        """Tells everybody once that the changed profile cannot be used."""
        self.problems, self.not_followed = len(problems), ""
        for problem in problems:
            _log.error("profile.problem line=%s", problem.line)
        matter = news(profile_changed.profile_refused, len(problems))
        self._tell(journal, step_at("profile", now), matter, now)

    def _cannot_follow(self, journal: Journal, kind: NotFollowed, why: str, now: datetime) -> None:
        if why != self.not_followed:
            _log.error("profile.not_followed nobody_reachable=%s", kind == "nobody")
        self.problems, self.not_followed, self.not_followed_kind = 1, why, kind
        matter = news(profile_changed.profile_not_followed, why, TO_FOLLOW[kind]())
        self._tell(journal, step_at("profile", now), matter, now)

    def _tell_who_left(self, journal: Journal, seen: Seen, now: datetime) -> None:
        today = self.in_force.household.today(now)
        almanac = self.in_force.almanac
        with journal.writing() as writing:
            connection = writing.connection
            evenings = deliveries.evenings(connection, self.in_force.site_id, today)
            begun = [one for one in evenings if one.day == today and now < one.let_out]
            left = who_left.follow(almanac, connection, now, begun=begun, said=seen.said)
            deliveries.add(connection, list(left))

    def _tell_what_is_missing(self, journal: Journal, now: datetime) -> None:
        """Tells everybody who can be told, once a day and way, that a secret is missing."""
        profile = self.in_force.household.profile
        reach = who_can_be_told(profile, ways_of(profile), {}, None).lacking(self.in_force.lacks)
        for lack in self.in_force.lacks:
            _log.error("way.lacks_secret channel=%s", lack.channel)
            names = [one.name for one in reach.ways if (one.channel, one.place) == lack.way]
            told = names, lack.channel, lack.why
            matter = news(ways_out.lacks_secret, *told, in_file=lack.in_file)
            step = Step("lacks", channel=lack.channel, about=lack.place).fitted
            self._tell(journal, step, matter, now)


def _text_of(found: Household | Problems | None) -> str:
    return found.text if isinstance(found, Household) else ""


def _for_want_of(lacks: Sequence[Lack]) -> NotFollowed:
    """Why a changed profile that needs these secrets is not in force."""
    if not lacks:
        return "nobody"
    return "secret-file" if all(one.in_file for one in lacks) else "secret"
