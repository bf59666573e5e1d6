"""Evenings whose household changes under way: nobody falls silent, nobody wrong is called.

People come and go, topics, houses and ways out change before and after noon, the process is
killed, servers fail, the clock is wrong for a while, also from one start to the next.
DUSKFOLD_SEED gives another run.
"""

import os
import random
from collections import Counter
from collections.abc import Callable, Container, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from scheduler.alerts import decide, held_messages, pursue
from scheduler.alerts.crew import Contact, crew_of
from scheduler.alerts.delivery import ChannelName, Delivery, Key, Outcome, Outgoing
from scheduler.alerts.evening_so_far import Night
from scheduler.journal import deliveries
from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.profile.values import Profile
from scheduler.service import almanac
from scheduler.service.doors.statement import Kept
from tests.faults.driven import DAY, MINUTE, Arrived, Driven, driven, memory_folder
from tests.journal.as_said import as_said
from tests.unhurried import unhurried

__all__ = ["memory_folder"]
pytestmark = [pytest.mark.slow, unhurried]

SEED = os.environ.get("DUSKFOLD_SEED", "20261221")
STARTS = [date(2026, 11, 2), date(2027, 1, 11), date(2027, 3, 22), date(2027, 6, 1)]
EVENINGS = 75
LONGEST_HUNT = 20
SHUT_AFTER = (2, 12, 30, 90)  # minutes; on half of the evenings nobody says it unasked
TICK = timedelta(seconds=15)
TOLD_AGAIN = 20 * MINUTE  # whoever opens a door again is not told of it at once
TOLD_AT_DAWN = 180 * MINUTE  # a reminder at dawn is of use for hours
RETRIED = 21 * MINUTE  # no delivery waits longer for its next try once all is well
STRIDE = 30 * MINUTE  # of a wrong clock: a reminder at dawn is of use for hours
# Whom a clock that ran ahead told so little too early is not told again when it is put right: as
# the program has it, who heard "Not confirmed" an hour before the lock-up has not forgotten it.
HARDLY_EARLY = 60 * MINUTE


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the household; `topic` counts how often theirs was changed."""

    name: str
    push: bool
    mail: bool
    topic: int = 0

    @property
    def table(self) -> str:
        """As the profile has them."""
        low = self.name.lower()
        push = f'push = "https://push.example.net/{low}-{self.topic}-8c1f9e2b77aa"\n'
        mail = f'mail = "{low}@example.org"\n'
        ways = (push if self.push else "") + (mail if self.mail else "")
        return f'[[person]]\nid = "{low}"\nname = "{self.name}"\n{ways}'


ANA, BO = Person("Ana", push=True, mail=False), Person("Bo", push=True, mail=True)
CY, DI = Person("Cy", push=False, mail=True), Person("Di", push=True, mail=False)
NAMES = [one.name for one in (ANA, BO, CY, DI)]


@dataclass(frozen=True, slots=True)
class Home:
    """What the profile says."""

    people: tuple[Person, ...] = (ANA, BO)
    mail: bool = True
    barn: bool = False
    barn_early: bool = False
    hens: int = 12
    week: tuple[str, ...] = ()  # who has each day of the week, while they are there
    way_minutes: int = 0

    @property
    def text(self) -> str:
        """The profile."""
        early = '[coop.lockup]\nafter_sunset = "5 min"\n' if self.barn_early else ""
        barn = f'[[coop]]\nid = "barn"\nname = "Barn"\n{early}' if self.barn else ""
        others = '[[flock]]\nname = "Others"\ncoop = "barn"\nhens = 8\n' if self.barn else ""
        mail = '[mail]\nhost = "mail.example.net"\nfrom = "hens@example.net"\n' if self.mail else ""
        people = "".join(person.table for person in self.people)
        here = {person.name for person in self.people}
        days = [
            f'{day} = "{who}"\n'
            for day, who in zip(WEEKDAYS, self.week, strict=False)
            if who in here
        ]
        week = "".join(["[duty]\n", *days]) if days else ""
        way = f"getting_there = {self.way_minutes}\n" if self.way_minutes else ""
        girls = f'[[flock]]\nname = "Girls"\ncoop = "walnut"\nhens = {self.hens}\n'
        return (
            '[site]\nid = "orchard"\nname = "Orchard"\nlatitude = 51.5\nlongitude = -0.1\n'
            'timezone = "Europe/London"\nregion = "UK"\n'
            '[climate]\ncoldest_month_low = "-2 °C"\nwarmest_month_high = "24 °C"\n'
            f'[[coop]]\nid = "walnut"\nname = "Walnut"\n{way}{barn}'
            f"{girls}{others}{people}{week}{mail}"
        )


@dataclass(slots=True)
class Door:
    """One house's evening; `shut_at` is when somebody said so, None while nobody has.

    `opened_at` is when that was last taken back.
    """

    coop_id: str
    day: date
    lock_up: datetime
    let_out: datetime
    shut_at: datetime | None = None
    opened_at: datetime | None = None

    @property
    def due(self) -> datetime:
        """From when on somebody has been told of it, if it is open and all is well."""
        again = self.opened_at + TOLD_AGAIN if self.opened_at else self.lock_up
        return max(self.lock_up, again) + 2 * MINUTE

    def open_again(self, at: datetime) -> None:
        """What was said of it does not count any more."""
        self.shut_at, self.opened_at = None, at


@dataclass(frozen=True, slots=True)
class Held:
    """A message that the push server keeps until then, and the houses that it is about."""

    rings_at: datetime
    day: date
    coops: frozenset[str]


@dataclass
class Hunt:
    """Drives the evenings in true time; the clock of the machine may show another one."""

    house: Driven
    draw: random.Random
    home: Home = Home()
    ahead: timedelta = timedelta()
    doors: list[Door] = field(default_factory=list)
    down: set[str] = field(default_factory=set)
    refused: set[str] = field(default_factory=set)
    done: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    story: list[str] = field(default_factory=list)
    unwell_at: datetime = datetime(2000, 1, 1, tzinfo=UTC)  # when something was last amiss
    held: dict[tuple[str, str], Held] = field(default_factory=dict)
    in_vain: dict[tuple[str, str], datetime] = field(default_factory=dict)  # last taken back so
    looked_at: datetime = datetime(2000, 1, 1, tzinfo=UTC)
    addresses: set[str] = field(default_factory=set)  # at that look
    told: dict[tuple[str, date], datetime] = field(default_factory=dict)
    told_early: set[tuple[str, date]] = field(default_factory=set)
    reports: list[str] = field(default_factory=list)
    _seen: int = 0

    def __post_init__(self) -> None:
        ways: tuple[ChannelName, ...] = ("push", "mail")
        for name in ways:
            self.house.channel(name).meaning = self._meaning

    @property
    def now(self) -> datetime:
        """The true time."""
        return self.house.clock.at - self.ahead

    def _meaning(self, outgoing: Outgoing) -> Outcome:
        server = "push" if outgoing.address.startswith("https:") else "mail"
        if server not in self.down and outgoing.address not in self.refused:
            return Outcome(kind="sent")
        if outgoing.operation == "cancel":
            self.in_vain[outgoing.address, outgoing.message.target_id] = self.now
        if server in self.down:
            return Outcome(kind="transient", reason="away")
        return Outcome(kind="bad address", reason="refused")

    # -- time -------------------------------------------------------------------------------

    def go(self, at: datetime) -> None:
        """True time passes until then; everything due is seen to, by a watch that runs.

        The stops are those of the true evening: a clock that is ahead has its own between them. The
        last look before a held message rings is one of them.
        """
        while (stop := self._stop_before(at)) < at:
            self._go_to(stop)
        self._go_to(at)

    def _stop_before(self, at: datetime) -> datetime:
        stops = [at]
        if self.house.ticker is not None:
            rings = [one.rings_at for one in self.held.values()]
            stops += [one for ring in rings for one in (ring - TICK, ring) if one > self.now]
            stops += [self.now + STRIDE] if self.ahead else []
        return min(stops)

    def _go_to(self, at: datetime) -> None:
        house = self.house
        house.at(at + self.ahead)
        self._ring()  # before anything that came of this look
        self._look()  # by the profile that the tick went by: the next one may follow another
        if house.ticker is None:
            return
        if not self.down:
            house.tick()  # what came back may have called for more
            self._look()
        self.looked_at = self.now
        crew = house.running.almanac.everybody
        self.addresses = {address for one in crew for _, address in one.addresses}

    def _look(self) -> None:
        """What arrived since the last look: to whom, of what, and whether it still may."""
        if self.house.ticker is None or self.down or self.refused or self.ahead:
            self.unwell_at = self.now
        new = self.house.arrived[self._seen :]
        self._seen = len(self.house.arrived)
        if any(one.outgoing.operation == "send" for one in new):
            self._see_what_was_taken_back()
        for one in new:
            self._keep(one)

    def _keep(self, one: Arrived) -> None:
        outgoing, message = one.outgoing, one.outgoing.message
        said = f"{outgoing.operation} {outgoing.person_name}: {message.title}"
        self.story.append(f"{self.now:%d %b %H:%M:%S}   {said}")
        place = (outgoing.address, message.target_id)
        if outgoing.operation == "cancel":
            self.held.pop(place, None)
            return
        if outgoing.operation == "hold":
            assert message.rings_at is not None
            key = self.house.key_of(outgoing.message_id)
            assert key is not None
            self.held[place] = Held(message.rings_at, key.day, frozenset(self._of(key)))
            return
        names = {person.name for person in self.house.running.household.profile.person}
        if outgoing.person_name not in names:
            self._fault(f"{outgoing.person_name} was told {message.title}")
        key = self.house.key_of(outgoing.message_id)
        if key is None:
            self._fault(f"{message.title} stands nowhere in the journal")
        elif str(key.step).partition("-")[0] in {"missed", "brief", "clock"}:
            self.reports.append(f"{message.title}\n{message.body}")
        elif key.step.calls:
            self._told(key, message.title)

    def _see_what_was_taken_back(self) -> None:
        """Opens again what it took back as said by a clock ahead; its word of it may not arrive."""
        with self.house.journal.reading() as connection:
            said = list(as_said(connection, self.house.running.site_id))
        stands = {
            (one.closing.coop_id, one.closing.evening) for one in said if one.undone_at is None
        }
        for door in self.doors:
            if not door.shut_at or (door.coop_id, door.day) in stands:
                continue
            if self.now < door.let_out:
                self._open_again(door)
            elif self.now < door.let_out + TOLD_AT_DAWN:  # nothing could be told in the night
                door.shut_at = None

    def _told(self, key: Key, title: str) -> None:
        for coop_id, lock_up in self._of(key).items():
            # What came long before by a wrong clock told nobody anything.
            if self.now >= lock_up - (HARDLY_EARLY if self.ahead else MINUTE):
                self.told.setdefault((coop_id, key.day), self.now)
            else:
                self.told_early.add((coop_id, key.day))
        mine = self._doors(key.day, self._of(key))
        shut = [door.shut_at for door in mine]
        if mine and all(at is not None and at < self.now for at in shut):
            self._fault(f"{title}, though shut at {shut}")

    def _doors(self, day: date, coops: Container[str]) -> list[Door]:
        return [door for door in self.doors if door.day == day and door.coop_id in coops]

    def _of(self, key: Key) -> dict[str, datetime]:
        """The houses that the message is about, and their lock-ups; until it begins, as planned."""
        with self.house.journal.reading() as connection:
            begun = deliveries.evenings(connection, key.site_id, key.day)
        mine = (key.day, key.subject_id)
        evenings = [one for one in begun if (one.day, one.subject_id) == mine] or [
            one for one in self.house.evenings(key.day) if one.subject_id == key.subject_id
        ]
        return {door.coop_id: door.lock_up for one in evenings for door in one.doors}

    def _fault(self, what: str) -> None:
        """Keeps what is wrong, the first time with what went before."""
        before = "" if self.wrong else "\n".join(["", *self.story[-40:], ""])
        self.wrong.append(f"{before}{self.now}: {what}")

    def _ask_who_was_told(self) -> None:
        """Once all has been well for a while, an open door that is due has been told of."""
        if self.now - self.unwell_at < RETRIED:
            return
        if not self.house.running.almanac.everybody:
            return
        for door in self.doors:
            due = door.due <= self.now < door.let_out
            if due and door.shut_at is None and (door.coop_id, door.day) not in self.told:
                self._fault(f"nobody was told of {door}")
                self.told[door.coop_id, door.day] = self.now

    def _ring(self) -> None:
        """The push server rings what it has held until now."""
        for place, held in list(self.held.items()):
            if held.rings_at <= self.now:
                del self.held[place]
                self._rang(place, held)

    def _rang(self, place: tuple[str, str], held: Held) -> None:
        """Wrong, if a look could have taken it back: its doors were shut, or the address was gone.

        It could not while nothing looked, and what was tried in vain is tried again later.
        """
        mine = self._doors(held.day, held.coops)
        for door in mine:
            self.told.setdefault((door.coop_id, door.day), held.rings_at)
        tried_at = self.in_vain.get(place)
        if tried_at and held.rings_at - tried_at < RETRIED:
            return
        shut = [door.shut_at for door in mine]
        if mine and all(at is not None and at < self.looked_at for at in shut):
            self._fault(f"{place[0]} rang at {held.rings_at}, though shut at {shut}")
        if place[0] not in self.addresses:
            self._fault(f"{place[0]} rang at {held.rings_at}, though nobody is reached there")

    # -- what happens -----------------------------------------------------------------------

    def happen(self) -> None:
        """Something, by chance."""
        choices: list[tuple[int, Callable[[], None]]] = [
            (10, self.edit),
            (3, self.kill),
            (8, self.start),
            (3, self.go_down),
            (5, self.heal),
            (2, self.refuse),
            (2, self.step),
            (4, self.put_right),
            (3, self.wrong_boot),
            (6, self.confirm),
            (1, self.reopen),
        ]
        weights, what = zip(*[(n, one) for n, one in choices], strict=True)
        chosen = self.draw.choices(what, weights)[0]
        self.done[chosen.__name__] += 1
        before = self.home
        began = self.now
        chosen()
        self._look()
        changed = "" if self.home == before else f" -> {self.home}"
        self.story.append(f"{began:%d %b %H:%M:%S} {chosen.__name__}{changed}")

    def edit(self) -> None:
        """The keeper changes the profile; it is followed at the second look at the file."""
        home = self.home
        change = self.draw.choice(
            [
                *("leave", "leave", "come", "topic", "mail", "house", "early", "hens", "nobody"),
                *("order", "week", "way"),
            ]
        )
        people = list(home.people)
        if change == "leave" and people:
            people.pop(self.draw.randrange(len(people)))
        elif change == "come":
            absent = [one for one in (ANA, BO, CY, DI) if one.name not in {p.name for p in people}]
            people += self.draw.sample(absent, min(1, len(absent)))
        elif change == "topic" and people:
            which = self.draw.randrange(len(people))
            people[which] = replace(people[which], topic=people[which].topic + 1)
        elif change == "nobody":
            people = []
        elif change == "order":
            self.draw.shuffle(people)
        self.home = replace(
            home,
            people=tuple(people),
            mail=home.mail != (change == "mail"),
            barn=home.barn != (change == "house"),
            barn_early=home.barn_early != (change == "early"),
            hens=self.draw.randint(9, 14) if change == "hens" else home.hens,
            week=tuple(self.draw.choices(NAMES, k=7)) if change == "week" else home.week,
            way_minutes=self.draw.choice([0, 14, 60]) if change == "way" else home.way_minutes,
        )
        self.done[f"edit: {change}"] += 1
        self.house.write_profile(self.home.text)
        self.ticks(3)

    def ticks(self, count: int) -> None:
        """So many ticks, a quarter of a minute apart."""
        for _ in range(count):
            self.go(self.now + TICK)

    def kill(self) -> None:
        """The process ends, whatever it was doing."""
        self.house.stop()

    def start(self) -> None:
        """The process starts, if there is anything to start with."""
        if self.house.ticker is None:
            self.house.start()
            self.ticks(2)

    def go_down(self) -> None:
        """A server goes away."""
        self.down.add(self.draw.choice(["push", "mail"]))

    def heal(self) -> None:
        """Servers are there again and take every address."""
        self.down.clear()
        self.refused.clear()

    def refuse(self) -> None:
        """One address is refused."""
        addresses = [one.outgoing.address for one in self.house.messages()]
        if addresses:
            self.refused = {self.draw.choice(addresses)}

    def step(self) -> None:
        """The clock is set wrongly, and right again within the hour or at the next mending."""
        by = timedelta(minutes=self.draw.randint(-180, 600))
        self.house.clock.step(by)
        self.ahead += by
        self.ticks(1)

    def put_right(self) -> None:
        """The network sets the clock."""
        self.house.clock.step(-self.ahead)
        self.ahead = timedelta()
        self.ticks(1)

    def wrong_boot(self) -> None:
        """A power cut, a start by a clock that is hours ahead, another cut, then all is right."""
        self.kill()
        self.house.clock.step(-self.ahead)
        self.ahead = timedelta(hours=self.draw.randint(1, 14))
        self.house.clock.step(self.ahead)
        self.house.clock.synchronised = False
        self.house.start()
        self.ticks(self.draw.randint(1, 4))
        self.kill()
        self.house.clock.step(-self.ahead)
        self.ahead = timedelta()
        self.house.clock.synchronised = True
        self.house.start()
        self.ticks(2)

    def confirm(self) -> None:
        """Somebody of the household shuts a door that is due, at the terminal."""
        if self.house.ticker is None or self.ahead:
            return
        due = [one for one in self.doors if one.lock_up <= self.now < one.let_out]
        for door in due:
            result = self.house.say(
                "closed", self._somebody(), coop=door.coop_id, evening=door.day, sure=True
            )
            if isinstance(result, Kept):
                door.shut_at = self.now
        self.ticks(1)

    def reopen(self) -> None:
        """A door that was shut is found open."""
        if self.house.ticker is None or self.ahead:
            return
        for door in self.doors:
            if door.shut_at and self.now < door.let_out:
                result = self.house.say(
                    "reopened", self._somebody(), coop=door.coop_id, evening=door.day
                )
                if isinstance(result, Kept):
                    self._open_again(door)
                    break
        self.ticks(1)

    def _open_again(self, door: Door) -> None:
        door.open_again(self.now)
        self.told.pop((door.coop_id, door.day), None)

    def _somebody(self) -> str:
        people = self.house.running.household.profile.person
        return people[0].name if people else "somebody"

    # -- one evening ------------------------------------------------------------------------

    def evening(self, day: date) -> None:
        """From ten in the morning to ten the next, with what happens by chance between."""
        begins = datetime(day.year, day.month, day.day, 10, tzinfo=UTC)
        self.go(begins)
        timetable = self._timetable(day)
        stops = [self._stop(day, begins) for _ in range(self.draw.choice([1, 3, 6, 10]))]
        shut_after = self.draw.choice([None, None, *SHUT_AFTER])
        for at in sorted({*stops, *timetable}):
            if at <= self.now:
                continue
            self.go(at)
            self._ask_who_was_told()
            if at in stops:
                self.happen()
            if shut_after is not None and at >= self._lock_up(day) + shut_after * MINUTE:
                self.confirm()
                shut_after = None
            self._plan(day)
        self._mend()
        self.go(begins + DAY - MINUTE)

    def _stop(self, day: date, begins: datetime) -> datetime:
        """Any instant of the day; every other one is between the heads-up and bedtime."""
        if self.draw.random() < 0.5:
            return self._lock_up(day) + self.draw.randint(-40, 240) * MINUTE
        return begins + self.draw.random() * DAY

    def _timetable(self, day: date) -> list[datetime]:
        self._plan(day)
        doors = [door for door in self.doors if door.day == day]
        first = self._lock_up(day)
        after = [-30, 0, 8, 16, 26, 41, 56, 120, 240]
        return [first + minutes * MINUTE for minutes in after] + [
            max(door.let_out for door in doors) - 14 * MINUTE,
            max(door.let_out for door in doors) + 31 * MINUTE,
        ]

    def _lock_up(self, day: date) -> datetime:
        return min(door.lock_up for door in self.doors if door.day == day)

    def _plan(self, day: date) -> None:
        """The doors of that evening as the profile in force has them until the lock-up.

        A lock-up that an edit has moved counts, until the evening has begun by the old one: then
        it runs its course, for a house that is none any more as well.
        """
        if self.house.ticker is None or self.ahead:
            return
        begun = self._begun(day)
        planned = {
            one.coop_id: (begun.get(one.coop_id, one.lock_up), evening.let_out)
            for evening in self.house.evenings(day)
            for one in evening.doors
        }
        self.doors = [
            door
            for door in self.doors
            if door.day != day or door.coop_id in {*planned, *begun} or door.lock_up <= self.now
        ]
        known = {door.coop_id: door for door in self.doors if door.day == day}
        for coop_id, (lock_up, let_out) in planned.items():
            if coop_id in known:
                known[coop_id].lock_up = lock_up
            else:
                self.doors.append(Door(coop_id, day, lock_up, let_out))

    def _begun(self, day: date) -> dict[str, datetime]:
        """The lock-up of each house whose evening of that date has begun."""
        with self.house.journal.reading() as connection:
            begun = deliveries.evenings(connection, self.house.running.site_id, day)
        return {
            door.coop_id: door.lock_up
            for evening in begun
            if evening.day == day
            for door in evening.doors
        }

    def _mend(self) -> None:
        """All is well again, and somebody can be told."""
        self.heal()
        if self.ahead:
            self.put_right()
        home = self.home
        reachable = any(one.push or (one.mail and home.mail) for one in home.people)
        if not reachable or len(home.people) > 3:
            self.home = replace(home, people=(ANA, BO), mail=True)
            self.house.write_profile(self.home.text)
        self.start()
        self.ticks(3)

    # -- the tally --------------------------------------------------------------------------

    def fate(self, door: Door) -> str:
        """What became of the door's evening."""
        if (door.coop_id, door.day) in self.told:
            return "told"
        if door.shut_at is not None:
            return "shut"
        if door.opened_at and door.due >= door.let_out:
            return "opened again as it was let out"
        when = f"{door.day:%a} {door.day.day} {door.day:%b}"
        if any(when in report for report in self.reports):
            return "reported"
        # By a clock that ran ahead until all was over. Where it was right again in time, and all
        # was well, `_ask_who_was_told` wants it told again.
        if (door.coop_id, door.day) in self.told_early:
            return "told too early"
        return "silent"

    @property
    def silent(self) -> list[Door]:
        """The doors of which nobody heard anything."""
        return [door for door in self.doors if self.fate(door) == "silent"]


