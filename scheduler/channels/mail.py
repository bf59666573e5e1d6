"""Mail: one recipient a transaction, always secured, every outcome told apart."""

import re
import smtplib
import socket
import ssl
from base64 import b64encode
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import KW_ONLY, dataclass, field
from datetime import datetime
from io import BufferedReader
from typing import ClassVar, Literal

from scheduler.alerts.delivery import ChannelName, Outcome, OutcomeKind, Outgoing
from scheduler.channels.connection_faults import unconnected
from scheduler.channels.deadline import USUAL, Deadline, Limits
from scheduler.channels.letter import composed, usable
from scheduler.wording.channels.why_not_sent import MailStages, WhyNoMail
from scheduler.wording.told_later import for_later
from scheduler.wording.words import Words

# What a 5xx means there; a 4xx is transient everywhere (RFC 5321 §4.2.1).
_REFUSED: dict[Words, OutcomeKind] = {
    MailStages.recipient: "bad address",
    MailStages.message: "permanent",
    MailStages.end: "permanent",
}  # elsewhere it is our side that is set up wrongly
_NEEDS_LOGIN = 530
_GO_ON = 334
_HEX_ID = re.compile(r"[0-9a-f]{32}")
_QUIT_S = 2.0
_MOST_LINES = 100  # a server names some ten abilities


@dataclass(frozen=True, slots=True, kw_only=True)
class MailSettings:
    """The server that takes our mail; no login when `user` is empty; `sender` is a bare address."""

    host: str
    port: int
    security: Literal["starttls", "tls"]
    user: str
    password: str = field(repr=False)
    sender: str


@dataclass(slots=True)
class MailChannel:
    """Hands one mail to one server for one person, over TLS or not at all.

    A second attempt carries the same Message-ID; `now` gives the Date. `tls` by default trusts
    what the machine trusts.
    """

    settings: MailSettings
    now: Callable[[], datetime]
    _: KW_ONLY
    limits: Limits = USUAL
    tls: ssl.SSLContext = field(default_factory=ssl.create_default_context)
    name: ClassVar[ChannelName] = "mail"

    def destination(self, address: str) -> str:
        """Always the one server that takes our mail."""
        del address
        return self.settings.host

    def deliver(self, outgoing: Outgoing) -> Outcome:
        """What came of handing the mail over; mail can neither hold a message nor take it back."""
        if outgoing.operation != "send":
            return Outcome("permanent", for_later(WhyNoMail.no_hold))
        if not usable(outgoing.address):
            return Outcome("bad address", for_later(WhyNoMail.bad_address))
        if not usable(self.settings.sender):
            return Outcome("misconfigured", for_later(WhyNoMail.bad_sender))
        if not all(map(_HEX_ID.fullmatch, (outgoing.message_id, outgoing.thread_id))):
            return Outcome("permanent", for_later(WhyNoMail.no_id))
        wire = composed(outgoing, self.settings.sender, self.now())
        with Deadline(self.limits) as deadline:
            dialogue = _Dialogue(self.settings, deadline, self.tls)
            try:
                dialogue.hand_over(outgoing.address, wire)
            # Every SMTPException is an OSError; the others are about the server's name and port.
            except (OSError, ValueError, OverflowError) as error:
                return dialogue.meaning(error)
            finally:
                dialogue.quit()
        return Outcome("sent")


class _Connection(smtplib.SMTP):
    """smtplib over a connection that the deadline watches."""

    def __init__(self, settings: MailSettings, deadline: Deadline, tls: ssl.SSLContext) -> None:
        self._deadline = deadline
        self._tls = tls if settings.security == "tls" else None
        # A literal, because the default asks the name server who we are, and may wait for ever.
        super().__init__(settings.host, settings.port, local_hostname="[127.0.0.1]")

    def _get_socket(self, host: str, port: int, timeout: float) -> socket.socket:
        del timeout
        return self._deadline.connect(host, port, self._tls)

    def getreply(self) -> tuple[int, bytes]:
        """A reply of at most a hundred lines; whoever says more has hung up for us.

        smtplib keeps all of them, and before TLS anybody on the way can send them.
        """
        if self.file is None and self.sock is not None:
            self.file = _Lines(self.sock.makefile("rb"))
        if isinstance(self.file, _Lines):
            self.file.left = _MOST_LINES
        return super().getreply()


