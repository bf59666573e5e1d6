"""Debian's Firefox without a screen, before a page and a push server of the test's own.

It is driven by Marionette, which every Firefox has: JSON with its length in front, over a socket.
The push server speaks Mozilla's websocket protocol as far as a subscription and a message need it
(autopush, docs/architecture; the rest is what Firefox was seen to send).
"""

import json
import re
import shutil
import socket
import subprocess
import threading
from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from hashlib import sha1
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import StringIO
from pathlib import Path
from typing import Any, Self

import pytest

from scheduler.tokens.base64url import encoded
from tests.sinks.authority import HERE
from tests.sinks.waiting import PATIENCE_S, Collected, wait_until

_STARTS_WITHIN_S = 60.0  # on a machine that is busy with other tests
_WEBSOCKET = b"258EAFA5-E914-47DA-95CA-C5AB0DC85B11"  # RFC 6455 §1.3
_CLOSE, _PING, _PONG = 8, 9, 10
WORKER = """
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("push", (event) => event.waitUntil(
  fetch("/opened", { method: "POST", body: event.data.text() })));
"""
SUBSCRIBE = """
const [key, done] = arguments;
(async () => {
  await navigator.serviceWorker.register("/worker.js");
  const worker = await navigator.serviceWorker.ready;
  const made = await worker.pushManager.subscribe(
    { userVisibleOnly: true, applicationServerKey: key });
  return made.toJSON();
})().then(done, (error) => done({ error: `${error}` }));
"""


def _preferences(push_port: int) -> str:
    """What a profile says before it is opened for the first time."""
    wanted: dict[str, Any] = {
        "marionette.port": 0,  # any; it says which
        "browser.dom.window.dump.enabled": True,
        # Else it empties the push server's address as soon as it is driven.
        "remote.prefs.recommended": False,
        "dom.push.connection.enabled": True,
        "dom.push.serverURL": f"ws://{HERE}:{push_port}/",
        "dom.push.testing.allowInsecureServerURL": True,
        "permissions.default.desktop-notification": 1,
        # Nothing leaves this machine: all but loopback goes to a port where nobody is.
        "network.proxy.type": 1,
        "network.proxy.http": HERE,
        "network.proxy.http_port": 9,
        "network.proxy.ssl": HERE,
        "network.proxy.ssl_port": 9,
        "browser.shell.checkDefaultBrowser": False,
        "datareporting.policy.dataSubmissionEnabled": False,
    }
    return "".join(
        f"user_pref({json.dumps(name)}, {json.dumps(value)});\n" for name, value in wanted.items()
    )


@dataclass
class Firefox:
    """The browser, its push server (`pushes`), and what its worker read (`opened`)."""

    pushes: "PushServer"
    opened: Collected[bytes]
    page: str
    _drive: "_Marionette"

    def subscribe(self, key: str) -> dict[str, Any]:
        """What the browser gives to a page that asks with the key."""
        self._drive.ask("WebDriver:Navigate", url=self.page)
        said = self._drive.ask("WebDriver:ExecuteAsyncScript", script=SUBSCRIBE, args=[key])
        found: dict[str, Any] = said["value"]
        return found


