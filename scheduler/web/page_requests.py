"""How a page is asked for: who it is, what was sent, one thread for the journal, kept pages."""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from typing import TypeVar

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from scheduler.journal.access import SignedIn
from scheduler.journal.fault import JournalFault
from scheduler.machine.clock import Readings
from scheduler.service.health.banner import banner
from scheduler.service.health.causes import Cause, unreadable
from scheduler.service.health.pulses import last_pulse
from scheduler.service.people.access import session_hash
from scheduler.web import guards
from scheduler.web.early_refusals import TOO_MANY, line
from scheduler.web.household_now import Lookout, NoHousehold, Standing
from scheduler.web.rate_limit import Misses
from scheduler.web.render import Renderer, cookie_name
from scheduler.web.request_and_answer import Answer, Refusal, Visit, refuse
from scheduler.web.who_may_open import matter_of
from scheduler.wording.web.refusals import Refusals, RefusalTitles, ToPrograms
from scheduler.wording.words import every

View = Callable[[Visit], Answer | None]
Endpoint = Callable[[Request], Awaitable[Response]]
T = TypeVar("T")
_PAGES_KEPT = 64
_USED_EVERY = timedelta(days=1)
_BAD_BODY = {413: "too_long"}
_log = logging.getLogger(__name__)


def refusal_for(why: str, back: str = "") -> Refusal:
    """Why a form was turned away, by its key, and where the way back leads."""
    title, text = every(RefusalTitles)[why], every(Refusals)[why]
    return Refusal(title=title(), text=text(), back=back)


def _turned_away(request: Request, visit: Visit) -> Answer | None:
    """Why whoever asks gets another page: not signed in, not theirs to do, no name on a screen."""
    is_post = request.method == "POST"
    if visit.session is None:
        return Answer(template="signed-out.html", facts={"posted": is_post}, status=403)
    about = matter_of(request.url.path)
    if about and (why := visit.may_not(about)):
        return refuse(why)
    if is_post and not visit.who:
        facts = {"refusal": refusal_for("nameless", back="/")}
        return Answer(template="refused.html", facts=facts, status=422)
    return None


def _source(request: Request) -> str:
    return request.client.host if request.client else ""


def _too_many(request: Request) -> Response:
    kind, body = TOO_MANY.to(request.scope["headers"])
    return Response(body, 429, {"retry-after": "60"}, media_type=kind.decode())


