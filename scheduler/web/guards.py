"""What every request must keep: a plain path, a small body, a form of our own pages."""

import ipaddress
import re
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import parse_qsl, urlsplit

from starlette.datastructures import Headers
from starlette.types import Receive, Scope

MOST_BODY_BYTES = 8192
_MOST_FIELDS = 64
_LONGEST_PATH = 512
_FORM = "application/x-www-form-urlencoded"
_ODD = re.compile(rb"%2f|%00|%5c|//|\\|/\.\.?(?:/|\Z)", re.IGNORECASE)


def is_plain_path(scope: Scope) -> bool:
    """Whether the path can be looked up at all: short, and without tricks of any encoding."""
    raw: bytes = scope.get("raw_path") or scope["path"].encode()
    return len(raw) <= _LONGEST_PATH and not _ODD.search(raw) and "\x00" not in scope["path"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hosts:
    """The names by which these pages are reached; another one in Host is somebody's trick.

    A stranger's page can have its own name point at this machine, and would then be same-origin.
    """

    names: frozenset[str]
    any_address: bool  # listening on every address of the machine: no name, so no such trick

    def allow(self, headers: Iterable[tuple[bytes, bytes]]) -> bool:
        """Whether every Host of the request is one of ours; a program may send none."""
        return all(self._is_ours(value) for name, value in headers if name == b"host")

    def _is_ours(self, value: bytes) -> bool:
        host = _hostname(value.decode("latin-1"))
        if host in self.names:
            return True
        try:
            address = ipaddress.ip_address(host)
        except ValueError:
            return False
        return self.any_address or address.is_loopback


def hosts_of(base_url: str | None, listen: str, machine: str) -> Hosts:
    """Those of the profile: base_url's, the one listened on, localhost; the machine's own."""
    own = _hostname(listen)
    any_address = own in {"0.0.0.0", "::"}  # noqa: S104 - read, not bound
    names = {"localhost", own}
    if base_url:
        names.add(_hostname(urlsplit(base_url).netloc))
    if any_address:
        names |= {machine.lower(), f"{machine.lower()}.local"}
    return Hosts(names=frozenset(names), any_address=any_address)


def _hostname(netloc: str) -> str:
    """The name without its port, in small letters."""
    name, colon, port = netloc.strip().rpartition(":")
    if not colon or not (port.isdecimal() or not port) or port.endswith("]"):
        name = netloc.strip()
    return name.strip("[]").rstrip(".").lower()


def is_from_elsewhere(headers: Headers, base_url: str | None, scheme: str) -> bool:
    """Whether a POST comes from another site: by Sec-Fetch-Site, else by Origin.

    `scheme` is the one by which the request came, as far as a trusted proxy tells it.

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
    return origin not in {base_url, f"{scheme}://{host}" if host else base_url}


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