@contextmanager
def hunting(folder: Path, first: date) -> Iterator[Hunt]:
    """A household that is about to live the evening of that date; the same for the same seed."""
    begins = datetime(first.year, first.month, first.day, 9, tzinfo=UTC)
    with driven(folder, Home().text, begins) as house:
        yield Hunt(house, random.Random(f"{SEED} {first}"))  # noqa: S311 - a script, no secret


@pytest.mark.parametrize("first", STARTS, ids=str)
def test_a1_a2_a3_s2_no_edit_silences_an_evening_or_calls_the_wrong_people(
    memory_folder: Path,
    first: date,
    capsys: pytest.CaptureFixture[str],
) -> None:
    with hunting(memory_folder, first) as hunt:
        for number in range(EVENINGS):
            hunt.evening(first + number * DAY)
        hunt.go(hunt.now + DAY)
    fates = Counter(hunt.fate(door) for door in hunt.doors)
    with capsys.disabled():
        print(f"\n{first}, seed {SEED}: {dict(fates)}; {dict(sorted(hunt.done.items()))}")
    assert not hunt.wrong, "\n".join(hunt.wrong)
    assert hunt.silent == []


def _tells_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    """No reminder ever goes out."""
    monkeypatch.setattr(decide, "reminders", lambda *_: [])


