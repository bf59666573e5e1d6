"""Evenings of several hosts in which things happen by chance; none falls silent or is told twice.

DUSKFOLD_SEED gives another run, DUSKFOLD_EVENINGS a longer one.
"""

import os
import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from tests.faults.several_hosts import Hosts, hosts
from tests.sinks.postgres import Postgres
from tests.unhurried import UNHURRIED

pytestmark = pytest.mark.postgresql
SEED = int(os.environ.get("DUSKFOLD_SEED", "20261221"))
THOROUGH = UNHURRIED or "DUSKFOLD_EVENINGS" in os.environ
_USUAL = 5
EVENINGS = int(os.environ.get("DUSKFOLD_EVENINGS", str(_USUAL)))
FIRST = date(2026, 12, 14)
# Minutes after the lock-up at which somebody looks at what has come; the last is after the alarms.
MOMENTS = (-29, -8, 1, 9, 16, 27, 42, 58)


@dataclass
class Run:
    """Drives the hosts through one evening after the other."""

    hosts: Hosts
    draw: random.Random
    done: Counter[str] = field(default_factory=Counter)
    is_shut: bool = False

    def happenings(self) -> list[tuple[int, str, Callable[[], None]]]:
        """What can happen at a moment, and how often beside the others."""
        found, which = self.hosts, self.draw.randrange(len(self.hosts.houses))
        return [
            (6, "killed", lambda: found.kill(which)),
            (8, "started", lambda: found.start(which)),
            (3, "fell asleep", lambda: found.sleep(which)),
            (4, "woke up", lambda: found.wake(which)),
            (2, "server stopped", found.server_down),
            (1, "server lost its power", lambda: found.server_down(at_once=True)),
            (5, "server started", found.server_up),
            (2, "server restarted", self._restart),
            (3, "connections cut", self._cut),
            (5, "shut", self._shut),
        ]

    def _restart(self) -> None:
        if self.hosts.is_up:
            self.hosts.server_down()
            self.hosts.server_up()

    def _cut(self) -> None:
        if self.hosts.is_up:
            self.hosts.cut()

    def _shut(self) -> None:
        if self.hosts.is_up and not self.is_shut:
            self.hosts.say(count=12)
            self.is_shut = True

    def evening(self, day: date) -> None:
        """One evening: what is due while a host is awake is told, whatever else there is."""
        found, self.is_shut = self.hosts, False
        found.to(day)
        lock_up = found.lock_up()
        for minutes in MOMENTS:
            for _ in range(self.draw.randrange(3)):
                weights, names, acts = zip(*self.happenings(), strict=True)
                chosen = self.draw.choices(range(len(names)), weights)[0]
                acts[chosen]()
                self.done[names[chosen]] += 1
            if not self.draw.randrange(4):
                continue  # nobody looks: several steps come due at once
            found.set_clock(lock_up + timedelta(minutes=minutes))
            found.settle()
            self._nobody_is_silent(lock_up + timedelta(minutes=minutes))
        self._mend()
        found.set_clock(lock_up + timedelta(minutes=70))
        found.settle()
        if not self.is_shut:
            found.say(count=12)
        found.settle()

    def _nobody_is_silent(self, at: datetime) -> None:
        """A host that is awake has told of a door that is due and open: server or no server."""
        found = self.hosts
        if found.awake and not self.is_shut and at >= found.lock_up():
            found.awake[0].wait(found.told, "an evening is silent")

    def _mend(self) -> None:
        """At the end of an evening everything runs again."""
        found = self.hosts
        found.server_up()
        for number in range(len(found.houses)):
            found.wake(number)
            found.start(number)


@pytest.mark.skipif(not THOROUGH, reason="takes long: DUSKFOLD_CI=1 runs it")
@pytest.mark.parametrize("count", [2, 4])
def test_m8_no_evening_of_several_hosts_is_silent_or_told_twice(
    tmp_path: Path, postgres: Postgres, count: int
) -> None:
    with hosts(tmp_path, postgres, count) as found:
        run = Run(found, random.Random(f"{SEED} {count}"))  # noqa: S311 - a draw that can be repeated
        found.to(FIRST)
        found.at("12:30")  # a host that has seen a later day does not believe an earlier one
        for number in range(count):
            found.start(number)
        for ago in range(EVENINGS):
            run.evening(FIRST + timedelta(days=ago))
            told = found.ask()
            assert (told["silent"], told["lost"], told["doubled"]) == (0, 0, 0), (
                *(told, run.done),
                "\n".join(found.strange.values()),
            )
        print(f"\nseed {SEED}, {count} hosts: {dict(told)} {dict(run.done)}")
