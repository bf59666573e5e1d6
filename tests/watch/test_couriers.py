"""The couriers and the scribe: each message once, outcomes together, nothing lost by a stop."""

import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import monotonic

import pytest
from sqlalchemy import Connection, Engine, event, text

from scheduler.alerts.delivery import ChannelName, Delivery, Key, Matter, Message, Outcome, State
from scheduler.alerts.outcome import LEASE
from scheduler.alerts.step import decode
from scheduler.journal import deliveries
from scheduler.journal.claims import Claimed
from scheduler.journal.store import Journal, Writing, open_journal
from scheduler.machine.clock import Readings
from scheduler.watch.claim import MOST_CLAIMS, MOST_SERVERS
from scheduler.watch.couriers import Post
from scheduler.watch.parcel import FromMemory
from tests.alerts.orchard import WINTER
from tests.sinks.fake_channel import FakeChannel
from tests.sinks.waiting import PATIENCE_S, Collected
from tests.told import worded_by

NOW = datetime(2026, 12, 21, 16, 20, tzinfo=UTC)
SECOND = timedelta(seconds=1)
WORDS = Message(title="t", body="b", stem="s")
WRONG_PASSWORD = Outcome(kind="misconfigured", reason="535")


@dataclass
class StillClock:
    """Shows what it is set to."""

    wall: datetime = NOW
    run_s: float = 100.0

    def read(self) -> Readings:
        """The same until it is set."""
        return Readings(wall=self.wall, boot_s=self.run_s, monotonic_s=self.run_s)


@dataclass
class Office:
    """A post over a real journal, with channels that do as they are told."""

    journal: Journal
    clock: StillClock = field(default_factory=StillClock)
    push: FakeChannel = field(default_factory=FakeChannel)
    mail: FakeChannel = field(default_factory=lambda: FakeChannel(name="mail"))
    failed: Collected[str] = field(default_factory=Collected)
    address: tuple[str, str] | None = ("Ana", "ana@example.org")
    address_of: Callable[[Claimed], tuple[str, str]] | None = None  # of each, and not the one

    def __post_init__(self) -> None:
        self.post = Post(
            {"push": self.push, "mail": self.mail},
            self.clock,
            site_id="orchard",
            address_of=lambda one: self.address_of(one) if self.address_of else self.address,
            relays_of=self._relays_of,
            worded_by=worded_by(),
        )
        self.post.start(self.journal)

    def _relays_of(self, one: Claimed, outcome: Outcome, at: datetime) -> Iterable[Delivery]:
        assert at == self.clock.wall
        self.failed.add(f"{one.key.step} {outcome.kind}")
        return ()

    def write(self, *ones: Delivery) -> None:
        """Written down, claimed by nobody yet."""
        with self.journal.writing() as writing:
            deliveries.add(writing.connection, ones)

    def tick(self) -> list[Claimed]:
        """What the tick does: claims what is due and hands it over."""
        with self.journal.writing() as writing:
            claimed = self.post.claim(writing, self.clock.wall)
        self.post.hand_over(claimed)
        return claimed

    def settled(self) -> dict[str, tuple[State, int]]:
        """Waits until nothing is in flight; each step's state and attempts."""
        while self.post.in_flight:
            assert self.post.changed.wait(PATIENCE_S), "no outcome was written down"
            self.post.changed.clear()
        return self.states()

    def states(self) -> dict[str, tuple[State, int]]:
        with self.journal.reading() as connection:
            rows = deliveries.rows_since(connection, "orchard", WINTER)
        return {str(row.key.step): (row.state, row.attempts) for row in rows}

    def stop(self) -> bool:
        self.push.go_on()
        self.mail.go_on()
        return self.post.stop(PATIENCE_S)


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    """An office at work; stopped at the end, whatever the test did."""
    journal = open_journal(tmp_path / "journal.sqlite3")
    opened = Office(journal)
    yield opened
    opened.stop()
    journal.close()


