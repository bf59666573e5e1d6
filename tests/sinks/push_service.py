"""A browser's push service on loopback, and the phones behind it.

    with PushService(authority, now=lambda: NOW) as service:
        phone = service.phone()
        subscription = phone.subscription(key_id)   # of the key that the page asked it with
        ...                                         # PhoneChannel(more_hosts=[service.host], …)
        phone.got.wait()[0].notification["title"]   # what was sealed, opened with the phone's key

The channel must trust `authority.client()` (a program in another process: SSL_CERT_FILE) and reach
loopback (`PhoneChannel(reaches=…)`): nothing but the composition of a test makes it.

It takes what RFC 8030, 8188, 8291 and 8292 ask for, and nothing else: a request with a fault gets
the status that says so, and `service.asked` keeps it. Written from those RFCs; that Apple refuses a
Topic that no base64url decoder takes is second hand (four projects).
"""

import hashlib
import hmac
import itertools
import json
import re
import threading
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from secrets import token_bytes
from types import TracebackType
from typing import Any, Self

from cryptography.exceptions import InvalidSignature, InvalidTag
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from scheduler.alerts.phone import Subscription
from scheduler.tokens.base64url import decoded, encoded
from tests.sinks.authority import HERE, Authority
from tests.sinks.push import Asked, Reply
from tests.sinks.waiting import PATIENCE_S, Collected

LONGEST_BODY = 4096  # RFC 8030 §7.2: up to here no service may say 413
_DAY = timedelta(hours=24)
_TOPIC = re.compile(r"[A-Za-z0-9_-]{1,32}")
_VAPID = re.compile(r"vapid t=([\w-]+\.[\w-]+)\.([\w-]+), k=([\w-]+)")
_URGENCY = {"very-low", "low", "normal", "high"}
_MAILBOX_OR_SITE = re.compile(r"(?!.*localhost)(mailto:[^\s<>]+@[^\s<>]+|https://[^\s<>]+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Got:
    """One message that a phone got: its headers, and what its browser opened."""

    headers: Mapping[str, str]
    text: bytes
    padded_to: int

    @property
    def said(self) -> dict[str, Any]:
        """The JSON that was sent."""
        found: dict[str, Any] = json.loads(self.text)
        return found

    @property
    def notification(self) -> dict[str, Any]:
        """What it shows."""
        found: dict[str, Any] = self.said["notification"]
        return found


class Phone:
    """A browser on a phone: its key pair, its secret, and all that got to it (`got`).

    While it is not `online`, its service holds what comes (`held`, by Topic where there is one),
    until its time is up; `wake` lets it come. Once it is `gone`, its service says 410 for ever.
    What its browser cannot open is `unread`: no service knows of that.
    """

    def __init__(self, service: "PushService", number: int) -> None:
        self.service = service
        self.path = f"/push/{number}"
        self.online = True
        self.gone = False
        self.got: Collected[Got] = Collected(service.changed)
        self.unread: Collected[bytes] = Collected(service.changed)
        self.held: dict[str, tuple[datetime, Got]] = {}
        self.key_id = ""
        self._private = ec.generate_private_key(ec.SECP256R1())
        self._auth = token_bytes(16)

    def subscription(self, key_id: str) -> Subscription:
        """What its browser gives to a page that asks with this key (`PhoneKey.public`)."""
        self.key_id = key_id
        return Subscription(
            endpoint=f"https://{self.service.host}{self.path}",
            p256dh=encoded(_point(self._private)),
            auth=encoded(self._auth),
            key_id=key_id,
        )

    def wake(self) -> None:
        """It is online again, and gets what was held for it and is still of use."""
        with self.service.changed:
            self.online = True
            now = self.service.now()
            for ends, got in self.held.values():
                if now < ends:
                    self.got.add(got)
            self.held.clear()

    def open(self, body: bytes) -> tuple[bytes, int]:
        """The text of a sealed body and how long it was padded to (RFC 8188 §2, 8291 §3).

        Raises:
            ValueError, InvalidTag: it was not sealed for this phone, or not as it should be.
        """
        salt, size, length = body[:16], int.from_bytes(body[16:20]), body[20]
        point, record = body[21 : 21 + length], body[21 + length :]
        if len(record) > size:
            raise ValueError("more than one record")
        theirs = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), point)
        secret = self._private.exchange(ec.ECDH(), theirs)
        info = b"WebPush: info\0" + _point(self._private) + point
        keying = _hkdf(secret, self._auth, info, 32)
        key = _hkdf(keying, salt, b"Content-Encoding: aes128gcm\0", 16)
        nonce = _hkdf(keying, salt, b"Content-Encoding: nonce\0", 12)
        padded = AESGCM(key).decrypt(nonce, record, None)
        text = padded.rstrip(b"\0")
        if not text.endswith(b"\x02"):
            raise ValueError("no end of the last record")
        return text[:-1], len(padded) - 1


