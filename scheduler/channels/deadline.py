"""One total deadline over a dialogue: the look-up, the connection, and every byte said or heard."""

import socket
import ssl
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass
from typing import Self, TypeVar

_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How long one delivery, its look-up and connection together, and one reply may take."""

    total_s: float = 40.0
    connect_s: float = 10.0
    reply_s: float = 20.0


USUAL = Limits()


def bounded(work: Callable[[], _Found], wait_s: float) -> _Found:
    """What `work` returns or raises; TimeoutError when that takes longer than `wait_s`.

    Work that is given up goes on in a daemon thread, which never keeps the program from ending.
    """
    found: Future[_Found] = Future()

    def run() -> None:
        try:
            found.set_result(work())
        except BaseException as error:  # noqa: BLE001 - raised again where it is waited for
            found.set_exception(error)

    threading.Thread(target=run, name="bounded-work", daemon=True).start()
    return found.result(timeout=max(0.0, wait_s))


class InsideError(OSError):
    """A name leads to an address to which nothing may be sent."""


class Deadline:
    """Cuts every connection made through it `limits.total_s` after it was entered.

    A blocked read or write then ends with an OSError or the end of the stream. Socket time-outs
    alone would not do: a peer that sends one byte a second starts them anew each time.

    `reaches` is asked about each IP address of a name, and nothing connects unless it agrees to all
    of them: whoever's name it is cannot lead us to a machine inside.
    """

    def __init__(self, limits: Limits, reaches: Callable[[str], bool] | None = None) -> None:
        self.limits = limits
        self._reaches = reaches
        self.passed = False
        self._ends = time.monotonic() + limits.total_s
        self._connections: list[socket.socket] = []
        self._lock = threading.Lock()
        self._timer = threading.Timer(limits.total_s, self.cut)
        self._timer.daemon = True

    def __enter__(self) -> Self:
        self._timer.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.lift()
        with self._lock:
            for connection in self._connections:
                connection.close()
            self._connections.clear()

    def lift(self) -> None:
        """From now on the connections stay open for as long as nobody calls `cut`."""
        self._timer.cancel()

    def cut(self) -> None:
        """Ends every connection, those still being made too; what waits on them is woken."""
        with self._lock:
            self.passed = True
            for connection in self._connections:
                with suppress(OSError):  # the other side was quicker
                    connection.shutdown(socket.SHUT_RDWR)

    def connect(self, host: str, port: int, tls: ssl.SSLContext | None = None) -> socket.socket:
        """A connection, secured when `tls` is given, on which a reply may take `reply_s`.

        Raises OSError (ssl.SSLError among them), ValueError or OverflowError for what cannot be a
        host's name or a port.
        """
        connection = self._connected(host, port)
        try:
            self._watch(connection)
            if tls is not None:  # from here on wrap_socket closes it when it fails
                connection = tls.wrap_socket(connection, server_hostname=host)
            connection.settimeout(self.limits.reply_s)
        except BaseException:
            connection.close()
            raise
        return connection

    def _connected(self, host: str, port: int) -> socket.socket:
        ends = min(self._ends, time.monotonic() + self.limits.connect_s)
        addresses = bounded(
            lambda: socket.getaddrinfo(host, port, type=socket.SOCK_STREAM), ends - time.monotonic()
        )
        # Those that were asked about are those that are connected to: no second look-up.
        if self._reaches and not all(self._reaches(str(each[4][0])) for each in addresses):
            raise InsideError
        fault = OSError()
        for tried, (family, kind, protocol, _, address) in enumerate(addresses):
            # A dead first address (IPv6, mostly) must leave time for the others.
            share_s = (ends - time.monotonic()) / (len(addresses) - tried)
            try:
                connection = socket.socket(family, kind, protocol)
            except OSError as error:
                fault = error
                continue
            try:
                connection.settimeout(max(0.01, share_s))
                connection.connect(address)
                connection.settimeout(self.limits.connect_s)
            except OSError as error:
                connection.close()
                fault = error
            else:
                return connection
        raise fault

    def _watch(self, connection: socket.socket) -> None:
        # A duplicate, because wrapping in TLS takes the descriptor away from the first object.
        with self._lock:
            self._connections.append(connection.dup())
            if self.passed:
                raise TimeoutError
