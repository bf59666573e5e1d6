"""Faults of the process (FAULTS.md, P): killed, hung, doubled, asleep, off."""

import os
import signal
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest

from scheduler.machine.paths import JOURNAL_NAME
from scheduler.service.calendars import shelf
from scheduler.service.data_place import DataPlace
from scheduler.watch import housekeeping
from scheduler.watch.journal_recovery import COPIES
from tests.faults.harm import struck
from tests.faults.house import (
    LIMITS,
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    ROOT,
    SITE,
    TOPIC_SECRET,
    TWO_COOPS,
    WINTER,
    Ended,
    House,
)
from tests.sinks.smtp import NEVER
from tests.sinks.waiting import PATIENCE_S, at_most
from tests.unhurried import UNHURRIED, unhurried

Build = Callable[..., House]
KILLED = -signal.SIGKILL
GUARD_STATUS = 3
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
HEADS_UP = "Lock up at 16:18: Walnut, 12 hens, by 16:33"
PATIENT = {"total_s": 20.0, "connect_s": 1.0, "reply_s": 20.0}
SYNCS = "fdatasync,fsync"
ONLY_MAIL = """
[[person]]
name = "Ana"
mail = "ana@example.org"
"""
MAIL = """
[mail]
host = "127.0.0.1"
port = {mail}
user = "{user}"
from = "coop@example.net"
"""


class Gate(threading.Event):
    """Holds a sink up until it is set."""

    def hold(self, _: object) -> None:
        """Waits."""
        self.wait(PATIENCE_S)


@pytest.fixture
def gate() -> Iterator[Gate]:
    """Opened at the end, so that no sink waits for ever."""
    found = Gate()
    yield found
    found.set()


def deliveries(house: House, step: str, *, channel: str = "push") -> list[tuple[object, ...]]:
    """State, attempts and "maybe" of that step's deliveries over the channel."""
    return house.rows(
        "SELECT state, attempts, maybe FROM delivery WHERE step = ? AND channel = ? ORDER BY id",
        step,
        channel,
    )


def ticked(house: House) -> None:
    """Waits for one whole tick more, whatever became of it."""
    since = house.now
    house.wait(lambda: house.pulse is not None and house.pulse.wall >= since.isoformat(), "no tick")


def kill_once(house: House) -> Callable[[object], None]:
    """Kills the watch when it is called, the first time."""
    used = threading.Event()

    def kill(_: object) -> None:
        if not used.is_set():
            used.set()
            house.signal(signal.SIGKILL)

    return kill


@pytest.mark.kernel
def test_p1_killed_between_claim_and_connection(house: House) -> None:
    house.start()
    house.settle()
    asked = len(house.push.asked.all())
    with struck(house, "connect", "signal=KILL:when=1"):
        house.set_clock(house.local("15:50"))
        assert house.ended() == KILLED
    assert deliveries(house, "heads-up") == [("sending", 1, 0)]
    assert len(house.push.asked.all()) == asked, "something was sent"
    house.start()
    assert house.phone("ana") == [], "the lease was not kept"
    house.at("15:53")
    assert house.phone("ana") == [HEADS_UP]
    assert deliveries(house, "heads-up") == [("sent", 2, 1)]


@pytest.mark.parametrize("way", ["push", "mail"])
def test_p2_killed_before_the_server_has_said_that_it_took_the_message(
    house: House, way: str
) -> None:
    house.start()
    house.at("16:27")
    kill = kill_once(house)
    if way == "mail":
        house.smtp.on_data = kill
    else:
        house.push.on_publish = lambda event: None if "delay" in event.said else kill(event)
    house.set_clock(house.local("16:34"))
    assert house.ended() == KILLED
    assert deliveries(house, "next", channel=way) == [("sending", 1, 0)]
    house.start()
    house.at("16:37")
    ids = {
        "push": [event.said["sequence_id"] for event in house.phone_events("kim")],
        "mail": [mail.message_id for mail in house.smtp.mails.all()],
    }[way]
    assert len(ids) == 2
    assert len(set(ids)) == 1, "the second copy has another id"
    assert deliveries(house, "next", channel=way) == [("sent", 2, 1)], "nobody knows of two copies"


