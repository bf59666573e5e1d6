"""Evenings in which things happen by chance: kills, outages, clocks, answers. None falls silent.

DUSKFOLD_SEED gives another run; each place has a draw of its own from it.
"""

import os
import random
import re
import signal
import threading
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from scheduler.alerts.delivery import Key
from scheduler.alerts.step import decode
from scheduler.cares.closing import ClosingKind
from tests.faults.house import ONE_COOP, PEOPLE, TOPIC_SECRET, TWO_COOPS, Ended, House, key_of
from tests.faults.oracle import ask
from tests.sinks.push import Event, Reply
from tests.sinks.smtp import CUT, Mail
from tests.unhurried import unhurried

SEED = int(os.environ.get("DUSKFOLD_SEED", "20261221"))
_DAY = timedelta(days=1)
_MINUTE = timedelta(minutes=1)
_RETRY = timedelta(minutes=21)  # no delivery waits longer, whatever the clock did
_BROKEN = "[site]\nname = 7\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a part of the run happens, from which date on."""

    zone: str
    latitude: float
    longitude: float
    first: date
    coops: str = ONE_COOP
    extra: str = ""

    @property
    def body(self) -> str:
        """The profile."""
        return f"""
[site]
name = "Orchard"
latitude = {self.latitude}
longitude = {self.longitude}
timezone = "{self.zone}"
region = "UK"
[climate]
coldest_month_low = "-6 °C"
warmest_month_high = "26 °C"
{self.extra}{self.coops}{PEOPLE}"""


APART = TWO_COOPS.replace('"Barn"\n', '"Barn"\n[coop.lockup]\nafter_sunset = "10 min"\n', 1)
PLACES = {
    "winter": Place(zone="Europe/London", latitude=51.5, longitude=-0.1, first=date(2026, 12, 12)),
    "two coops over the change to summer time": Place(
        zone="Europe/London",
        latitude=53.2,
        longitude=-2.0,
        first=date(2027, 3, 15),
        coops=TWO_COOPS,
    ),
    "two evenings a day over the change to winter time": Place(
        zone="Europe/Berlin",
        latitude=50.9,
        longitude=8.1,
        first=date(2027, 10, 18),
        coops=APART,
    ),
    "bright nights": Place(
        zone="Europe/Helsinki", latitude=62.6, longitude=29.8, first=date(2027, 6, 8)
    ),
    "dusk after midnight": Place(
        zone="Atlantic/Reykjavik",
        latitude=64.3,
        longitude=-20.9,
        first=date(2027, 5, 2),
        extra='[lockup]\ncap = "none"\n',
    ),
    "dark weeks": Place(
        zone="Europe/Oslo",
        latitude=69.6,
        longitude=20.5,
        first=date(2026, 11, 14),
        extra='[reminders]\nstyle = "all night"\n',
    ),
    "west": Place(
        zone="America/New_York",
        latitude=40.4,
        longitude=-79.9,
        first=date(2027, 10, 28),
        extra='[reminders]\nstyle = "gentle"\nletout = "none"\n',
    ),
    "south": Place(
        zone="Australia/Melbourne",
        latitude=-37.6,
        longitude=145.1,
        first=date(2027, 3, 28),
        coops=TWO_COOPS,
        extra='[reminders]\nletout = "loud"\n',
    ),
}
EVENINGS = 24


@dataclass(slots=True)
class Door:
    """One coop's evening as the script knows it beforehand."""

    coop_id: str
    subject_id: str
    day: date
    lock_up: datetime
    let_out: datetime


