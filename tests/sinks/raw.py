"""A server on loopback that misbehaves below the protocol: silence, trickles, garbage, cuts."""

import socket
import ssl
import threading
from collections.abc import Callable
from contextlib import suppress
from types import TracebackType
from typing import Self

from tests.sinks.authority import HERE
from tests.sinks.waiting import PATIENCE_S, Collected

GARBAGE = b"\x13\x37 no protocol speaks like this \xff\r\n"
GREETING = b"220 raw.example.net ready\r\n"
ABILITIES = b"250-raw.example.net\r\n250-STARTTLS\r\n250 AUTH PLAIN LOGIN\r\n"
_YES = {b"EHLO": ABILITIES, b"AUTH": b"235 OK\r\n", b"DATA": b"354 go ahead\r\n"}


class Peer:
    """The connection as a behaviour sees it."""

    def __init__(self, connection: socket.socket, over: threading.Event) -> None:
        self.connection = connection
        self.over = over
        self._unread = b""

    def say(self, octets: bytes) -> None:
        """Writes."""
        self.connection.sendall(octets)

    def line(self) -> bytes:
        """Reads to the end of a line; OSError when the other side is gone."""
        return self.until(b"\n")

    def until(self, end: bytes) -> bytes:
        """Reads up to and with `end`; OSError when the other side is gone."""
        while end not in self._unread:
            octets = self.connection.recv(4096)
            if not octets:
                raise ConnectionResetError
            self._unread += octets
        read, found, self._unread = self._unread.partition(end)
        return read + found

    def exactly(self, octets: int) -> bytes:
        """Reads so many; OSError when the other side is gone."""
        while len(self._unread) < octets:
            more = self.connection.recv(4096)
            if not more:
                raise ConnectionResetError
            self._unread += more
        read, self._unread = self._unread[:octets], self._unread[octets:]
        return read

    def secure(self, context: ssl.SSLContext) -> None:
        """TLS from here on."""
        self.connection = context.wrap_socket(self.connection, server_side=True)

    def hold(self, pause_s: float | None = None) -> bool:
        """Says nothing for that long, or for ever; False when the sink ends."""
        return not self.over.wait(pause_s)


Behaviour = Callable[[Peer], None]


class RawSink:
    """Gives each connection to `behaviour`, and closes it afterwards."""

    def __init__(self, behaviour: Behaviour) -> None:
        self.connections: Collected[int] = Collected()
        self._behaviour = behaviour
        self._over = threading.Event()
        self._listener = socket.create_server((HERE, 0))
        self.port: int = self._listener.getsockname()[1]
        self._peers: list[Peer] = []
        self._threads = [threading.Thread(target=self._accept, name="raw sink", daemon=True)]

    def __enter__(self) -> Self:
        self._threads[0].start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._over.set()
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)  # wakes accept
        self._listener.close()
        self._threads[0].join(PATIENCE_S)
        for peer in self._peers:
            with suppress(OSError):
                socket.socket.shutdown(peer.connection, socket.SHUT_RDWR)  # wakes recv
        for thread in self._threads:
            thread.join(PATIENCE_S)

    def _accept(self) -> None:
        while not self._over.is_set():
            try:
                connection, address = self._listener.accept()
            except OSError:
                return
            peer = Peer(connection, self._over)
            thread = threading.Thread(target=self._behave, args=(peer,), daemon=True)
            self._peers.append(peer)
            self._threads.append(thread)
            thread.start()
            self.connections.add(address[1])

    def _behave(self, peer: Peer) -> None:
        try:
            with suppress(OSError):
                self._behaviour(peer)
        finally:
            peer.connection.close()


def silence(peer: Peer) -> None:
    """Accepts and never speaks."""
    peer.hold()


