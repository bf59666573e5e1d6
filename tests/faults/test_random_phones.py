"""Evenings in which phones do by chance what phones do. None falls silent, none rings for nothing.

Phones are given, fall silent, are forgotten by their service, are out of reach, answer late, twice
and for somebody who has left; the reminders are killed between a message and what is written of it.
DUSKFOLD_SEED gives another run, DUSKFOLD_EVENINGS a longer one.
"""

import os
import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from scheduler.alerts.reminded_evening import Evening
from tests.faults.house import QUIET_MORNINGS, SITE, WINTER
from tests.faults.house_here import HouseHere
from tests.faults.phones import Rung, give, served
from tests.sinks.push import Reply
from tests.sinks.push_service import PushService
from tests.unhurried import UNHURRIED

SEED = int(os.environ.get("DUSKFOLD_SEED", "20261221"))
EVENINGS = int(os.environ.get("DUSKFOLD_EVENINGS", "200" if UNHURRIED else "1"))
_DAY, _MINUTE = timedelta(days=1), timedelta(minutes=1)
HOUSE = (
    SITE
    + """
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
"""
    + QUIET_MORNINGS
    + """
[[person]]
name = "Ana"
mail = "ana@example.org"
[[person]]
name = "Kim"
mail = "kim@example.org"
[mail]
host = "127.0.0.1"
port = {mail}
user = "{user}"
from = "coop@example.net"
"""
)
BO = '[[person]]\nname = "Bo"\nmail = "bo@example.org"\n'


