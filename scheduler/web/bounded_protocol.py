"""Uvicorn's protocol with deadlines: whoever sends or reads too slowly loses the connection."""

from asyncio import TimerHandle, Transport
from typing import Any

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

REQUEST_S = 10.0  # from the connection, or from the last response, to a whole request
STALLED_S = 10.0  # in which a full buffer must empty
MOST_CONNECTIONS = 128
MOST_REQUEST_BYTES = 32_768  # head and body; what is read of a body is limited to 8 KiB beside
MOST_QUEUED = 4  # whole requests behind the one that is being answered
MOST_AHEAD_BYTES = 32_768  # sent ahead of the answers and not looked at yet
_HEAD_END = b"\r\n\r\n"
_TOO_LARGE = b"HTTP/1.1 413 Content Too Large\r\ncontent-length: 0\r\nconnection: close\r\n\r\n"


class BoundedProtocol(HttpToolsProtocol):
    """One connection: ten seconds to a complete request, again after each response.

    Beyond 128 connections the one that has waited longest without a request is cut. At most four
    requests wait behind the one that is being answered; whoever sends more than 32 KiB ahead of
    the answers is cut.
    """

    def __init__(self, *args: Any, **named: Any) -> None:  # noqa: ANN401 - uvicorn's own
        super().__init__(*args, **named)
        self.due_s: float | None = None  # by when the request must be whole; None while answering
        self._watchdog: TimerHandle | None = None
        self._stalled: TimerHandle | None = None
        self._received_bytes = 0
        self._ahead = b""

    def connection_made(self, transport: Transport) -> None:  # type: ignore[override] # as uvicorn
        """Begins the wait for a request."""
        super().connection_made(transport)
        self._await_request()
        self._look()
        if len(self.connections) > MOST_CONNECTIONS:
            self._make_room()

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing is waited for any more."""
        for timer in (self._watchdog, self._stalled):
            if timer is not None:
                timer.cancel()
        self._ahead = b""
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Refuses a request that does not end, and looks at no more requests than may wait."""
        if self.due_s is not None:
            self._received_bytes += len(data)
            if self._received_bytes > MOST_REQUEST_BYTES:
                self._ahead = b""
                self.transport.write(_TOO_LARGE)
                self.transport.close()
                return
        self._ahead += data
        self._take_in()
        if len(self._ahead) > MOST_AHEAD_BYTES:
            self._ahead = b""
            self.transport.abort()

    def _take_in(self) -> None:
        """Hands on what was received, head by head, until enough requests wait.

        Uvicorn's own parser would make a request of each head at once, of a few kilobytes each.
        """
        while self._ahead and len(self.pipeline) < MOST_QUEUED:
            if self.transport.is_closing():
                self._ahead = b""
                return
            end = self._ahead.find(_HEAD_END) + len(_HEAD_END)
            if end < len(_HEAD_END):
                end = len(self._ahead)
            part, self._ahead = self._ahead[:end], self._ahead[end:]
            super().data_received(part)
        if self._ahead:
            self.flow.pause_reading()

    def on_message_complete(self) -> None:
        """The request is whole: the answer may take as long as it takes."""
        if not self.cycle.response_complete:
            self.due_s = None
        super().on_message_complete()

    def on_response_complete(self) -> None:
        """Begins the wait for the next request, unless a whole one has come already."""
        super().on_response_complete()
        if self.cycle.response_complete or self.cycle.more_body:
            self._await_request()
        self._take_in()

    def pause_writing(self) -> None:
        """The other side does not read: it gets ten seconds."""
        super().pause_writing()
        self._stalled = self.loop.call_later(STALLED_S, self.transport.abort)

    def resume_writing(self) -> None:
        """It reads again."""
        super().resume_writing()
        if self._stalled is not None:
            self._stalled.cancel()
            self._stalled = None

    def _await_request(self) -> None:
        self._received_bytes = 0
        self.due_s = self.loop.time() + REQUEST_S

    def _look(self) -> None:
        """Cuts the connection when the request is late; one timer a connection, not a request."""
        now_s = self.loop.time()
        if self.due_s is not None and now_s >= self.due_s:
            self.transport.abort()
            return
        wait_s = REQUEST_S if self.due_s is None else self.due_s - now_s
        self._watchdog = self.loop.call_later(wait_s, self._look)

    def _make_room(self) -> None:
        waiting = [
            one
            for one in self.connections
            if isinstance(one, BoundedProtocol) and one.due_s is not None
        ]
        oldest = min(waiting, key=lambda one: one.due_s or 0.0, default=self)
        oldest.transport.abort()