@dataclass
class Run:
    """Drives one house through its evenings and keeps the tally."""

    house: House
    draw: random.Random
    hens: int = 12
    done: Counter[str] = field(default_factory=Counter)
    told: Counter[tuple[date, str]] = field(default_factory=Counter)
    reported: list[tuple[str, date, str]] = field(default_factory=list)
    unprompted: set[tuple[date, str]] = field(default_factory=set)
    doors: list[Door] = field(default_factory=list)
    wire: Counter[str] = field(default_factory=Counter)
    known: dict[str, Key] = field(default_factory=dict)
    answers: list[str] = field(default_factory=list)
    forged: set[str] = field(default_factory=set)
    dying: threading.Event = field(default_factory=threading.Event)
    armed: str = ""
    out: set[str] = field(default_factory=set)
    stuck: bool = False
    has_bo: bool = False
    original: str = field(init=False)
    _rows: int = 0
    _events: int = 0
    _mails: int = 0
    _accepted: int = 0

    def __post_init__(self) -> None:
        """Gets a hand into the sinks."""
        self.original = self.house.body
        self.house.push.on_publish = self._published
        self.house.smtp.on_data = self._mailed

    # -- the sinks' own faults --------------------------------------------------------------

    def _published(self, event: Event) -> None:
        """Between the message and its reply: a kill, or the connection ends."""
        del event
        match self.armed:
            case "kill at a push":
                self._die()
            case "cut at a push":
                self.armed = ""
                raise ConnectionAbortedError

    def _mailed(self, mail: Mail) -> None:
        del mail
        if self.armed == "kill at a mail":
            self._die()

    def _die(self) -> None:
        """Kills the watch; whoever waits for it learns of it by `Ended`."""
        self.armed = ""
        process = self.house.process
        if process is not None:
            self.dying.set()
            process.send_signal(signal.SIGKILL)

    # -- time -------------------------------------------------------------------------------

    def go(self, at: datetime) -> None:
        """Lets time pass until then, and everything due be seen to."""
        if at > self.house.now:
            self.house.set_clock(at)
        if self.house.process is None:
            for event in self.house.push.ring_due(self.house.now):
                self.done["rung by the push server"] += 1
                del event
        self.settle()

    def settle(self) -> None:
        """Everything due has been seen to, or the watch died over it."""
        house = self.house
        if house.process is not None:
            try:
                house.settle()
            except Ended:
                assert self.dying.is_set(), "nobody killed it"
            if self.dying.is_set():
                self._bury("killed over a message")
        self._collect()

    def _bury(self, how: str) -> None:
        self.house.ended()
        self.dying.clear()
        self.done[how] += 1
        with self.house.journal():  # rolls back what it was writing
            self.house.orphans |= self.house.sending()

    def kill(self) -> None:
        """A power cut."""
        if self.house.process is not None:
            self.house.signal(signal.SIGKILL)
            self._bury("killed")

    def start(self) -> None:
        """Starts it again."""
        if self.house.process is None and not self.stuck:
            self.house.start(ready=False)
            self.done["started"] += 1
            self.settle()

    # -- what happens -----------------------------------------------------------------------

    def happenings(self) -> list[tuple[int, Callable[[], None]]]:
        """What can happen at a moment, and how often beside the others."""
        return [
            (4, self.kill),
            (3, lambda: self._arm("kill at a push")),
            (2, lambda: self._arm("kill at a mail")),
            (2, lambda: self._arm("cut at a push")),
            (2, self._cut_mail),
            (3, self._push_out),
            (3, self._mail_out),
            (4, self.heal),
            (3, self._step_back),
            (3, self._step_forward),
            (6, self._say_closed),
            (6, self._press),
            (3, self._press_old),
            (2, self._forge),
            (4, self._end_search),
            (3, self._reopen),
            (3, self._edit),
            (1, self._edit_badly),
            (12, self.start),
        ]

    def happen(self) -> None:
        """One of them."""
        weights, choices = zip(*self.happenings(), strict=True)
        self.draw.choices(choices, weights)[0]()

    def _arm(self, how: str) -> None:
        self.armed = how

    def _cut_mail(self) -> None:
        self.house.smtp.script("DATA", CUT)
        self.done["mails cut off"] += 1

    def _push_out(self) -> None:
        self.house.push.script(Reply(status=self.draw.choice([429, 500, 503])), always=True)
        self.out.add("push")
        self.done["push outages"] += 1

    def _mail_out(self) -> None:
        stage: Any = self.draw.choice(["EHLO", "MAIL", "RCPT"])
        self.house.smtp.script(stage, "451 4.3.0 later", always=True)
        self.out.add("mail")
        self.done["mail outages"] += 1

    def heal(self) -> None:
        """All sinks are well."""
        if not self.stuck:
            self.house.push.heal()
            self.house.smtp.heal()
            self.armed = ""
            self.out.clear()

    def _step(self, minutes: int) -> None:
        house = self.house
        house.set_clock(house.now + minutes * _MINUTE, wall_only=True)
        self.done["clock steps"] += 1
        self.settle()

    def _step_back(self) -> None:
        self._step(-self.draw.randint(1, 50))

    def _step_forward(self) -> None:
        self._step(self.draw.randint(1, 200))

    def _say(self, kind: ClosingKind, **said: Any) -> None:
        if self.house.body != _BROKEN:
            who = self.draw.choice(["Ana", "Kim"])
            self.house.say(kind, who=who, **said)
            self.done[f"said {kind}"] += 1
            self._collect()

    def _say_closed(self) -> None:
        coops = [door.coop_id for door in self.doors if door.day == self.house.day]
        count = self.draw.choice([None, self.hens, self.hens, self.hens - 2, self.hens + 1])
        coop = self.draw.choice([*coops, None]) if count is None else self.draw.choice(coops)
        self._say("closed", count=count, coop=coop)

    def _end_search(self) -> None:
        kinds: tuple[ClosingKind, ...] = ("found", "not-found", "dead", "elsewhere")
        self._say(self.draw.choice(kinds))

    def _reopen(self) -> None:
        self._say("reopened")

    def _press(self) -> None:
        """The newest message with buttons, on one of the phones."""
        person = self.draw.choice(["ana", "kim"])
        shown = [one for one in self.house.phone_events(person) if "actions" in one.said]
        if shown and "push" not in self.out:
            self._answered(shown[-1])

    def _press_old(self) -> None:
        """Any message with buttons that ever came, perhaps for the second time."""
        shown = [one for one in self.house.phone_events("ana") if "actions" in one.said]
        if shown and "push" not in self.out:
            self._answered(self.draw.choice(shown[-40:]))

    def _answered(self, event: Event) -> None:
        assert self.house.push.press(event, self.draw.randrange(3)) == 200
        self.done["buttons pressed"] += 1
        self._hear()

    def _forge(self) -> None:
        """The words of an answer with another's signature."""
        if self.answers and "push" not in self.out:
            said = self.answers[-1]
            [topic] = {event.topic for event in self._returned()} or {""}
            if topic:
                event = self.house.push.publish(topic, {"message": said[:-4] + "AAAA"})
                self.forged.add(event.id)
                self.done["forged answers"] += 1
                self._hear()

    def _returned(self) -> list[Event]:
        return [
            one
            for one in self.house.push.events.all()
            if one.topic.startswith("duskfold-") and one.event == "message"
            if one.id not in self.forged  # it is passed over without a word in the journal
        ]

    def _hear(self) -> None:
        """Waits until the watch has taken every answer, if it listens."""
        said = self._returned()
        self.answers = [event.text for event in said]
        if self.house.process is None or self.house.push.streams == 0 or self.armed or not said:
            return
        last = said[-1].id
        query = "SELECT 1 FROM memo WHERE name LIKE 'heard:%' AND value = ?"
        self.house.wait(lambda: self.house.rows(query, last), "the answer was not heard")
        self.settle()

    def _edit(self) -> None:
        self.hens = self.draw.randint(9, 14)
        body = re.sub(r"hens = \d+", f"hens = {self.hens}", self.original)
        style = self.draw.choice(["gentle", "standard", "all night"])
        if "[reminders]" not in body:
            body += f'[reminders]\nstyle = "{style}"\n'
        if self.draw.random() < 0.5:
            body += f'[[person]]\nname = "Bo"\npush = "{{push}}/bo-{TOPIC_SECRET}"\n'
        self._write(body)
        self.done["profile edits"] += 1
        self.settle()

    def _write(self, body: str) -> None:
        """Replaces the profile, and knows whether Bo leaves by it."""
        has_bo = '"Bo"' in body
        if self.has_bo and not has_bo:
            self.house.left.add((self.house.day, "bo"))
        self.has_bo = has_bo
        self.house.write_profile(body)

    def _edit_badly(self) -> None:
        self.house.write_profile(_BROKEN)
        self.done["bad profiles"] += 1
        self.settle()

    # -- one evening ------------------------------------------------------------------------

    def evening(self, day: date, *, by_chance: bool = True) -> None:
        """From the noon of the date to the next one; then all is well again and asked about."""
        house = self.house
        house.day = day
        noon, stops = self._timetable(day)
        often, busy = self.draw.choice([0.0, 0.2, 0.4, 0.4, 0.7, 0.9]), self.draw.choice([0.2, 0.7])
        if by_chance:
            self._begin()
        for at in stops:
            if at > house.now and self.draw.random() < often:
                self.go(at + timedelta(seconds=self.draw.randint(0, 90)))
                self._check_that_it_was_told()
                if by_chance and self.draw.random() < busy:
                    self.happen()
                    self._check_that_it_was_told()
        self._mend()
        self.go(noon + _DAY + _MINUTE)
        self._hear()
        self._check_that_it_was_told()
        ask(house)

    def _begin(self) -> None:
        """Some evenings have one trouble from their beginning to their end."""
        trouble = self.draw.choice(["none"] * 10 + ["dead", "cut off", "both"])
        if trouble in {"dead", "both"}:
            self.kill()
        if trouble in {"cut off", "both"}:
            self._push_out()
            self._mail_out()
        self.stuck = trouble != "none"
        self.done[f"begun with trouble: {trouble}"] += 1

    def _timetable(self, day: date) -> tuple[datetime, list[datetime]]:
        """The noon, and all instants that matter until the next, with some that do not."""
        with self.house.journal() as journal:
            almanac = self.house.almanac(journal)
        noon = almanac.noon(day)
        stops = [noon + self.draw.random() * _DAY for _ in range(3)]
        for evening in almanac.planned(day, ()):
            stops += [step.at for step in evening.steps]
            stops += [evening.let_out, evening.lock_up + timedelta(minutes=20)]
            self.doors += [
                Door(
                    coop_id=door.coop_id,
                    subject_id=evening.subject_id,
                    day=day,
                    lock_up=door.lock_up,
                    let_out=evening.let_out,
                )
                for door in evening.doors
            ]
        stops.append(self.house.local("07:01", day + _DAY))
        return noon, sorted(at for at in stops if noon < at < noon + _DAY)

    def _mend(self) -> None:
        self.stuck = False
        self.heal()
        if self.house.body == _BROKEN:
            self._write(self.original)
        self.start()
        self.settle()

    # -- the tally --------------------------------------------------------------------------

    def _collect(self) -> None:
        """Counts what came over the wire since it was last asked."""
        self._learn_keys()
        house = self.house
        events, mails = house.push.events.all(), house.smtp.mails.all()
        accepted = house.smtp.accepted.all()
        ids = [
            str(event.said["sequence_id"])
            for event in events[self._events :]
            if event.event == "message" and "sequence_id" in event.said
            if not event.topic.startswith("duskfold-") and "delay" not in event.said
        ]
        for message_id in [*ids, *(_id(mail) for mail in mails[self._mails :])]:
            self.wire[message_id] += 1
        arrived = [*ids, *(_id(mail) for mail in accepted[self._accepted :])]
        words = self.house.words
        for message_id in arrived:
            key = self.known[message_id]
            if key.step.calls:
                self.told[key.day, key.subject_id] += 1
            elif (kind := str(key.step).partition("-")[0]) in {"missed", "brief", "clock"}:
                self.reported.append((kind, key.day, words[message_id]))
        self._events, self._mails, self._accepted = len(events), len(mails), len(accepted)

    def _learn_keys(self) -> None:
        for row in self.house.rows(
            "SELECT site_id, subject_id, day, step, opening, person_id, channel, id FROM "
            "delivery WHERE operation = 'send' AND id > ?",
            self._rows,
        ):
            key = key_of(row)
            self.known[key.message_id] = key
            self._rows = row[7]

    def _closed(self, door: Door) -> list[tuple[str, datetime]]:
        """Everything said of it."""
        return [
            (kind, datetime.fromtimestamp(at, UTC))
            for kind, at in self.house.rows(
                "SELECT kind, made_at FROM closing WHERE coop_id = ? AND evening = ? "
                "ORDER BY number",
                door.coop_id,
                door.day.isoformat(),
            )
        ]

    def _check_that_it_was_told(self) -> None:
        """While all is well, an open door that is due has been told of, or soon will be."""
        house = self.house
        pulse = house.pulse
        well = house.process is not None and not self.out and not self.armed
        if not well or pulse is None or pulse.trust != "trusted":
            return
        now = house.now
        for door in self.doors[-4:]:
            due = door.lock_up + _MINUTE <= now < door.let_out
            if not due or self._closed(door) or self.told[door.day, door.subject_id]:
                continue
            soon = house.rows(
                "SELECT step, next_at, lease_until FROM delivery WHERE day = ? AND subject_id = ? "
                "AND operation = 'send' AND ((state = 'pending' AND next_at <= ?) OR "
                "(state = 'sending' AND lease_until <= ?))",
                door.day.isoformat(),
                door.subject_id,
                int((now + _RETRY).timestamp()),
                int((now + _RETRY).timestamp()),
            )
            assert any(decode(step).is_reminder for step, *_ in soon), f"nobody was told of {door}"

    def lost(self) -> list[Door]:
        """Evenings of which nobody heard anything, then or later."""
        return [door for door in self.doors if self._fate(door) == "lost"]

    def _fate(self, door: Door) -> str:
        said = self._closed(door)
        if any(kind == "closed" and at <= door.lock_up for kind, at in said):
            return "shut early"
        if self.told[door.day, door.subject_id]:
            return "told"
        if any(_speaks_of(report, door.day) for report in self.reported):
            return "reported"
        return "said unasked" if said else "lost"

    def fates(self) -> Counter[str]:
        """How the evenings went."""
        return Counter(self._fate(door) for door in self.doors)

    def duplicates(self) -> dict[str, int]:
        """Ids that came more often than once and once for each attempt without a known end."""
        unknown: Counter[str] = Counter()
        rows = self.house.rows(
            "SELECT d.site_id, d.subject_id, d.day, d.step, d.opening, d.person_id, d.channel "
            "FROM attempt a JOIN delivery d ON d.id = a.delivery_id "
            "WHERE a.ended_at IS NULL OR a.outcome = 'unknown'"
        )
        unknown.update(key_of(row).message_id for row in rows)
        return {one: n for one, n in self.wire.items() if n > 1 + unknown[one]}


