"""A mail server on loopback that answers as a test says and keeps what it was given.

It runs in a thread of the test; the sender may be another process. aiosmtpd's own controller is not
used: it needs its port beforehand, and leaves the sockets of half-done dialogues to the collector.
"""

import asyncio
import ssl
import threading
from collections import defaultdict, deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default as modern
from types import TracebackType
from typing import Any, Literal, Self

from aiosmtpd.smtp import (
    MISSING,
    SMTP,
    AuthResult,
    Envelope,
    LoginPassword,
    Session,
)

from tests.sinks.authority import HERE, Authority
from tests.sinks.waiting import PATIENCE_S, Collected

Stage = Literal["EHLO", "AUTH", "MAIL", "RCPT", "DATA", "QUIT"]
CUT = "cut"  # instead of a reply: the connection is aborted
NEVER = "never"  # instead of a reply: silence
USER = "coop"
PASSWORD = "straw & sunflower"  # noqa: S105 - of a server that lives for one test


@dataclass(frozen=True, slots=True, kw_only=True)
class Mail:
    """One message as it came over the wire, whatever was replied to it."""

    sender: str
    recipient: str
    wire: bytes
    user: str
    secured: bool

    @property
    def parsed(self) -> EmailMessage:
        """The message as a mail program reads it."""
        return message_from_bytes(self.wire, _class=EmailMessage, policy=modern)

    @property
    def message_id(self) -> str:
        """The Message-ID as it stands on the wire."""
        found = [
            line for line in self.wire.split(b"\r\n") if line.lower().startswith(b"message-id:")
        ]
        assert len(found) == 1, "not exactly one Message-ID"
        return found[0].partition(b":")[2].strip().decode()


class SmtpSink:
    """Offers STARTTLS or implicit TLS ("starttls", "tls"; "plain" offers none) and AUTH.

    `mails` are all whose DATA came through, `accepted` those it said 250 to. `on_data(mail)` runs
    before the reply to DATA, `on_accepted(mail)` after a 250 has been written; both in the server's
    thread. `user` and `password` are what AUTH accepts; an empty user means no AUTH is offered.
    """

    def __init__(  # noqa: PLR0913 - each is one way a server can be
        self,
        authority: Authority,
        *,
        security: Literal["starttls", "tls", "plain"] = "starttls",
        context: ssl.SSLContext | None = None,
        user: str = USER,
        password: str = PASSWORD,
        on_data: Callable[[Mail], None] = lambda _: None,
        on_accepted: Callable[[Mail], None] = lambda _: None,
    ) -> None:
        self.mails: Collected[Mail] = Collected()
        self.accepted: Collected[Mail] = Collected(self.mails.changed)
        self.commands: Collected[str] = Collected()
        self.security = security
        self.context = context or authority.server()
        self.user = user
        self.password = password
        self.on_data = on_data
        self.on_accepted = on_accepted
        self.port = 0
        self._script: dict[tuple[str, str], deque[str]] = defaultdict(deque)
        self._always: dict[tuple[str, str], str] = {}
        self._dialogues: set[_Dialogue] = set()
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._serve, name="smtp sink", daemon=True)
        self._ready = threading.Event()

    def __enter__(self) -> Self:
        self._thread.start()
        assert self._ready.wait(PATIENCE_S), "the mail sink did not start"
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(PATIENCE_S)

    def script(self, stage: Stage, *replies: str, address: str = "", always: bool = False) -> None:
        """The next replies ("450 later", CUT, NEVER) at that stage, of one address if given.

        `always`: the only reply given stays for good.
        """
        if always:
            (self._always[stage, address],) = replies
        else:
            self._script[stage, address].extend(replies)

    def heal(self) -> None:
        """Forgets what is scripted."""
        self._script.clear()
        self._always.clear()

    def reply(self, stage: Stage, address: str = "") -> str | None:
        """What is scripted to come next, None when nothing is."""
        for key in ((stage, address), (stage, "")):
            if self._script[key]:
                return self._script[key].popleft()
            if key in self._always:
                return self._always[key]
        return None

    def _serve(self) -> None:
        asyncio.set_event_loop(self._loop)
        secured = self.context if self.security == "tls" else None
        server = self._loop.run_until_complete(
            self._loop.create_server(self._dialogue, HERE, 0, ssl=secured)
        )
        self.port = server.sockets[0].getsockname()[1]
        self._ready.set()
        self._loop.run_forever()
        server.close()
        self._loop.run_until_complete(self._end())
        self._loop.close()

    def _dialogue(self) -> "_Dialogue":
        dialogue = _Dialogue(self)
        self._dialogues.add(dialogue)
        return dialogue

    async def _end(self) -> None:
        for dialogue in self._dialogues:
            dialogue.abort()
        others = asyncio.all_tasks() - {asyncio.current_task()}
        for task in others:
            task.cancel()
        await asyncio.gather(*others, return_exceptions=True)
        await asyncio.sleep(0)  # lets aborted transports close their sockets


