"""Puts the rooms together for one run of the command line; commands reach the journal here."""

import shlex
import sys
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from scheduler.cares.day_plan import Plan
from scheduler.cares.emptied import Place
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.cli.faults import CANNOT_USE, FAILED, by_program, complain, failed_on
from scheduler.machine.paths import (
    JOURNAL_NAME,
    PROFILE_NAME,
    NoProfile,
    data_folder,
    find_profile,
    journal_folder,
)
from scheduler.profile.load import Problems
from scheduler.profile.package_data import tzdata_version
from scheduler.service.household.open_profile import Household, open_profile
from scheduler.service.household.renames import (
    has_a_written_site_id,
    may_be_another_site,
    may_be_the_same_site,
    still_asked,
    what_may_be_renamed,
)
from scheduler.wording.cli.refusals import Faults, SessionFaults

if TYPE_CHECKING:
    from scheduler.cares.door_state import Door
    from scheduler.journal.store import Journal
    from scheduler.service.calendars.calendar_files import Feed
    from scheduler.service.calendars.publish import FeedRequest
    from scheduler.service.data_place import DataPlace
    from scheduler.service.doors.statement import Result, Statement
    from scheduler.service.health.report_health import Health
    from scheduler.service.people.access import Pass
    from scheduler.service.people.test_message import Tried
    from scheduler.watch.take_back_held import TakenBack


def version_line() -> str:
    """Program, journal schema and zone data in one line."""
    from scheduler.journal.tables import VERSION  # noqa: PLC0415 - only --version asks

    ours, zones = version("duskfold"), tzdata_version()
    return SessionFaults.version(version=ours, schema=VERSION, zones=zones)