@unhurried
def test_p3_killed_after_the_server_has_said_that_it_took_the_message(house: House) -> None:
    house.start()
    house.at("16:27")
    house.smtp.on_accepted = kill_once(house)
    house.set_clock(house.local("16:34"))
    assert house.ended() == KILLED
    house.start()
    house.at("16:37")
    [(state, attempts, maybe)] = deliveries(house, "next", channel="mail")
    # The outcome may have been written down before the signal came.
    assert (state, attempts, maybe) in {("sent", 2, 1), ("sent", 1, 0)}
    assert len(house.mails()) == attempts
    assert len({mail.message_id for mail in house.mails()}) == 1


@pytest.mark.kernel
def test_p3_killed_while_the_outcome_is_written_down(build: Build, gate: Gate) -> None:
    body = SITE + ONE_COOP + QUIET_MORNINGS + ONLY_MAIL + MAIL
    house = build(body=body, limits=PATIENT)
    house.start()
    house.smtp.on_data = gate.hold
    house.set_clock(house.local("15:50"))
    house.smtp.mails.wait(1)
    with struck(house, SYNCS, "signal=KILL:when=1"):
        gate.set()
        assert house.ended() == KILLED
    assert len(house.smtp.accepted.all()) == 1
    assert deliveries(house, "heads-up", channel="mail") == [("sending", 1, 0)]
    house.start()
    house.at("15:53")
    first, second = house.smtp.mails.all()
    assert first.message_id == second.message_id
    assert deliveries(house, "heads-up", channel="mail") == [("sent", 2, 1)]


@pytest.mark.kernel
@unhurried
def test_p4_killed_at_each_sync_of_an_evening(house: House) -> None:
    """One evening for each: killed at that sync, started again, and the evening is whole."""
    sweep = [*range(1, 13), *range(13, 41, 3)] if UNHURRIED else [2, 5]
    killed = []
    for evening, nth in enumerate(sweep):
        house.day = WINTER + timedelta(days=evening)
        house.set_clock(house.local("12:30"))
        if house.process is None:
            house.start()
        house.settle()
        steps = house.nights()[-1].evening.steps[:7]
        with struck(house, SYNCS, f"signal=KILL:when={nth}"):
            for step in steps:
                house.set_clock(step.at + timedelta(seconds=30))
                if not _lives_on(house):
                    killed.append(nth)
                    break
        if house.process is None:
            house.start()
        house.set_clock(steps[-1].at + timedelta(minutes=3))
        house.settle()
        # O1 asks for every row of the evenings at the end, O3 for copies.
        house.say(count=12)
        house.settle()
    assert set(sweep) - set(killed) <= set(range(20, 41)), "the sweep did not reach the syncs"
    sent = house.rows("SELECT count(*) FROM delivery WHERE step = 'everybody-3' AND state = 'sent'")
    assert sent == [(3 * len(sweep),)]


def _lives_on(house: House) -> bool:
    """Whether the watch has seen to everything due, instead of dying of it."""
    try:
        house.settle()
    except Ended:
        assert house.ended() == KILLED
        return False
    return True


@pytest.mark.kernel
@unhurried
def test_p5_killed_at_each_sync_of_an_answer(house: House) -> None:
    sweep = range(1, 11) if UNHURRIED else [5, 6]
    for evening, nth in enumerate(sweep):
        house.day = WINTER + timedelta(days=evening)
        house.set_clock(house.local("12:30"))
        if house.process is None:
            house.start()
        house.set_clock(house.nights()[-1].evening.lock_up + timedelta(minutes=1))
        house.settle()
        message = house.phone_events("ana")[-1]
        with struck(house, SYNCS, f"signal=KILL:when={nth}"):
            assert house.push.press(message, 0) == 200
            assert house.ended() == KILLED
        assert _closings(house) in {evening, evening + 1}, "neither kept nor not"
        house.start()
        # What was not kept is heard again: the push server still has it.
        house.wait(partial(_has_closings, house, evening + 1), "the answer was lost")
        heard = partial(_hears_more, house, _heard(house))
        assert house.push.press(message, 0) == 200
        house.wait(heard, "the second press was not heard")
        assert _closings(house) == evening + 1, "a second press counts"
        # Past the lease of whatever was under way when it was killed.
        house.set_clock(house.now + timedelta(minutes=3))
        house.settle()


def _closings(house: House) -> int:
    return int(house.rows("SELECT count(*) FROM closing")[0][0])