def dribble(text: bytes = b"2" * 10_000, pause_s: float = 1.0) -> Behaviour:
    """Says one byte at a time, and never gets to the end."""

    def behave(peer: Peer) -> None:
        for octet in text:
            if not peer.hold(pause_s):
                return
            peer.say(bytes([octet]))
        peer.hold()

    return behave


def says(text: bytes, *, first: bytes = b"", then_cut: bool = True) -> Behaviour:
    """Reads up to `first`, says that text, and closes or falls silent."""

    def behave(peer: Peer) -> None:
        if first:
            peer.until(first)
        peer.say(text)
        if not then_cut:
            peer.hold()

    return behave


def request_then(after: Behaviour) -> Behaviour:
    """A web server that reads a whole request with a body first."""

    def behave(peer: Peer) -> None:
        head = peer.until(b"\r\n\r\n").lower()
        peer.exactly(int(head.partition(b"content-length:")[2].partition(b"\r\n")[0]))
        after(peer)

    return behave


def starttls_then(after: bytes, *, then_cut: bool = False) -> Behaviour:
    """A mail server that agrees to STARTTLS and then says `after` instead of a handshake."""

    def behave(peer: Peer) -> None:
        _to_starttls(peer)
        peer.connection.recv(4096)  # the client's hello
        peer.say(after)
        if not then_cut:
            peer.hold()

    return behave


def starttls_stripped(heard: list[bytes]) -> Behaviour:
    """A mail server in front of which somebody takes STARTTLS away; all the rest would work.

    `heard` gets every line that was said in the clear.
    """

    def behave(peer: Peer) -> None:
        peer.say(GREETING)
        while line := peer.line():
            heard.append(line)
            verb = line[:4].upper()
            peer.say(_YES.get(verb, b"250 OK\r\n").replace(b"250-STARTTLS\r\n", b""))
            if verb == b"DATA":
                peer.until(b"\r\n.\r\n")
                peer.say(b"250 OK\r\n")

    return behave


def starttls_slipped_in(context: ssl.SSLContext) -> Behaviour:
    """Somebody in between adds a reply, in plain text, behind the 220 to STARTTLS."""

    def behave(peer: Peer) -> None:
        _to_starttls(peer, extra=b"250-raw.example.net\r\n250 AUTH CLEAR-TEXT\r\n")
        peer.secure(context)
        _dialogue(peer)
        peer.say(b"250 OK\r\n")
        peer.line()

    return behave


# A TLS record that announces 512 bytes of ServerHello and brings 4 of them.
HALF_TLS = b"\x16\x03\x03\x02\x00\x02\x00\x01\xfc"


def mail_until_dot(context: ssl.SSLContext, after: Behaviour) -> Behaviour:
    """A whole dialogue over implicit TLS; `after` follows the dot instead of a reply."""

    def behave(peer: Peer) -> None:
        peer.secure(context)
        peer.say(GREETING)
        _dialogue(peer)
        after(peer)

    return behave


def cut(peer: Peer) -> None:
    """Closes, as every behaviour does when it returns."""


def mail_until_data(context: ssl.SSLContext, reply: bytes = b"") -> Behaviour:
    """Over implicit TLS: takes everything up to DATA, replies that to it, and is gone."""

    def behave(peer: Peer) -> None:
        peer.secure(context)
        peer.say(GREETING)
        _commands(peer)
        peer.say(reply)

    return behave


def _to_starttls(peer: Peer, extra: bytes = b"") -> None:
    peer.say(GREETING)
    peer.line()
    peer.say(ABILITIES)
    peer.line()
    peer.say(b"220 go ahead\r\n" + extra)


def _dialogue(peer: Peer) -> None:
    _commands(peer)
    peer.say(b"354 go ahead\r\n")
    peer.until(b"\r\n.\r\n")


def _commands(peer: Peer) -> None:
    """Says yes to everything up to and with DATA, to which it has not yet replied."""
    while (verb := peer.line()[:4].upper()) != b"DATA":
        peer.say(_YES.get(verb, b"250 OK\r\n"))
