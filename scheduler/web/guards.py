"""What every request must keep: a plain path, a small body, a form of our own pages."""

import re
from collections.abc import Mapping
from urllib.parse import parse_qsl, urlsplit

from starlette.datastructures import Headers
from starlette.types import Receive, Scope

MOST_BODY_BYTES = 8192
_MOST_FIELDS = 64
_LONGEST_PATH = 512
_FORM = "application/x-www-form-urlencoded"
_ODD = re.compile(rb"%2f|%00|%5c|//|\\|/\.\.?(?:/|\Z)", re.IGNORECASE)

# Pages bring no script, style or image but their own, and can be put into no frame.
# Referrer-Policy is same-origin, not no-referrer: with that, browsers send "Origin: null" for our
# own forms (Fetch standard, "append a request Origin header"), and over plain http on a home
# network there is no Sec-Fetch-Site to go by.
PAGE_HEADERS: Mapping[str, str] = {
    "content-security-policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; "
        "connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; "
        "base-uri 'none'; frame-ancestors 'none'"
    ),
    "referrer-policy": "same-origin",
    "x-content-type-options": "nosniff",
    "x-robots-tag": "noindex",
    "cache-control": "no-store",
}


def is_plain_path(scope: Scope) -> bool:
    """Whether the path can be looked up at all: short, and without tricks of any encoding."""
    raw: bytes = scope.get("raw_path") or scope["path"].encode()
    return len(raw) <= _LONGEST_PATH and not _ODD.search(raw) and "\x00" not in scope["path"]


def is_from_elsewhere(headers: Headers, base_url: str | None) -> bool:
    """Whether a POST comes from another site: by Sec-Fetch-Site, else by Origin.

    Without either only what sends no cookie may pass: a program, not a browser.
    """
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site != "same-origin"
    origin = headers.get("origin")
    if origin is None:
        return "cookie" in headers
    # Whoever comes past the proxy, on the home network, has another address in the bar.
    host = headers.get("host")
    return origin != base_url and (not host or urlsplit(origin).netloc != host)


class BadBody(Exception):  # noqa: N818 - becomes an answer, not a fault
    """A body that is not read; `status` says why."""

    def __init__(self, status: int) -> None:
        """413 too large, 415 not a form, 400 not readable."""
        super().__init__(status)
        self.status = status


async def read_form(scope: Scope, receive: Receive) -> dict[str, list[str]]:
    """The fields of a form of at most 8 KiB; every value is one line or several, never bytes.

    Raises:
        BadBody: it is too large, no form, or not text.
    """
    headers = Headers(scope=scope)
    length = headers.get("content-length", "0")
    if not length.isdecimal():
        raise BadBody(400)
    if int(length) > MOST_BODY_BYTES:
        raise BadBody(413)
    body = bytearray()
    more = True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise BadBody(400)
        body += message.get("body", b"")
        if len(body) > MOST_BODY_BYTES:
            raise BadBody(413)
        more = message.get("more_body", False)
    kind = headers.get("content-type", _FORM).partition(";")[0].strip().lower()
    if body and (kind != _FORM or headers.get("content-encoding")):
        raise BadBody(415)
    try:
        pairs = parse_qsl(
            body.decode("utf-8"),
            keep_blank_values=True,
            max_num_fields=_MOST_FIELDS,
            encoding="utf-8",
            errors="strict",
        )
    except ValueError as error:
        raise BadBody(400) from error
    form: dict[str, list[str]] = {}
    for name, value in pairs:
        form.setdefault(name, []).append(value)
    return form