def _has_closings(house: House, count: int) -> bool:
    return _closings(house) == count


def _heard(house: House) -> list[tuple[object, ...]]:
    return house.rows("SELECT value FROM memo WHERE name LIKE 'heard:%'")


def _hears_more(house: House, before: object) -> bool:
    return _heard(house) != before


@unhurried
def test_p6_asked_to_stop_while_a_mail_is_under_way(build: Build, gate: Gate) -> None:
    others = "".join(
        f'[[person]]\nname = "Person {number}"\nmail = "person{number}@example.org"\n'
        for number in (1, 2)
    )
    ana = f'[[person]]\nname = "Ana"\npush = "{{push}}/ana-{TOPIC_SECRET}"\n'
    house = build(body=SITE + ONE_COOP + QUIET_MORNINGS + ana + others + MAIL, limits=PATIENT)
    house.start()
    house.at("16:34")  # the first mail, to the second person
    before = len(house.smtp.mails.all())
    house.smtp.on_data = gate.hold
    house.set_clock(house.local("16:44"))
    house.smtp.mails.wait(before + 1)
    house.signal(signal.SIGTERM)
    house.push.wait_streams(0)  # it has heard: it listens to no answers any more
    gate.set()
    with at_most(2.0):
        assert house.ended() == 0
    states = Counter(deliveries(house, "everybody-1", channel="mail"))
    assert states == {("sent", 1, 0): 1, ("pending", 0, 0): 1}, "claimed, or not given back"
    assert house.rows("SELECT count(*) FROM attempt WHERE ended_at IS NULL") == [(0,)]
    house.start()
    house.settle()
    assert len(house.smtp.accepted.all()) == before + 2


@unhurried
def test_p7_a_server_that_says_nothing_after_the_mail(house: House) -> None:
    house.limits = {**LIMITS, "reply_s": 0.5}
    house.start()
    house.at("16:27")
    house.smtp.script("DATA", NEVER)
    house.set_clock(house.local("16:34"))
    house.smtp.mails.wait(1)
    with at_most(1.0):  # while mail hangs, push goes out and the tick goes on (O6)
        house.push.wait_shown(f"kim-{TOPIC_SECRET}", 1)
        ticked(house)
    house.wait(lambda: house.faults == [], "health stays bad")
    house.wait(
        lambda: deliveries(house, "next", channel="mail") == [("pending", 1, 1)],
        "it is not bounded",
    )
    house.at("16:35")
    first, second = house.smtp.mails.all()
    assert first.message_id == second.message_id
    assert deliveries(house, "next", channel="mail") == [("sent", 2, 1)]


@unhurried
def test_p7_a_send_that_never_comes_back_ends_the_process(build: Build, tmp_path: Path) -> None:
    stuck = tmp_path / "stuck"
    house = build(
        root="tests.faults.broken_root",
        environment={"HARM": "push hangs", "HARM_ARGUMENT": str(stuck)},
        still_s=1.0,
        incomplete_s=2.0,
    )
    house.start()
    house.at("15:50")
    stuck.touch()
    house.set_clock(house.local("16:19"))
    with at_most(6.0):
        house.wait(lambda: house.faults, "health does not know")
        assert house.ended() == GUARD_STATUS
    assert deliveries(house, "now") == [("sending", 1, 0)]
    stuck.unlink()
    house.start()  # as a supervisor does
    house.at("16:22")
    assert house.phone("ana") == [HEADS_UP, NOW]
    house.wait(lambda: house.faults == [], "health stays bad")


@unhurried
def test_p7_a_tick_that_hangs_ends_the_process(build: Build) -> None:
    house = build(still_s=1.0)
    house.start()
    house.at("15:50")
    profile = house.profile_path.read_text()
    house.profile_path.unlink()
    os.mkfifo(house.profile_path)  # as a disk that does not answer: whoever opens it waits
    with at_most(3.0):
        assert house.ended() == GUARD_STATUS
    house.wait(lambda: house.faults, "health does not know")
    house.profile_path.unlink()
    house.profile_path.write_text(profile)
    house.set_clock(house.local("16:19"))
    house.start()
    house.settle()
    assert house.phone("ana") == [HEADS_UP, NOW]


