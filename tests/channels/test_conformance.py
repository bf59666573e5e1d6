"""What every way out promises (channels/port.py), on the fake and on real ones over loopback."""

from concurrent.futures import ThreadPoolExecutor
from typing import get_args

import pytest

from scheduler.alerts.delivery import Button, ChannelName, Outcome
from scheduler.channels.port import Channel
from tests.channels.rigs import QUICK, SOON_S, Rig, closed_port, outgoing
from tests.sinks.raw import GARBAGE, RawSink, dribble, says, silence
from tests.sinks.waiting import at_most
from tests.unhurried import unhurried

STRANGE = "Zoë 🐔‍ العشّة \u202eבית\u202c"  # joined emoji, two scripts from the right, an override


def reasons_hold(rig: Rig, outcome: Outcome, *more: str) -> list[str]:
    """Which secrets a reason gives away."""
    return [secret for secret in (*rig.secrets, *more) if secret in outcome.reason]


def test_it_is_one_of_the_known_ways_out(rig: Rig) -> None:
    assert rig.channel.name in get_args(ChannelName)


def test_a9_what_hangs_together_has_one_destination(rig: Rig) -> None:
    channel = rig.channel
    assert channel.destination(rig.address) == channel.destination(rig.address)
    assert isinstance(channel.destination("\ud83d"), str), "whatever is written there"


def test_text_arrives_unharmed(rig: Rig) -> None:
    body = f"{STRANGE}\n.\nhalf past — “latch” it\n" + "a long line " * 30
    sent = outgoing(rig.address, title=f"Close {STRANGE}", body=body, stem=STRANGE)
    assert rig.channel.deliver(sent) == Outcome(kind="sent")
    [(text, _)] = rig.got()
    for line in (f"Close {STRANGE}", *body.split("\n")):
        assert line.strip() in text.replace("\r\n", "\n")


@pytest.mark.parametrize(
    "nasty",
    ["Anna\r\nBcc: all@example.org", "A" * 10_000, "\x00\x0b\u2028", "\ud83d", '"; <>,@(\\', ""],
    ids=["header", "long", "control", "half", "marks", "empty"],
)
def test_f7_f8_nasty_words_are_taken(rig: Rig, nasty: str) -> None:
    sent = outgoing(
        rig.address,
        person_name=nasty,
        title=f"Close {nasty}",
        body=nasty,
        stem=nasty,
        buttons=(Button(label=nasty, answer="all in"),),
        link="https://example.org/tonight",
    )
    assert rig.channel.deliver(sent) == Outcome(kind="sent")
    assert len(rig.got()) == 1


@pytest.mark.parametrize(
    "address",
    ["", " ", "\r\n", "https://[::1", "a@b\r\nRCPT TO:<c@example.org>", "\ud83d", "http://x/y z",
     "https://example.org:99999/t", "http://u:p@127.0.0.1/t", "ünï@example.org", "<a@example.org>"],
)  # fmt: skip
@pytest.mark.parametrize("operation", ["send", "hold", "cancel"])
def test_no_address_makes_it_raise(wired: Rig, address: str, operation: str) -> None:
    outcome = wired.channel.deliver(outgoing(address, operation=operation))
    assert outcome.kind in {"bad address", "misconfigured", "permanent"}
    assert not wired.got()


def test_a_retry_carries_the_same_id(rig: Rig) -> None:
    for _ in range(3):
        rig.channel.deliver(outgoing(rig.address))
    rig.channel.deliver(outgoing(rig.address, message_id="0" * 32))
    ids = [mark for _, mark in rig.got()]
    assert len(set(ids[:3])) == 1
    if ids[0]:  # apprise can send none: a retry there may show twice
        assert ids[3] != ids[0]


def test_n1_a_refused_connection_is_transient(wired: Rig) -> None:
    channel, address = wired.towards(closed_port())
    outcome = channel.deliver(outgoing(address))
    assert outcome.kind == "transient"
    assert not reasons_hold(wired, outcome)


def test_n2_silence_ends_in_time(wired: Rig) -> None:
    with RawSink(wired.as_heard(silence)) as sink:
        channel, address = wired.towards(sink.port)
        with at_most(SOON_S):
            outcome = channel.deliver(outgoing(address))
    assert outcome.kind == wired.unanswered
    assert not reasons_hold(wired, outcome)


@pytest.mark.parametrize("text", [b"2" * 999, b"HTTP/1.1 200 OK\r\nX: " + b"y" * 999])
@unhurried
def test_n3_a_peer_that_dribbles_does_not_hold_it_up(wired: Rig, text: bytes) -> None:
    with RawSink(wired.as_heard(dribble(text, pause_s=QUICK.reply_s / 10))) as sink:
        channel, address = wired.towards(sink.port)
        with at_most(SOON_S):
            outcome = channel.deliver(outgoing(address))
    assert outcome.kind == wired.unanswered
    assert not reasons_hold(wired, outcome)


def test_garbage_is_no_success(wired: Rig) -> None:
    with RawSink(wired.as_heard(says(GARBAGE, then_cut=False))) as sink:
        channel, address = wired.towards(sink.port)
        with at_most(SOON_S):
            outcome = channel.deliver(outgoing(address))
    assert outcome.kind in {"misconfigured", "transient"}
    assert not reasons_hold(wired, outcome)


def test_it_may_be_used_from_one_thread_after_another(rig: Rig) -> None:
    def deliver(number: int) -> Outcome:
        return rig.channel.deliver(outgoing(rig.address, message_id=f"{number:032x}"))

    for number in range(6):
        with ThreadPoolExecutor(1) as other_thread:
            assert other_thread.submit(deliver, number).result().kind == "sent"
    assert len(rig.got()) == 6


def test_its_repr_tells_no_secret(wired: Rig) -> None:
    channel: Channel = wired.channel
    assert not [secret for secret in wired.secrets if "tk_" in secret and secret in repr(channel)]
    assert "straw" not in repr(channel)
