"""What the pages know: the household in force and everything said of it, of one moment.

Read again only when the journal or the profile has changed; a page costs no query otherwise.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.phone import Phone
from scheduler.cares.closing import Closing, is_count_due
from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.of_eggs import counts_of, eggs_of
from scheduler.cares.diary.of_searches import lookers_of
from scheduler.cares.done_and_waiting import LOOKED_BACK_DAYS, Done, TaskKey
from scheduler.cares.door_state import Door
from scheduler.cares.emptied import Place, emptied_for_plan
from scheduler.cares.looking import Looker
from scheduler.cares.records import Records, Report
from scheduler.journal import access, closings, done, entries, history, memos, reports
from scheduler.journal.access import GoneSite, Renewal, SignedIn
from scheduler.journal.fault import JournalFault
from scheduler.journal.kept_in import Changes
from scheduler.journal.phones import phones as phones_of
from scheduler.journal.store import Journal
from scheduler.profile.load import Problems
from scheduler.profile.values import Profile
from scheduler.service.almanac import DAYS_BACK, Almanac
from scheduler.service.data_place import DataPlace
from scheduler.service.evenings_around import nights, tonight
from scheduler.service.household.keep_profile import KeptProfile
from scheduler.service.household.open_profile import Household, open_profile, read_profile
from scheduler.service.jobs.kept_ticks import asked_since, counting
from scheduler.service.people.phones import key_in_force, ringing, set_up_with
from scheduler.service.reachable import Lack, Reach, ways_of, who_can_be_told
from scheduler.service.reports.emergencies import calls_on
from scheduler.service.reports.emergency_known import withdrawn
from scheduler.service.reports.report import as_records
from scheduler.service.weather_asked import around
from scheduler.wording.journal.why_unusable import WhyUnusable
from scheduler.wording.told_later import for_later
from scheduler.wording.web.refusals import NoJournal

BUSY_MS = 1000  # the pages wait this long for a lock, the reminders longer
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How everything stands; `turns` is how much was said of each coop and evening.

    `marks` are all ticks, `done` those that count: `asked_since` says of a job that a report made
    worse since when. `known_since` is the first day that anybody could know of a job, `reach` who
    could be told tonight. `lookers` are all who have said on these evenings that they look for
    missing birds, whether any are missing still or not. `begun_on` is the day of the first profile
    of all, where that is known. `eggs` are those since yesterday by house and date, `last_eggs`
    the last count of each. From `until` on, a let-out, another evening counts.
    """

    household: Household
    almanac: Almanac
    reports: Mapping[int, Report]
    nights: tuple[Night, ...]
    turns: Mapping[tuple[str, date], int]
    last_said: Mapping[tuple[str, date], Closing]
    said: tuple[Closing, ...]
    lookers: tuple[Looker, ...]
    houses: Mapping[str, Door]
    count_due: frozenset[str]
    marks: Mapping[TaskKey, Done]
    asked_since: Mapping[TaskKey, datetime]
    done: Mapping[TaskKey, Done]
    eggs: Mapping[tuple[str, date], int]
    last_eggs: Mapping[tuple[str, date], int]
    known_since: date
    begun_on: date
    sessions: Mapping[str, SignedIn]
    renewals: tuple[Renewal, ...]
    former: Mapping[str, str]
    gone_houses: frozenset[str]
    gone_sites: tuple[GoneSite, ...]
    asked_of: frozenset[str]
    phones: tuple[Phone, ...]
    reach: Reach
    until: datetime
    version: object

    @property
    def generations(self) -> Mapping[str, int]:
        """The generation of each person's links and buttons; 0 for who is not named."""
        return {one.person_id: one.generation for one in self.renewals}

    @property
    def records(self) -> Records:
        """The reports as the plan reads them."""
        return self.almanac.records

    def house_on(self, coop_id: str, day: date) -> Door:
        """How the coop stands on the evening of that date, by everything said until now."""
        return self.almanac.house(coop_id, day, self.said)

    def has_left(self, person_id: str, now: datetime) -> bool:
        """Whether the last day that a sitter was invited for is over, and the morning after it."""
        people = self.household.profile.person
        last = next((one.last_day for one in people if one.id == person_id), None)
        return last is not None and now >= self.almanac.noon(last + _DAY)

    def empty(self, first: date, count: int) -> frozenset[Place]:
        """The coops, by id and date, in which no bird is by what was said: they need no jobs.

        On those days and on the night before.

        A date on which something was done there already keeps its jobs, so that it can be undone.
        """
        ticked = {(key.subject_id, key.day) for key in self.marks}
        return emptied_for_plan(self.household.profile, self.said, first, count) - ticked