@unhurried
def test_p8_the_metronome_dies(build: Build, tmp_path: Path) -> None:
    dead = tmp_path / "dead"
    house = build(
        root="tests.faults.broken_root",
        environment={"HARM": "metronome", "HARM_ARGUMENT": str(dead)},
        still_s=1.0,
    )
    house.start()
    house.at("15:50")
    dead.touch()
    began = time.monotonic()
    assert house.ended() == GUARD_STATUS
    assert 0.9 < time.monotonic() - began < 1.5, "not when the last tick is still_s old"
    house.wait(lambda: house.faults, "health does not know")
    dead.unlink()
    house.set_clock(house.local("16:19"))
    house.start()
    house.settle()
    assert house.phone("ana") == [HEADS_UP, NOW]
    house.wait(lambda: house.faults == [], "health stays bad")


MORNING_BRIEF = '[reminders]\nletout = "gentle"\nbrief = "07:00"\n'


@unhurried
def test_p9_one_house_that_cannot_be_planned(build: Build) -> None:
    house = build(
        body=SITE + TWO_COOPS + MORNING_BRIEF + PEOPLE,
        root="tests.faults.broken_root",
        environment={"HARM": "coop", "HARM_ARGUMENT": "barn"},
    )
    house.start()
    house.settle()
    told = "No reminders for Barn: watch the door yourself"
    assert house.phone("ana") == [told]
    assert house.phone("kim") == [told]
    house.at("15:50")
    house.at("16:19")
    assert house.phone("ana")[1:] == [HEADS_UP, NOW]
    tomorrow = WINTER + timedelta(days=1)
    house.at("09:00", tomorrow)  # what the morning tells needs every house, too
    house.wait(lambda: [one for one in house.faults if "Barn" not in one] == [], "stays bad")
    assert any("no reminders for Barn" in one for one in house.faults)
    house.at("16:19", tomorrow)
    assert house.phone("ana")[-1].startswith("Lock up now: Walnut, 12 hens")
    assert house.phone("ana").count(told) == 2  # once a day
    assert "Walnut" not in house.log


@unhurried
def test_p9_the_only_house_cannot_be_planned(build: Build) -> None:
    house = build(
        body=SITE + ONE_COOP + MORNING_BRIEF + PEOPLE,
        root="tests.faults.broken_root",
        environment={"HARM": "coop", "HARM_ARGUMENT": "walnut"},
    )
    house.start()
    house.settle()
    told = ["No reminders for Walnut: watch the door yourself"]
    assert house.phone("ana") == told
    assert house.phone("kim") == told
    house.at("16:19")
    house.wait(lambda: [one for one in house.faults if "Walnut" not in one] == [], "stays bad")
    house.at("09:00", WINTER + timedelta(days=1))
    house.wait(lambda: [one for one in house.faults if "Walnut" not in one] == [], "stays bad")
    assert house.phone("ana").count(told[0]) == 2
    assert any("no reminders for Walnut" in one for one in house.faults)


