"""What the weather services on loopback share: TLS, who asks, conditions, gzip, scripted faults.

HTTP as in RFC 9110 (conditional requests, content codings, redirects) and RFC 9111 (Expires).
"""

import gzip
import json
import ssl
import threading
from abc import ABC, abstractmethod
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from email.utils import format_datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from types import TracebackType
from typing import Any, Self

from tests.sinks.authority import HERE
from tests.sinks.waiting import PATIENCE_S, Collected


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What the server says; `cut` says fewer octets than it announces."""

    status: int = 200
    headers: Mapping[str, str] = field(default_factory=dict)
    body: bytes = b""
    cut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One request as it came in."""

    path: str
    headers: Mapping[str, str]


class WeatherServer(ABC):
    """Answers by `answer`, or with what is scripted; speaks TLS only.

    `now` is the time on its clock, `made_at` that of its latest forecast.
    """

    def __init__(self, context: ssl.SSLContext, now: datetime) -> None:
        self.now = now
        self.made_at = now - timedelta(hours=1)
        self.asked: Collected[Asked] = Collected()
        self.script: deque[Said] = deque()
        self.always: Said | None = None
        self._server = _Server((HERE, 0), _Handler)
        self._server.weather = self
        self._server.socket = context.wrap_socket(
            self._server.socket, server_side=True, do_handshake_on_connect=False
        )
        self.url = f"https://{HERE}:{self._server.server_address[1]}"
        self._thread = threading.Thread(
            target=self._server.serve_forever, args=(0.02,), daemon=True, name="weather server"
        )

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._server.shutdown()
        self._server.server_close()
        self._thread.join(PATIENCE_S)

    @abstractmethod
    def answer(self, asked: Asked) -> Said:
        """What the service says by its published description."""

    def conditional(self, asked: Asked, body: object) -> Said:
        """304 to who has it, else the document with Last-Modified, packed for who can unpack."""
        modified = format_datetime(self.made_at, usegmt=True)
        headers = {"Last-Modified": modified, **self.caching()}
        if asked.headers.get("If-Modified-Since") == modified:
            return Said(status=304, headers=headers)
        return packed(asked, body, headers)

    def caching(self) -> Mapping[str, str]:
        """Until when what it says stands."""
        return {
            "Date": format_datetime(self.now, usegmt=True),
            "Expires": format_datetime(self.now + timedelta(minutes=31), usegmt=True),
        }


def packed(asked: Asked, body: object, headers: Mapping[str, str]) -> Said:
    """The document as JSON, by gzip where that is accepted."""
    text = json.dumps(body).encode()
    if "gzip" in asked.headers.get("Accept-Encoding", ""):
        return Said(headers={**headers, "Content-Encoding": "gzip"}, body=gzip.compress(text))
    return Said(headers=headers, body=text)


def decimals(number: str) -> int:
    """How many stand behind the point."""
    return len(number.partition(".")[2])


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    weather: WeatherServer

    def handle_error(self, request: object, client_address: object) -> None:
        """A client that hangs up is no news."""


class _Handler(BaseHTTPRequestHandler):
    server: _Server
    timeout = PATIENCE_S

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 - its name there
        """Says nothing."""

    def date_time_string(self, timestamp: float | None = None) -> str:
        """The server's own clock."""
        del timestamp
        return format_datetime(self.server.weather.now, usegmt=True)

    def do_GET(self) -> None:
        weather = self.server.weather
        asked = Asked(path=self.path, headers=dict(self.headers.items()))
        weather.asked.add(asked)
        said = weather.script.popleft() if weather.script else weather.always
        said = said or weather.answer(asked)
        self.send_response_only(said.status)
        for name, value in said.headers.items():
            self.send_header(name, value)
        if said.status != 304:
            self.send_header("Content-Length", str(len(said.body) + said.cut))
        self.end_headers()
        self.wfile.write(said.body)
