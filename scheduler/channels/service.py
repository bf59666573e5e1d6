"""Every other service, through apprise; an optional extra."""

import importlib.util
import logging
from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field
from typing import ClassVar

from scheduler.alerts.delivery import ChannelName, Outcome, Outgoing
from scheduler.channels.deadline import USUAL, Limits, bounded
from scheduler.channels.wire_text import lines, one_line
from scheduler.wording.channels.why_not_sent import WhyNoService
from scheduler.wording.told_later import for_later

_MARGIN = 16  # characters that apprise may put between a title and a body, or keep free there


@dataclass(slots=True)
class ServiceChannel:
    """Sends through the service whose *name* is the address; `addresses` gives its apprise URL.

    The URL is a secret and stands in no outcome and no log. Only apprise 2 is understood.
    """

    addresses: Mapping[str, str] = field(repr=False)
    _: KW_ONLY
    limits: Limits = USUAL
    name: ClassVar[ChannelName] = "service"

    def destination(self, address: str) -> str:
        """Each service is one of its own."""
        return address

    def deliver(self, outgoing: Outgoing) -> Outcome:
        """What apprise says came of it; services can neither hold a message nor take it back."""
        if outgoing.operation != "send":
            return Outcome("permanent", for_later(WhyNoService.no_hold))
        url = self.addresses.get(outgoing.address)
        if not url:
            return Outcome("misconfigured", for_later(WhyNoService.no_such))
        if importlib.util.find_spec("apprise") is None:
            return Outcome("misconfigured", for_later(WhyNoService.install))
        try:
            # Not apprise's own time limit: it abandons the call in a pool of few threads, which
            # a peer that never ends fills for good, and which the program would wait for at exit.
            return bounded(lambda: _notified(url, outgoing), self.limits.total_s)
        except TimeoutError:
            return Outcome("unknown", for_later(WhyNoService.too_slow))
        except Exception as error:  # noqa: BLE001 - plug-ins raise anything; the port raises nothing
            failed = for_later(WhyNoService.plugin_failed, error=type(error).__name__)
            return Outcome("permanent", failed)


def _notified(url: str, outgoing: Outgoing) -> Outcome:
    import apprise  # noqa: PLC0415 - an optional extra that takes long to import

    for name in ("apprise", "urllib3"):  # they write topics, tokens and whole addresses
        logging.getLogger(name).setLevel(logging.CRITICAL)
    asset = apprise.AppriseAsset(
        app_id="Duskfold",
        http_redirects=False,
        image_url_mask="",  # no icon from somebody else's server
        image_url_logo="",
        service_timeout=0,  # see ServiceChannel.deliver
    )
    # A new object for each message: one object waits seconds between its messages.
    service = apprise.Apprise.instantiate(url, asset=asset)
    sender = apprise.Apprise(asset=asset)
    if service is None or not sender.add(service):
        return Outcome("misconfigured", for_later(WhyNoService.unknown))
    service.overflow_mode = apprise.OverflowMode.TRUNCATE
    title = one_line(outgoing.message.title)
    title_room = max(len(title), service.title_maxlen)
    apart = service.title_maxlen > 0 and not service.overflow_amalgamate_title
    body = _body(outgoing, service.body_maxlen - (0 if apart else title_room))
    result = sender.notify(body=body, title=title, body_format=apprise.NotifyFormat.TEXT)
    match result.status.name:
        case "SUCCESS":
            return Outcome("sent")
        case "NOMATCH":
            return Outcome("misconfigured", for_later(WhyNoService.nobody))
        case "FAILURE":
            return Outcome("transient", for_later(WhyNoService.refused))
        case _:  # PARTIAL, TIMEOUT, and what later versions invent
            return Outcome("unknown", for_later(WhyNoService.perhaps))


def _body(outgoing: Outgoing, room: int) -> str:
    """The body and the link; it is the body that gets shorter. An empty one would be refused."""
    link = one_line(outgoing.message.link)
    body = lines(outgoing.message.body).strip() or one_line(outgoing.message.title)
    most = max(room - len(link) - _MARGIN, 1)
    if len(body) > most:
        body = body[: most - 1] + "…"
    return f"{body}\n{link}" if link else body