class _Dialogue(SMTP):
    """One connection."""

    def __init__(self, sink: SmtpSink) -> None:
        self.sink = sink
        self._taken: list[Mail] = []
        super().__init__(
            self,
            hostname="sink.example.net",
            tls_context=sink.context if sink.security == "starttls" else None,
            require_starttls=sink.security == "starttls",
            # With implicit TLS aiosmtpd does not know that it is secured.
            auth_require_tls=sink.security != "tls",
            auth_exclude_mechanism=None if sink.user else ["LOGIN", "PLAIN"],
            authenticator=self._who,
        )

    def abort(self) -> None:
        """Cuts the connection, whatever has been said."""
        if isinstance(self.transport, asyncio.WriteTransport):
            # Python 3.11.2, as Debian 12 has it, cannot abort a secured one that has ended.
            with suppress(AttributeError):
                self.transport.abort()

    def _who(
        self, server: SMTP, session: Session, envelope: Envelope, mechanism: str, given: Any
    ) -> AuthResult:
        del server, session, envelope, mechanism
        right = LoginPassword(self.sink.user.encode(), self.sink.password.encode())
        return AuthResult(success=given == right, handled=False, auth_data=given)

    async def _scripted(self, stage: Stage, address: str = "") -> Any:
        self.sink.commands.add(f"{stage} {address}".strip())
        reply = self.sink.reply(stage, address)
        if reply == CUT:
            self.abort()
            raise asyncio.CancelledError
        if reply == NEVER:
            await asyncio.get_running_loop().create_future()
        return MISSING if reply is None else reply

    async def handle_EHLO(  # noqa: N802 - aiosmtpd's name, as all below
        self, server: SMTP, session: Session, envelope: Envelope, hostname: str, lines: list[str]
    ) -> list[str]:
        del server, envelope
        session.host_name = hostname
        reply = await self._scripted("EHLO")
        return lines if reply is MISSING else [reply]

    async def handle_AUTH(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, words: list[str]
    ) -> Any:
        del server, session, envelope, words
        return await self._scripted("AUTH")

    async def handle_MAIL(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> Any:
        del server
        if self.sink.user and not session.authenticated:
            return "530 5.7.0 Authentication required"
        reply = await self._scripted("MAIL", address)
        if reply is MISSING:
            envelope.mail_from = address
            envelope.mail_options.extend(options)
            return "250 OK"
        return reply

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> Any:
        del server, session
        reply = await self._scripted("RCPT", address)
        if reply is MISSING:
            envelope.rcpt_tos.append(address)
            envelope.rcpt_options.extend(options)
            return "250 OK"
        return reply

    async def handle_DATA(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        del server
        (recipient,) = envelope.rcpt_tos  # one recipient a transaction
        wire = envelope.original_content
        assert wire is not None
        login = getattr(session.auth_data, "login", b"")
        mail = Mail(
            sender=envelope.mail_from or "",
            recipient=recipient or "",
            wire=wire,
            user=login.decode(),
            secured=self.sink.security == "tls" or session.ssl is not None,
        )
        self.sink.mails.add(mail)
        self.sink.on_data(mail)
        reply = await self._scripted("DATA", mail.recipient)
        reply = "250 OK" if reply is MISSING else reply
        if reply.startswith("2"):
            self._taken.append(mail)
        return str(reply)

    async def handle_QUIT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> Any:
        del server, session, envelope
        reply = await self._scripted("QUIT")
        return "221 Bye" if reply is MISSING else reply

    async def smtp_DATA(self, arg: str) -> None:  # noqa: N802
        """As aiosmtpd does it; then tells of an accepted mail, once the 250 is on the wire."""
        await super().smtp_DATA(arg)
        while self._taken:
            mail = self._taken.pop()
            self.sink.accepted.add(mail)
            self.sink.on_accepted(mail)
