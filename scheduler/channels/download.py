"""One GET over https for something large: unpacked, bounded, sent on once within its own host."""

import ssl
import zlib
from dataclasses import replace
from http.client import HTTPException, HTTPResponse
from typing import Literal
from urllib.parse import urljoin, urlsplit

from scheduler.alerts.delivery import Outcome
from scheduler.channels.deadline import Deadline
from scheduler.channels.http import Exchange, Reply, Request

DOWNLOAD_OCTETS = 1024 * 1024
_REDIRECTS = frozenset({301, 302, 303, 307, 308})
_MOST_ASKED = 2  # the address and the one it is sent on to
_GZIP_WBITS = 31  # zlib: a gzip header and nothing else

NoDownload = Literal["not secure", "moved", "too large", "garbled"]


def download(
    request: Request, deadline: Deadline, tls: ssl.SSLContext, most_octets: int = DOWNLOAD_OCTETS
) -> Reply | NoDownload | Outcome:
    """The answer with its body unpacked, or why there is none.

    `most_octets` holds on the wire and once unpacked. A redirect is followed once, to the same
    host and port; nothing is ever asked but over https.
    """
    if urlsplit(request.url).scheme != "https":
        return "not secure"
    for _ in range(_MOST_ASKED):
        reply = _asked(request, deadline, tls, most_octets)
        if not isinstance(reply, Reply) or reply.status not in _REDIRECTS:
            return reply
        further = _within_host(request.url, reply.headers.get("Location", ""))
        if further is None:
            return "moved"
        request = replace(request, url=further)
    return "moved"


def _within_host(url: str, location: str) -> str | None:
    """Where it is sent on to; None when that is nowhere, another host or another port."""
    try:
        further = urljoin(url, location)
        old, new = urlsplit(url), urlsplit(further)
        same = (old.scheme, old.netloc.lower()) == (new.scheme, new.netloc.lower())
    except ValueError:
        return None
    return further if location and same and further != url else None


def _asked(
    request: Request, deadline: Deadline, tls: ssl.SSLContext, most_octets: int
) -> Reply | NoDownload | Outcome:
    headers = {"Accept-Encoding": "gzip", **request.headers}
    with Exchange(deadline, tls) as dialogue:
        try:
            response = dialogue.ask(replace(request, headers=headers))
            if response.status >= 300:  # noqa: PLR2004 - whose body nobody needs whole
                told = _told(response, most_octets)
                return Reply(status=response.status, headers=response.headers, body=told)
            body = response.read(most_octets + 1)
            if len(body) > most_octets:
                return "too large"
            if response.length or deadline.passed:
                return "garbled"
        except (OSError, ValueError, HTTPException) as error:
            return dialogue.fault(error)
        body_or_not = unpacked(body, response.headers.get("Content-Encoding", ""), most_octets)
        if not isinstance(body_or_not, bytes):
            return body_or_not
        return Reply(status=response.status, headers=response.headers, body=body_or_not)


def _told(response: HTTPResponse, most_octets: int) -> bytes:
    """What a refusal says of itself, or nothing: it is understood without."""
    try:
        told = unpacked(
            response.read(most_octets), response.headers.get("Content-Encoding", ""), most_octets
        )
    except (OSError, ValueError, HTTPException):
        return b""
    return told if isinstance(told, bytes) else b""


def unpacked(
    body: bytes, encoding: str, most_octets: int
) -> bytes | Literal["too large", "garbled"]:
    """The body as it was before the server packed it; it never unpacks more than `most_octets`."""
    match encoding.strip().lower():
        case "" | "identity":
            return body
        case "gzip" | "x-gzip":
            pass
        case _:
            return "garbled"
    unpacker = zlib.decompressobj(_GZIP_WBITS)
    try:
        whole = unpacker.decompress(body, most_octets + 1)
    except zlib.error:
        return "garbled"
    if len(whole) > most_octets:
        return "too large"
    return whole if unpacker.eof and not unpacker.unused_data else "garbled"
