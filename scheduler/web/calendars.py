"""Calendars and tonight's times by token: one small ASGI callable, answered from memory.

A known address gets 200 or 304 whatever else is wrong, and is never limited; only misses are.
A read writes nothing.
"""

import asyncio
import gzip
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from email.utils import format_datetime, parsedate_to_datetime
from hashlib import sha256

from starlette.types import Receive, Scope, Send

from scheduler.feeds.feed_names import FeedName
from scheduler.service.calendars.calendar_files import Bytes
from scheduler.service.people.access import Pass, file_name, pass_of
from scheduler.web.early_refusals import PAGE_ONLY, PLAIN, TOO_MANY, TurnedAway, line
from scheduler.web.rate_limit import Misses
from scheduler.wording.web.refusals import ToPrograms

PREFIX = "/calendar/"
Headers = list[tuple[bytes, bytes]]
_GZIP_LEVEL = 6
_MOST_KEPT = 64  # calendars as they were last handed out
_LOOK_EVERY_S = 0.25
_LOOKS = 60
_PARTS = 4  # "", "calendar", token, file
Dress = Callable[[Pass, Bytes], Bytes]  # puts in a person's links and alarms
_NOT_AT_ALL = {b"q=0", b"q=0.0", b"q=0.00", b"q=0.000"}


@dataclass(frozen=True, slots=True)
class Form:
    """One run of bytes with its headers, and those that say that it is unchanged."""

    body: bytes
    headers: Headers
    unchanged: Headers


@dataclass(frozen=True, slots=True)
class Served:
    """One calendar ready for the wire, plain and packed."""

    etag: bytes
    changed_s: int
    plain: Form
    packed: Form


def ready(found: Bytes, file_name: str) -> Served:
    """The calendar with every header, and packed.

    A strong tag is of one run of bytes (RFC 9110 8.8.3), so the packed calendar has its own.
    """
    value = sha256(found.content).hexdigest()[:32].encode()
    etag = b'"' + value + b'"'
    validators: Headers = [
        (b"last-modified", format_datetime(found.changed_at, usegmt=True).encode()),
        (b"cache-control", b"private, no-cache"),
        (b"vary", b"Accept-Encoding"),
        (b"referrer-policy", b"no-referrer"),
        (b"x-robots-tag", b"noindex"),
        (b"x-content-type-options", b"nosniff"),
    ]
    shown: Headers = [
        (b"content-type", b"text/calendar; charset=utf-8"),
        (b"content-disposition", b'inline; filename="' + file_name.encode("ascii") + b'"'),
    ]

    def form(body: bytes, tag: bytes, encoding: Headers) -> Form:
        length = (b"content-length", str(len(body)).encode())
        unchanged = [(b"etag", tag), *validators]
        return Form(body, [length, *encoding, *shown, *unchanged], unchanged)

    packed = gzip.compress(found.content, _GZIP_LEVEL, mtime=0)
    return Served(
        etag=etag,
        changed_s=int(found.changed_at.timestamp()),
        plain=form(found.content, etag, []),
        packed=form(packed, b'"' + value + b'-gzip"', [(b"content-encoding", b"gzip")]),
    )


