"""One question to a weather service: what its status, headers and silence mean."""

import ssl
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from email.message import Message
from http import HTTPStatus

from scheduler.alerts.delivery import Outcome
from scheduler.channels.deadline import Deadline, Limits
from scheduler.channels.download import DOWNLOAD_OCTETS, download
from scheduler.channels.http import Reply, Request, http_date
from scheduler.sources.forecast_port import Answer, Fresh, RefusalKind, Refused, Unchanged, refused

DAY_S = 86_400.0
ROUND_LIMITS = Limits(total_s=20.0, connect_s=8.0, reply_s=15.0)  # 20 s in all, one try a round
_LONGEST_TRUSTED = timedelta(days=1)  # what an Expires beyond this says is a fault
_MODIFIED_LETTERS = 64

_USABLE = frozenset({HTTPStatus.OK, HTTPStatus.NON_AUTHORITATIVE_INFORMATION})
# MET Norway's terms of service and status codes (read in its stored documentation): 203 is
# deprecated or beta, 403 is for good, 422 is outside the area, 429 is too much.
_NOT_NOW: Mapping[int, tuple[RefusalKind, float | None]] = {
    HTTPStatus.BAD_REQUEST: ("not understood", DAY_S),
    HTTPStatus.NOT_FOUND: ("outside", DAY_S),
    HTTPStatus.UNPROCESSABLE_ENTITY: ("outside", DAY_S),
}
_LEAST_OF_SERVER_FAULTS = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """With which trust, for how long and how much a source may ask."""

    tls: ssl.SSLContext = field(default_factory=ssl.create_default_context, repr=False)
    limits: Limits = ROUND_LIMITS
    most_octets: int = DOWNLOAD_OCTETS

    def round(self) -> Deadline:
        """The one deadline of all that a source asks in one round."""
        return Deadline(self.limits)


def got(
    request: Request,
    client: Client,
    line: Deadline,
    now: datetime,
    *,
    waits: Callable[[bytes], float | None] | None = None,
) -> Answer:
    """What the service answers to this one request; it raises nothing.

    `waits` reads from the text of a 429 how long it wants to be left alone.
    """
    try:
        reply = download(request, line, client.tls, client.most_octets)
    except RuntimeError:  # no room for the thread that looks a name up
        return refused("broken")
    if isinstance(reply, Outcome):
        return Refused(kind="no connection", reason=reply.reason)
    if not isinstance(reply, Reply):
        return refused(reply)
    answer = meaning(reply, now, had_copy="If-Modified-Since" in request.headers)
    if isinstance(answer, Refused) and answer.kind == "throttled" and waits:
        return replace(answer, retry_after_s=answer.retry_after_s or waits(reply.body))
    return answer


def meaning(reply: Reply, now: datetime, *, had_copy: bool) -> Answer:
    """What the reply means; `had_copy`: it was asked for news only."""
    status = reply.status
    if status in _USABLE:
        return Fresh(
            body=reply.body,
            last_modified=_modified(reply.headers),
            expires=expires(reply.headers, now),
            deprecated=status == HTTPStatus.NON_AUTHORITATIVE_INFORMATION,
        )
    if status == HTTPStatus.NOT_MODIFIED:
        return Unchanged(expires=expires(reply.headers, now)) if had_copy else refused("no copy")
    if status == HTTPStatus.FORBIDDEN:
        return refused("not let in", until_restart=True)
    if status == HTTPStatus.TOO_MANY_REQUESTS:
        return refused("throttled", reply.retry_after_s(now, DAY_S))
    if status >= _LEAST_OF_SERVER_FAULTS:
        return refused("broken", reply.retry_after_s(now, DAY_S))
    kind, wait_s = _NOT_NOW.get(status, ("strange", None))
    return refused(kind, wait_s)


def expires(headers: Message, now: datetime) -> datetime | None:
    """Until when the answer stands: by max-age, else by Expires; None when neither is told.

    Expires counts from the server's own Date, so a wrong clock on either side does no harm.
    """
    for part in headers.get("Cache-Control", "").lower().split(","):
        name, _, value = part.strip().partition("=")
        if name == "max-age" and value.isascii() and value.isdigit():
            return now + min(timedelta(seconds=float(value[:9])), _LONGEST_TRUSTED)
    until = http_date(headers.get("Expires", ""))
    if until is None:
        return None
    stands = until - (http_date(headers.get("Date", "")) or now)
    return now + min(max(stands, timedelta(0)), _LONGEST_TRUSTED)


def _modified(headers: Message) -> str:
    """Letter by letter as it came; "" where it could not be sent back."""
    text = str(headers.get("Last-Modified", ""))
    fits = len(text) <= _MODIFIED_LETTERS and text.isascii() and text.isprintable()
    return text if fits else ""
