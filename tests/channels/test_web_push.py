"""Phone: what is sealed and sent to a push service, and what each of its answers means."""

import json
import os
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from email.utils import format_datetime
from pathlib import Path
from typing import Any

import pytest

from scheduler.alerts.delivery import LOUD, QUIET, USUAL, Button, Outcome, OutcomeKind
from scheduler.alerts.phone import Subscription
from scheduler.channels.phone_message import PADDED_TO, TEXT_OCTETS
from scheduler.channels.web_push import PhoneChannel
from scheduler.tokens.answer import SignedAnswer, Verb
from scheduler.tokens.base64url import decoded, encoded
from tests.channels.rigs import (
    HANGS,
    NOW,
    PATIENT,
    PHONE_ID,
    PHONE_KEY,
    QUICK,
    SOON_S,
    now,
    outgoing,
    phone_channel,
    phone_rig,
)
from tests.sinks.authority import HERE, Authority
from tests.sinks.push import Reply
from tests.sinks.push_service import Got, Phone, PushService
from tests.sinks.raw import Peer, RawSink, cut, dribble, request_then, says
from tests.sinks.waiting import Collected, at_most

ROOT = Path(__file__).parents[2]
LINK = "https://hens.example.org/evening/9fd1"


def answer(verb: Verb) -> str:
    """A signed answer of Anna's."""
    signed = SignedAnswer(
        verb=verb,
        site_id="orchard",
        day=NOW.date(),
        subject_id="orchard",
        opening=0,
        person_id="anna",
        birds=(12,) if verb == "all-in" else None,
    )
    return signed.text(b"k" * 32)


BUTTONS = (
    Button(label="All 12 in, door shut", answer=answer("all-in")),
    Button(label="Some missing", answer=answer("some-missing")),
    Button(label="Shut, not counted", answer=answer("not-counted")),
)
REMINDER: dict[str, Any] = {
    "title": "Lock up by 16:33",
    "body": "12 birds in Walnut.",
    "priority": LOUD,
    "buttons": BUTTONS,
    "link": LINK,
    "of_evening": True,
}
Ring = Callable[..., Outcome]


@pytest.fixture
def service(authority: Authority) -> Iterator[PushService]:
    """A browser's push service."""
    with PushService(authority, now=now) as made:
        yield made


@pytest.fixture
def phone(service: PushService) -> Phone:
    """A phone that is online."""
    return service.phone()


@pytest.fixture
def channel(authority: Authority, phone: Phone) -> PhoneChannel:
    """A channel that knows that phone."""
    return phone_channel(authority, phone.subscription(PHONE_KEY.public))


@pytest.fixture
def ring(channel: PhoneChannel) -> Ring:
    """Sends a message to that phone; arguments change it."""
    return lambda **changes: channel.deliver(outgoing(PHONE_ID, **changes))


def only(phone: Phone) -> Got:
    """The one message that it got."""
    (got,) = phone.got.all()
    return got


# What is sent


def test_a_reminder_arrives_as_the_worker_reads_it(ring: Ring, phone: Phone) -> None:
    assert ring(**REMINDER) == Outcome(kind="sent")
    sent = outgoing(PHONE_ID)
    assert only(phone).said == {
        "web_push": 8030,
        "mutable": True,
        "notification": {
            "title": "Lock up by 16:33",
            "body": "12 birds in Walnut.",
            "navigate": LINK,
            "tag": sent.thread_id,
            "lang": "en",
            "dir": "auto",
            "silent": False,
            "data": {
                "at": int(NOW.timestamp()),
                "receipt": f"{PHONE_ID} {sent.message_id} {'s' * 43}",
                "loud": True,
                "link": LINK,
                "answers": [
                    {"label": "All 12 in, door shut", "text": answer("all-in")},
                    {"label": "Shut, not counted", "text": answer("not-counted")},
                ],
                "says": {
                    "kept": "Not yet told to Duskfold. Tap to say it on the page.",
                    "told": "Duskfold knows: shut at {time}.",
                    "lost": "That did not count: something else was said since. Tap to look.",
                    "waits": "You said shut at {time}. Not told yet: no reception.",
                },
            },
        },
    }


@pytest.mark.parametrize(
    ("priority", "silent", "loud"),
    [(1, True, False), (QUIET, True, False), (USUAL, False, False), (LOUD, False, True)],
)
def test_how_loud_it_is_goes_by_its_priority(
    ring: Ring, phone: Phone, priority: int, silent: bool, loud: bool
) -> None:
    ring(priority=priority)
    shown = only(phone).notification
    assert (shown["silent"], shown["data"]["loud"]) == (silent, loud)


