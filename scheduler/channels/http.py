"""One HTTP request over one connection of its own, under a deadline; redirects are not followed."""

import http.client
import re
import socket
import ssl
from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.message import Message
from email.utils import parsedate_to_datetime
from urllib.parse import urlsplit

from scheduler.alerts.delivery import Outcome
from scheduler.channels.connection_faults import unconnected
from scheduler.channels.deadline import Deadline
from scheduler.wording.channels.why_not_sent import WhyNoAnswer
from scheduler.wording.told_later import for_later

ANSWER_OCTETS = 64 * 1024
LONGEST_WAIT_S = 600.0
_OK = range(200, 300)


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What is asked: `url` is absolute, http or https."""

    method: str
    url: str
    headers: Mapping[str, str] = field(default_factory=dict, repr=False)
    body: bytes | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """What came back: of the body no more than whoever asked wants to read."""

    status: int
    headers: Message
    body: bytes

    @property
    def ok(self) -> bool:
        """Whether the server says it did what was asked."""
        return self.status in _OK

    def retry_after_s(self, now: datetime, most_s: float = LONGEST_WAIT_S) -> float | None:
        """What Retry-After asks for (seconds or an HTTP date), `most_s` at most.

        None when there is no such header, or none that can be read.
        """
        asked = self.headers.get("Retry-After", "").strip()
        if re.fullmatch(r"[0-9]{1,9}", asked):
            return min(float(asked), most_s)
        until = http_date(asked)
        return None if until is None else min(max((until - now).total_seconds(), 0.0), most_s)


def http_date(text: str) -> datetime | None:
    """The instant that a header names, without a zone in UTC; None where it names none."""
    try:
        at = parsedate_to_datetime(text)
    except (ValueError, OverflowError):
        return None
    return at if at.tzinfo else at.replace(tzinfo=UTC)


class Exchange(ExitStack[None]):
    """A request and the beginning of its answer; closes both when left."""

    def __init__(self, deadline: Deadline, tls: ssl.SSLContext) -> None:
        super().__init__()
        self._deadline = deadline
        self._tls = tls
        self._socket: socket.socket | None = None
        self._sent = False

    def ask(self, request: Request) -> http.client.HTTPResponse:
        """The answer's status and headers; raises OSError, ValueError, HTTPException."""
        url = urlsplit(request.url)
        secure, host = url.scheme == "https", url.hostname or ""
        connection: http.client.HTTPConnection
        if secure:
            connection = http.client.HTTPSConnection(host, url.port, context=self._tls)
        else:
            connection = http.client.HTTPConnection(host, url.port)
        self.callback(connection.close)
        tls = self._tls if secure else None
        self._socket = self.enter_context(self._deadline.connect(host, connection.port, tls))
        connection.sock = self._socket
        target = url.path + (f"?{url.query}" if url.query else "")
        headers = {"User-Agent": "duskfold", "Connection": "close", **request.headers}
        connection.request(request.method, target, request.body, headers)
        self._sent = True
        response = connection.getresponse()
        self.callback(response.close)
        return response

    def wait_for_ever(self) -> None:
        """From now on a reply may take any time; whoever calls this watches the silence itself."""
        self._deadline.lift()
        if self._socket is not None:
            self._socket.settimeout(None)

    def fault(self, error: Exception) -> Outcome:
        """What it means that `ask`, or reading on, raised this."""
        if not self._sent:
            return unconnected(error)
        cut = isinstance(error, OSError | http.client.IncompleteRead) or self._deadline.passed
        if cut or not isinstance(error, http.client.HTTPException):
            return Outcome("unknown", for_later(WhyNoAnswer.none))
        return Outcome("misconfigured", for_later(WhyNoAnswer.not_web))


def exchange(request: Request, deadline: Deadline, tls: ssl.SSLContext) -> Reply | Outcome:
    """The answer, at most 64 KiB of it, or what it means that there is none.

    That is transient, unknown or misconfigured.
    """
    with Exchange(deadline, tls) as dialogue:
        try:
            response = dialogue.ask(request)
        except (OSError, ValueError, http.client.HTTPException) as error:
            return dialogue.fault(error)
        body, cut = b"", True
        try:
            body = response.read(ANSWER_OCTETS)
            cut = len(body) < ANSWER_OCTETS and (bool(response.length) or deadline.passed)
        except (OSError, ValueError, http.client.HTTPException):
            pass  # a refusal is understood without its text
        answer = Reply(status=response.status, headers=response.headers, body=body)
        if answer.ok and cut:
            return Outcome("unknown", for_later(WhyNoAnswer.cut_off))
        return answer