def made(step: str = "now", channel: ChannelName = "push") -> Delivery:
    key = Key(
        site_id="orchard", subject_id="walnut", day=WINTER, step=decode(step), opening=0,
        person_id="ana", channel=channel,
    )  # fmt: skip
    return Delivery(
        key=key, matter=Matter(words=WORDS), due_at=NOW, useful_until=NOW + 3600 * SECOND
    )


def many(number: int, channel: ChannelName = "push") -> list[Delivery]:
    return [made(f"now-{n}", channel) for n in range(number)]


# Outcomes


def test_what_was_sent_is_written_down(office: Office) -> None:
    office.write(made())
    (one,) = office.tick()
    assert office.settled() == {"now": ("sent", 1)}
    (outgoing,) = office.push.got.all()
    assert (outgoing.address, outgoing.person_name) == ("ana@example.org", "Ana")
    assert (outgoing.message_id, outgoing.thread_id) == (one.key.message_id, one.key.thread_id)


def test_a_held_message_goes_by_the_id_of_the_one_it_replaces(office: Office) -> None:
    second = replace(made("hold-2"), operation="hold", rings_at=NOW + SECOND)
    office.write(second)
    office.tick()
    assert office.push.got.wait()[0].message_id == second.key.id_of_held


@pytest.mark.parametrize(
    ("kind", "state", "told"),
    [
        ("transient", "pending", []),
        ("unknown", "pending", []),
        ("bad address", "dead", ["now bad address"]),
        ("permanent", "dead", ["now permanent"]),
        ("misconfigured", "pending", ["now misconfigured"]),
    ],
)
def test_each_outcome_and_whether_others_are_told_at_once(
    office: Office, kind: str, state: State, told: list[str]
) -> None:
    office.push.script(Outcome(kind=kind))  # type: ignore[arg-type] # words of OutcomeKind
    office.write(made())
    office.tick()
    assert office.settled() == {"now": (state, 1)}
    assert office.failed.all() == told
    assert office.post.urgent.is_set() is bool(told)


def test_of_a_hold_that_fails_nobody_is_told(office: Office) -> None:
    office.push.script(Outcome(kind="permanent"))
    office.write(replace(made("hold-1"), operation="hold"))
    office.tick()
    assert office.settled() == {"hold-1": ("dead", 1)}
    assert office.failed.all() == []


def test_without_an_address_it_is_dead(office: Office) -> None:
    office.address = None
    office.write(made())
    office.tick()
    assert office.settled() == {"now": ("dead", 1)}
    assert office.push.got.all() == []


class Raising(FakeChannel):
    """A channel that breaks its promise."""

    def deliver(self, outgoing: object) -> Outcome:
        """Raises."""
        raise ZeroDivisionError(type(outgoing))


def test_a_channel_that_raises_may_have_sent_and_goes_on(office: Office) -> None:
    office.post.use_channels({"push": Raising()})
    office.write(made())
    office.tick()
    assert office.settled() == {"now": ("pending", 1)}
    office.post.use_channels({"push": office.push})
    office.write(made("again"))
    office.tick()
    assert office.settled()["again"] == ("sent", 1)
    assert office.post.fault(60) == ""


def test_outcomes_that_come_together_are_committed_together(office: Office) -> None:
    office.write(*many(MOST_CLAIMS))
    commits: Collected[Connection] = Collected()
    office.push.hang()
    claimed = office.tick()
    assert len(claimed) == MOST_CLAIMS
    counted: Callable[[Connection], None] = commits.add
    event.listen(office.journal.engine, "commit", counted)
    with office.journal.writing():  # the scribe must wait, the courier need not
        office.push.go_on()
        office.push.got.wait(MOST_CLAIMS)
    assert set(office.settled().values()) == {("sent", 1)}
    event.remove(office.journal.engine, "commit", counted)
    written = [one for one in commits.all() if is_writing(one)]
    assert 2 <= len(written) <= 5, "one is the test's own"


def is_writing(connection: Connection) -> bool:
    engine: Engine = connection.engine
    return bool(engine.get_execution_options().get("duskfold_writes"))


# Claims