def _id(mail: Mail) -> str:
    return mail.message_id.strip("<>").partition("@")[0]


_MISSED = re.compile(r"on (?:the evening of|(\d+) evenings since) \w{3} (\d+) (\w{3})")


def _speaks_of(report: tuple[str, date, str], day: date) -> bool:
    """Whether the report is honest about that evening."""
    kind, told_on, message = report
    if kind == "brief":
        return told_on == day + _DAY and "nobody confirmed the door last night" in message
    if kind == "clock":
        return told_on == day
    found = _MISSED.search(message)
    assert found, message
    first = datetime.strptime(f"{found[2]} {found[3]} {told_on.year}", "%d %b %Y").date()  # noqa: DTZ007 - a date
    return first <= day < first + int(found[1] or 1) * _DAY


@unhurried
@pytest.mark.parametrize("place", PLACES)
def test_no_evening_falls_silent_whatever_happens(
    build: Callable[..., House], place: str, capsys: pytest.CaptureFixture[str]
) -> None:
    chosen = PLACES[place]
    house = build(
        body=chosen.body, zone=ZoneInfo(chosen.zone), day=chosen.first, period_s=0.02, still_s=30.0
    )
    run = Run(house, random.Random(f"{SEED} {place}"))  # noqa: S311 - a script, no secret
    run.start()
    for number in range(EVENINGS):
        run.evening(chosen.first + number * _DAY)
    run.evening(chosen.first + EVENINGS * _DAY, by_chance=False)
    lost, duplicates = run.lost(), run.duplicates()
    with capsys.disabled():
        print(
            f"\n{place}, seed {SEED}: {len(run.doors)} evenings, {dict(run.fates())}; "
            f"{run.wire.total()} messages, {len(duplicates)} duplicates; {dict(run.done)}"
        )
    assert lost == []
    assert duplicates == {}