@contextmanager
def firefox(folder: Path) -> Iterator[Firefox]:
    """One that is ready; skips where there is none."""
    program = shutil.which("firefox-esr")
    if program is None:
        pytest.skip("firefox-esr is not installed")
    with PushServer() as pushes, _pages() as (page, opened):
        (folder / "user.js").write_text(_preferences(pushes.port))
        process = subprocess.Popen(
            [
                program,
                "--headless",
                "--marionette",
                "--no-remote",
                "--profile",
                str(folder),
            ],
            env={"HOME": str(folder)},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        said: Collected[str] = Collected()
        listening = threading.Thread(target=_read_all, args=(process, said), daemon=True)
        listening.start()
        try:
            with _Marionette(_port_of(said)) as drive:
                drive.ask("WebDriver:NewSession")
                drive.ask("WebDriver:SetTimeouts", script=int(PATIENCE_S * 1000))
                yield Firefox(pushes, opened, page, drive)
        finally:
            process.terminate()
            process.wait(PATIENCE_S)
            listening.join(PATIENCE_S)


def _read_all(process: subprocess.Popen[str], said: Collected[str]) -> None:
    with process.stdout or StringIO() as lines:
        for line in lines:
            said.add(line)


def _port_of(said: Collected[str]) -> int:
    """Where Marionette listens, once it does."""

    def found() -> list[str]:
        return re.findall(r"Listening on port (\d+)", "".join(said.all()))

    wait_until(said.changed, found, _STARTS_WITHIN_S)
    return int(found()[0])


class _Marionette:
    """Asks one thing after another."""

    def __init__(self, port: int) -> None:
        self._asked = 0
        self._connection = socket.create_connection((HERE, port), PATIENCE_S)
        self._file = self._connection.makefile("rb")
        self._read()  # who it is

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()
        self._connection.close()

    def ask(self, command: str, **parameters: Any) -> dict[str, Any]:
        """What it answers; fails with its error."""
        self._asked += 1
        said = json.dumps([0, self._asked, command, parameters]).encode()
        self._connection.sendall(b"%d:%s" % (len(said), said))
        _, _, error, result = self._read()
        assert error is None, error
        found: dict[str, Any] = result or {}
        return found

    def _read(self) -> Any:
        length = b""
        while (octet := self._file.read(1)) != b":":
            assert octet, "Firefox is gone"
            length += octet
        return json.loads(self._file.read(int(length)))


class PushServer:
    """Mozilla's push service for one browser: `heard` is all it said, in order."""

    def __init__(self) -> None:
        self.heard: Collected[dict[str, Any]] = Collected()
        self._listener = socket.create_server((HERE, 0))
        self.port: int = self._listener.getsockname()[1]
        self._browser: _Websocket | None = None
        self._thread = threading.Thread(target=self._serve, name="push server", daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._listener.close()

    def push(self, version: str, body: bytes) -> int:
        """Hands the browser a message; the code of its answer (100: opened, 101: could not)."""
        assert self._browser, "no browser has come"
        (asked,) = (one for one in self.heard.all() if one["messageType"] == "register")
        said = {
            "messageType": "notification",
            "channelID": asked["channelID"],
            "version": version,
            "data": encoded(body),
            "headers": {"encoding": "aes128gcm"},
        }
        before = len(self._acks())
        self._browser.say(said)
        wait_until(self.heard.changed, lambda: len(self._acks()) > before)
        code: int = self._acks()[-1]["updates"][0]["code"]
        return code

    def _acks(self) -> list[dict[str, Any]]:
        return [one for one in self.heard.all() if one["messageType"] == "ack"]

    def _serve(self) -> None:
        while True:
            try:
                connection, _ = self._listener.accept()
            except OSError:
                return  # the test is over
            with suppress(OSError):  # the browser has ended
                self._browser = _Websocket(connection)
                self._converse(self._browser)

    def _converse(self, browser: "_Websocket") -> None:
        while (said := browser.hear()) is not None:
            match said.get("messageType"):
                case "hello":
                    browser.say({**said, "status": 200, "uaid": "a" * 32})
                case "register":
                    endpoint = "https://updates.push.services.mozilla.com/wpush/v2/x"
                    browser.say({**said, "status": 200, "pushEndpoint": endpoint})
                case None:
                    browser.say({})  # a ping of its own
            if "messageType" in said:
                self.heard.add(said)


class _Websocket:
    """The server's side of RFC 6455, for text in one frame."""

    def __init__(self, connection: socket.socket) -> None:
        self._connection = connection
        self._file = connection.makefile("rb")
        key = b""
        while line := self._file.readline().strip():
            name, _, value = line.partition(b":")
            if name.lower() == b"sec-websocket-key":
                key = value.strip()
        accepted = b64encode(sha1(key + _WEBSOCKET).digest())  # noqa: S324 - RFC 6455 asks for it
        connection.sendall(
            b"HTTP/1.1 101 Switching Protocols\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
            b"Sec-WebSocket-Protocol: push-notification\r\n"
            b"Sec-WebSocket-Accept: " + accepted + b"\r\n\r\n"
        )

    def say(self, message: dict[str, Any]) -> None:
        """Sends it as a frame of text."""
        self._frame(1, json.dumps(message).encode())

    def hear(self) -> dict[str, Any] | None:
        """The next message; None once the browser is gone."""
        while len(head := self._file.read(2)) == 2:
            kind, length = head[0] & 15, head[1] & 127
            if length > 125:
                length = int.from_bytes(self._file.read(2 if length == 126 else 8))
            mask = self._file.read(4)
            said = bytes(octet ^ mask[at % 4] for at, octet in enumerate(self._file.read(length)))
            if kind == _CLOSE:
                return None
            if kind == _PING:
                self._frame(_PONG, said)
                continue
            found: dict[str, Any] = json.loads(said)
            return found
        return None

    def _frame(self, kind: int, octets: bytes) -> None:
        length = len(octets)
        short = bytes([length]) if length < 126 else b"\x7e" + length.to_bytes(2)
        self._connection.sendall(bytes([128 | kind]) + short + octets)


@contextmanager
def _pages() -> Iterator[tuple[str, Collected[bytes]]]:
    """A page with a worker; what the worker has posted."""
    opened: Collected[bytes] = Collected()

    class Handler(BaseHTTPRequestHandler):
        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - its name there
            """Says nothing."""

        def do_GET(self) -> None:
            script = self.path == "/worker.js"
            kind = "text/javascript" if script else "text/html"
            self._say(kind, WORKER.encode() if script else b"<title>Hens</title>")

        def do_POST(self) -> None:
            opened.add(self.rfile.read(int(self.headers["Content-Length"])))
            self._say("text/plain", b"")

        def _say(self, kind: str, body: bytes) -> None:
            self.send_response(200)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

    server = ThreadingHTTPServer((HERE, 0), Handler)
    server.daemon_threads = True
    server.block_on_close = False
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    yield f"http://{HERE}:{server.server_address[1]}/", opened
    server.shutdown()
    server.server_close()
    thread.join(PATIENCE_S)
