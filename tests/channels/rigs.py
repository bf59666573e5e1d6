"""Each way out against a server on loopback, so that one suite can be run on all of them."""

import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any

from scheduler.alerts.delivery import Message, OutcomeKind, Outgoing
from scheduler.alerts.phone import Subscription
from scheduler.channels.deadline import Limits
from scheduler.channels.mail import MailChannel, MailSettings
from scheduler.channels.port import Channel
from scheduler.channels.push import PushChannel
from scheduler.channels.push_services import host_of
from scheduler.channels.service import ServiceChannel
from scheduler.channels.web_push import PhoneChannel
from scheduler.machine.phone_key import PhoneKey
from scheduler.tokens.base64url import decoded
from tests.sinks.authority import HERE, Authority
from tests.sinks.fake_channel import FakeChannel
from tests.sinks.push import PushSink
from tests.sinks.push_service import PushService
from tests.sinks.raw import Behaviour, Peer
from tests.sinks.smtp import PASSWORD, USER, SmtpSink

QUICK = Limits(total_s=0.8, connect_s=0.4, reply_s=0.5)
PATIENT = Limits(total_s=8.0, connect_s=5.0, reply_s=5.0)
SOON_S = QUICK.total_s + 0.7  # a busy machine is forgiven this much
NOW = datetime(2026, 11, 3, 16, 40, tzinfo=UTC)
SENDER = "coop@example.org"
TOKEN = "tk_write"  # noqa: S105 - of a sink
PERSON = "Anna Weidner"
HANGS = "hangs.example.net"  # a name whose look-up never ends (fixture `hanging_names`)
TOPIC = "anna-3f9c"
MESSAGE = Message(title="Close Walnut by 16:58", body="12 birds", stem="Walnut, 3 November")


def now() -> datetime:
    """The evening of all these tests."""
    return NOW


def outgoing(address: str, **changes: Any) -> Outgoing:
    """A message to Anna; `changes` are fields of Outgoing or of its Message."""
    message = {key: value for key, value in changes.items() if hasattr(MESSAGE, key)}
    others = {key: value for key, value in changes.items() if key not in message}
    usual = Outgoing(
        operation="send",
        message=replace(MESSAGE, **message),
        address=address,
        person_name=PERSON,
        message_id="0123456789abcdef" * 2,
        thread_id="fedcba9876543210" * 2,
    )
    return replace(usual, **others)


def settings(port: int, **changes: Any) -> MailSettings:
    """A mail server on loopback."""
    usual = MailSettings(
        host=HERE, port=port, security="starttls", user=USER, password=PASSWORD, sender=SENDER
    )
    return replace(usual, **changes)


def closed_port() -> int:
    """A port on which nobody listens."""
    with socket.socket() as listener:
        listener.bind((HERE, 0))
        port: int = listener.getsockname()[1]
    return port


@dataclass(frozen=True, kw_only=True)
class Rig:
    """A channel, its working server, and the same channel turned to another port.

    `got` gives (text, id) of all that arrived; the id is empty where the way out has none.
    `unanswered` is what it means that a server says nothing; `as_heard` puts what it does behind
    TLS where the channel never speaks without.
    """

    channel: Channel
    address: str
    got: Callable[[], list[tuple[str, str]]]
    towards: Callable[[int], tuple[Channel, str]]
    unanswered: OutcomeKind = "unknown"
    as_heard: Callable[[Behaviour], Behaviour] = lambda behaviour: behaviour
    secrets: tuple[str, ...] = field(default=(PERSON, "Weidner", TOPIC, TOKEN, PASSWORD, HERE))


@contextmanager
def mail_rig(authority: Authority) -> Iterator[Rig]:
    """Mail over STARTTLS, with a login."""
    address = "anna.weidner@example.net"

    def towards(port: int) -> tuple[Channel, str]:
        return MailChannel(settings(port), now, limits=QUICK, tls=authority.client()), address

    with SmtpSink(authority) as sink:

        def got() -> list[tuple[str, str]]:
            return [
                (str(mail.parsed.get_content()), mail.message_id) for mail in sink.accepted.all()
            ]

        yield Rig(
            channel=MailChannel(settings(sink.port), now, limits=PATIENT, tls=authority.client()),
            address=address,
            got=got,
            towards=towards,
            unanswered="transient",
            secrets=(PERSON, "Weidner", "example.net", "example.org", PASSWORD, USER, HERE),
        )