class NoHousehold(Exception):  # noqa: N818 - a fault by its name in DEVELOPERS.md
    """There is no usable profile; the problems say why."""

    def __init__(self, problems: Problems) -> None:
        """Keeps what is wrong."""
        super().__init__(len(problems))
        self.problems = problems


class Lookout:
    """Reads the journal for the pages; one thread reads, any may ask whether that is needed."""

    def __init__(
        self,
        profile_path: Path,
        place: DataPlace,
        key: bytes,
        lacks_of: Callable[[Profile], tuple[Lack, ...]] = lambda _: (),
        key_id: Callable[[], str | None] = lambda: None,
    ) -> None:
        """Opens nothing yet; `lacks_of` says which secrets are missing for a profile.

        `key_id` gives the public key that phones are to be set up with.
        """
        self.place = place
        self.key = key
        self._lacks_of = lacks_of
        self._key_id = key_id
        self._profile_path = profile_path
        self._journal: Journal | None = None
        self._identity = 0
        self._household: Household | None = None
        self._standing: Standing | None = None

    def journal(self) -> Journal:
        """The open journal; the new one when its file was replaced.

        Raises:
            JournalFault: it is not there, is not up to date, or cannot be used.
        """
        if self._journal and self._journal.is_still(self._identity):
            return self._journal
        self.close()
        if not self.place.has_journal:
            told = NoJournal.not_there(path=self.place.journal)
            raise JournalFault(told, for_later(WhyUnusable.not_made_yet))
        journal = self.place.open(wait_ms=BUSY_MS, migrate=False)
        self._identity = journal.changes()[0]
        self._journal = journal
        return journal

    def kept_profile(self) -> KeptProfile:
        """The profile, for whoever reads or changes it on a page.

        Raises:
            JournalFault: the journal cannot be used.
        """
        return KeptProfile(
            journal=self.journal(),
            place=self.place,
            given=self._profile_path,
            lacks_of=self._lacks_of,
        )

    def fresh(self, now: datetime) -> Standing | None:
        """How everything stands, when nothing has changed since it was read; reads nothing."""
        last = self._standing
        if last is None or self._journal is None:
            return None
        try:
            changes = self._journal.changes()
        except JournalFault:
            return None
        same = last.version == (changes, last.household.today(now), last.until)
        return last if same and now < last.until else None

    def standing(self, now: datetime) -> Standing:
        """How everything stands at `now`.

        Raises:
            JournalFault: the journal cannot be read.
            NoHousehold: there is no usable profile.
            OSError: the profile cannot be read.
        """
        journal = self.journal()
        if last := self.fresh(now):
            return last
        # Asked before the reading: what is committed meanwhile is seen next time.
        changes = journal.changes()
        self._standing = self._read(journal, changes, now)
        return self._standing

    def close(self) -> None:
        """Gives the journal back."""
        if self._journal:
            self._journal.close()
            self._journal = None

    def _read(self, journal: Journal, changes: Changes, now: datetime) -> Standing:
        in_force = self._household_in_force(journal, now)
        today = in_force.today(now)
        site_id = in_force.profile.site.id
        with journal.reading() as connection:
            phones = phones_of(connection, site_id)
            own, is_shared = self._key_id() if phones else None, bool(self.place.server)
            key_id = key_in_force(connection, site_id, own, is_shared=is_shared)
            ring = ringing(set_up_with(phones, key_id), now)
            # Kept as it is today: what is worked out by it is kept as long as it is the same.
            household = self._household = in_force.on(today).with_phones(ring, today)
            said = closings.closings(connection, site_id)
            marks = done.since(connection, site_id, today - LOOKED_BACK_DAYS * _DAY)
            eggs = counts_of(entries.of_family(connection, site_id, "eggs", today - _DAY))
            since = today - (DAYS_BACK + 1) * _DAY
            turns = closings.turns(connection, site_id, since)
            searched = entries.of_family(connection, site_id, "search", since)
            sessions = access.sessions(connection, site_id)
            renewals = access.renewals(connection, site_id)
            former = memos.former_ids(connection, site_id)
            ever = memos.houses(connection, site_id)
            gone_sites = access.gone_sites(connection, site_id)
            asked_of = access.asked_of(connection, site_id)
            oldest = memos.oldest_accepted(connection)
            first_day = known_since(household, oldest, now)
            told = reports.in_force(connection, site_id)
            known = as_records(connection, household, told, around(today))
            almanac = self._almanac(household, known)
            found = nights(almanac, connection, now, said)
            tries = history.last_tries(connection, site_id)
            asked = asked_since(almanac, withdrawn(connection, site_id), said, marks, now)
            middays = [call.at for call in calls_on(almanac, today, said)]
        let_outs = [
            coop.let_out.instant for day in (today, today + _DAY) for coop in almanac.coops(day)
        ]
        until = min((at for at in (*let_outs, *middays) if at > now), default=now + _DAY)
        people = {person.id for person in household.profile.person}
        houses = {
            coop.id: tonight(almanac, found, said, coop.id, now) for coop in household.profile.coop
        }
        return Standing(
            household=household,
            almanac=almanac,
            reports=told,
            nights=found,
            turns=turns,
            last_said={(one.coop_id, one.evening): one for one in said if one.kind != "undone"},
            said=said,
            lookers=lookers_of(searched),
            houses=houses,
            count_due=frozenset(
                coop_id
                for coop_id, state in houses.items()
                if is_count_due(said, coop_id, almanac.evening_of(now, coop_id), state.expected)
            ),
            marks=marks,
            asked_since=asked,
            done=counting(marks, asked),
            eggs=eggs_of(eggs),
            last_eggs={
                (one.about, one.day): one.what.eggs
                for one in eggs
                if isinstance(one.what, EggsCounted)
            },
            known_since=first_day,
            begun_on=first_day if oldest else date.min,
            sessions={
                one.id_hash: one for one in sessions if one.is_of(people) and not one.is_idle(now)
            },
            renewals=renewals,
            former=former,
            gone_houses=ever - houses.keys(),
            gone_sites=gone_sites,
            asked_of=frozenset(asked_of),
            phones=tuple(one for one in phones if one.person_id in people),
            reach=who_can_be_told(household.profile, almanac.ways, tries, today),
            until=until,
            version=(changes, today, until),
        )

    def _almanac(self, household: Household, records: Records) -> Almanac:
        last = self._standing
        if last and last.household is household and last.records.is_same(records):
            return last.almanac  # its days are computed already
        return Almanac(
            household=household, records=records, ways=ways_of(household.profile), key=self.key
        )

    def _household_in_force(self, journal: Journal, now: datetime) -> Household:
        """The profile that the reminders go by; the file's as long as they have accepted none."""
        with journal.reading() as connection:
            kept, at = memos.last_accepted(connection), memos.last_accepted_at(connection)
        if kept is None or at is None:
            found = open_profile(self._profile_path, now)
        elif self._household and self._household.text == kept[1]:
            return self._household
        else:
            found = read_profile(kept[1].encode(), "last-accepted", max(now, at))
        if isinstance(found, tuple):
            if self._household:
                return self._household
            raise NoHousehold(found)
        self._household = found
        return found


def known_since(household: Household, oldest: tuple[int, datetime] | None, now: datetime) -> date:
    """The first day that anybody could know of a job; `oldest` is the oldest profile accepted."""
    if oldest is None:  # as long as the reminders have accepted none, nobody was told of anything
        return household.today(now)
    number, at = oldest
    return household.today(at) if number == 1 else date.min  # the first is not kept any more