def test_a_backlog_does_not_wait_for_the_tick(office: Office) -> None:
    office.write(*many(3 * MOST_CLAIMS))
    assert len(office.tick()) == MOST_CLAIMS
    got = office.push.got.wait(3 * MOST_CLAIMS)
    assert len({one.message_id for one in got}) == 3 * MOST_CLAIMS
    assert set(office.settled().values()) == {("sent", 1)}


def test_a_channel_that_is_busy_is_given_no_more_and_holds_up_no_other(office: Office) -> None:
    office.push.hang()
    office.write(made("now"))
    office.tick()
    office.push.got.wait()
    office.write(made("again"), made("by mail", "mail"))
    assert [str(one.key.step) for one in office.tick()] == ["by mail"]
    office.mail.got.wait()
    assert office.states()["again"] == ("pending", 0)
    office.push.go_on()
    office.push.got.wait(2)
    assert set(office.settled().values()) == {("sent", 1)}


def test_what_was_dropped_after_the_claim_is_not_sent(office: Office) -> None:
    office.push.hang()
    office.write(*many(2))
    office.tick()
    office.push.got.wait()
    with office.journal.writing() as writing:
        deliveries.drop(writing.connection, [made("now-1").key])
    assert office.stop()
    assert office.states() == {"now-0": ("sent", 1), "now-1": ("dropped", 0)}
    assert len(office.push.got.all()) == 1


def test_what_would_outlive_its_lease_is_given_back(office: Office) -> None:
    office.push.hang()
    office.write(*many(2))
    office.tick()
    office.push.got.wait()
    office.clock.wall = NOW + LEASE - 44 * SECOND  # a send may take 40 s
    office.push.go_on()
    office.push.got.wait(2)  # claimed anew, with a lease of its own
    assert office.settled() == {"now-0": ("sent", 1), "now-1": ("sent", 1)}


def to(person: str, address: str) -> Callable[[Claimed], tuple[str, str]]:
    """Everybody else is on a healthy server."""
    healthy = "https://healthy.example.org/topic"
    return lambda one: (one.key.person_id, address if one.key.person_id == person else healthy)


def test_a9_a_server_that_hangs_holds_up_nobody_on_another(office: Office) -> None:
    office.address_of = to("ana", "https://hung.example.org/ana")
    office.push.hang_for("https://hung.example.org")
    ben = replace(made(), key=replace(made().key, person_id="ben", step=decode("ben")))
    office.write(*many(MOST_CLAIMS), ben)
    office.tick()
    while office.states()["ben"] != ("sent", 1):
        assert office.post.changed.wait(PATIENCE_S), "held up by a hung server"
        office.post.changed.clear()
    later = replace(ben, key=replace(ben.key, step=decode("later")))
    office.write(later, made("for ana"))
    assert [str(one.key.step) for one in office.tick()] == ["later"]
    office.push.go_on()
    office.push.got.wait(MOST_CLAIMS + 3)
    assert set(office.settled().values()) == {("sent", 1)}


def test_a9_more_servers_than_couriers_share_one(office: Office) -> None:
    office.address_of = lambda one: ("Ana", f"https://{one.key.step}.example.org/ana")
    office.write(*many(3 * MOST_SERVERS))
    while any(state != "sent" for state, _ in office.settled().values()):
        office.tick()
    couriers = [one for one in threading.enumerate() if one.name == "duskfold-push"]
    assert len(couriers) <= MOST_SERVERS + 1