def test_a_message_without_link_or_answers_opens_the_pages(ring: Ring, phone: Phone) -> None:
    ring(buttons=(Button(label="Odd", answer="odd"), Button(label="", answer="duskfold all-in-x")))
    shown = only(phone).notification
    assert (shown["navigate"], shown["data"]["answers"]) == ("https://hens.example.org", [])


@pytest.mark.parametrize(
    ("changes", "ttl", "urgency"),
    [
        ({"of_evening": True, "stale_at": NOW + timedelta(minutes=10)}, 660, "high"),
        ({"of_evening": True, "stale_at": NOW + timedelta(seconds=20)}, 120, "high"),
        ({"of_evening": True, "stale_at": NOW - timedelta(hours=1)}, 120, "high"),
        ({"of_evening": True, "priority": QUIET}, 4 * 3600, "high"),
        ({"priority": LOUD}, 4 * 3600, "high"),
        ({"stale_at": NOW + timedelta(hours=14, microseconds=1)}, 14 * 3600 + 61, "normal"),
        ({}, 4 * 3600, "normal"),
    ],
)
def test_how_long_it_is_kept_and_how_urgent_it_is(
    ring: Ring, phone: Phone, changes: dict[str, Any], ttl: int, urgency: str
) -> None:
    ring(**changes)
    headers = only(phone).headers
    assert (headers["TTL"], headers["Urgency"]) == (str(ttl), urgency)


def test_a_phone_that_was_off_gets_the_newest_of_an_evening_alone(ring: Ring, phone: Phone) -> None:
    phone.online = False
    for title, number in (("Lock up", "1"), ("Still open", "2"), ("All in", "3")):
        ring(title=title, of_evening=True, message_id=number * 32)
    ring(title="Good morning", message_id="4" * 32)
    assert not phone.got.all()
    phone.wake()
    shown = [one.notification for one in phone.got.all()]
    assert [one["title"] for one in shown] == ["All in", "Good morning"]
    sent = outgoing(PHONE_ID)
    assert [one["tag"] for one in shown] == [sent.thread_id, "4" * 32]
    assert [one.headers["Topic"] for one in phone.got.all()] == [one["tag"] for one in shown]


def test_what_is_stale_when_the_phone_comes_back_is_dropped(
    ring: Ring, phone: Phone, service: PushService
) -> None:
    phone.online = False
    ring(stale_at=NOW + timedelta(minutes=10))
    service.now = lambda: NOW + timedelta(minutes=12)
    phone.wake()
    assert not phone.got.all()


def test_a_text_is_as_long_as_others(ring: Ring, phone: Phone, service: PushService) -> None:
    ring(**REMINDER)
    ring(body="")
    ring(body="x" * 1000)
    ring(body="x" * 10_000)
    assert [one.padded_to for one in phone.got.all()] == [1024, 1024, 2048, TEXT_OCTETS]
    # Firefox on Android takes 2,744 octets at most.
    assert [len(one.body) for one in service.asked.all()] == [1127, 1127, 2151, 2603]


@pytest.mark.parametrize("letter", ["x", "é", "🐔", '"', "\\", "\n.", "a b "])
def test_a_body_that_is_too_long_is_cut_and_nothing_else(
    ring: Ring, phone: Phone, letter: str
) -> None:
    ring(**REMINDER | {"body": letter * 5000})
    got = only(phone)
    assert TEXT_OCTETS / 2 < len(got.text) <= TEXT_OCTETS
    shown = got.notification
    assert shown["body"].endswith("…")
    assert shown["title"] == REMINDER["title"]
    assert len(shown["data"]["answers"]) == 2


def test_answers_that_leave_no_room_are_left_out(ring: Ring, phone: Phone) -> None:
    long = tuple(replace(one, answer=one.answer + "x" * 900) for one in BUTTONS)
    ring(**REMINDER | {"buttons": long, "title": '"' * 400})
    got = only(phone)
    assert len(got.text) <= TEXT_OCTETS
    assert got.notification["data"]["answers"] == []
    assert got.notification["body"] == REMINDER["body"]


def test_what_was_sealed_for_another_phone_is_never_read(
    authority: Authority, phone: Phone, service: PushService
) -> None:
    usual, other = (each.subscription(PHONE_KEY.public) for each in (phone, service.phone()))
    mixed = replace(usual, p256dh=other.p256dh)
    assert phone_channel(authority, mixed).deliver(outgoing(PHONE_ID)).kind == "sent"
    assert len(phone.unread.all()) == 1
    assert not phone.got.all()


