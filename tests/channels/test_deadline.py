"""The one deadline: look-ups, connections, cuts."""

import socket
import ssl
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import pytest

from scheduler.channels.connection_faults import unconnected
from scheduler.channels.deadline import Deadline, Limits, bounded
from scheduler.channels.mail import MailChannel
from scheduler.channels.port import Channel
from scheduler.channels.push import PushChannel
from scheduler.channels.service import ServiceChannel
from tests.channels.rigs import (
    HANGS,
    PATIENT,
    QUICK,
    SOON_S,
    closed_port,
    now,
    outgoing,
    push_rig,
    settings,
)
from tests.sinks.authority import HERE, Authority
from tests.sinks.raw import RawSink, silence
from tests.sinks.waiting import Collected, at_most


def test_the_usual_limits_leave_room_within_a_lease() -> None:
    usual = Limits()
    assert (usual.total_s, usual.connect_s, usual.reply_s) == (40.0, 10.0, 20.0)


def test_bounded_work_hands_on_what_it_returns_or_raises() -> None:
    assert bounded(lambda: 7, 5.0) == 7
    with pytest.raises(KeyError):
        bounded(lambda: {"y": 7}["x"], 5.0)


def test_bounded_work_is_given_up() -> None:
    over = threading.Event()
    with at_most(1.0), pytest.raises(TimeoutError):
        bounded(over.wait, 0.05)
    over.set()


def test_n13_a_look_up_that_hangs_is_given_up(
    hanging_names: Collected[str], authority: Authority
) -> None:
    push = f"https://{HANGS}/anna"
    ways: list[tuple[Channel, str, str]] = [
        (MailChannel(settings(25, host=HANGS), now, limits=QUICK), "anna@example.net", "transient"),
        (PushChannel({}, "r", now, limits=QUICK), push, "transient"),
        (ServiceChannel({"a": f"ntfy://{HANGS}/x"}, limits=QUICK), "a", "unknown"),
    ]
    with push_rig(authority) as other:
        for channel, address, kind in ways:
            with at_most(SOON_S):
                assert channel.deliver(outgoing(address)).kind == kind
            # That thread still hangs, and the other channel proceeds.
            assert other.channel.deliver(outgoing(other.address)).kind == "sent"
    assert len(hanging_names.all()) >= 3


def test_n13_a_name_that_does_not_exist_is_transient() -> None:
    with at_most(PATIENT.connect_s + 1.0):
        channel = MailChannel(settings(25, host="mail.invalid"), now, limits=PATIENT)
        outcome = channel.deliver(outgoing("anna@example.net"))
    assert outcome.kind == "transient"
    assert "invalid" not in outcome.reason


@pytest.mark.parametrize(
    ("host", "port"),
    [
        ("a" * 70 + ".example.org", 25),
        ("a..b", 25),
        ("\ud83d", 25),
        (".", 25),
        ("x\x00y", 25),
        (HERE, 99_999),
        (HERE, -1),
    ],
)
def test_a_place_that_cannot_be_one_does_not_raise(host: str, port: int) -> None:
    channel = MailChannel(settings(port, host=host), now, limits=QUICK)
    outcome = channel.deliver(outgoing("anna@example.net"))
    assert outcome.kind in {"misconfigured", "transient"}


@contextmanager
def full_port() -> Iterator[int]:
    """A port at which connecting never ends: its queue is full and nobody accepts."""
    with ExitStack() as stack:
        listener = stack.enter_context(socket.socket())
        listener.bind((HERE, 0))
        listener.listen(0)
        for _ in range(4):
            queued = stack.enter_context(socket.socket())
            queued.setblocking(False)
            queued.connect_ex(listener.getsockname())
        yield listener.getsockname()[1]


@pytest.mark.parametrize("kind", ["refuses", "never answers"])
def test_a_dead_first_address_leaves_the_second_its_turn(
    monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    with RawSink(silence) as raw, full_port() as full:
        stream = (socket.AF_INET, socket.SOCK_STREAM, 6, "")
        dead = closed_port() if kind == "refuses" else full
        found = [(*stream, (HERE, dead)), (*stream, (HERE, raw.port))]
        monkeypatch.setattr(socket, "getaddrinfo", lambda *_, **__: found)
        limits = Limits(connect_s=1.5)
        with Deadline(limits) as deadline:
            with at_most(limits.connect_s * 0.8):
                connection = deadline.connect("two.example.net", 25)
            assert connection.getpeername() == (HERE, raw.port)
            connection.close()


def test_a_cut_wakes_who_reads_and_closes_what_comes_later() -> None:
    with RawSink(silence) as raw, Deadline(PATIENT) as deadline:
        connection = deadline.connect(HERE, raw.port)
        threading.Timer(0.05, deadline.cut).start()
        with at_most(2.0):
            assert connection.recv(1) == b""
        connection.close()
        assert deadline.passed
        with pytest.raises(TimeoutError):
            deadline.connect(HERE, raw.port)


def test_it_cuts_a_handshake_too(authority: Authority) -> None:
    with RawSink(silence) as raw, Deadline(Limits(total_s=0.3)) as deadline, at_most(2.0):
        with pytest.raises((ssl.SSLError, ConnectionError, TimeoutError)) as raised:
            deadline.connect(HERE, raw.port, authority.client())
        assert unconnected(raised.value).kind == "transient"


@pytest.mark.parametrize(
    ("error", "kind"),
    [
        (ssl.SSLEOFError(), "transient"),
        (ssl.SSLError(), "misconfigured"),
        (socket.gaierror(), "transient"),
        (OSError(), "transient"),
        (UnicodeError(), "misconfigured"),
    ],
)
def test_each_error_means_something(error: Any, kind: str) -> None:
    assert unconnected(error).kind == kind
