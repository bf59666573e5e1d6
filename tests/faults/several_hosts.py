"""Several hosts over one PostgreSQL: each with a folder, a profile and a clock of its own."""

import re
import shutil
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from signal import SIGCONT, SIGKILL, SIGSTOP, SIGTERM

from scheduler.cares.closing import ClosingKind
from scheduler.cares.records import NO_RECORDS
from scheduler.journal import deliveries
from scheduler.machine.signing_key import signing_key
from scheduler.service.almanac import Almanac
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, House, key_of
from tests.sinks.authority import Authority
from tests.sinks.postgres import Postgres, set_ahead
from tests.sinks.push import PushSink
from tests.sinks.smtp import SmtpSink

_LONG_AGO = date(2000, 1, 1)
BODY = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE


@dataclass
class Hosts:
    """The houses, which are one household, and the server that keeps what they share."""

    houses: list[House]
    server: Postgres
    ahead: Path
    asleep: set[int] = field(default_factory=set)
    is_up: bool = True
    killed: set[tuple[int, int]] = field(default_factory=set)
    looked: list[int] = field(default_factory=list)  # when a host has looked, and could write
    strange: dict[str, str] = field(default_factory=dict)
    _pushes: int = 0
    _mails: int = 0
    _before: int = 0
    wire: Counter[str] = field(default_factory=Counter)

    @property
    def day(self) -> date:
        """The evening that it is."""
        return self.houses[0].day

    @property
    def awake(self) -> list[House]:
        """Those that run and are not asleep."""
        return [
            house
            for number, house in enumerate(self.houses)
            if house.process is not None and number not in self.asleep
        ]

    def set_clock(self, at: datetime) -> None:
        """Makes it `at` on the server and on every host.

        On the server first: between the two a host is behind, and knows of nothing that is due.
        """
        set_ahead(self.ahead, at.timestamp() - time.time())
        for house in self.houses:
            house.set_clock(at)

    def at(self, clock: str) -> None:
        """Goes forward to that time of the evening, and everything due is seen to."""
        self.set_clock(self.houses[0].local(clock))
        self.settle()

    def to(self, day: date) -> None:
        """Another evening."""
        self._before = len(self.houses[0].phone("ana"))
        for house in self.houses:
            house.day = day

    def settle(self) -> None:
        """Every host that is awake has looked since, and nothing that is due waits."""
        for house in self.awake:
            self._wait_for_a_look(house)
        if self.is_up and self.awake:
            self._wait_until_nothing_is_due()
            for house in self.awake:  # what came back may have called for more
                self._wait_for_a_look(house)
            self._wait_until_nothing_is_due()
            self.looked.append(int(self.awake[0].now.timestamp()))
        self.collect()

    def _wait_for_a_look(self, house: House) -> None:
        """A whole one where the server is up: right after the clocks were moved they are apart."""
        since_s = house.readings.boot_s

        def has_looked() -> bool:
            pulse = house.pulse
            if pulse is None:
                return False
            at_s = pulse.complete_boot_s if self.is_up else pulse.boot_s
            return at_s is not None and at_s >= since_s

        house.wait(has_looked, "no look", 60.0)

    def _wait_until_nothing_is_due(self) -> None:
        self.awake[0].wait(lambda: not self._due(), "deliveries did not settle", 60.0)

    def _due(self) -> bool:
        """Whether something due waits, or is under way on a host that runs."""
        house = self.houses[0]
        now = int(house.now.timestamp())
        sending = set(house.sending()) - self.killed
        due = "SELECT count(*) FROM delivery WHERE state = 'pending' AND next_at <= ? AND "
        [(waiting,)] = house.rows(f"{due} useful_until > ?", now, now)
        return bool(waiting or sending)

    # -- what happens to them ---------------------------------------------------------------

    def start(self, number: int) -> None:
        """Starts the watch of that host, unless it runs; it waits for no server."""
        house = self.houses[number]
        if house.process is None:
            house.start(ready=False)

    def kill(self, number: int) -> None:
        """Ends it at once; what it had under way nobody settles."""
        house = self.houses[number]
        if house.process is None:
            return
        self.wake(number)
        house.signal(SIGKILL)
        house.process.wait(20.0)
        house.process = None
        if self.is_up:
            self.killed |= set(house.sending())

    def stop(self, number: int) -> None:
        """A clean end."""
        house = self.houses[number]
        if house.process is not None:
            house.signal(SIGTERM)
            house.process.wait(30.0)
            house.process = None

    def sleep(self, number: int) -> None:
        """The machine falls asleep with all it holds."""
        house = self.houses[number]
        if house.process is not None and number not in self.asleep:
            house.signal(SIGSTOP)
            self.asleep.add(number)

    def wake(self, number: int) -> None:
        """It wakes up."""
        if number in self.asleep:
            self.houses[number].signal(SIGCONT)
            self.asleep.discard(number)

    def server_down(self, *, at_once: bool = False) -> None:
        """The server is stopped, or loses its power."""
        if self.is_up:
            self.collect()
            self.is_up = False
            (self.server.kill if at_once else self.server.stop)()

    def server_up(self) -> None:
        """It is started again."""
        if not self.is_up:
            self.collect()
            self.server.start()
            self.is_up = True

    def cut(self) -> None:
        """Every connection to the server is cut."""
        self.server.cut_all(self.houses[0].server.rpartition("/")[2].partition("?")[0])

    def lock_up(self) -> datetime:
        """When the evening's door is to be shut, by the profile."""
        first = self.houses[0]
        almanac = Almanac(
            household=first.household(), records=NO_RECORDS, ways=frozenset(), key=b""
        )
        [coop] = almanac.coops(self.day)
        return coop.lock_up.instant

    def told(self) -> list[str]:
        """The titles about the house that have rung on Ana's phone this evening."""
        return [title for title in self.houses[0].phone("ana")[self._before :] if "Walnut" in title]

    def say(self, kind: ClosingKind = "closed", count: int | None = None) -> None:
        """What a keeper says at the terminal of the first host."""
        self.houses[0].say(kind, count=count)
        self.collect()

    # -- what came of it --------------------------------------------------------------------

    def collect(self) -> None:
        """Counts what has come on the wire since."""
        first = self.houses[0]
        pushes, mails = first.push.events.all(), first.smtp.accepted.all()
        ids = [
            str(event.said["sequence_id"])
            for event in pushes[self._pushes :]
            if event.event == "message"
            and "sequence_id" in event.said
            and "delay" not in event.said
        ]
        ids += [one.message_id.strip("<>").partition("@")[0] for one in mails[self._mails :]]
        self._pushes, self._mails = len(pushes), len(mails)
        self.wire.update(ids)

    def from_memory(self) -> Counter[str]:
        """How often the hosts have sent each step from memory, by their logs."""
        told = "delivery.from_memory channel=(\\w+) outcome=\\S+ step=(\\S+)"
        found = (re.findall(told, house.log) for house in self.houses)
        return Counter(" ".join(pair) for pairs in found for pair in pairs)

    def ask(self) -> Counter[str]:
        """Silent, lost and doubled steps of every evening that has begun: all are to be 0.

        doubled: come more often than by attempts of which nobody knows what came, and than sent
        from memory, which is counted apart. lost: written down as sent and not seen on the wire.
        """
        self.collect()
        first, found, again = self.houses[0], Counter[str](), Counter[str]()
        rows = first.rows(
            "SELECT id, site_id, subject_id, day, step, opening, person_id, channel, state, "
            "operation, maybe FROM delivery WHERE operation = 'send'"
        )
        tries = defaultdict[int, list[str | None]](list)
        for row_id, outcome in first.rows("SELECT delivery_id, outcome FROM attempt"):
            tries[row_id].append(outcome)
        for row in rows:
            key = key_of(row[1:])
            came = self.wire[key.message_id]
            # Where a lease ran out, nobody knew what had come of the attempt.
            unknown = len(tries[row[0]]) - 1 if row[10] else tries[row[0]].count("unknown")
            if row[8] == "sent" and not came:
                found["lost"] += 1
            if came > 1:
                found["came again"] += 1
                again[f"{key.channel} {key.step}"] += max(0, came - 1 - unknown)
                self.strange[key.message_id] = f"{row} {tries[row[0]]} came {came}"
        memory = self.from_memory()
        found["doubled"] = sum((again - memory).values())
        with first.journal() as journal, journal.reading() as connection:
            begun = deliveries.evenings(connection, rows[0][1] if rows else "", _LONG_AGO)
        written = {(row[2], row[3], row[4], row[6]) for row in rows}
        said = self._said()
        for evening in begun:
            for step in evening.steps:
                shut_at = said.get((evening.subject_id, evening.day.isoformat()))
                due = int(step.at.timestamp())
                if not any(due < at and (shut_at is None or at < shut_at) for at in self.looked):
                    continue  # nobody was awake, or it was over by then
                for person in step.people:
                    known = (evening.subject_id, evening.day.isoformat(), str(step.name), person)
                    if known not in written:
                        found["silent"] += 1
                        self.strange[" ".join(known)] = f"silent: {known}, shut at {shut_at}"
        found["evenings"] = len({evening.day for evening in begun})
        found["messages"] = sum(self.wire.values())
        found["from memory"] = sum(memory.values())
        return found

    def _said(self) -> dict[tuple[str, str], int]:
        """When each door was first said to be shut."""
        rows = self.houses[0].rows(
            "SELECT about, day, min(said_at) FROM entry WHERE kind = 'door-shut' "
            "GROUP BY about, day"
        )
        return {(about, str(day)): said_at for about, day, said_at in rows}


@contextmanager
def hosts(folder: Path, server: Postgres, count: int = 2, body: str = BODY) -> Iterator[Hosts]:
    """So many hosts with one key, one profile and one journal; none is started."""
    address, ahead = server.driven_database()
    authority = Authority()
    ca_file = authority.file(folder)
    with ExitStack() as stack:
        push = stack.enter_context(PushSink())
        smtp = stack.enter_context(SmtpSink(authority))
        houses = []
        for number in range(count):
            own = folder / f"host-{number}"
            own.mkdir()
            houses.append(
                House(
                    folder=own,
                    push=push,
                    smtp=smtp,
                    ca_file=ca_file,
                    body=body,
                    server=address,
                    still_s=60.0,  # a stopped process, unlike a machine asleep, hears time pass
                )
            )
        signing_key(houses[0].data, {})
        for house in houses[1:]:
            shutil.copy(houses[0].data / "signing.key", house.data)
        found = Hosts(houses=houses, server=server, ahead=ahead)
        found.set_clock(houses[0].local("12:30"))
        try:
            yield found
        finally:
            for number in range(count):
                found.wake(number)
            for house in houses:
                house.end()
            found.server_up()
