"""Status: can the reminders be relied on? In plain words, with a button to try them."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Protocol

from scheduler.machine.clock import Readings
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized
from scheduler.service.agree_clock import agree_clock
from scheduler.service.health import health_words
from scheduler.service.health.forecast_request import forecast_requests, sent_to
from scheduler.service.health.report_health import Health, report_health
from scheduler.service.people.test_message import Tried
from scheduler.web.request_and_answer import Answer, Visit, ask, go
from scheduler.wording.spoken import long_day_with_year
from scheduler.wording.told_later import told
from scheduler.wording.web.status import AgreeOnClock, TestedWays, TestSent
from scheduler.wording.words import every

_KEPT_FOR = timedelta(seconds=5)


class SendTest(Protocol):
    """Sends a person a test over each of their ways, or to one of their phones alone."""

    def __call__(
        self, profile: Profile, person_id: str, phone_id: str | None = None
    ) -> list[Tried]:
        """What came of each; an OSError where the key cannot be read."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedLine:
    """What came of a test over one way, as the page says it."""

    text: str
    arrived: bool = False


@dataclass(slots=True)
class Status:
    """The health, read anew after five seconds, and whenever something has changed."""

    send_test: SendTest
    read: Callable[[], Readings]
    _health: Health | None = None
    _at: datetime | None = None
    _known: object = None
    _tried: dict[str, list[TriedLine]] = field(default_factory=dict)  # by person

    def show(self, visit: Visit) -> Answer:
        """The page, with what came of whoever's test where that was just sent."""
        health = self._current(visit)
        facts = {
            "is_well": not visit.warnings,
            "sentences": health_words.on_a_page(health, visit.warnings),
            "clock_doubted": _is_doubted(visit),
            "cautions": health_words.cautions_on_a_page(health),
            "doors": health_words.doors(health),
            "if_stopped": health_words.if_stopped(health),
            "channels": health_words.channels_on_a_page(health),
            "tried": self.tried(visit),
            "sent": [one for asked in forecast_requests(visit.profile) for one in sent_to(asked)],
        }
        return Answer(template="status.html", facts=facts)

    def tried(self, visit: Visit) -> list[TriedLine] | None:
        """What came of the test of whoever looks, on the page that follows it."""
        mine = visit.session.person_id if visit.session else ""
        return self._tried.get(mine) if "tried" in visit.query else None

    def test(self, visit: Visit, *, back: str = "/status") -> Answer:
        """Sends whoever asks a real message over each of their ways, and shows how things are now.

        On the page `back`, asked for anew: what came of it may change what stands at the head of
        every page.
        """
        mine = visit.session.person_id if visit.session else ""
        self._tried[mine] = tried_lines(self.send_test, visit.profile, mine)
        return go(f"{back}?tried=1")

    def ask_about_the_clock(self, visit: Visit) -> Answer:
        """Asks first: what is judged by a clock that somebody agreed to is judged."""
        if not _is_doubted(visit):
            return go("/status")
        at = visit.now.astimezone(visit.profile.site.zone)
        return ask(
            AgreeOnClock.title(time=visit.clock(visit.now), day=long_day_with_year(at.date())),
            AgreeOnClock.text(),
            yes=AgreeOnClock.yes(),
            action="/status/clock",
            sent={},
            back="/status",
        )

    def agree(self, visit: Visit) -> Answer:
        """Keeps that the clock of this machine is right, although it is doubted."""
        agree_clock(visit.journal, visit.profile.site.id, visit.now)
        self._at = None
        return go("/status")

    def _current(self, visit: Visit) -> Health:
        is_old = self._at is None or visit.now - self._at >= _KEPT_FOR
        known = (visit.standing.version, visit.warnings)
        if self._health is None or is_old or known != self._known:
            self._health = report_health(
                visit.lookout.place, visit.standing.household, self.read(), visit.journal
            )
            self._at, self._known = visit.now, known
        return self._health


def tried_lines(send_test: SendTest, profile: Profile, person_id: str) -> list[TriedLine]:
    """Sends the test; a line for each way, or one that says that there is none."""
    try:
        lines = [_line(one) for one in send_test(profile, person_id)]
    except OSError as fault:
        reason = fault.strerror or TestSent.no_connection()
        lines = [TriedLine(text=TestSent.fault(reason=reason))]
    return lines or [TriedLine(text=TestSent.no_way())]


def _line(tried: Tried) -> TriedLine:
    named = every(TestedWays).get(tried.channel)
    way = named() if named else capitalized(tried.channel)  # another service, by its own name
    if tried.outcome.kind == "sent":
        return TriedLine(text=TestSent.arrived(way=way), arrived=True)
    reason = capitalized(told(tried.outcome.reason))
    return TriedLine(text=TestSent.failed(way=way, reason=reason))


def _is_doubted(visit: Visit) -> bool:
    return any(cause.kind in {"clock-ahead", "clock-behind"} for cause in visit.warnings)
