"""Push: ntfy's published HTTP interface, spoken as JSON."""

import json
import re
import ssl
from collections.abc import Callable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, ClassVar
from urllib.parse import urlencode, urlsplit

from scheduler.alerts.delivery import LOUD, ChannelName, Outcome, Outgoing
from scheduler.alerts.held_messages import RINGS_AGAIN_AFTER
from scheduler.channels.budget import KEPT_FOR_MESSAGES, Budget
from scheduler.channels.deadline import USUAL, Deadline, Limits
from scheduler.channels.http import ANSWER_OCTETS, Reply, Request, exchange
from scheduler.channels.ntfy_message import content, read_event
from scheduler.wording.channels.why_not_sent import WhyNoPush
from scheduler.wording.told_later import for_later

SHORTEST_HOLD = timedelta(seconds=10)  # ntfy docs/publish.md, scheduled delivery
SHORT_BODY_CHARACTERS = 1000  # what a server that says 413 is offered instead
PROBE_ID = "duskfold-probe"
_PROBE_HOLD = timedelta(hours=1)
_TOPIC = re.compile(r"[-_A-Za-z0-9]{1,64}")
_CANNOT_CANCEL = Outcome("permanent", for_later(WhyNoPush.cannot_cancel))
_STILL_THERE = Outcome("transient", for_later(WhyNoPush.still_there))
_LEEWAY_S = 120  # between its clock and ours
_NOT_FOUND = 404
_TOO_LARGE = 413
_REFUSED = {"bad address", "misconfigured"}
# A push server gives access by topic and by who asks: a refusal says nothing of the next topic.
_STATUS = {
    401: Outcome("bad address", for_later(WhyNoPush.other_token)),
    403: Outcome("bad address", for_later(WhyNoPush.not_let_in)),
    _NOT_FOUND: Outcome("bad address", for_later(WhyNoPush.no_topic)),
    _TOO_LARGE: Outcome("permanent", for_later(WhyNoPush.too_long)),
}


@dataclass(slots=True)
class PushChannel:
    """Publishes to a person's topic; buttons answer to `return_topic` on the same server.

    `tokens` and `button_tokens` are by server ("https://push.example.net"); a button token ends up
    on phones, so it should be allowed to write to the return topic and nothing else.
    """

    tokens: Mapping[str, str] = field(repr=False)
    return_topic: str = field(repr=False)
    now: Callable[[], datetime]
    _: KW_ONLY
    button_tokens: Mapping[str, str] = field(default_factory=dict, repr=False)
    limits: Limits = USUAL
    tls: ssl.SSLContext = field(default_factory=ssl.create_default_context)
    name: ClassVar[ChannelName] = "push"
    _takes_back: dict[str, bool] = field(default_factory=dict, init=False, repr=False)
    _budgets: dict[str, Budget] = field(default_factory=dict, init=False, repr=False)

    def destination(self, address: str) -> str:
        """The push server of the topic."""
        return address.rpartition("/")[0].lower()

    def deliver(self, outgoing: Outgoing) -> Outcome:
        """What came of publishing, holding or taking back; all its requests share one deadline."""
        if not _usable(outgoing.address):
            return Outcome("bad address", for_later(WhyNoPush.bad_topic))
        server, _, topic = outgoing.address.rpartition("/")
        budget = self._budgets.setdefault(server, Budget())
        if wait_s := _patience_s(budget, outgoing, self.now()):
            return Outcome("transient", for_later(WhyNoPush.not_now), retry_after_s=wait_s)
        with Deadline(self.limits) as deadline:
            visit = _Visit(self, server, topic, deadline, budget)
            match outgoing.operation:
                case "send":
                    return visit.publish(outgoing)
                case "hold":
                    return visit.hold(outgoing)
                case "cancel":
                    target_id = outgoing.message.target_id
                    if outgoing.message.rings_at is None:
                        return visit.take_back(topic, target_id, held=False)
                    return visit.take_back(topic, target_id, _again(target_id), held=True)