def test_every_message_is_sealed_anew(ring: Ring, service: PushService) -> None:
    ring()
    ring()
    first, second = (one.body for one in service.asked.all())
    assert first[:16] != second[:16], "the salt"
    assert first[21:86] != second[21:86], "the ephemeral key"


# Who sends it


def claims(service: PushService) -> list[dict[str, Any]]:
    """What the tokens of all requests claim."""
    tokens = [one.headers["Authorization"].split(" t=")[1] for one in service.asked.all()]
    return [json.loads(decoded(token.split(".")[1]) or b"") for token in tokens]


def test_a_token_is_kept_until_an_hour_before_its_end(
    authority: Authority, service: PushService, phone: Phone
) -> None:
    clock = [NOW]
    service.now = lambda: clock[0]
    channel = phone_channel(authority, phone.subscription(PHONE_KEY.public), now=lambda: clock[0])
    for hours in (0, 10.9, 11.1, 22, 2):  # at last the clock is set back
        clock[0] = NOW + timedelta(hours=hours)
        assert channel.deliver(outgoing(PHONE_ID)).kind == "sent"
    hours_ahead = [(one["exp"] - NOW.timestamp()) / 3600 for one in claims(service)]
    assert hours_ahead == pytest.approx([12, 12, 23.1, 23.1, 14], abs=0.001)
    tokens = [one.headers["Authorization"] for one in service.asked.all()]
    assert (tokens[0], tokens[2]) == (tokens[1], tokens[3])
    assert {one["aud"] for one in claims(service)} == {f"https://{service.host}"}
    assert {one["sub"] for one in claims(service)} == {"https://hens.example.org"}


def test_each_push_service_gets_a_token_of_its_own(authority: Authority) -> None:
    with (
        PushService(authority, now=now) as one,
        PushService(authority, now=now) as other,
    ):
        phones = {name: each.phone() for name, each in (("1", one), ("2", other))}
        known = {name: each.subscription(PHONE_KEY.public) for name, each in phones.items()}
        channel = phone_channel(
            authority, known["1"], subscription_of=known.get, more_hosts=[one.host, other.host]
        )
        for name, phone in phones.items():
            assert channel.deliver(outgoing(name)).kind == "sent"
            assert len(phone.got.all()) == 1
        assert channel.destination("1") == one.host
        assert channel.destination("2") == other.host


def test_a_phone_that_was_set_up_with_another_key_must_be_set_up_again(
    authority: Authority, phone: Phone, service: PushService
) -> None:
    other = encoded(b"\x04" + b"o" * 64)
    outcome = phone_channel(authority, phone.subscription(other)).deliver(outgoing(PHONE_ID))
    assert outcome.kind == "misconfigured"
    assert "set up again" in outcome.reason
    assert not service.asked.all()


def test_a_service_that_does_not_believe_the_key_is_our_fault(
    authority: Authority, phone: Phone
) -> None:
    subscription = phone.subscription(PHONE_KEY.public)
    channel = phone_channel(authority, subscription, private=b"\x01" * 32)
    assert channel.deliver(outgoing(PHONE_ID)).kind == "misconfigured"
    odd = phone_channel(authority, subscription, subject="https://localhost")
    assert odd.deliver(outgoing(PHONE_ID)).kind == "misconfigured"
    assert not phone.got.all()


@pytest.mark.parametrize("hours", [-13, 13])
def test_a_service_whose_clock_is_far_from_ours_believes_no_token(
    ring: Ring, service: PushService, hours: int
) -> None:
    service.now = lambda: NOW + timedelta(hours=hours)
    assert ring().kind == "misconfigured"


@pytest.mark.parametrize("topic", ["0" * 13, "0" * 33, "0" * 31 + "!"])
def test_a_topic_that_no_service_takes_is_our_bug(ring: Ring, phone: Phone, topic: str) -> None:
    assert ring(message_id=topic).reason == "the push service refused (400)"
    assert not phone.got.all()


# What the answers mean


@pytest.mark.parametrize(
    ("status", "kind", "told"),
    [
        (200, "sent", ""),
        (201, "sent", ""),
        (202, "sent", ""),
        (301, "misconfigured", "moved (301)"),
        (307, "misconfigured", "moved (307)"),
        (400, "permanent", "refused (400)"),
        (401, "misconfigured", "does not believe the key that rings phones (401)"),
        (403, "misconfigured", "does not believe the key that rings phones (403)"),
        (404, "bad address", "does not take messages any more (404)"),
        (410, "bad address", "does not take messages any more (410)"),
        (413, "permanent", "too long (413)"),
        (418, "permanent", "refused (418)"),
        (429, "transient", "busy or broken (429)"),
        (500, "transient", "busy or broken (500)"),
        (503, "transient", "busy or broken (503)"),
    ],
)
def test_what_each_answer_means(
    ring: Ring, service: PushService, status: int, kind: OutcomeKind, told: str
) -> None:
    elsewhere = {"Location": f"https://{service.host}/push/2"}
    service.script(Reply(status=status, headers=elsewhere), always=True)
    outcome = ring()
    assert outcome.kind == kind
    assert outcome.reason.endswith(told)
    assert len(service.asked.all()) == 1, "no redirect is followed, and no short text repeated"


