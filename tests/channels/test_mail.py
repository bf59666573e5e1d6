"""Mail: each fault of tests/faults/FAULTS.md at the step where it happens."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from scheduler.alerts.delivery import Outcome, OutcomeKind
from scheduler.channels.mail import MailChannel
from tests.channels.rigs import NOW, PATIENT, QUICK, SENDER, SOON_S, now, outgoing, settings
from tests.sinks.authority import Authority
from tests.sinks.raw import (
    ABILITIES,
    GARBAGE,
    GREETING,
    HALF_TLS,
    Behaviour,
    Peer,
    RawSink,
    cut,
    dribble,
    mail_until_data,
    mail_until_dot,
    says,
    silence,
    starttls_slipped_in,
    starttls_stripped,
    starttls_then,
)
from tests.sinks.smtp import CUT, NEVER, USER, SmtpSink, Stage
from tests.sinks.waiting import at_most

ANNA = "anna@example.net"
BEN = "ben@example.net"
Mailer = Callable[..., MailChannel]


@pytest.fixture
def sink(authority: Authority) -> Iterator[SmtpSink]:
    """A mail server with STARTTLS and a login."""
    with SmtpSink(authority) as made:
        yield made


@pytest.fixture
def mailer(authority: Authority) -> Mailer:
    """A mail channel to a port; the rest are fields of its settings."""

    def make(port: int, **changes: Any) -> MailChannel:
        limits = changes.pop("limits", PATIENT)
        return MailChannel(settings(port, **changes), now, limits=limits, tls=authority.client())

    return make


def of_raw(mailer: Mailer, behaviour: Behaviour, security: str = "starttls") -> Outcome:
    """What a server that behaves like this comes to, within the deadline."""
    with RawSink(behaviour) as raw:
        channel = mailer(raw.port, limits=QUICK, security=security)
        with at_most(SOON_S):
            return channel.deliver(outgoing(ANNA))


@pytest.mark.parametrize("security", ["starttls", "tls"])
def test_a_mail_arrives_secured_and_logged_in(
    authority: Authority, mailer: Mailer, security: Any
) -> None:
    with SmtpSink(authority, security=security) as sink:
        sent = mailer(sink.port, security=security).deliver(outgoing(ANNA))
        assert sent == Outcome(kind="sent")
        [mail] = sink.accepted.wait()
    assert (mail.sender, mail.recipient, mail.user) == (SENDER, ANNA, USER)
    assert mail.secured
    assert sink.commands.all()[-1] == "QUIT"


def test_without_a_user_nobody_logs_in(authority: Authority, mailer: Mailer) -> None:
    with SmtpSink(authority, user="") as sink:
        assert mailer(sink.port, user="").deliver(outgoing(ANNA)).kind == "sent"
        assert "AUTH" not in sink.commands.all()


def test_a_password_beyond_ascii_is_accepted(authority: Authority, mailer: Mailer) -> None:
    with SmtpSink(authority, user="hühner", password="Körner🌽") as sink:  # noqa: S106 - a sink's
        channel = mailer(sink.port, user="hühner", password="Körner🌽")  # noqa: S106
        assert channel.deliver(outgoing(ANNA)).kind == "sent"


@pytest.mark.parametrize(
    ("stage", "reply", "kind"),
    [
        ("EHLO", "421 closing", "transient"),
        ("AUTH", "454 temporary", "transient"),
        ("AUTH", "535 5.7.8 bad credentials", "misconfigured"),  # N7
        ("MAIL", "451 later", "transient"),
        ("MAIL", "550 not you", "misconfigured"),
        ("RCPT", "450 4.2.0 greylisted", "transient"),  # N4
        ("RCPT", "550 5.1.1 no such user anna@example.net", "bad address"),  # N5
        ("RCPT", "530 5.7.0 authentication required", "misconfigured"),
        ("DATA", "451 later", "transient"),  # N6
        ("DATA", "554 refused", "permanent"),  # N6
        ("EHLO", CUT, "transient"),
        ("MAIL", CUT, "transient"),
        ("RCPT", CUT, "transient"),
        ("DATA", CUT, "unknown"),  # N9
        ("DATA", "999 what", "unknown"),
        ("QUIT", CUT, "sent"),
        ("QUIT", "500 no", "sent"),
    ],
)
def test_n4_n5_n6_n7_each_reply_means_what_the_table_says(
    sink: SmtpSink, mailer: Mailer, stage: Stage, reply: str, kind: OutcomeKind
) -> None:
    sink.script(stage, reply)
    outcome = mailer(sink.port).deliver(outgoing(ANNA))
    assert outcome.kind == kind
    assert "anna" not in outcome.reason
    assert len(sink.accepted.all()) == (kind == "sent")


@pytest.mark.parametrize(
    ("stage", "kind"),
    [("EHLO", "transient"), ("AUTH", "transient"), ("RCPT", "transient"), ("DATA", "unknown")],
)
def test_n2_n9_no_reply_means_what_the_table_says(
    sink: SmtpSink, mailer: Mailer, stage: Stage, kind: OutcomeKind
) -> None:
    sink.script(stage, NEVER)
    channel = mailer(sink.port, limits=QUICK)
    with at_most(SOON_S):
        assert channel.deliver(outgoing(ANNA)).kind == kind


def test_an_unanswered_quit_does_not_cost_the_mail(sink: SmtpSink, mailer: Mailer) -> None:
    sink.script("QUIT", NEVER)
    with at_most(4.0):  # far less than a reply may take
        assert mailer(sink.port).deliver(outgoing(ANNA)).kind == "sent"


def test_n4_a_greylisted_mail_comes_with_the_same_id(sink: SmtpSink, mailer: Mailer) -> None:
    sink.script("DATA", "451 later")
    channel = mailer(sink.port)
    kinds = [channel.deliver(outgoing(ANNA)).kind for _ in range(2)]
    assert kinds == ["transient", "sent"]
    first, second = sink.mails.all()
    assert first.message_id == second.message_id == f"<{outgoing('').message_id}@example.org>"


def test_n5_n8_one_refused_person_costs_the_next_nothing(sink: SmtpSink, mailer: Mailer) -> None:
    sink.script("RCPT", "550 5.1.1 unknown", address=ANNA, always=True)
    channel = mailer(sink.port)
    kinds = [channel.deliver(outgoing(address)).kind for address in (ANNA, BEN, ANNA)]
    assert kinds == ["bad address", "sent", "bad address"]
    assert [mail.recipient for mail in sink.accepted.all()] == [BEN]


@pytest.mark.parametrize("after", [cut, silence, dribble(b"250 OK", pause_s=0.2), says(GARBAGE)])
def test_n9_accepted_then_cut_or_late_is_unknown(
    authority: Authority, mailer: Mailer, after: Behaviour
) -> None:
    outcome = of_raw(mailer, mail_until_dot(authority.server(), after), security="tls")
    assert outcome.kind == "unknown"


@pytest.mark.parametrize(
    ("reply", "kind"),
    [
        (b"", "transient"),
        (b"451 later\r\n", "transient"),
        (b"554 no\r\n", "permanent"),
    ],
)
def test_n6_nothing_is_unknown_before_the_text(
    authority: Authority, mailer: Mailer, reply: bytes, kind: OutcomeKind
) -> None:
    def behave(peer: Peer) -> None:
        mail_until_data(authority.server(), reply)(peer)
        if reply:
            peer.hold()

    assert of_raw(mailer, behave, security="tls").kind == kind


@pytest.mark.parametrize(
    ("behaviour", "kind"),
    [
        (starttls_then(GARBAGE), "misconfigured"),
        (says(GREETING + ABILITIES + b"454 not now\r\n", then_cut=False), "transient"),
        (says(GREETING + ABILITIES + b"501 no\r\n", then_cut=False), "misconfigured"),
        (starttls_then(HALF_TLS), "transient"),
        (starttls_then(HALF_TLS, then_cut=True), "transient"),
        (says(b"421 too busy\r\n"), "transient"),
        (says(b"554 go away\r\n"), "misconfigured"),
        (says(GARBAGE), "misconfigured"),
        (says(b""), "transient"),
    ],
)
def test_n10_no_plain_fallback(mailer: Mailer, behaviour: Behaviour, kind: OutcomeKind) -> None:
    assert of_raw(mailer, behaviour).kind == kind


def test_n10_nothing_is_said_in_the_clear_when_starttls_is_stripped(mailer: Mailer) -> None:
    heard: list[bytes] = []
    assert of_raw(mailer, starttls_stripped(heard)).kind == "misconfigured"
    assert {line.split()[0] for line in heard} <= {b"ehlo", b"quit", b"QUIT"}


def test_n10_a_server_without_starttls_gets_no_password(
    authority: Authority, mailer: Mailer
) -> None:
    with SmtpSink(authority, security="plain") as sink:
        assert mailer(sink.port).deliver(outgoing(ANNA)).kind == "misconfigured"
        assert mailer(sink.port, security="tls").deliver(outgoing(ANNA)).kind == "misconfigured"
        assert not sink.mails.all()
        assert "AUTH" not in sink.commands.all()


def test_n10_what_is_slipped_in_before_tls_is_not_believed(
    authority: Authority, mailer: Mailer
) -> None:
    with RawSink(starttls_slipped_in(authority.server())) as raw:
        assert mailer(raw.port).deliver(outgoing(ANNA)).kind == "sent"


def test_a_server_without_login_is_a_fault_when_one_is_set(
    authority: Authority, mailer: Mailer
) -> None:
    with SmtpSink(authority, user="") as sink:
        outcome = mailer(sink.port).deliver(outgoing(ANNA))
    assert outcome.kind == "misconfigured"


LATER, EARLIER = NOW.replace(year=2090), NOW.replace(year=2001)


@pytest.mark.parametrize(
    ("certificate", "said"),
    [
        ({"not_before": LATER, "not_after": LATER + timedelta(days=9)}, "clock"),
        ({"not_before": EARLIER, "not_after": EARLIER + timedelta(days=9)}, "expired"),
        ({"name": "mail.example.org"}, "another name"),
        ({"name": "10.0.0.1"}, "another name"),
    ],
)
@pytest.mark.parametrize("security", ["starttls", "tls"])
def test_n11_a_wrong_certificate_is_a_fault(
    authority: Authority, mailer: Mailer, certificate: Any, said: str, security: Any
) -> None:
    shown = authority.server(**certificate)
    with SmtpSink(authority, context=shown, security=security) as sink:
        outcome = mailer(sink.port, security=security).deliver(outgoing(ANNA))
        assert not sink.mails.all()
    assert outcome.kind == "misconfigured"
    assert said in outcome.reason
    assert ("clock" in outcome.reason) == (said == "clock")


def test_n11_an_unknown_authority_is_a_fault(mailer: Mailer) -> None:
    with SmtpSink(Authority()) as sink:
        outcome = mailer(sink.port).deliver(outgoing(ANNA))
    assert outcome.kind == "misconfigured"
    assert "not signed by anybody this machine trusts" in outcome.reason


PROGRAM = """
import sys
from scheduler.channels.mail import MailChannel
from tests.channels.rigs import now, outgoing, settings
print(MailChannel(settings(int(sys.argv[1])), now).deliver(outgoing("anna@example.net")).kind)
"""


def test_p2_killed_before_the_reply_then_sent_with_the_same_id(
    authority: Authority, sink: SmtpSink, tmp_path: Path
) -> None:
    running: list[subprocess.Popen[str]] = []

    def send() -> tuple[int, str]:
        trusting = os.environ | {"SSL_CERT_FILE": str(authority.file(tmp_path))}
        program = [sys.executable, "-c", PROGRAM, str(sink.port)]
        with subprocess.Popen(program, env=trusting, stdout=subprocess.PIPE, text=True) as process:
            running.append(process)
            said, _ = process.communicate(timeout=30)
            return process.returncode, said

    sink.on_data = lambda _: running[-1].kill()
    assert send() == (-signal.SIGKILL, "")
    sink.on_data = lambda _: None
    assert send() == (0, "sent\n")
    sink.accepted.wait(1)
    assert len({mail.message_id for mail in sink.mails.wait(2)}) == 1


@pytest.mark.parametrize("operation", ["hold", "cancel"])
def test_mail_cannot_hold(sink: SmtpSink, mailer: Mailer, operation: str) -> None:
    outcome = mailer(sink.port).deliver(outgoing(ANNA, operation=operation))
    assert outcome == Outcome(kind="permanent", reason="mail cannot hold messages")
    assert not sink.commands.all()


@pytest.mark.parametrize("wrong", ["", "dusk:1", "ABC", "0" * 31, "0" * 32 + "\n"])
def test_l17_an_id_that_would_be_cut_off_is_not_sent(
    sink: SmtpSink, mailer: Mailer, wrong: str
) -> None:
    assert mailer(sink.port).deliver(outgoing(ANNA, message_id=wrong)).kind == "permanent"
    assert mailer(sink.port).deliver(outgoing(ANNA, thread_id=wrong)).kind == "permanent"
    assert not sink.commands.all()


@pytest.mark.parametrize("first", [b"", GREETING])
def test_s14_endless_lines_before_tls_are_not_read_to_an_end(mailer: Mailer, first: bytes) -> None:
    def behave(peer: Peer) -> None:
        if first:
            peer.say(first)
            peer.line()
        while True:
            peer.say(b"250-and more\r\n" * 50)

    with RawSink(behave) as sink, at_most(SOON_S):
        found = mailer(sink.port).deliver(outgoing(ANNA))
    assert found.kind == "transient"