@contextmanager
def push_rig(authority: Authority) -> Iterator[Rig]:
    """Push with a token, over TLS."""

    def channel(server: str, limits: Limits) -> Channel:
        return PushChannel({server: TOKEN}, "answers", now, limits=limits, tls=authority.client())

    def towards(port: int) -> tuple[Channel, str]:
        server = f"http://{HERE}:{port}"
        return channel(server, QUICK), f"{server}/{TOPIC}"

    with PushSink(tokens={TOKEN: "rw"}, context=authority.server()) as sink:

        def got() -> list[tuple[str, str]]:
            return [
                (f"{one.said.get('title', '')}\n{one.text}", str(one.said["sequence_id"]))
                for one in sink.shown(TOPIC)
            ]

        yield Rig(
            channel=channel(sink.url, PATIENT),
            address=f"{sink.url}/{TOPIC}",
            got=got,
            towards=towards,
        )


PHONE_KEY = PhoneKey(
    # RFC 8291, Appendix A: the application server's pair.
    private=decoded("yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw") or b"",
    public="BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8",
)
PHONE_ID = "0011223344556677"


def phone_channel(authority: Authority, subscription: Subscription, **changes: Any) -> PhoneChannel:
    """A channel that knows one phone; it reaches loopback, where the product's own never gets."""
    usual: dict[str, Any] = {
        "subscription_of": {PHONE_ID: subscription}.get,
        "private": PHONE_KEY.private,
        "public": PHONE_KEY.public,
        "subject": "https://hens.example.org",
        "receipt_of": lambda one: f"{one.address} {one.message_id} {'s' * 43}",
        "now": now,
        "more_hosts": [host_of(subscription.endpoint)],
        "limits": PATIENT,
        "tls": authority.client(),
        "reaches": lambda address: address == HERE,
    }
    return PhoneChannel(**(usual | changes))


@contextmanager
def phone_rig(authority: Authority) -> Iterator[Rig]:
    """A phone behind its browser's push service, which never speaks without TLS."""
    context = authority.server()

    def secured(behaviour: Behaviour) -> Behaviour:
        def behave(peer: Peer) -> None:
            peer.secure(context)
            behaviour(peer)

        return behave

    with PushService(authority, now=now) as service:
        phone = service.phone()
        subscription = phone.subscription(PHONE_KEY.public)

        def towards(port: int) -> tuple[Channel, str]:
            there = replace(subscription, endpoint=f"https://{HERE}:{port}/push/1")
            return phone_channel(authority, there, limits=QUICK), PHONE_ID

        def got() -> list[tuple[str, str]]:
            shown = [one.notification for one in phone.got.all()]
            return [(f"{one['title']}\n{one['body']}", str(one["tag"])) for one in shown]

        yield Rig(
            channel=phone_channel(authority, subscription),
            address=PHONE_ID,
            got=got,
            towards=towards,
            as_heard=secured,
            secrets=(PERSON, "Weidner", HERE, subscription.auth, PHONE_ID),
        )


@contextmanager
def service_rig(authority: Authority) -> Iterator[Rig]:
    """Another service: apprise's own ntfy plug-in stands for all."""
    del authority

    def channel(port: int, limits: Limits) -> Channel:
        # apprise's own time limits are longer than these tests are patient.
        return ServiceChannel({"phone": f"ntfy://{TOKEN}@{HERE}:{port}/{TOPIC}"}, limits=limits)

    with PushSink() as sink:

        def got() -> list[tuple[str, str]]:
            return [(f"{one.said.get('title', '')}\n{one.text}", "") for one in sink.shown(TOPIC)]

        yield Rig(
            channel=channel(sink.port, PATIENT),
            address="phone",
            got=got,
            towards=lambda port: (channel(port, QUICK), "phone"),
        )


@contextmanager
def fake_rig(authority: Authority) -> Iterator[Rig]:
    """The fake that other tests use has to keep the same promises, as far as it has a wire."""
    del authority
    fake = FakeChannel()
    yield Rig(
        channel=fake,
        address="anywhere",
        got=lambda: [
            (f"{one.message.title}\n{one.message.body}", one.message_id) for one in fake.got.all()
        ],
        towards=lambda _: (fake, "anywhere"),
    )


WIRED = {"mail": mail_rig, "phone": phone_rig, "push": push_rig, "service": service_rig}
ALL = {"fake": fake_rig, **WIRED}