@dataclass(slots=True)
class _Visit:
    """The requests of one delivery to one server."""

    channel: PushChannel
    server: str
    topic: str
    deadline: Deadline
    budget: Budget

    def publish(self, outgoing: Outgoing, ring_at: datetime | None = None) -> Outcome:
        """One message; a second, shorter one when the server finds it too long."""
        channel, server = self.channel, self.server
        text = content(
            outgoing,
            topic=self.topic,
            answers_to=f"{server}/{channel.return_topic}",
            button_token=channel.button_tokens.get(server, ""),
        )
        if ring_at is not None:
            text["delay"] = str(round(ring_at.timestamp()))
        answer = self._post(text)
        body: str = text["message"]
        is_too_large = isinstance(answer, Reply) and answer.status == _TOO_LARGE
        if is_too_large and len(body) > SHORT_BODY_CHARACTERS:
            text["message"] = body[: SHORT_BODY_CHARACTERS - 1] + "…"
            answer = self._post(text)
        return self._meaning(answer, published=True)

    def hold(self, outgoing: Outgoing) -> Outcome:
        """A message that rings later, and once more, on a server that proved it takes one back.

        Two messages for the server and one for everybody else: both are put off and taken back.
        """
        rings_at, now = outgoing.message.rings_at, self.channel.now()
        if rings_at is None or rings_at - now < SHORTEST_HOLD:
            return Outcome("permanent", for_later(WhyNoPush.too_late))
        able = self.channel._takes_back  # noqa: SLF001 - the memory of the channel this serves
        if self.server not in able:
            proof = self._probe(now)
            if proof.kind == "bad address":  # of the topic for answers, not of this person's
                return Outcome("misconfigured", proof.reason)
            if proof.kind not in {"sent", "permanent"}:
                return proof
            able[self.server] = proof.kind == "sent"
        if not able[self.server]:
            return _CANNOT_CANCEL
        first = self.publish(outgoing, rings_at)
        if first.kind == "sent":
            second = replace(outgoing, message_id=_again(outgoing.message_id))
            again = self.publish(second, rings_at + RINGS_AGAIN_AFTER)
            if again.kind in {"transient", "unknown"}:
                # Both once more: what lies there from before would ring at its old time.
                wait_s = again.retry_after_s
                return Outcome("transient", again.reason, retry_after_s=wait_s)
        return first

    def _probe(self, now: datetime) -> Outcome:
        """Sent: a held message can be taken back. Permanent: it cannot. Else: not known yet."""
        topic = self.channel.return_topic
        delay = str(round((now + _PROBE_HOLD).timestamp()))
        probe = {"topic": topic, "message": "probe", "sequence_id": PROBE_ID, "delay": delay}
        outcome = self._meaning(self._post(probe), published=True)
        if outcome.kind == "sent":
            outcome = self.take_back(topic, PROBE_ID, held=True)
            if outcome == _STILL_THERE or outcome.kind in _REFUSED:
                return _CANNOT_CANCEL
        # The message itself is not under way yet, so nothing is unknown about it.
        is_unknown = outcome.kind == "unknown"
        return Outcome("transient", outcome.reason) if is_unknown else outcome

    def take_back(self, topic: str, *target_ids: str, held: bool) -> Outcome:
        """Sent when each of the messages is gone; permanent where the server cannot do that.

        The server says so of any id, so a `held` one counts as gone only when the server's own
        list of what is still to come has it no more.
        """
        if not all(map(_TOPIC.fullmatch, target_ids)):
            return Outcome("permanent", for_later(WhyNoPush.nothing_held))
        for target_id in target_ids:
            url = f"{self.server}/{topic}/{target_id}"
            answer = self._ask(Request(method="DELETE", url=url, headers=self._authority()))
            if isinstance(answer, Reply) and answer.status == _NOT_FOUND:
                return Outcome("permanent", for_later(WhyNoPush.takes_nothing_back))
            outcome = self._meaning(answer, published=False)
            if outcome.kind != "sent":
                return outcome
        return self._gone(topic, target_ids) if held else Outcome("sent")

    def _gone(self, topic: str, target_ids: Sequence[str]) -> Outcome:
        """Whether the server's list of what is to come has none of those messages any more."""
        now_s = self.channel.now().timestamp()
        # By the time at which each is to ring: what has rung long ago is left out.
        query = urlencode({"poll": "1", "scheduled": "1", "since": str(round(now_s) - _LEEWAY_S)})
        url = f"{self.server}/{topic}/json?{query}"
        answer = self._ask(Request(method="GET", url=url, headers=self._authority()))
        outcome = self._meaning(answer, published=False)
        if outcome.kind == "bad address":
            return Outcome("sent", for_later(WhyNoPush.no_look))
        if not isinstance(answer, Reply) or outcome.kind != "sent":
            return outcome
        if len(answer.body) >= ANSWER_OCTETS:
            return Outcome("transient", for_later(WhyNoPush.long_list))
        if any(is_to_come(answer.body, target_id, now_s) for target_id in target_ids):
            return _STILL_THERE
        return Outcome("sent")

    def _authority(self) -> dict[str, str]:
        token = self.channel.tokens.get(self.server)
        return {"Authorization": f"Bearer {token}"} if token else {}

    def _post(self, content: Mapping[str, Any]) -> Reply | Outcome:
        # As UTF-8: the server reads at most 8 KiB of JSON, and escapes would treble an emoji.
        body = json.dumps(content, ensure_ascii=False).encode("utf-8", "replace")
        headers = {"Content-Type": "application/json", **self._authority()}
        url = f"{self.server}/"
        return self._ask(Request(method="POST", url=url, headers=headers, body=body))

    def _ask(self, request: Request) -> Reply | Outcome:
        self.budget.spend(self.channel.now())
        return exchange(request, self.deadline, self.channel.tls)

    def _meaning(self, answer: Reply | Outcome, *, published: bool) -> Outcome:
        if isinstance(answer, Outcome):
            return answer
        if answer.ok:
            if not published or read_event(answer.body).get("id"):
                return Outcome("sent")
            return Outcome("misconfigured", for_later(WhyNoPush.not_push))
        status = answer.status
        if status == 429 or status >= 500:  # noqa: PLR2004 - too many requests; its own fault
            wait_s = answer.retry_after_s(self.channel.now())
            if status == 429:  # noqa: PLR2004 - as above
                self.budget.refused(self.channel.now(), wait_s)
            busy = for_later(WhyNoPush.busy, status=status)
            return Outcome("transient", busy, retry_after_s=wait_s)
        if status < 400:  # noqa: PLR2004 - a redirect
            return Outcome("misconfigured", for_later(WhyNoPush.moved, status=status))
        refused = Outcome("permanent", for_later(WhyNoPush.refused, status=status))
        return _STATUS.get(status, refused)