def _goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """No door is ever taken for shut."""
    monkeypatch.setattr(Night, "is_open", property(lambda _: True))


def _calls_who_has_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """Everybody stays in the crew, and is reached where they once were."""
    once: dict[str, Contact] = {}

    def everybody(profile: Profile, ways: Iterable[ChannelName], _: object) -> tuple[Contact, ...]:
        once.update({one.person_id: one for one in crew_of(profile, ways, None)})
        return tuple(once.values())

    monkeypatch.setattr(almanac, "crew_of", everybody)


def _lets_it_ring(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the push server holds is never taken back."""
    holds = held_messages.holds

    def never(*told: Any) -> list[Delivery]:
        return [one for one in holds(*told) if one.operation != "cancel"]

    monkeypatch.setattr(pursue, "holds", never)


@pytest.mark.parametrize(
    ("broken", "seen"),
    [
        (_lets_it_ring, " rang at "),
        (_tells_nobody, "nobody was told of"),
        (_goes_on, ", though shut at"),
        (_calls_who_has_left, " was told "),
    ],
)
def test_a_program_that_breaks_its_word_is_found_out(
    memory_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    broken: Callable[[pytest.MonkeyPatch], None],
    seen: str,
) -> None:
    broken(monkeypatch)
    with hunting(memory_folder, STARTS[0]) as hunt:
        for number in range(LONGEST_HUNT):
            hunt.evening(STARTS[0] + number * DAY)
            if any(seen in one for one in hunt.wrong):
                return
    pytest.fail(f"nothing of it was seen in {LONGEST_HUNT} evenings")
