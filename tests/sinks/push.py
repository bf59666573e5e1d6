"""A push server on loopback that speaks as much of ntfy's interface as the product uses.

It keeps no time: held messages ring when a test calls `ring_due(now)`. Written from ntfy's
published documentation (docs/publish.md, docs/subscribe/api.md);
that the same sequence id replaces a held message is from memory.
"""

import http.client
import itertools
import json
import ssl
import threading
from collections import deque
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from email.header import decode_header, make_header
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from types import TracebackType
from typing import Any, Literal, Self
from urllib.parse import parse_qs, urlsplit

from tests.sinks.authority import HERE
from tests.sinks.waiting import PATIENCE_S, Collected, wait_until

JSON_OCTETS = 8192  # the server reads twice its longest message
MESSAGE_OCTETS = 4096

Right = Literal["rw", "w", "r"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """What the sink says instead of doing what is asked."""

    status: int
    headers: Mapping[str, str] = field(default_factory=dict)
    body: bytes = b'{"code":50001,"error":"scripted"}'


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One request as it came in."""

    method: str
    path: str
    headers: Mapping[str, str]
    body: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """What subscribers of a topic get."""

    id: str
    event: str
    topic: str
    said: Mapping[str, Any] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """The body of the message."""
        return str(self.said.get("message", ""))

    @property
    def line(self) -> bytes:
        """As a line of the stream."""
        return json.dumps(
            {"id": self.id, "time": 0, "event": self.event, "topic": self.topic, **self.said}
        ).encode()


class PushSink:
    """Publishes, holds, replaces, takes back and streams.

    `on_publish(event)` runs before the reply to a published message, in its connection's thread.

    `tokens` gives each token's right; when it is empty everybody may do everything. An `old` server
    knows no sequence ids and takes nothing back. A `mute` stream sends no keepalive,
    a `wordless` one does not even greet.
    """

    def __init__(  # noqa: PLR0913 - each is one way a server can be
        self,
        *,
        tokens: Mapping[str, Right] | None = None,
        context: ssl.SSLContext | None = None,
        old: bool = False,
        keepalive_s: float = 0.05,
        mute: bool = False,
        on_publish: Callable[[Event], None] = lambda _: None,
    ) -> None:
        self.on_publish = on_publish
        self.tokens = dict(tokens or {})
        self.old = old
        self.keepalive_s = keepalive_s
        self.mute = mute
        self.wordless = False
        self.changed = threading.Condition()
        self.asked: Collected[Asked] = Collected(self.changed)
        self.events: Collected[Event] = Collected(self.changed)
        self.held: dict[tuple[str, str], tuple[float, Event]] = {}
        self.streams = 0
        self.ended = False
        self.generation = 0
        self.refused: dict[str, int] = {}  # topics that this server refuses, and how
        self.left: int | None = None  # how many requests are taken before the limit
        self.keeps = False  # says that it takes back what it goes on holding
        self._script: deque[Reply] = deque()
        self._always: Reply | None = None
        self._ids = itertools.count(1)
        self._server = _Server((HERE, 0), _Handler)
        self._server.sink = self
        self._scheme = "https" if context else "http"
        if context is not None:
            # The handshake belongs to the connection's own thread, not to the one that accepts.
            self._server.socket = context.wrap_socket(
                self._server.socket, server_side=True, do_handshake_on_connect=False
            )
        self.port: int = self._server.server_address[1]
        self._thread = threading.Thread(
            target=self._server.serve_forever, args=(0.05,), name="push sink", daemon=True
        )

    @property
    def url(self) -> str:
        """Where it is, without a slash at the end."""
        return f"{self._scheme}://{HERE}:{self.port}"

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.drop_streams()
        with self.changed:
            self.ended = True
            self.changed.notify_all()
        self._server.shutdown()
        self._server.server_close()
        self._thread.join(PATIENCE_S)

    def script(self, *replies: Reply, always: bool = False) -> None:
        """What the next requests of any kind get; `always`: the only reply given stays for good."""
        with self.changed:
            if always:
                (self._always,) = replies
            else:
                self._script.extend(replies)

    def heal(self) -> None:
        """Forgets what is scripted."""
        with self.changed:
            self._script.clear()
            self._always = None

    def next_reply(self) -> Reply | None:
        """What is scripted to come next."""
        with self.changed:
            return self._script.popleft() if self._script else self._always

    def spent(self) -> Reply | None:
        """The refusal once more was asked than `left`; without a limit never."""
        with self.changed:
            if self.left is None:
                return None
            self.left -= 1
            return None if self.left >= 0 else _error(429)

    def shown(self, topic: str) -> list[Event]:
        """All that rang on that topic's phones, in order, copies too."""
        return [one for one in self.events.all() if (one.topic, one.event) == (topic, "message")]

    def wait_shown(self, topic: str, count: int = 1) -> list[Event]:
        """What rang there once there are `count`; fails when that takes too long."""
        wait_until(self.changed, lambda: len(self.shown(topic)) >= count)
        return self.shown(topic)

    def screen(self, topic: str) -> list[Event]:
        """What a phone shows now: copies replaced, deleted ones gone."""
        shown: dict[str, Event] = {}
        for one in self.events.all():
            sequence_id = str(one.said.get("sequence_id", one.id))
            if one.topic == topic and one.event == "message":
                shown[sequence_id] = one
            if one.topic == topic and one.event == "message_delete":
                shown.pop(sequence_id, None)
        return list(shown.values())

    def ring_due(self, now: datetime) -> list[Event]:
        """Shows the held messages whose time has come."""
        with self.changed:
            due = [key for key, (at, _) in self.held.items() if at <= now.timestamp()]
            rung = [self.held.pop(key)[1] for key in due]
            for event in rung:
                self.events.add(event)
        return rung

    def wait_streams(self, count: int = 1) -> None:
        """Waits until that many subscribers listen."""
        wait_until(self.changed, lambda: self.streams == count)

    def drop_streams(self) -> None:
        """Ends every stream, as a restart of the server does."""
        with self.changed:
            self.generation += 1
            self.changed.notify_all()

    def press(self, message: Event, button: int = 0) -> int:
        """Does what a phone does when a button is pressed; the status that comes back."""
        action = message.said["actions"][button]
        assert action["action"] == "http", "this button opens a page"
        url = urlsplit(action["url"])
        assert url.scheme == "http", "the sink's phone trusts no certificate"
        connection = http.client.HTTPConnection(url.netloc, timeout=PATIENCE_S)
        try:
            body = str(action.get("body", "")).encode()
            connection.request(action.get("method", "POST"), url.path, body, action["headers"])
            return connection.getresponse().status
        finally:
            connection.close()

    def publish(self, topic: str, said: Mapping[str, Any]) -> Event:
        """As the server does it: at once, or held when there is a delay."""
        with self.changed:
            event = Event(id=f"m{next(self._ids):011}", event="message", topic=topic, said=said)
            sequence_id = "" if self.old else str(said.get("sequence_id", ""))
            self.held.pop((topic, sequence_id), None)
            if delay := said.get("delay"):
                self.held[topic, sequence_id or event.id] = (float(delay), event)
                self.changed.notify_all()
            else:
                self.events.add(event)
            return event

    def take_back(self, topic: str, sequence_id: str) -> Event:
        """As the server does it: a held message never rings, a shown one disappears."""
        with self.changed:
            if not self.keeps:
                self.held.pop((topic, sequence_id), None)
            said = {"sequence_id": sequence_id}
            event = Event(
                id=f"d{next(self._ids):011}", event="message_delete", topic=topic, said=said
            )
            self.events.add(event)
            return event

    def since(self, topic: str, since: str) -> list[Event]:
        """The cached messages after that id; all of them for "all", a span, or an unknown id."""
        shown = self.shown(topic)
        for place, event in enumerate(shown):
            if event.id == since:
                return shown[place + 1 :]
        return shown


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    request_queue_size = 256  # a hundred phones at once, from two processes
    block_on_close = True
    sink: PushSink

    def handle_error(self, request: object, client_address: object) -> None:
        """A client that hangs up is no news."""


class _Handler(BaseHTTPRequestHandler):
    server: _Server
    timeout = PATIENCE_S  # of a half-open connection

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - its name there
        """Says nothing."""

    def do_POST(self) -> None:
        self._answer()

    do_GET = do_PUT = do_DELETE = do_POST  # noqa: N815 - http.server's names

    def _answer(self) -> None:
        sink = self.server.sink
        body = self.rfile.read(int(self.headers.get("Content-Length", "0")))
        asked = Asked(
            method=self.command, path=self.path, headers=dict(self.headers.items()), body=body
        )
        sink.asked.add(asked)
        reply = sink.next_reply() or sink.spent()
        if reply is not None:
            self._say(reply)
            return
        path, _, query = self.path.partition("?")
        parts = [part for part in path.split("/") if part]
        right: Right = "r" if self.command == "GET" else "w"
        if not self._may(right):
            self._say(_error(401 if "Authorization" not in self.headers else 403))
            return
        if refusal := sink.refused.get(_topic(parts, body)):
            self._say(_error(refusal))
            return
        match self.command, parts:
            case "POST", []:
                self._say(self._published_json(body))
            case "POST" | "PUT", [topic]:
                self._say(_ok(sink.publish(topic, {"message": body.decode()})))
            case "DELETE", [topic, sequence_id] if not sink.old:
                self._say(_ok(sink.take_back(topic, sequence_id)))
            case "GET", [topic, "json"] if "poll=1" in query:
                self._say(_listed(sink, topic, parse_qs(query)))
            case "GET", [topic, "json"]:
                self._stream(topic, parse_qs(query))
            case _:
                self._say(_error(404))

    def _may(self, right: Right) -> bool:
        tokens = self.server.sink.tokens
        token = self.headers.get("Authorization", "").removeprefix("Bearer ")
        return not tokens or right in tokens.get(token, "")

    def _published_json(self, body: bytes) -> Reply:
        if len(body) > JSON_OCTETS:
            return _error(413)
        said = json.loads(body)
        topic = said.pop("topic")
        if len(said.get("message", "").encode()) > MESSAGE_OCTETS:
            said["attachment"] = {"name": "attachment.txt", "text": said.pop("message")}
        if len(said.get("actions", [])) > 3:
            return _error(400)
        if "title" in said:
            said["title"] = shown_title(said["title"])
        event = self.server.sink.publish(topic, {"message": "triggered", **said})
        self.server.sink.on_publish(event)
        return _ok(event)

    def _say(self, reply: Reply) -> None:
        self.send_response(reply.status)
        for name, value in reply.headers.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(reply.body)))
        self.end_headers()
        self.wfile.write(reply.body)

    def _stream(self, topic: str, query: Mapping[str, list[str]]) -> None:
        sink = self.server.sink
        self.protocol_version = "HTTP/1.1"
        self.send_response(200)
        self.send_header("Content-Type", "application/x-ndjson")
        self.send_header("Transfer-Encoding", "chunked")
        self.end_headers()
        self.close_connection = True
        with sink.changed:
            sink.streams += 1
            generation = sink.generation
            waiting = deque(sink.since(topic, query["since"][0])) if "since" in query else deque()
            seen = len(sink.events.all())
            sink.changed.notify_all()
        try:
            if not sink.wordless:
                self._chunk(Event(id="open", event="open", topic=topic).line)
            with suppress(OSError):
                while self._told(topic, waiting):
                    with sink.changed:
                        sink.changed.wait(sink.keepalive_s)
                        if sink.generation != generation:
                            break
                        events = sink.events.all()
                        waiting.extend(one for one in events[seen:] if one.topic == topic)
                        seen = len(events)
        finally:
            with sink.changed:
                sink.streams -= 1
                sink.changed.notify_all()

    def _told(self, topic: str, waiting: deque[Event]) -> bool:
        if not waiting and not self.server.sink.mute:
            self._chunk(Event(id="alive", event="keepalive", topic=topic).line)
        while waiting:
            self._chunk(waiting.popleft().line)
        return True

    def _chunk(self, line: bytes) -> None:
        octets = line + b"\n"
        self.wfile.write(b"%x\r\n%s\r\n" % (len(octets), octets))
        self.wfile.flush()


def _listed(sink: PushSink, topic: str, query: Mapping[str, list[str]]) -> Reply:
    """What was published since then, and what is to come when that is asked for too."""
    since = float(query.get("since", ["0"])[0])
    with sink.changed:
        held = [(at, one) for (where, _), (at, one) in sink.held.items() if where == topic]
    lines = [one.line for one in sink.events.all() if one.topic == topic and since <= 0]
    if query.get("scheduled") == ["1"]:
        lines += [
            json.dumps({**json.loads(one.line), "time": int(at)}).encode()
            for at, one in held
            if at >= since
        ]
    return Reply(status=200, body=b"\n".join(lines) + b"\n")


def shown_title(title: str) -> str:
    """What the server makes of it: what looks encoded is decoded (ntfy server/util.go)."""
    return str(make_header(decode_header(title))) if "=?" in title else title


def _topic(parts: list[str], body: bytes) -> str:
    return parts[0] if parts else str(json.loads(body).get("topic"))


def _ok(event: Event) -> Reply:
    return Reply(status=200, headers={"Content-Type": "application/json"}, body=event.line)


def _error(status: int) -> Reply:
    return Reply(status=status, body=json.dumps({"code": status * 100, "http": status}).encode())