def _again(message_id: str) -> str:
    """The id of the message that rings a held one once more."""
    return f"{message_id}-again" if message_id else ""


def _patience_s(budget: Budget, outgoing: Outgoing, now: datetime) -> float:
    """How long it has to wait so that messages go first, what still rings next, then the rest."""
    if outgoing.operation == "send":
        # Whoever has to go to the door is told as soon as the server takes it again.
        return 0.0 if outgoing.message.priority >= LOUD else budget.asked_to_wait_s(now)
    rings = outgoing.message.rings_at is not None
    return budget.wait_s(now, KEPT_FOR_MESSAGES if rings else 2 * KEPT_FOR_MESSAGES)


def is_to_come(lines: bytes, target_id: str, now_s: float) -> bool:
    """Whether a server's list has a message of that id that is still to come."""
    return any(
        one.get("event") == "message"
        and target_id in (one.get("sequence_id"), one.get("id"))  # whatever they are
        and isinstance(at := one.get("time"), int | float)
        and at > now_s
        for one in map(read_event, lines.splitlines())
    )


def _usable(address: str) -> bool:
    """Whether this is scheme://host[:port]/topic, without a password or anything else."""
    server, _, topic = address.rpartition("/")
    try:
        url = urlsplit(server)
        named = bool(url.hostname) and url.port != 0
    except ValueError:
        return False
    plain = server.isascii() and server.isprintable() and " " not in server
    whole = named and plain and url.scheme in {"http", "https"} and not url.path
    return whole and not set("@?#") & set(server) and bool(_TOPIC.fullmatch(topic))