@pytest.mark.parametrize(
    ("header", "wait_s"),
    [
        ("7", 7),
        ("99999", 600),
        (format_datetime(NOW + timedelta(seconds=90)), 90),
        ("soon", None),
    ],
)
@pytest.mark.parametrize("status", [429, 503])
def test_how_long_it_asks_to_wait_is_heard(
    ring: Ring, service: PushService, status: int, header: str, wait_s: float | None
) -> None:
    service.script(Reply(status=status, headers={"Retry-After": header}))
    assert ring().retry_after_s == wait_s
    assert ring().kind == "sent"


def test_what_is_too_long_goes_once_more_and_shorter(
    ring: Ring, phone: Phone, service: PushService
) -> None:
    service.script(Reply(status=413))
    assert ring(**REMINDER | {"body": "x" * 5000}).kind == "sent"
    got = only(phone)
    assert len(got.text) <= PADDED_TO
    assert got.notification["title"] == REMINDER["title"]
    assert got.notification["navigate"] == LINK
    service.script(Reply(status=413), Reply(status=413))
    assert ring(body="x" * 5000).kind == "permanent"
    assert len(service.asked.all()) == 4


def test_a_subscription_that_ended_is_gone_for_good(ring: Ring, phone: Phone) -> None:
    phone.gone = True
    assert ring().kind == "bad address"


def test_a_phone_that_nobody_knows_is_no_address(channel: PhoneChannel) -> None:
    assert channel.deliver(outgoing("f" * 16)).kind == "bad address"
    assert channel.destination("f" * 16) == "f" * 16


@pytest.mark.parametrize("operation", ["hold", "cancel"])
def test_nothing_is_held_and_nothing_taken_back(
    ring: Ring, service: PushService, operation: str
) -> None:
    assert ring(operation=operation, rings_at=NOW, target_id="0" * 32).kind == "permanent"
    assert not service.asked.all()


@pytest.mark.parametrize(
    ("behaviour", "kind"),
    [
        (cut, "unknown"),
        (says(b"HTTP/1.1 201 Created\r\nContent-Length: 9\r\n\r\nhalf"), "unknown"),
        (says(b"HTTP/1.1 503 Busy\r\nContent-Length: 9\r\n\r\nhalf"), "transient"),
        (says(b"HTTP/1.1 410 Gone\r\n\r\n"), "bad address"),
        (says(b"220 mail.example.net\r\n", then_cut=False), "misconfigured"),
    ],
)
def test_an_answer_that_is_not_whole(
    authority: Authority, behaviour: Any, kind: OutcomeKind
) -> None:
    with phone_rig(authority) as rig, RawSink(rig.as_heard(request_then(behaviour))) as raw:
        channel, address = rig.towards(raw.port)
        assert channel.deliver(outgoing(address)).kind == kind


def test_one_deadline_is_over_both_tries(authority: Authority) -> None:
    too_long = request_then(says(b"HTTP/1.1 413 Too long\r\nContent-Length: 0\r\n\r\n"))
    drips = request_then(dribble(b"HTTP/1.1 200 OK\r\nX: " + b"y" * 999, pause_s=0.05))
    turns = iter([too_long, drips])

    def in_turn(peer: Peer) -> None:
        next(turns)(peer)

    with phone_rig(authority) as rig, RawSink(rig.as_heard(in_turn)) as raw:
        channel, address = rig.towards(raw.port)
        with at_most(SOON_S):
            assert channel.deliver(outgoing(address, body="x" * 5000)).kind == "unknown"
        assert len(raw.connections.all()) == 2


# Where it never goes


def test_a_certificate_nobody_knows_is_a_fault(authority: Authority) -> None:
    with PushService(Authority(), now=now) as stranger:
        phone = stranger.phone()
        channel = phone_channel(authority, phone.subscription(PHONE_KEY.public))
        outcome = channel.deliver(outgoing(PHONE_ID))
    assert outcome.kind == "misconfigured"
    assert "certificate" in outcome.reason
    assert not stranger.asked.all()