@dataclass(frozen=True, kw_only=True)
class Session:
    """One run: its options, its environment and the instant at which it began."""

    profile_option: Path | None
    data_option: Path | None
    journal_option: str | None
    environment: Mapping[str, str]
    now: datetime

    @property
    def program(self) -> str:
        """How a command begins that is to find the same profile and data from another terminal."""
        profile, data = self.profile_option, self.data_option
        if self.environment.get("STATE_DIRECTORY"):  # a service has it, a terminal has not
            data = journal_folder(data, self.environment)
        said = ["duskfold"]
        said += ["--profile", str(profile.absolute())] if profile else []
        said += ["--data", str(data.absolute())] if data else []
        return shlex.join(said)

    def new_profile_path(self) -> Path:
        """Where `init` writes: the named file, or ./duskfold.toml."""
        named = self.profile_option or self.environment.get("DUSKFOLD_PROFILE")
        return Path(named) if named else Path(PROFILE_NAME)

    def _folder(self) -> Path:
        """Where the data folder is or would be; ends when something else has that name."""
        folder = journal_folder(self.data_option, self.environment)
        if folder.exists() and not folder.is_dir():
            where = "--data" if self.data_option else SessionFaults.data_or()
            told = SessionFaults.data_is_file(where=where, folder=folder, parent=folder.parent)
            complain(by_program(told))
            sys.exit(CANNOT_USE)
        return folder

    @property
    def _has_journal(self) -> bool:
        return bool(self._server) or (self._folder() / JOURNAL_NAME).is_file()

    def data_folder(self) -> Path:
        """The data folder, which is made where there is none; ends when it cannot be one."""
        self._folder()
        return data_folder(self.data_option, self.environment)

    def data_place(self) -> "DataPlace":
        """The data folder, as above, and the journal in it or on a server."""
        from scheduler.service.data_place import DataPlace  # noqa: PLC0415 - SQLAlchemy

        return DataPlace(self.data_folder(), self._server)

    @cached_property
    def _server(self) -> str:
        """The address of the journal's server; empty where it is a file. Ends when it is none."""
        from scheduler.machine.secrets import SecretFault, secret  # noqa: PLC0415 - as below

        try:
            given = self.journal_option or secret("journal", self.environment) or ""
        except SecretFault as fault:
            complain(by_program(str(fault)))
            sys.exit(CANNOT_USE)
        if given and not given.startswith("postgresql://"):
            where = "--journal" if self.journal_option else "DUSKFOLD_JOURNAL"
            is_near = "postgres" in given
            said = SessionFaults.not_quite_server if is_near else SessionFaults.no_server
            complain(by_program(said(where=where)))
            sys.exit(CANNOT_USE)
        return given

    def profile_path(self) -> Path:
        """The profile's path; ends with every place that was looked at when there is none."""
        path = self.found_profile()
        if isinstance(path, NoProfile) and self._server:
            return self._folder() / PROFILE_NAME  # there it is a row of the journal
        if isinstance(path, NoProfile):
            complain(
                by_program(SessionFaults.no_profile()),
                *(f"  {place}" for place in path.looked_at),
                SessionFaults.write_one(),
            )
            sys.exit(CANNOT_USE)
        return path

    def found_profile(self) -> Path | NoProfile:
        """The profile's path, or where it was looked for; a first one half kept is kept whole."""
        folder = self._folder()
        path = find_profile(self.profile_option, self.environment, folder)
        if not isinstance(path, NoProfile) or not (folder / JOURNAL_NAME).is_file():
            return path
        from scheduler.service.household.profile_text import finish  # noqa: PLC0415 - SQLAlchemy

        with self.journal() as journal:
            finish(journal, folder)
        return find_profile(self.profile_option, self.environment, folder)

    def profile_path_or_first(self) -> Path:
        """The profile's path; where none is found, that of the one the first pages will make.

        A profile that is named and is not there is looked for as it is named.
        """
        found = self.found_profile()
        return self._folder() / PROFILE_NAME if isinstance(found, NoProfile) else found

    def is_first_profile(self, path: Path) -> bool:
        """Whether it is the data folder's own, which nobody has named."""
        named = self.profile_option or self.environment.get("DUSKFOLD_PROFILE")
        return not named and path == self._folder() / PROFILE_NAME

    def judged(self) -> tuple[Path, Household | Problems]:
        """The profile's path, and the household or everything that is wrong; ends when none."""
        path = self.profile_path()
        try:
            return path, open_profile(path, self.now)
        except FileNotFoundError as error:
            last = self._last_accepted() if self._server else None
            if last is None:
                sys.exit(failed_on(path, error))
            return path, last
        except OSError as error:
            sys.exit(failed_on(path, error))

    def household(self) -> Household:
        """The household; ends with every problem on standard error when there is none."""
        _, household = self.judged()
        if isinstance(household, tuple):
            refuse(household)
        return self._by_its_records(household).as_of(self.now)

    @cached_property
    def household_in_force(self) -> Household:
        """The household; while its profile is broken, the one that the reminders go by.

        Nobody must be kept from saying that a door is shut by a slip of the pen.
        """
        _, household = self.judged()
        if not isinstance(household, tuple):
            return self._by_its_records(household).as_of(self.now)
        last = self._last_accepted()
        if last is None:
            refuse(household)
        complain(by_program(SessionFaults.last_is_used()))
        return last.as_of(self.now)

    def _last_accepted(self) -> Household | None:
        """The household that the reminders go by; None where they have never run."""
        if not self._has_journal:
            return None
        from scheduler.service.household.reload import last_accepted  # noqa: PLC0415 - only with a journal

        with self.journal() as journal:
            return last_accepted(journal, self.now)

    def _by_its_records(self, household: Household) -> Household:
        """The household with the id of its records, where its site may only have another name."""
        last = None if has_a_written_site_id(household) else self._last_accepted()
        if last is None or not may_be_the_same_site(last, household):
            return household
        kept = last.profile.site.id
        complain(by_program(SessionFaults.kept_id(kept=kept)))
        same = household.profile.site.model_copy(update={"id": kept})
        return replace(household, profile=household.profile.model_copy(update={"site": same}))

    def plan(self, household: Household, first: date, days: int = 1) -> Plan:
        """The plan of that many days, with what was reported and which houses were emptied."""
        last = first + timedelta(days=days - 1)
        records, empty = self._records(household, first, last), self.emptied(household, first, days)
        return plan(household.profile, records, first, last, household.catalogue, empty)

    def emptied(self, household: Household, first: date, days: int) -> frozenset[Place]:
        """The houses that a statement has emptied, on those days; none without a journal."""
        if not self._has_journal:
            return frozenset()
        from scheduler.service.houses_emptied import emptied  # noqa: PLC0415 - only with a journal

        with self.journal() as journal:
            return emptied(journal, household.profile, first, days)

    def houses(
        self, household: Household, first: date, days: int = 1
    ) -> "dict[tuple[str, date], Door]":
        """How each house stands on those evenings by what was said; nothing without a journal."""
        if not self._has_journal:
            return {}
        from scheduler.cares.door_fold import door  # noqa: PLC0415 - only with a journal
        from scheduler.journal.closings import closings  # noqa: PLC0415 - as above

        profile = household.profile
        with self.journal() as journal, journal.reading() as connection:
            said = closings(connection, profile.site.id)
        found = {}
        for coop in profile.coop:
            for day in (first + timedelta(days=n) for n in range(days)):
                birds = sum(flock.birds for flock in profile.flocks_on(coop.id, day))
                found[coop.id, day] = door(said, coop.id, day, birds)
        return found

    def unsaid_last_night(self, household: Household, today: date) -> tuple[str, ...]:
        """The houses of which nobody has said that they were shut on the evening before."""
        last_night = today - timedelta(days=1)
        waiting = {
            place[0] for place, state in self.houses(household, last_night).items() if state.waits
        }
        if not waiting:
            return ()
        from scheduler.journal import memos  # noqa: PLC0415 - only with a journal
        from scheduler.web.household_now import known_since  # noqa: PLC0415 - as above

        with self.journal() as journal, journal.reading() as connection:
            oldest = memos.oldest_accepted(connection)
        if known_since(household, oldest, self.now) > last_night:
            return ()
        return tuple(coop.name for coop in household.profile.coop if coop.id in waiting)

    def records(self, household: Household, day: date | None = None) -> Records:
        """What is known of the days around today, or around that day, as of `_records`."""
        from scheduler.service.weather_asked import around  # noqa: PLC0415 - as below

        asked = around(day or household.today(self.now))
        return self._records(household, asked.first, asked.last or asked.first)

    def _records(self, household: Household, first: date, last: date) -> Records:
        """What was reported, and decided of the weather of those days.

        Nothing while there is no journal, which is not made for this.
        """
        if not self._has_journal:
            return NO_RECORDS
        from scheduler.service.reports.report import records  # noqa: PLC0415 - only with a journal
        from scheduler.service.weather_asked import over  # noqa: PLC0415 - as above

        with self.journal() as journal:
            return records(journal, household, over(first, last))

    @contextmanager
    def journal(self) -> "Iterator[Journal]":
        """The open journal; ends with a sentence when it cannot be used."""
        # SQLAlchemy is half of a second; commands without a journal do without.
        from scheduler.journal.fault import JournalFault  # noqa: PLC0415 - as below

        place = self.data_place()
        try:
            with closing(place.open()) as journal:
                yield journal
        except JournalFault as fault:
            complain(by_program(Faults.data_file(why=fault)))
            sys.exit(FAILED)

    def publish(self, household: Household, request: "FeedRequest") -> "tuple[Feed, ...]":
        """Publishes through the journal; ends with a sentence when it cannot be used."""
        from scheduler.service.calendars.publish import publish  # noqa: PLC0415 - as icalendar
        from scheduler.service.reports.report import records  # noqa: PLC0415 - as above

        with self.journal() as journal:
            told = records(journal, household)
            return publish(journal, household, request, self.now, told)

    def say(self, statement: "Statement") -> "Result":
        """Keeps what was said of a door, or takes back what was said last ("undone").

        Ends with a sentence when the journal cannot be used.
        """
        from scheduler.machine.signing_key import signing_key  # noqa: PLC0415 - as above
        from scheduler.service.almanac import Almanac  # noqa: PLC0415 - as above
        from scheduler.service.doors import say, undo  # noqa: PLC0415 - as icalendar
        from scheduler.service.people.phones import (  # noqa: PLC0415 - as icalendar
            own_key_id,
            read_ringing,
        )
        from scheduler.service.reachable import ways_of  # noqa: PLC0415 - as above
        from scheduler.service.reports.report import records  # noqa: PLC0415 - as above
        from scheduler.service.weather_asked import around  # noqa: PLC0415 - as above

        household, place = self.household_in_force, self.data_place()
        key = signing_key(place.folder, self.environment)
        with self.journal() as journal:
            with journal.reading() as connection:
                key_id, site_id = own_key_id(place, self.environment), household.profile.site.id
                is_shared = bool(place.server)
                ring = read_ringing(connection, site_id, self.now, key_id, is_shared=is_shared)
            household = household.with_phones(ring, household.today(self.now))
            almanac = Almanac(
                household=household,
                records=records(journal, household, around(household.today(self.now))),
                ways=ways_of(household.profile),
                key=key,
            )
            if statement.kind == "undone":
                return undo.take_back(journal, almanac, statement, self.now)
            return say.say(journal, almanac, statement, self.now)

    def take_back(self, household: Household) -> "TakenBack | None":
        """Takes back what push servers hold and should not; None while the reminders do that.

        Ends with a sentence when the journal cannot be used.
        """
        from scheduler.machine.clock import SystemClock  # noqa: PLC0415 - as icalendar
        from scheduler.service.health.tick_file import is_beating, read_pulse  # noqa: PLC0415 - as above

        place, readings = self.data_place(), SystemClock().read()
        if not place.server and is_beating(read_pulse(place.folder), readings):
            return None
        from scheduler.watch.take_back_held import instead_of_the_reminders  # noqa: PLC0415 - TLS

        with self.journal() as journal:
            return instead_of_the_reminders(journal, household, place, self.environment, readings)

    def passes(self, household: Household) -> "list[Pass]":
        """Every address of the household's people."""
        from scheduler.journal.access import renewals  # noqa: PLC0415 - as above
        from scheduler.machine.signing_key import signing_key  # noqa: PLC0415 - as above
        from scheduler.service.people.access import passes  # noqa: PLC0415 - as above

        profile = household.profile
        key = signing_key(self.data_folder(), self.environment)
        with self.journal() as journal, journal.reading() as connection:
            known = renewals(connection, profile.site.id)
        return list(passes(profile, key, known, self.now).values())

    def is_anybody_signed_in(self, household: Household) -> bool:
        """Whether any device is."""
        from scheduler.journal.access import sessions  # noqa: PLC0415 - as above

        with self.journal() as journal, journal.reading() as connection:
            return bool(sessions(connection, household.profile.site.id))

    def exposures(self, household: Household) -> "tuple[str, ...]":
        """What of the profile lets others in."""
        from scheduler.machine.secrets import SecretFault, secret  # noqa: PLC0415 - as above
        from scheduler.service.household.exposure import exposures  # noqa: PLC0415 - as above
        from scheduler.service.people.open_channels import push_servers, token_for  # noqa: PLC0415 - check alone

        def secret_of(name: str) -> str | None:
            return secret(name, self.environment)

        def has_token(server: str) -> bool:
            try:
                return bool(token_for(server, servers, "push-token", secret_of))
            except SecretFault:
                return True  # there is to be one

        servers = push_servers(household.profile.person)
        return tuple(exposures(household.profile, set(filter(has_token, servers))))

    def renames(self, household: Household) -> "tuple[str, ...]":
        """What may only have another name than in the profile that the reminders go by."""
        if not self._has_journal:
            return ()
        from scheduler.journal.access import asked_of  # noqa: PLC0415 - only with a journal

        last = self._last_accepted()
        with self.journal() as journal, journal.reading() as connection:
            open_still = asked_of(connection, household.profile.site.id)
        asked = (*what_may_be_renamed(last, household), *may_be_another_site(last, household))
        return (*asked, *still_asked(open_still, household))

    def secrets_not_given(self, household: Household) -> "tuple[str, ...]":
        """The secrets that are missing, how to give them, and who is not told meanwhile."""
        from scheduler.machine.secrets import secret  # noqa: PLC0415 - check alone
        from scheduler.service.people.open_channels import not_given  # noqa: PLC0415 - as above

        return tuple(not_given(household.profile, lambda name: secret(name, self.environment)))

    def accept(self, household: Household) -> int:
        """Makes this profile the one in force wherever the journal is shared; its number.

        Ends with a sentence when the journal cannot be used, or is of another site.
        """
        from scheduler.service.household.accept_profile import accept_profile  # noqa: PLC0415 - as above

        last = self._last_accepted()
        if last and last.profile.site.id != household.profile.site.id:
            kept, site = last.profile.site.id, household.profile.site.id
            complain(by_program(SessionFaults.other_site(kept=kept, site=site)))
            sys.exit(CANNOT_USE)
        with self.journal() as journal:
            return accept_profile(journal, household, self.now, last)

    def report_health(self) -> "Health":
        """How the reminders fare, from the pulse and the journal."""
        from scheduler.machine.clock import SystemClock  # noqa: PLC0415 - as above
        from scheduler.service.data_place import DataPlace  # noqa: PLC0415 - as above
        from scheduler.service.health.report_health import report_health  # noqa: PLC0415 - as above

        place = DataPlace(self._folder(), self._server)
        return report_health(place, self.household_in_force, SystemClock().read())

    def agree_clock(self) -> None:
        """Keeps that this machine's clock is right."""
        from scheduler.service.agree_clock import agree_clock  # noqa: PLC0415 - as above

        site_id = self.household_in_force.profile.site.id
        with self.journal() as journal:
            agree_clock(journal, site_id, self.now)

    def send_test(self, person_id: str) -> "list[Tried]":
        """Sends the person a real test over each of their channels; what came of each."""
        from scheduler.service.people.test_message import send_test  # noqa: PLC0415 - as above

        place = self.data_place()
        return send_test(self.household().profile, person_id, place, self.environment)


def refuse(problems: Problems) -> NoReturn:
    """Shows every problem and ends with status 2."""
    complain(*map(str, problems), by_program(SessionFaults.problems(count=len(problems))))
    sys.exit(CANNOT_USE)
