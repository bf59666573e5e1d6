"""TLS before the pages of a test, as a reverse proxy has it; a browser is told to trust it."""

import socket
import ssl
import threading
from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from hashlib import sha256

from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from cryptography.x509 import load_pem_x509_certificate

from tests.sinks.authority import HERE, Authority

NAME = "hens.test"
_CHUNK = 65536


@dataclass(frozen=True, slots=True)
class Tls:
    """Where it listens; `trusted` is what Chromium's switch for trusted keys takes."""

    port: int
    trusted: str

    @property
    def url(self) -> str:
        """What people open."""
        return f"https://{NAME}:{self.port}"


@contextmanager
def tls_before(authority: Authority, port: int) -> Iterator[Tls]:
    """Hands on what comes over TLS to that port, and what comes back."""
    listening = socket.create_server((HERE, 0))
    context = authority.server(NAME)
    threading.Thread(target=_accept, args=(listening, context, port), daemon=True).start()
    try:
        yield Tls(listening.getsockname()[1], _key_of(listening.getsockname()[1]))
    finally:
        listening.close()


def _key_of(port: int) -> str:
    pem = ssl.get_server_certificate((HERE, port)).encode()
    key = load_pem_x509_certificate(pem).public_key()
    octets = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    return b64encode(sha256(octets).digest()).decode()


def _accept(listening: socket.socket, context: ssl.SSLContext, port: int) -> None:
    with suppress(OSError):  # closed: the test is over
        while True:
            asked, _ = listening.accept()
            threading.Thread(target=_serve, args=(asked, context, port), daemon=True).start()


def _serve(asked: socket.socket, context: ssl.SSLContext, port: int) -> None:
    with (
        suppress(OSError),
        context.wrap_socket(asked, server_side=True) as browser,
        socket.create_connection((HERE, port)) as pages,
    ):
        back = threading.Thread(target=_pump, args=(pages, browser), daemon=True)
        back.start()
        _pump(browser, pages)
        back.join()


def _pump(source: socket.socket, sink: socket.socket) -> None:
    with suppress(OSError):
        while octets := source.recv(_CHUNK):
            sink.sendall(octets)
    with suppress(OSError):
        sink.shutdown(socket.SHUT_WR)