@pytest.mark.parametrize(
    ("changes", "kind"),
    [
        ({"endpoint": "https://push.example.org/x"}, "misconfigured"),
        ({"endpoint": "http://fcm.googleapis.com/x"}, "bad address"),
        ({"auth": "short"}, "bad address"),
        ({"p256dh": encoded(b"\x04" + b"\xff" * 64)}, "bad address"),  # no point of the curve
    ],
)
def test_a_subscription_is_looked_at_before_each_message(
    authority: Authority, service: PushService, changes: dict[str, str], kind: OutcomeKind
) -> None:
    usual = service.phone().subscription(PHONE_KEY.public)
    channel = phone_channel(
        authority,
        usual,
        subscription_of=lambda _: replace(usual, **changes),
        more_hosts=[service.host],
    )
    assert channel.deliver(outgoing(PHONE_ID)).kind == kind
    assert not service.asked.all()


def test_the_products_own_never_connects_to_a_machine_inside(
    authority: Authority, service: PushService, phone: Phone
) -> None:
    subscription = phone.subscription(PHONE_KEY.public)
    usual = phone_channel(authority, subscription)
    channel = PhoneChannel(
        subscription_of=lambda _: subscription,
        private=PHONE_KEY.private,
        public=PHONE_KEY.public,
        subject="https://hens.example.org",
        receipt_of=usual.receipt_of,
        now=now,
        more_hosts=[service.host],
        limits=PATIENT,
        tls=usual.tls,
    )
    outcome = channel.deliver(outgoing(PHONE_ID))
    assert outcome.kind == "misconfigured"
    assert HERE not in outcome.reason
    assert not service.asked.all()
    assert usual.deliver(outgoing(PHONE_ID)).kind == "sent"


def found_at(*addresses: str, port: int) -> list[Any]:
    """What a name server says."""
    return [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (each, port)) for each in addresses]


@pytest.mark.parametrize("others", [["127.0.0.2"], ["127.0.0.2", "10.0.0.1"]])
def test_one_address_inside_among_others_is_enough_to_refuse(
    monkeypatch: pytest.MonkeyPatch,
    ring: Ring,
    service: PushService,
    others: list[str],
) -> None:
    port = int(service.host.rpartition(":")[2])
    found = found_at(HERE, *others, port=port)
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_, **__: found)
    assert ring().kind == "misconfigured"
    assert not service.asked.all()


def test_it_connects_to_the_address_that_was_looked_at(
    monkeypatch: pytest.MonkeyPatch, ring: Ring, service: PushService
) -> None:
    port = int(service.host.rpartition(":")[2])
    answers = iter([found_at(HERE, port=port), found_at("10.0.0.1", port=port)])
    asked: list[str] = []

    def look_up(host: str, *_: Any, **__: Any) -> Any:
        asked.append(host)
        return next(answers)

    monkeypatch.setattr(socket, "getaddrinfo", look_up)
    assert ring().kind == "sent"
    assert asked == [HERE], "one look-up: a second might lead elsewhere"


def test_a_look_up_that_hangs_is_given_up(
    authority: Authority, phone: Phone, hanging_names: Collected[str]
) -> None:
    usual = phone.subscription(PHONE_KEY.public)
    there = replace(usual, endpoint=f"https://{HANGS}/push/1")
    with at_most(SOON_S):
        outcome = phone_channel(authority, there, limits=QUICK).deliver(outgoing(PHONE_ID))
    assert outcome.kind == "transient"
    assert hanging_names.all() == [HANGS]


# What it costs


def test_cryptography_is_not_imported_before_a_phone_rings() -> None:
    code = (
        "import sys, scheduler.channels.web_push, scheduler.channels.push_services\n"
        "import scheduler.machine.phone_key\n"
        "assert 'cryptography' not in sys.modules"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT, env=environment)


def test_a_machine_without_cryptography_says_so(
    monkeypatch: pytest.MonkeyPatch, ring: Ring, service: PushService
) -> None:
    monkeypatch.setitem(sys.modules, "scheduler.channels.web_push_seal", None)
    outcome = ring()
    assert (outcome.kind, outcome.reason) == (
        "misconfigured",
        "what seals messages for phones cannot be loaded (ModuleNotFoundError)",
    )
    assert not service.asked.all()


def test_no_repr_and_no_reason_tells_a_secret(channel: PhoneChannel, phone: Phone) -> None:
    channel.deliver(outgoing(PHONE_ID))
    subscription: Subscription = phone.subscription(PHONE_KEY.public)
    shown = f"{channel!r} {subscription!r}"
    secrets = (subscription.endpoint, subscription.auth, subscription.p256dh)
    assert not [one for one in (*secrets, repr(PHONE_KEY.private), "vapid t=") if one in shown]