def test_a10_a_courier_that_cannot_begin_begins_later(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    with monkeypatch.context() as without_threads:
        without_threads.setattr(threading.Thread, "start", full)
        office.write(made())
        office.tick()
    assert office.post.fault(60) == "a courier cannot begin"
    office.tick()
    assert office.settled() == {"now": ("sent", 1)}
    assert office.post.fault(60) == ""


def test_a3_what_lies_somewhere_is_taken_back_there(office: Office) -> None:
    office.address = None
    back = replace(made("hold-2"), operation="cancel", address="https://push.example.org/old")
    office.write(back)
    office.tick()
    assert office.settled() == {"hold-2": ("sent", 1)}
    assert office.push.got.all()[0].address == "https://push.example.org/old"


def test_whoever_is_reached_somewhere_else_meanwhile_is_told_there(office: Office) -> None:
    office.push.hang()
    office.write(*many(2))
    office.tick()
    office.push.got.wait()
    office.address = ("Ana", "new@example.org")
    office.push.go_on()
    got = office.push.got.wait(2)
    assert [one.address for one in got] == ["ana@example.org", "new@example.org"]
    assert office.settled() == {"now-0": ("sent", 1), "now-1": ("sent", 1)}


# A wrong password is not tried again and again


def test_mail_rests_after_a_wrong_password_and_push_does_not(office: Office) -> None:
    for channel in (office.mail, office.push):
        channel.script(WRONG_PASSWORD)
    office.write(made("a", "mail"), made("b", "push"))
    office.tick()
    office.settled()
    office.write(made("c", "mail"), made("d", "push"))
    office.tick()
    states = office.settled()
    assert (states["c"], states["d"]) == (("pending", 1), ("sent", 1))
    assert len(office.mail.got.all()) == 1
    office.clock.run_s += 300
    office.write(made("e", "mail"))
    office.tick()
    assert office.settled()["e"] == ("sent", 1)


def test_with_a_new_profile_mail_is_tried_at_once(office: Office) -> None:
    office.mail.script(WRONG_PASSWORD)
    office.write(made("a", "mail"))
    office.tick()
    office.settled()
    office.post.use_channels({"mail": office.mail})
    office.write(made("b", "mail"))
    office.tick()
    assert office.settled()["b"] == ("sent", 1)


# Stopping


def test_a_stop_finishes_the_send_under_way_and_gives_the_rest_back(office: Office) -> None:
    office.push.hang()
    office.write(*many(3))
    office.tick()
    office.push.got.wait()
    stopping = threading.Thread(target=office.post.stop, args=(PATIENCE_S,))
    stopping.start()
    assert office.post._stopping.wait(PATIENCE_S)  # noqa: SLF001 - nothing else shows it
    office.push.go_on()
    stopping.join(PATIENCE_S)
    assert not stopping.is_alive()
    assert office.states() == {
        "now-0": ("sent", 1), "now-1": ("pending", 0), "now-2": ("pending", 0),
    }  # fmt: skip
    assert office.post.in_flight == frozenset()


def test_a_send_that_does_not_come_back_is_not_waited_for(office: Office) -> None:
    office.push.hang()
    office.write(made())
    office.tick()
    office.push.got.wait()
    assert not office.post.stop(0.01)
    assert office.states() == {"now": ("sending", 1)}  # its lease runs out
    assert office.stop()


@dataclass(frozen=True, slots=True)
class Watched(Journal):
    """A journal that tells when a courier comes to write."""

    courier_writes: threading.Event

    @contextmanager
    def writing(self, *, beside: bool = False) -> Iterator[Writing]:
        """As ever."""
        if threading.current_thread().name == "duskfold-push":
            self.courier_writes.set()
        with Journal.writing(self, beside=beside) as writing:
            yield writing


def test_what_is_claimed_during_a_stop_is_given_back(office: Office) -> None:
    waits = threading.Event()
    office.post.use(Watched(office.journal.engine, office.journal.kept_in, waits))
    office.write(*many(MOST_CLAIMS + 1))
    office.push.hang()
    office.tick()
    with office.journal.writing():  # the courier must wait for its next claims
        office.push.go_on()
        assert waits.wait(PATIENCE_S)
        stopping = threading.Thread(target=office.post.stop, args=(PATIENCE_S,))
        stopping.start()
        assert office.post._stopping.wait(PATIENCE_S)  # noqa: SLF001 - nothing else shows it
    stopping.join(PATIENCE_S)
    assert not stopping.is_alive()
    last = office.states()[f"now-{MOST_CLAIMS}"]
    assert last == ("pending", 0)


def test_a_stop_is_not_held_up_by_a_journal_that_cannot_be_written(office: Office) -> None:
    break_journal(office)
    office.write(made())
    office.tick()
    office.push.got.wait()
    wait_for_fault(office)
    try:
        assert office.post.stop(0.5)
    finally:
        mend_journal(office)


# From memory


def parcel(step: str = "now") -> FromMemory:
    return FromMemory(
        delivery=made(step),
        person_name="Ana",
        address="https://push.example.org/a",
        say=lambda: WORDS,
    )


def from_memory(office: Office, step: str = "now") -> None:
    """As the tick hands it over."""
    office.post.unwritten.add([made(step)])
    assert office.post.unwritten.take(NOW) == (made(step),)
    office.post.hand_over([parcel(step)])


def test_what_goes_out_from_memory_is_known_until_it_is_written_down(office: Office) -> None:
    unwritten = office.post.unwritten
    office.push.hang()
    from_memory(office)
    (outgoing,) = office.push.got.wait()
    assert outgoing.message_id == made().key.message_id
    assert [row.state for row in unwritten.rows(under_way=True)] == ["sending"]
    assert unwritten.gone() == []
    office.push.go_on()
    assert office.post.changed.wait(PATIENCE_S)
    assert [row.state for row in unwritten.rows()] == ["sent"]
    ((one, outcome, at),) = unwritten.gone()
    assert (one, outcome.kind, at) == (made(), "sent", NOW)
    unwritten.forget(unwritten.gone())
    assert unwritten.rows() == ()
    assert office.states() == {}


@pytest.mark.parametrize(("kind", "gone"), [("unknown", 1), ("transient", 0), ("bad address", 0)])
def test_from_memory_only_what_may_have_arrived_is_written_down(
    office: Office, kind: str, gone: int
) -> None:
    office.push.script(Outcome(kind=kind))  # type: ignore[arg-type] # words of OutcomeKind
    from_memory(office)
    assert office.post.changed.wait(PATIENCE_S)
    assert len(office.post.unwritten.gone()) == gone


def test_a12_a_refused_address_is_passed_on_from_memory_too(office: Office) -> None:
    office.push.script(Outcome(kind="bad address"))
    from_memory(office)
    assert office.post.urgent.wait(PATIENCE_S)
    assert office.failed.all() == ["now bad address"]


# What health hears


def break_journal(office: Office) -> None:
    """Outcomes cannot be written down from now on, claims can."""
    with office.journal.writing() as writing:
        writing.connection.execute(
            text(
                "CREATE TRIGGER full BEFORE UPDATE ON attempt "
                "BEGIN SELECT RAISE(ABORT, 'database or disk is full'); END"
            )
        )


def mend_journal(office: Office) -> None:
    with office.journal.writing() as writing:
        writing.connection.execute(text("DROP TRIGGER full"))


def wait_for_fault(office: Office) -> None:
    deadline_s = monotonic() + PATIENCE_S
    while not office.post.fault(1e9):  # nobody announces it
        assert monotonic() < deadline_s, "no fault"


def test_outcomes_that_cannot_be_written_down_are_a_fault(office: Office) -> None:
    assert office.post.fault(60) == ""
    break_journal(office)
    office.write(made())
    office.tick()
    office.push.got.wait()
    wait_for_fault(office)
    assert office.post.fault(60) == "database or disk is full"
    assert office.states() == {"now": ("sending", 1)}
    mend_journal(office)
    assert office.stop()
    assert office.states() == {"now": ("sent", 1)}


def test_a_send_that_does_not_come_back_is_a_fault(office: Office) -> None:
    office.push.hang()
    office.write(made())
    office.tick()
    office.push.got.wait()
    assert office.post.fault(60) == ""
    office.clock.run_s += 61
    assert office.post.fault(60) == "a send does not come back"
    office.push.go_on()
    office.settled()
    assert office.stop()


# pytest turns what ends a thread into a warning; here it is what is asked for.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_courier_that_died_is_a_fault(office: Office) -> None:
    class Ending(FakeChannel):
        def deliver(self, outgoing: object) -> Outcome:
            raise SystemExit(type(outgoing))

    office.post.use_channels({"push": Ending()})
    office.write(made())
    office.tick()
    for thread in threading.enumerate():
        if thread.name == "duskfold-push":
            thread.join(PATIENCE_S)
    assert office.post.fault(60) == "a courier has died"
