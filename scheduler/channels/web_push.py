"""Phone: a message of our own, over the push service of somebody's browser (RFC 8030)."""

import ssl
from collections.abc import Callable, Collection
from dataclasses import KW_ONLY, dataclass, field
from datetime import datetime
from secrets import token_bytes
from typing import TYPE_CHECKING, ClassVar

from scheduler.alerts.delivery import ChannelName, Outcome, OutcomeKind, Outgoing
from scheduler.alerts.phone import Subscription
from scheduler.channels.deadline import USUAL, Deadline, Limits
from scheduler.channels.http import Reply, Request, exchange
from scheduler.channels.phone_message import (
    PADDED_TO,
    TEXT_OCTETS,
    is_urgent,
    padded_octets,
    tag_of,
    text_of,
    ttl_s,
)
from scheduler.channels.push_services import host_of, is_outside, problem_of
from scheduler.tokens.base64url import decoded
from scheduler.wording.channels.phone_words import WhyNotRung, WhyNotSubscribed
from scheduler.wording.told_later import for_later
from scheduler.wording.words import Words

if TYPE_CHECKING:
    from scheduler.channels.web_push_seal import Sender

_TOO_LARGE = 413
_STATUS: dict[int, tuple[OutcomeKind, Words]] = {
    401: ("misconfigured", WhyNotRung.not_let_in),  # our key, never the phone: RFC 8292 §4.2
    403: ("misconfigured", WhyNotRung.not_let_in),
    404: ("bad address", WhyNotRung.gone),  # RFC 8030 §7.3
    410: ("bad address", WhyNotRung.gone),
    _TOO_LARGE: ("permanent", WhyNotRung.too_long),
}


@dataclass(slots=True)
class PhoneChannel:
    """Rings a phone, whose id is the address; `subscription_of` knows it, or not any more.

    `private` and `public` are the pair that browsers were asked with; `subject` is where the
    operator is found, an address of https or mailto. `receipt_of` makes what the phone sends home
    once it has shown the message. `more_hosts` are the profile's push services. `reaches` says
    to which IP addresses anything may be sent.
    """

    _: KW_ONLY
    subscription_of: Callable[[str], Subscription | None]
    private: bytes = field(repr=False)
    public: str
    subject: str
    receipt_of: Callable[[Outgoing], str]
    now: Callable[[], datetime]
    more_hosts: Collection[str] = ()
    limits: Limits = USUAL
    tls: ssl.SSLContext = field(default_factory=ssl.create_default_context)
    reaches: Callable[[str], bool] = is_outside
    name: ClassVar[ChannelName] = "phone"
    _sender: "Sender | None" = field(default=None, init=False, repr=False)

    def destination(self, address: str) -> str:
        """The push service of that phone's browser; a phone that nobody knows is one of its own."""
        subscription = self.subscription_of(address)
        return host_of(subscription.endpoint) if subscription else address

    def deliver(self, outgoing: Outgoing) -> Outcome:
        """What the push service says of it; it can neither hold a message nor take it back."""
        if outgoing.operation != "send":
            return Outcome("permanent", for_later(WhyNotRung.no_hold))
        subscription = self.subscription_of(outgoing.address)
        if subscription is None:
            return Outcome("bad address", for_later(WhyNotRung.no_such))
        if problem := problem_of(subscription, self.more_hosts):
            # A service that was taken out of the profile may come back: no phone ends for it.
            ours = problem is WhyNotSubscribed.unknown_service
            return Outcome("misconfigured" if ours else "bad address", for_later(problem))
        if subscription.key_id != self.public:
            return Outcome("misconfigured", for_later(WhyNotRung.other_key))
        try:
            with Deadline(self.limits, self.reaches) as deadline:
                return self._pushed(outgoing, subscription, deadline)
        except ImportError as error:  # there is no `cryptography` for every machine
            why = for_later(WhyNotRung.not_installed, error=type(error).__name__)
            return Outcome("misconfigured", why)

    def _pushed(self, outgoing: Outgoing, to: Subscription, deadline: Deadline) -> Outcome:
        """One message; a second, shorter one when the service finds it too long."""
        text = self._text(outgoing, TEXT_OCTETS)
        try:
            answer = exchange(self._request(outgoing, to, text), deadline, self.tls)
            is_too_large = isinstance(answer, Reply) and answer.status == _TOO_LARGE
            if is_too_large and len(text) > PADDED_TO:
                short = self._request(outgoing, to, self._text(outgoing, PADDED_TO))
                answer = exchange(short, deadline, self.tls)
        except _NoPointError:
            return Outcome("bad address", for_later(WhyNotSubscribed.no_key))
        return answer if isinstance(answer, Outcome) else self._meaning(answer)

    def _text(self, outgoing: Outgoing, most: int) -> bytes:
        # A browser shows nothing by itself that does not say what a tap opens.
        home = self.subject if self.subject.startswith("https:") else "/"
        receipt = self.receipt_of(outgoing)
        return text_of(outgoing, receipt=receipt, home=home, now=self.now(), most=most)

    def _request(self, outgoing: Outgoing, to: Subscription, text: bytes) -> Request:
        from scheduler.channels.web_push_seal import (  # noqa: PLC0415 - imports `cryptography`
            SALT_OCTETS,
            Sender,
            new_ephemeral,
            sealed,
        )

        if self._sender is None:
            self._sender = Sender(self.private, self.public, self.subject)
        now = self.now()
        try:
            body = sealed(
                text,
                p256dh=decoded(to.p256dh) or b"",
                auth=decoded(to.auth) or b"",
                ephemeral=new_ephemeral(),
                salt=token_bytes(SALT_OCTETS),
                padded_to=padded_octets(len(text)),
            )
        except ValueError as error:
            raise _NoPointError from error
        headers = {
            "TTL": str(ttl_s(outgoing.message, now)),
            "Urgency": "high" if is_urgent(outgoing) else "normal",
            "Topic": tag_of(outgoing),
            "Content-Encoding": "aes128gcm",
            "Content-Type": "application/octet-stream",
            "Authorization": self._sender.authorization(to.endpoint, now),
        }
        return Request(method="POST", url=to.endpoint, headers=headers, body=body)

    def _meaning(self, answer: Reply) -> Outcome:
        status = answer.status
        if answer.ok:
            return Outcome("sent")
        if status < 400:  # noqa: PLR2004 - a redirect
            return Outcome("misconfigured", for_later(WhyNotRung.moved, status=status))
        if status == 429 or status >= 500:  # noqa: PLR2004 - too many requests; its own fault
            busy = for_later(WhyNotRung.busy, status=status)
            return Outcome("transient", busy, retry_after_s=answer.retry_after_s(self.now()))
        kind, why = _STATUS.get(status, ("permanent", WhyNotRung.refused))
        return Outcome(kind, for_later(why, status=status))


class _NoPointError(Exception):
    """What a browser gave as its key is no point of the curve."""
