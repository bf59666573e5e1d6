"""Reads what people answer: an endless stream of JSON lines from the return topic."""

import ssl
import time
from collections.abc import Callable, Iterator
from dataclasses import KW_ONLY, dataclass, field
from http.client import HTTPException, HTTPResponse
from threading import Event, Thread
from urllib.parse import urlencode

from scheduler.channels.deadline import USUAL, Deadline, Limits
from scheduler.channels.http import Exchange, Request
from scheduler.channels.ntfy_message import read_event
from scheduler.wording.channels.why_not_sent import WhyDeaf, WhyNoPush
from scheduler.wording.told_later import for_later

LINE_OCTETS = 8 * 1024
_OPEN = 200
_LOOK_S = 0.25  # how often the silence is measured
_FAREWELL_S = 0.5
_NO_THREAD = for_later(WhyDeaf.no_thread)


@dataclass(slots=True)
class AnswerReader:
    """Calls `heard(message_id, message)` for every message of the topic after `since`.

    `since` is the id of the last message heard, or a span such as "12h". When `heard` raises, the
    message is read again over a new connection; it can also come twice when the server has
    forgotten `since`. `connected`, `last_ok_monotonic` (the last line but the one that greets: a
    message, or a sign of life) and `fault` (why there is no connection) tell how the reader is.
    """

    server: str
    topic: str = field(repr=False)
    token: str = field(repr=False)
    _: KW_ONLY
    since: str
    heard: Callable[[str, str], None]
    limits: Limits = USUAL
    tls: ssl.SSLContext = field(default_factory=ssl.create_default_context)
    silence_s: float = 120.0
    pause_s: float = 1.0  # before the next connection; twice as long each time
    longest_pause_s: float = 60.0
    connected: bool = field(default=False, init=False)
    last_ok_monotonic: float = field(default_factory=time.monotonic, init=False)
    fault: str = field(default="", init=False)
    _line: Deadline | None = field(default=None, init=False, repr=False)
    _quiet_since: float = field(default=0.0, init=False, repr=False)

    def run(self, stop: Event) -> None:
        """Reads until `stop` is set, and returns within a second of that; raises nothing."""
        reader: Thread | None = None
        while not stop.wait(_LOOK_S if reader else 0.0):
            if reader is None or not reader.is_alive():
                reader = self._begun(stop)
            if self.connected and time.monotonic() - self._quiet_since > self.silence_s:
                self._cut()
        self._cut()
        if reader is not None:
            reader.join(_FAREWELL_S)  # one still looking up a name ends by itself
        self.connected = False

    def _begun(self, stop: Event) -> Thread | None:
        reader = Thread(target=self._read_on, args=(stop,), name="answers", daemon=True)
        try:
            reader.start()
        except RuntimeError:
            self.fault = _NO_THREAD
            stop.wait(self.pause_s)
            return None
        return reader

    def _cut(self) -> None:
        line = self._line
        if line is not None:
            line.cut()

    def _read_on(self, stop: Event) -> None:
        pause_s = self.pause_s
        while not stop.is_set():
            try:
                went_well = self._listen(stop)
            except RuntimeError:  # the deadline has a thread of its own
                went_well, self.fault = False, _NO_THREAD
            self.connected = False
            pause_s = self.pause_s if went_well else pause_s
            stop.wait(pause_s)
            pause_s = min(2 * pause_s, self.longest_pause_s)

    def _listen(self, stop: Event) -> bool:
        """Reads one connection to its end; whether it brought more than its opening."""
        lines_read = 0
        with Deadline(self.limits) as line, Exchange(line, self.tls) as dialogue:
            self._line = line
            try:
                if stop.is_set():  # set before `run` could see this connection
                    return False
                response = dialogue.ask(self._request())
                if response.status != _OPEN:
                    self.fault = for_later(WhyNoPush.refused, status=response.status)
                    return False
                dialogue.wait_for_ever()
                self._quiet_since = time.monotonic()
                self.connected, self.fault = True, ""
                for text in _lines(response):
                    lines_read += 1
                    self._quiet_since = time.monotonic()
                    if stop.is_set() or not self._take(text):
                        return False
                self.fault = for_later(WhyDeaf.ended)
            except (OSError, ValueError, HTTPException) as error:
                self.fault = dialogue.fault(error).reason
            finally:
                self._line = None
        return lines_read > 1

    def _request(self) -> Request:
        url = f"{self.server}/{self.topic}/json?{urlencode({'since': self.since})}"
        headers = {"Authorization": f"Bearer {self.token}"} if self.token else {}
        return Request(method="GET", url=url, headers=headers)

    def _take(self, text: bytes) -> bool:
        """Whether what this line says has been heard, or was nothing to hear."""
        event = read_event(text)
        if event.get("event") not in {None, "open"}:
            self.last_ok_monotonic = time.monotonic()
        message_id, message = event.get("id"), event.get("message", "")
        if event.get("event") == "message" and message_id:
            if not isinstance(message_id, str) or not isinstance(message, str):
                return True
            try:
                self.heard(message_id, message)
            except Exception as error:  # noqa: BLE001 - the caller's; nothing may end the reader
                self.fault = for_later(WhyDeaf.not_taken, error=type(error).__name__)
                return False
            self.since = message_id
        return True


def _lines(response: HTTPResponse) -> Iterator[bytes]:
    """The lines of a stream until it ends; an over-long one is empty."""
    fits = True
    while text := response.readline(LINE_OCTETS + 1):
        ended = text.endswith(b"\n")
        if ended:
            yield text if fits else b""
        fits = ended