class PushService:
    """The server: takes, refuses, holds and hands on; `host` is what an endpoint names.

    `now` is its clock; a test may put another one there. `asked` has every request,
    `taken` what it took, opened with the phone's key.
    """

    def __init__(self, authority: Authority, *, now: Callable[[], datetime]) -> None:
        self.now = now
        self.changed = threading.Condition(threading.RLock())
        self.asked: Collected[Asked] = Collected(self.changed)
        self.taken: Collected[Got] = Collected(self.changed)
        self.phones: dict[str, Phone] = {}
        self._script: deque[Reply] = deque()
        self._always: Reply | None = None
        self._hang_ups = 0
        self._numbers = itertools.count(1)
        self._server = _Server((HERE, 0), _Handler)
        self._server.service = self
        # The handshake belongs to the connection's own thread, not to the one that accepts.
        self._server.socket = authority.server().wrap_socket(
            self._server.socket, server_side=True, do_handshake_on_connect=False
        )
        self.host = f"{HERE}:{self._server.server_address[1]}"
        self._thread = threading.Thread(
            target=self._server.serve_forever, args=(0.05,), name="push service", daemon=True
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

    def phone(self) -> Phone:
        """A phone that is online."""
        phone = Phone(self, next(self._numbers))
        self.phones[phone.path] = phone
        return phone

    def script(self, *replies: Reply, always: bool = False) -> None:
        """What the next requests get; `always`: the only reply given stays until `heal`."""
        with self.changed:
            if always:
                (self._always,) = replies
            else:
                self._script.extend(replies)

    def heal(self) -> None:
        """Forgets what is scripted."""
        with self.changed:
            self._script.clear()
            self._always, self._hang_ups = None, 0

    def hang_up(self, times: int) -> None:
        """Takes so many messages more without a word: nobody knows whether it has them."""
        with self.changed:
            self._hang_ups = times

    def answer(self, asked: Asked) -> Reply:
        """What it says to a request, and does with it."""
        with self.changed:
            self.asked.add(asked)
            if scripted := self._script.popleft() if self._script else self._always:
                return scripted
            phone = self.phones.get(asked.path)
            if phone is None:
                return Reply(status=404)
            if phone.gone:
                return Reply(status=410)
            if fault := self._fault(asked) or self._stranger(asked, phone):
                return fault
            taken = self._taken(asked, phone)
            if self._hang_ups:
                self._hang_ups -= 1
                raise ConnectionAbortedError
            return taken

    def _taken(self, asked: Asked, phone: Phone) -> Reply:
        place = f"{phone.path}/m{next(self._numbers)}"
        taken = Reply(status=201, headers={"Location": place}, body=b"")
        try:
            text, padded_to = phone.open(asked.body)
        except (InvalidTag, ValueError):
            phone.unread.add(asked.body)
            return taken
        got = Got(headers=asked.headers, text=text, padded_to=padded_to)
        self.taken.add(got)
        lasts = timedelta(seconds=int(asked.headers["TTL"]))
        if phone.online:
            phone.got.add(got)
        elif lasts:
            phone.held[asked.headers.get("Topic", place)] = self.now() + lasts, got
        return taken

    def _fault(self, asked: Asked) -> Reply | None:
        """What is wrong with the form of the request (RFC 8030 §5, RFC 8291 §4)."""
        headers, topic = asked.headers, asked.headers.get("Topic")
        if len(asked.body) > LONGEST_BODY:
            return Reply(status=413)
        right = (
            asked.method == "POST"
            and headers.get("TTL", "").isdecimal()
            and headers.get("Urgency", "normal") in _URGENCY
            and headers.get("Content-Encoding") == "aes128gcm"
            and not {"Crypto-Key", "Encryption"} & set(headers)
        )
        if not right:
            return Reply(status=400)
        if topic is not None and not (_TOPIC.fullmatch(topic) and decoded(topic) is not None):
            return Reply(status=400, body=b'{"reason":"BadWebPushTopic"}')
        return None

    def _stranger(self, asked: Asked, phone: Phone) -> Reply | None:
        """What is wrong with who sends it (RFC 8292 §2, §4.2); Apple's rule for `sub`."""
        said = _VAPID.fullmatch(asked.headers.get("Authorization", ""))
        if said is None:
            return Reply(status=401)
        signed, signature, key = said[1], decoded(said[2]) or b"", decoded(said[3]) or b""
        head, claims = (json.loads(decoded(part) or b"{}") for part in signed.split("."))
        if said[3] != phone.key_id or len(signature) != 64 or head.get("alg") != "ES256":
            return Reply(status=403)
        public = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), key)
        r_and_s = int.from_bytes(signature[:32]), int.from_bytes(signature[32:])
        try:
            public.verify(
                encode_dss_signature(*r_and_s), signed.encode(), ec.ECDSA(hashes.SHA256())
            )
        except InvalidSignature:
            return Reply(status=403)
        left_s = claims["exp"] - self.now().timestamp()
        right = claims["aud"] == f"https://{self.host}" and 0 < left_s <= _DAY.total_seconds()
        return None if right and _MAILBOX_OR_SITE.fullmatch(claims["sub"]) else Reply(status=403)


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    request_queue_size = 256
    service: PushService

    def handle_error(self, request: object, client_address: object) -> None:
        """A client that hangs up is no news."""


class _Handler(BaseHTTPRequestHandler):
    server: _Server
    timeout = PATIENCE_S  # of a half-open connection

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - its name there
        """Says nothing."""

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length", "0")))
        asked = Asked(
            method=self.command, path=self.path, headers=dict(self.headers.items()), body=body
        )
        reply = self.server.service.answer(asked)
        self.send_response(reply.status)
        for name, value in reply.headers.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(reply.body)))
        self.end_headers()
        self.wfile.write(reply.body)

    do_GET = do_PUT = do_DELETE = do_POST  # noqa: N815 - http.server's names


def _point(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)


def _hkdf(secret: bytes, salt: bytes, info: bytes, octets: int) -> bytes:
    """RFC 5869 for at most one block of SHA-256; by hand, so that it is not ours that is asked."""
    key = hmac.new(salt, secret, hashlib.sha256).digest()
    return hmac.new(key, info + b"\x01", hashlib.sha256).digest()[:octets]