def test_p9_a_feed_that_cannot_be_made_does_not_cost_the_nightly_copy(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def wrong(*_: object) -> None:
        raise ArithmeticError("this house cannot be planned")

    monkeypatch.setattr(shelf, "publish", wrong)
    with house.journal() as journal:
        almanac = house.almanac(journal)
        housekeeping.Housekeeping(DataPlace(house.data)).run(journal, almanac, 1, house.now)
    assert any((house.data / name).exists() for name in COPIES)


@unhurried
def test_p9_a_channel_that_raises_is_tried_again(build: Build, tmp_path: Path) -> None:
    raises = tmp_path / "raises"
    house = build(
        root="tests.faults.broken_root",
        environment={"HARM": "push raises", "HARM_ARGUMENT": str(raises)},
    )
    house.start()
    house.at("16:27")
    raises.touch()
    house.set_clock(house.local("16:34"))
    house.smtp.accepted.wait(1)  # the other channel goes on
    house.wait(lambda: deliveries(house, "next") == [("pending", 1, 1)], "nothing came of it")
    raises.unlink()
    house.at("16:36")
    assert len(house.phone("kim")) == 1


@unhurried
def test_p10_two_processes_over_one_journal(build: Build) -> None:
    people = "".join(
        f'[[person]]\nname = "P{number}"\npush = "{{push}}/p{number}-{TOPIC_SECRET}"\n'
        f'mail = "p{number}@example.org"\n'
        for number in range(100)
    )
    patient = {"total_s": 20.0, "connect_s": 10.0, "reply_s": 10.0}  # a busy machine is no outage
    house = build(body=SITE + ONE_COOP + QUIET_MORNINGS + people + MAIL, limits=patient)
    house.start()
    house.settle()  # a held message for each
    twin = replace(house, process=None, runs=50)
    twin.start(ready=False)
    try:
        house.push.wait_streams(2)
        house.set_clock(house.local("16:44"))
        twin.wait(lambda: len(house.smtp.mails.all()) >= 100, "not all mails came")
        house.settle()
        everybody = deliveries(house, "everybody-1") + deliveries(
            house, "everybody-1", channel="mail"
        )
        assert everybody == [("sent", 1, 0)] * 200
        phones: Counter[str] = Counter(
            event.topic
            for event in house.push.events.all()
            if event.event == "message" and "delay" not in event.said
        )
        mails = Counter(mail.recipient for mail in house.smtp.mails.all())
        assert len(phones) == len(mails) == 100
        assert set(phones.values()) == set(mails.values()) == {1}
        for run in (1, 51):
            log = (house.folder / f"log-{run:02}.txt").read_text()
            assert "step=everybody-1" in log, f"process {run} did nothing"
    finally:
        assert twin.process
        twin.process.kill()
        twin.process.wait()
    house.push.wait_streams(1)


@pytest.mark.parametrize("way", ["clocks", "stopped"])
def test_p12_asleep_over_dusk(house: House, way: str) -> None:
    house.start()
    house.at("15:00")
    if way == "stopped":
        house.signal(signal.SIGSTOP)
    house.set_clock(house.local("18:00"))
    with at_most(2.0):  # one tick, and the sends
        if way == "stopped":
            house.signal(signal.SIGCONT)
        house.push.wait_shown(f"ana-{TOPIC_SECRET}", 1)
        house.push.wait_shown(f"kim-{TOPIC_SECRET}", 1)
        house.smtp.accepted.wait(1)
    house.settle()
    states = dict(house.rows("SELECT step, state FROM delivery WHERE operation = 'send'"))
    assert states.pop("everybody-3") == "sent"
    assert set(states.values()) == {"missed"}
    assert set(states) == {"heads-up", "now", "again", "next", "everybody-1", "everybody-2"}
    assert len(house.phone("ana")) == len(house.phone("kim")) == len(house.mails()) == 1
    house.wait(lambda: house.faults == [], "health stays bad")


@unhurried
def test_p13_off_from_before_dusk_to_the_next_noon(house: House) -> None:
    house.start()
    house.at("15:00")
    assert house.stop() == 0
    house.day = WINTER + timedelta(days=1)
    house.set_clock(house.local("12:30"))
    house.start()
    house.settle()
    report = ["No reminder went out on the evening of Mon 21 Dec"]
    assert house.phone("ana") == report
    assert house.phone("kim") == report
    assert house.mails() == []
    house.kill()
    house.start()
    house.at("15:00")
    assert house.phone("ana") == report, "the report came twice"


@unhurried
def test_p15_a_crash_loop_at_boot(house: House) -> None:
    house.start()
    house.at("16:19")
    house.kill()
    told = house.phone("ana")
    journal = house.data / JOURNAL_NAME
    good = journal.rename(house.folder / "good.sqlite3")
    journal.mkdir()  # nobody can read that, not even root
    files = sorted(path.name for path in house.data.iterdir())
    asked = len(house.push.asked.all())
    house.set_clock(house.now + timedelta(minutes=1))
    for _ in range(10 if UNHURRIED else 2):
        house.start(ready=False)
        assert house.ended() == 1
    assert str(journal) in house.log
    assert "Traceback" not in house.log
    assert len(house.push.asked.all()) == asked, "somebody was told of each"
    assert sorted(path.name for path in house.data.iterdir()) == files, "each leaves something"
    house.wait(lambda: house.faults, "health does not know")
    journal.rmdir()
    good.rename(journal)
    for _ in range(3 if UNHURRIED else 1):
        house.start()
        house.kill()
    house.start()
    house.settle()
    assert house.phone("ana") == told, "restarts are told of"
    unit = (ROOT / "deploy" / "duskfold.service").read_text()
    assert {"Restart=always", "RestartSec=5", "RestartMaxDelaySec=300"} <= set(unit.splitlines())