class Calendars:
    """Answers every path under /calendar/ from what it was last told to serve."""

    def __init__(self, misses: Misses) -> None:
        self._misses = misses
        self._site_name = ""
        self._dress: Dress = lambda _, found: found
        self._found: Mapping[FeedName, Bytes] = {}
        self._handed_out: dict[str, Served] = {}
        self.passes: Mapping[bytes, Pass] = {}

    def serve(
        self,
        passes: Mapping[bytes, Pass],
        found: Mapping[FeedName, Bytes],
        site_name: str,
        dress: Dress,
    ) -> None:
        """Takes over addresses and calendars; one that cannot be read is served as it was."""
        feeds = {one.feed for one in passes.values()}
        before = {name: one for name, one in self._found.items() if name in feeds}
        self._found = {**before, **found}
        self._dress, self._site_name = dress, site_name
        self.passes, self._handed_out = passes, {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        del receive
        parts = scope["path"].split("/")
        known = None
        if len(parts) == _PARTS and parts[3].endswith(".ics"):
            known = pass_of(self.passes, parts[2])
        if known is None or known.kind != "calendar":
            await missed(scope, send, self._misses)
            return
        if scope["method"] not in {"GET", "HEAD"}:
            await answer(send, 405, b"", [(b"allow", b"GET, HEAD")])
            return
        if known.ended:
            await answer(send, 410, line(ToPrograms.ended))
            return
        if known.asked_of:  # a program that is told 404 keeps what it has, and asks again
            await answer(send, 404, line(ToPrograms.asked_of))
            return
        served = await self._made(known)
        if served is None:
            await answer(send, 503, line(ToPrograms.not_ready), [(b"retry-after", b"10")])
            return
        await _answer(scope, send, served)

    async def _made(self, known: Pass) -> Served | None:
        """The calendar; in the first seconds of a new house it is waited for."""
        for _ in range(_LOOKS):
            if served := self._handed_out.get(known.token):
                return served
            if found := self._found.get(known.feed):
                return await self._dressed(known, found)
            await asyncio.sleep(_LOOK_EVERY_S)
        return None

    async def _dressed(self, known: Pass, found: Bytes) -> Served:
        """With the person's links and alarms; kept until something changes."""
        kept, dress, name = self._handed_out, self._dress, file_name(known, self._site_name)
        served = await asyncio.to_thread(lambda: ready(dress(known, found), name))
        if len(kept) >= _MOST_KEPT:
            kept.clear()
        kept[known.token] = served
        return served


async def missed(scope: Scope, send: Send, misses: Misses) -> None:
    """404, and 429 for a source that misses too often: unknown and expired look the same."""
    source = scope["client"][0] if scope.get("client") else ""
    if misses.add(source):
        await answer(send, 404, line(ToPrograms.not_found))
    else:
        await turn_away(scope, send, 429, TOO_MANY, [(b"retry-after", b"60")])


async def turn_away(
    scope: Scope, send: Send, status: int, told: TurnedAway, more: Headers | None = None
) -> None:
    """The line or the page, whichever the request takes."""
    kind, body = told.to(scope["headers"])
    await answer(send, status, body, [*(more or []), PAGE_ONLY], kind)


async def answer(
    send: Send, status: int, body: bytes, more: Headers | None = None, kind: bytes = PLAIN
) -> None:
    """A short answer, in plain text if nothing else is said."""
    headers: Headers = [
        (b"content-type", kind),
        (b"content-length", str(len(body)).encode()),
        (b"cache-control", b"no-store"),
        (b"referrer-policy", b"no-referrer"),
        (b"x-content-type-options", b"nosniff"),
    ]
    headers += more or []
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


async def _answer(scope: Scope, send: Send, served: Served) -> None:
    asked = dict(scope["headers"])  # of a header sent twice the last
    if tag := asked.get(b"if-none-match"):
        unchanged = _matches(tag, served.etag)
    else:
        unchanged = _not_since(asked.get(b"if-modified-since", b""), served.changed_s)
    form = served.packed if _takes_gzip(asked.get(b"accept-encoding", b"")) else served.plain
    status, headers = (304, form.unchanged) if unchanged else (200, form.headers)
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": b"" if unchanged else form.body})


def _matches(given: bytes, etag: bytes) -> bool:
    """Weak comparison; proxies that pack add "-gzip" to the tag."""
    if given == etag or given.strip() == b"*":
        return True
    return any(
        one.strip().removeprefix(b"W/").replace(b'-gzip"', b'"') == etag
        for one in given.split(b",")
    )


def _not_since(given: bytes, changed_s: int) -> bool:
    try:
        return parsedate_to_datetime(given.decode("latin-1")).timestamp() >= changed_s
    except (ValueError, OverflowError):
        return False


def _takes_gzip(accepts: bytes) -> bool:
    for one in accepts.split(b","):
        name, _, quality = one.partition(b";")
        if name.strip().lower() in {b"gzip", b"x-gzip"}:
            return quality.replace(b" ", b"").lower() not in _NOT_AT_ALL
    return False
