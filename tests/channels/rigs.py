"""Each way out against a server on loopback, so that one suite can be run on all of them."""

import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any

from scheduler.alerts.delivery import Message, OutcomeKind, Outgoing
from scheduler.channels.deadline import Limits
from scheduler.channels.mail import MailChannel, MailSettings
from scheduler.channels.port import Channel
from scheduler.channels.push import PushChannel
from scheduler.channels.service import ServiceChannel
from tests.sinks.authority import HERE, Authority
from tests.sinks.fake_channel import FakeChannel
from tests.sinks.push import PushSink
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
    `unanswered` is what it means that a server says nothing.
    """

    channel: Channel
    address: str
    got: Callable[[], list[tuple[str, str]]]
    towards: Callable[[int], tuple[Channel, str]]
    unanswered: OutcomeKind = "unknown"
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


WIRED = {"mail": mail_rig, "push": push_rig, "service": service_rig}
ALL = {"fake": fake_rig, **WIRED}