@dataclass
class Run:
    """Drives the house and its phones; `shut` is when the evening's door was said to be shut.

    `ended` has how much each phone that has ended had got by then.
    """

    house: HouseHere
    service: PushService
    draw: random.Random
    phones: list[Rung] = field(default_factory=list)
    ended: list[tuple[Rung, int]] = field(default_factory=list)
    done: Counter[str] = field(default_factory=Counter)
    has_bo: bool = False
    shut: datetime | None = None

    def happen(self) -> None:
        """One thing, by chance."""
        ways: list[tuple[int, Callable[[], None]]] = [
            (4, self.give), (2, self._forget), (2, self._sign_out), (4, self._silence),
            (4, self._out_of_reach), (5, self._back), (5, self._answer), (3, self._answer_late),
            (2, self._answer_twice), (2, self._forge), (3, self._kill), (2, self._busy),
            (2, self._people), (3, self._rings), (2, self._hang_up),
        ]  # fmt: skip
        weights, choices = zip(*ways, strict=True)
        self.draw.choices(choices, weights)[0]()

    def _count(self, what: str) -> None:
        self.done[what] += 1

    def _pick(self) -> Rung | None:
        return self.draw.choice(self.phones) if self.phones else None

    def give(self) -> None:
        """Somebody lets a phone of theirs be rung."""
        people = ["ana", "kim", *(["bo"] if self.has_bo else [])]
        if len(self.phones) < 6:
            phone = give(
                self.house,
                self.service,
                self.draw.choice(people),
                tells=self.draw.random() < 0.7,
            )
            if self.draw.random() < 0.7:
                phone.say("yes")
            self.phones.append(phone)
            self._count("given")

    def _forget(self) -> None:
        if phone := self._pick():
            phone.browser.gone = True
            self._end(phone, "forgotten")

    def _sign_out(self) -> None:
        if phone := self._pick():
            phone.sign_out()
            self._end(phone, "signed out")

    def _end(self, phone: Rung, how: str) -> None:
        self.phones.remove(phone)
        self.ended.append((phone, len(phone.browser.got.all())))
        self._count(how)

    def _silence(self) -> None:
        if phone := self._pick():
            phone.tells = not phone.tells
            self._count("tells or not")

    def _out_of_reach(self) -> None:
        if phone := self._pick():
            phone.browser.online = False
            self._count("out of reach")

    def _back(self) -> None:
        for phone in self.phones:
            if not phone.browser.online:
                phone.browser.wake()
                phone.look()
                self._count("back in reach")

    def _answer(self, at: datetime | None = None) -> None:
        if (phone := self._pick()) and phone.with_buttons:
            which = self.draw.randrange(2)
            if phone.press(phone.with_buttons[-1], which, at) and self.shut is None:
                self.shut = self.house.now
            self._count("answered" if at is None else "answered late")

    def _answer_late(self) -> None:
        self._answer(self.house.now - self.draw.randint(1, 90) * _MINUTE)

    def _answer_twice(self) -> None:
        if (phone := self._pick()) and phone.with_buttons:
            got = self.draw.choice(phone.with_buttons[-3:])
            if phone.press(got, 0) and self.shut is None:
                self.shut = self.house.now
            assert not phone.press(got, 0)
            self._count("answered twice")

    def _forge(self) -> None:
        if (phone := self._pick()) and phone.receipts and (other := self._pick()):
            _, message, signed = phone.receipts[-1].split()
            if other is not phone:
                assert not phone.tell(f"{other.kept.id} {message} {signed}")
            self._count("forged receipts")

    def _kill(self) -> None:
        """Whatever was handed over and not written down stays so."""
        if self.house.is_running:
            self.house.kill()
            self._count("killed")
            self.house.start()

    def _busy(self) -> None:
        self.service.script(*[Reply(status=self.draw.choice([429, 503]))] * 2)
        self._count("service busy")

    def _hang_up(self) -> None:
        self.service.hang_up(self.draw.randint(1, 3))
        self._count("taken without a word")

    def _people(self) -> None:
        self.has_bo = not self.has_bo
        self.house.write_profile(HOUSE + (BO if self.has_bo else ""))
        self.house.settle()
        self.house.settle()
        if not self.has_bo:
            self.house.left.add((self.house.day, "bo"))
            for phone in [one for one in self.phones if one.person_id == "bo"]:
                self._end(phone, "left the profile")
        self._count("people edited")

    def _rings(self) -> None:
        if phone := self._pick():
            phone.say(self.draw.choice(["yes", "yes", "silent", "no"]))
            self._count("said whether it rings")

    # -- one evening ------------------------------------------------------------------------

    def evening(self, day: date) -> None:
        """From noon to the next let-out, with what must be true of it."""
        house, self.shut = self.house, None
        house.day = day
        house.set_clock(house.local("12:30"))
        house.settle()
        [evening] = house.nights()[-1:]
        planned = evening.evening
        moments = sorted(
            planned.lock_up + self.draw.randint(-40, 150) * _MINUTE
            for _ in range(self.draw.randint(0, 12))
        )
        steps = [one.at for one in planned.steps]
        for at in sorted({*moments, *steps, *(at + 2 * _MINUTE for at in steps)}):
            if at > house.now:
                house.set_clock(at)
            house.settle()
            for phone in self.phones:
                phone.look()
            if at in moments:
                self.happen()
                house.settle()
        self._ask(planned)
        self.service.heal()
        self._back()

    def _ask(self, planned: Evening) -> None:
        house, day = self.house, str(planned.day)
        rows = house.rows(
            "SELECT step, person_id, channel, state FROM delivery WHERE day = ? "
            "AND operation = 'send' AND subject_id = 'walnut'",
            day,
        )
        if self.shut is None:
            steps = {str(one.name) for one in planned.steps if one.at <= house.now}
            written = {row[0] for row in rows}
            assert steps <= written, f"{day}: a receipt or a fault has stopped {steps - written}"
            for person in ("ana", "kim"):
                told = [row for row in rows if row[1] == person and row[3] == "sent"]
                assert any(row[2] == "mail" for row in told), f"{day}: {person} heard nothing"
        for phone, count in self.ended:
            assert len(phone.browser.got.all()) == count, "a phone that had ended was rung"


def test_r9_no_evening_falls_silent_whatever_phones_do(
    build_here: Callable[..., HouseHere],
) -> None:
    house = build_here(body=HOUSE)
    with served(house) as service:
        house.start()
        run = Run(house=house, service=service, draw=random.Random(SEED))  # noqa: S311 - no secret
        run.give()
        run.give()
        for number in range(EVENINGS):
            run.evening(WINTER + number * _DAY)
        twice = Counter(str(got.notification["data"]["receipt"]) for got in service.taken.all())
        unknown = house.rows(
            "SELECT count(*) FROM attempt WHERE channel = 'phone' "
            "AND (outcome IS NULL OR outcome = 'unknown')"
        )[0][0]
        copies = sum(count - 1 for count in twice.values())
        assert copies <= unknown
        print(f"seed {SEED}: {EVENINGS} evenings, {sum(twice.values())} rung, {copies} copies, "
              f"{unknown} unknown; {dict(run.done)}")  # fmt: skip
        house.kill()