class PageRequests:
    """Runs views, one at a time: they read and write the journal."""

    def __init__(
        self,
        lookout: Lookout,
        read: Callable[[], Readings],
        misses: Misses,
        *,
        is_made_up: bool = False,
    ) -> None:
        """Reads nothing yet. Of a garden that `is_made_up`, nothing is wrong with the reminders."""
        self.lookout = lookout
        self._read = read
        self._misses = misses
        self._is_made_up = is_made_up
        self._renderer = Renderer(is_made_up=is_made_up)
        self._thread = ThreadPoolExecutor(1, "duskfold-desk")
        self._aside = ThreadPoolExecutor(2, "duskfold-aside")
        self._kept: dict[tuple[str, str, str], bytes] = {}
        self._kept_for: object = None
        self._used: dict[str, datetime] = {}

    async def run(self, work: Callable[[], T], *, aside: bool = False) -> T:
        """Does the work in the desk's thread; what takes long in the one beside it."""
        thread = self._aside if aside else self._thread
        return await asyncio.get_running_loop().run_in_executor(thread, work)

    async def standing(self, now: datetime) -> Standing:
        """How everything stands; read only when something has changed.

        Raises:
            JournalFault, NoHousehold, OSError: as the lookout.
        """
        if fresh := self.lookout.fresh(now):
            return fresh
        return await self.run(partial(self.lookout.standing, now))

    def close(self) -> None:
        """Ends the threads once their work is done."""
        self._thread.shutdown()
        self._aside.shutdown(cancel_futures=True)

    def page(  # noqa: PLR0913 - a view, and who may ask it how often
        self,
        view: View,
        *,
        signed_in: bool = True,
        aside: bool = False,
        often: Misses | None = None,
        freely: Callable[[Visit], bool] = lambda _: False,
        guesses: bool = False,
    ) -> Endpoint:
        """The endpoint of a view; without a session only those that need none are run.

        `often` counts what may not be done without end, by person and by link; what may be done
        `freely` is never limited. Where somebody could try codes (`guesses`) each try is a miss,
        and from the first too many on none is looked at.
        """

        async def endpoint(request: Request) -> Response:
            if guesses and not self._misses.add(_source(request)):
                return _too_many(request)
            visit = await self.admit(request, signed_in=signed_in)
            if isinstance(visit, Response):
                return visit
            who = visit.session.person_id if signed_in and visit.session else request.url.path
            if often and not freely(visit) and not often.add(who):
                sent = tuple((name, one) for name, each in visit.form.items() for one in each)
                refusal = replace(refusal_for("too_often"), sent=sent)
                response = self._refused(request, refusal, 429, is_warning=bool(visit.warnings))
                response.headers["retry-after"] = str(round(often.within_s))
                return response
            try:
                return await self._shown(request, visit, view, aside=aside)
            except (JournalFault, OSError) as fault:
                return self._unavailable(fault)
            except Exception:  # noqa: BLE001 - whoever pressed is to read what is wrong, on a page
                _log.exception("page.failed")
                return self._refused(request, refusal_for("failed", back="/"), 500, is_warning=True)

        return endpoint

    async def admit(self, request: Request, *, signed_in: bool = True) -> Visit | Response:
        """The visit, or why it is turned away: nobody signed in, another site's form, no data."""
        readings = self._read()
        now = readings.wall
        try:
            standing = await self.standing(now)
        except (JournalFault, NoHousehold, OSError) as fault:
            return self._unavailable(fault)
        warnings = () if self._is_made_up else self._warnings(standing, readings)
        form: dict[str, list[str]] = {}
        if request.method == "POST":
            base_url = standing.household.profile.web.base_url
            refused = partial(self._refused, request, is_warning=bool(warnings))
            if guards.is_from_elsewhere(request.headers, base_url, request.url.scheme):
                return refused(refusal_for("from_elsewhere"), 403)
            try:
                form = await guards.read_form(request.scope, request.receive)
            except guards.BadBody as bad:
                why = _BAD_BODY.get(bad.status, "unreadable")
                response = refused(refusal_for(why), bad.status)
                response.headers["connection"] = "close"
                return response
        visit = Visit(
            now=now,
            standing=standing,
            lookout=self.lookout,
            session=self._session(request, standing, now),
            path=request.path_params,
            query=request.query_params,
            form=form,
            agent=request.headers.get("user-agent", ""),
            warnings=warnings,
        )
        if signed_in and (away := _turned_away(request, visit)):
            return await self._respond(request, visit, away)
        return visit

    def _warnings(self, standing: Standing, readings: Readings) -> tuple[Cause, ...]:
        """Asked anew for each page: the last tick is no change of the journal."""
        profile = standing.household.profile
        pulse = last_pulse(self.lookout.place, self.lookout.journal(), readings)
        return banner(pulse, profile, standing.reach, readings)

    def _unavailable(self, fault: Exception) -> Response:
        reason = fault.reason if isinstance(fault, JournalFault) else type(fault).__name__
        _log.warning("page.unavailable reason=%s", reason)
        return self._renderer.plain("unavailable.html", 503, warnings=(unreadable(),))

    async def _shown(self, request: Request, visit: Visit, view: View, *, aside: bool) -> Response:
        """The page; as it was made in this minute for this session, when nothing has changed."""
        minute = visit.now.replace(second=0, microsecond=0)
        kept_for = (visit.standing.version, visit.warnings, minute)
        if kept_for != self._kept_for or len(self._kept) > _PAGES_KEPT:
            self._kept, self._kept_for = {}, kept_for
        session = visit.session.id_hash if visit.session else ""
        # A tablet may call itself a computer, and is then recommended another thing.
        kept, key = self._kept, (request.url.path, session, visit.agent)
        is_kept = not (request.method == "POST" or request.url.query or visit.session is None)
        if is_kept and key in kept:
            return Response(kept[key], media_type="text/html")
        answer = await self.run(partial(view, visit), aside=aside)
        response = await self._respond(request, visit, answer)
        if is_kept and response.status_code == 200:  # noqa: PLR2004 - OK
            kept[key] = bytes(response.body)
        return response

    async def _respond(self, request: Request, visit: Visit, answer: Answer | None) -> Response:
        if answer is None:
            return await self.missed(request)
        return await self.run(partial(self._renderer.response, visit, answer, request.url.path))

    async def wrong_method(self, request: Request) -> Response:
        """405: nothing of the address can be asked in that way."""
        wrong = bool(await self.warnings())
        return self._refused(request, refusal_for("wrong_method", back="/"), 405, is_warning=wrong)

    async def warnings(self) -> tuple[Cause, ...]:
        """Why the reminders cannot be relied on, where no page is made of the place."""
        return () if self._is_made_up else await self.causes()

    async def causes(self) -> tuple[Cause, ...]:
        """The same for a program, which reads no notice: of a made-up garden as of any other."""
        readings = self._read()
        try:
            standing = await self.standing(readings.wall)
        except (JournalFault, NoHousehold, OSError):
            return (unreadable(),)
        return self._warnings(standing, readings)

    def _refused(
        self, request: Request, refusal: Refusal, status: int, *, is_warning: bool
    ) -> Response:
        """A page that names nothing of the place: whoever sent that may be a stranger."""
        facts = {"refusal": refusal, "here": request.url.path}
        return self._renderer.plain("refused.html", status, is_warning=is_warning, facts=facts)

    async def missed(self, request: Request, *, by_program: bool = False) -> Response:
        """404, as a page or as a line, and 429 for a source that misses too often."""
        if self._misses.add(_source(request)):
            if by_program:
                return PlainTextResponse(line(ToPrograms.not_found), 404)
            wrong = bool(await self.warnings())
            return self._renderer.plain("missing.html", 404, is_warning=wrong)
        return _too_many(request)

    def _session(self, request: Request, standing: Standing, now: datetime) -> SignedIn | None:
        cookie = request.cookies.get(cookie_name(standing.household.profile.web.base_url))
        if not cookie:
            return None
        found = standing.sessions.get(session_hash(cookie))
        if found is None or found.until <= now or found.is_idle(now):
            return None
        if standing.has_left(found.person_id, now):
            return None
        self._used[found.id_hash] = now
        return found

    def to_write_down(self, standing: Standing) -> dict[str, datetime]:
        """When sessions were last used, of those for which the journal is a day behind.

        A look changes nothing but for that: once a day and device.
        """
        return {
            id_hash: at
            for id_hash, at in self._used.items()
            if (session := standing.sessions.get(id_hash))
            and (session.seen_at is None or at - session.seen_at >= _USED_EVERY)
        }