class _Lines:
    """The lines of a reply, until there have been too many."""

    def __init__(self, file: BufferedReader) -> None:
        self._file = file
        self.left = _MOST_LINES

    def readline(self, size: int) -> bytes:
        self.left -= 1
        return self._file.readline(size) if self.left >= 0 else b""

    def close(self) -> None:
        self._file.close()


@dataclass(slots=True)
class _Dialogue:
    """One transaction; `stage` is the step whose answer is awaited."""

    _settings: MailSettings
    _deadline: Deadline
    _tls: ssl.SSLContext
    stage: Words = MailStages.greeting
    _smtp: _Connection | None = None

    def hand_over(self, address: str, wire: bytes) -> None:
        """Returns when the server has the mail; raises as smtplib and socket do otherwise."""
        smtp = self._smtp = _Connection(self._settings, self._deadline, self._tls)
        self._step(MailStages.hello, smtp.ehlo)
        if self._settings.security == "starttls":
            self._step(MailStages.tls, lambda: smtp.starttls(context=self._tls))
            self._step(MailStages.hello, smtp.ehlo)
        if self._settings.user:
            self._step(MailStages.login, lambda: self._login(smtp))
        self._step(MailStages.sender, lambda: smtp.mail(self._settings.sender))
        self._step(MailStages.recipient, lambda: smtp.rcpt(address))
        self._step(MailStages.message, lambda: smtp.docmd("DATA"), wanted=3)
        smtp.send(re.sub(rb"(?m)^\.", b"..", wire) + b".\r\n")
        self._step(MailStages.end, smtp.getreply)

    def _step(self, stage: Words, say: Callable[[], tuple[int, bytes]], wanted: int = 2) -> None:
        self.stage = stage
        reply = say()
        if self._deadline.passed:  # perhaps half a reply
            raise smtplib.SMTPServerDisconnected
        if reply[0] // 100 != wanted:
            raise smtplib.SMTPResponseException(*reply)

    def _login(self, smtp: _Connection) -> tuple[int, bytes]:
        # Not smtplib's login: it fails on a password beyond ASCII. TLS keeps this from being read.
        user, password = self._settings.user.encode(), self._settings.password.encode()
        offered = smtp.esmtp_features.get("auth", "").upper().split()
        if "PLAIN" in offered:
            return smtp.docmd("AUTH", "PLAIN " + _base64(b"\0" + user + b"\0" + password))
        if "LOGIN" not in offered:
            raise smtplib.SMTPNotSupportedError
        reply = smtp.docmd("AUTH", "LOGIN")
        for answer in (user, password):
            if reply[0] == _GO_ON:
                reply = smtp.docmd(_base64(answer))
        return reply

    def meaning(self, error: Exception) -> Outcome:
        """The outcome of what `hand_over` raised."""
        at_end, stage = self.stage is MailStages.end, for_later(self.stage)
        cut = self._deadline.passed or isinstance(error, smtplib.SMTPServerDisconnected)
        match error:
            case _ if cut and not at_end:
                return Outcome("transient", for_later(WhyNoMail.no_answer, stage=stage))
            case smtplib.SMTPResponseException(smtp_code=int(code)):
                return self._refusal(code)
            case _ if at_end:
                return Outcome("unknown", for_later(WhyNoMail.perhaps))
            case smtplib.SMTPNotSupportedError():
                is_tls = self.stage is MailStages.tls
                lacking = WhyNoMail.no_tls if is_tls else WhyNoMail.no_login
                return Outcome("misconfigured", for_later(lacking))
            case _:
                return unconnected(error)

    def _refusal(self, code: int) -> Outcome:
        stage = for_later(self.stage)
        reason = for_later(WhyNoMail.refused, stage=stage, code=code)
        match code // 100:
            case 4:
                return Outcome("transient", reason)
            case 5 if code == _NEEDS_LOGIN:
                return Outcome("misconfigured", reason)
            case 5:
                return Outcome(_REFUSED.get(self.stage, "misconfigured"), reason)
            case _ if self.stage is MailStages.end:
                return Outcome("unknown", for_later(WhyNoMail.nonsense))
            case _:
                return Outcome("misconfigured", for_later(WhyNoMail.no_server, stage=stage))

    def quit(self) -> None:
        """Says goodbye where that is still possible; what it comes to changes nothing."""
        if self._smtp is None:
            return
        with closing(self._smtp) as smtp, suppress(OSError):
            if smtp.sock is not None:
                smtp.sock.settimeout(_QUIT_S)
            smtp.quit()


def _base64(octets: bytes) -> str:
    return b64encode(octets).decode()
