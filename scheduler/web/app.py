"""The pages as one ASGI application: calendars in front, then the routes.

Nothing is decided here: each page is a function of how everything stands, each button a use case.
"""

import asyncio
import csv
import io
import logging
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from socket import gethostname

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import (
    FileResponse,
    PlainTextResponse,
    RedirectResponse,
    Response,
    StreamingResponse,
)
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from scheduler.journal.store import JournalFault
from scheduler.machine.clock import Readings
from scheduler.profile.values import Profile
from scheduler.service import diary_export
from scheduler.service.calendars import calendar_files
from scheduler.service.calendars.personal import dress
from scheduler.service.household.open_profile import Household
from scheduler.service.people.access import note_used, pass_of, passes, passes_of_gone
from scheduler.web import calendars, guards
from scheduler.web.calendars import ASKED_OF, Calendars
from scheduler.web.door_forms import is_closing
from scheduler.web.guesses import Misses
from scheduler.web.household_now import Lookout, NoHousehold, Standing
from scheduler.web.page_requests import Endpoint, PageRequests, View
from scheduler.web.plans import Plans
from scheduler.web.render import HERE, is_https
from scheduler.web.tonight import tonight_json
from scheduler.web.turned_away import ANOTHER_NAME
from scheduler.web.views import birds, coop, evening, more, people, subscribe, today, weather, week
from scheduler.web.views.coop import Coops
from scheduler.web.views.status import SendTest, Status
from scheduler.web.views.year import Years
from scheduler.web.visit import Answer, Visit

_LOOK_EVERY_S = 1.0
_GZIP_LEVEL = 4
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
_ROBOTS = "User-agent: *\nAllow: /calendar/\nDisallow: /\n"
_BY_ANY_NAME = ("/tonight/", "/live", "/robots.txt")
# In ten minutes and of one person: more is a program, or somebody else at their phone.
MOST_TESTS, MOST_REPORTS, MOST_INVITATIONS = 5, 30, 20
# Of a door, besides that it is shut: by whoever is signed in, and by the link of a message.
MOST_CHANGES, MOST_ANSWERS = 30, 12
_OFTEN_WITHIN_S = 600.0
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """What the pages ask of the world: the clocks, a test, a sign of life.

    `in_force` is told the profile whenever it may have changed; `said` is called when something
    may have been said of a door.
    """

    read: Callable[[], Readings]
    send_test: SendTest
    is_alive: Callable[[], bool]
    in_force: Callable[[Profile], None]
    said: Callable[[Household], None]


class App:
    """Everything that is answered over HTTP."""

    def __init__(self, lookout: Lookout, outside: Outside) -> None:
        """Reads nothing yet."""
        self._lookout = lookout
        self._outside = outside
        self._misses = Misses(lambda: outside.read().monotonic_s)
        self._desk = PageRequests(lookout, outside.read, self._misses)
        self._calendars = Calendars(self._misses)
        self._seen: object = None
        self._by_https = False
        self._hosts = guards.Hosts(names=frozenset({"localhost"}), any_address=True)
        self.routes = self._routes()
        self._inner = self._starlette()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request, or the beginning and end of the server."""
        if scope["type"] == "http":
            if not guards.is_plain_path(scope):
                await calendars.missed(scope, send, self._misses)
                return
            if scope["path"].startswith(calendars.PREFIX):
                await self._calendars(scope, receive, send)
                return
            # Calendars and what programs ask for by token or without a cookie need no name.
            if not scope["path"].startswith(_BY_ANY_NAME) and not self._hosts.allow(
                scope["headers"]
            ):
                await calendars.turn_away(scope, send, 421, ANOTHER_NAME)
                return
        await self._inner(scope, receive, send)

    def _now(self) -> datetime:
        return self._outside.read().wall

    def _starlette(self) -> ASGIApp:
        app = Starlette(
            routes=self.routes,
            middleware=[
                Middleware(_PageHeaders, by_https=lambda: self._by_https),
                Middleware(GZipMiddleware, minimum_size=1000, compresslevel=_GZIP_LEVEL),
            ],
            exception_handlers={404: self._not_found, 405: self._wrong_method},
            lifespan=self._lifespan,
        )
        # It would answer /week/ with whatever address the request gives itself.
        app.router.redirect_slashes = False
        return app

    def _saying(self, view: View) -> View:
        def said(visit: Visit) -> Answer | None:
            answer = view(visit)
            self._outside.said(visit.standing.household)
            return answer

        return said

    def _routes(self) -> list[BaseRoute]:
        page, plans, coops, years = self._desk.page, Plans(), Coops(), Years()
        tests, reports, invitations, changes, answers = (
            Misses(lambda: self._outside.read().monotonic_s, most, _OFTEN_WITHIN_S)
            for most in (MOST_TESTS, MOST_REPORTS, MOST_INVITATIONS, MOST_CHANGES, MOST_ANSWERS)
        )
        said = self._saying(partial(today.said, plans=plans))
        by_link_said = self._saying(evening.said)
        by_day_said = self._saying(evening.said_of_day)
        status = Status(self._outside.send_test, self._outside.read)
        signed_in = [
            _route("/", page(partial(today.show, plans=plans))),
            _route("/door", page(said, often=changes, freely=is_closing), "POST"),
            _route("/jobs", page(partial(today.ticked, plans=plans)), "POST"),
            _route("/week", page(partial(week.show, plans=plans))),
            _route("/year", page(years.show, aside=True)),
            _route("/coop", page(coops.show, aside=True)),
            _route("/why/{job}", page(coop.why, aside=True)),
            _route("/weather", page(weather.show)),
            _route("/weather", page(weather.make, often=reports), "POST"),
            _route("/weather/end", page(weather.end), "POST"),
            _route("/birds", page(birds.show)),
            _route("/birds", page(birds.make, often=reports), "POST"),
            _route("/birds/end", page(birds.end), "POST"),
            _route("/subscribe", page(subscribe.show)),
            _route("/status", page(status.show)),
            _route("/status/test", page(status.test, aside=True, often=tests), "POST"),
            _route("/status/clock", page(status.ask_about_the_clock)),
            _route("/status/clock", page(status.agree), "POST"),
            _route("/people", page(people.show)),
            _route("/people/invite", page(people.invite, often=invitations), "POST"),
            _route("/people/withdraw", page(people.withdraw), "POST"),
            _route("/people/end", page(people.ask_to_end)),
            _route("/people/end", page(people.end), "POST"),
            _route("/more", page(more.show)),
            _route("/diary.csv", self._diary),
        ]
        link = "/evening/{day}/{subject}/{person}/{token}"
        by_link = [
            _route(link, page(evening.show, signed_in=False)),
            _route(
                link,
                page(by_link_said, signed_in=False, often=answers, freely=is_closing),
                "POST",
            ),
            _route("/evening/{day}/{person}/{token}", page(evening.show_day, signed_in=False)),
            _route(
                "/evening/{day}/{person}/{token}",
                page(by_day_said, signed_in=False, often=answers, freely=is_closing),
                "POST",
            ),
            _route("/subscribe/{token}", page(subscribe.one, signed_in=False)),
            _route("/sign-in/{secret}", page(people.welcome, signed_in=False)),
            _route("/sign-in/{secret}", page(people.enter, signed_in=False), "POST"),
            _route("/tonight/{token}/tonight.json", self._tonight),
        ]
        open_to_all: list[BaseRoute] = [
            _route("/live", self._live),
            _route("/robots.txt", _robots),
            _route("/worker.js", _worker),
            _route("/favicon.ico", _icon),
            Mount("/static", StaticFiles(directory=HERE / "static")),
        ]
        # Where a form was answered and the page is loaded again.
        back = [
            _route(path, partial(_back, to=to))
            for path, to in (
                ("/door", "/"),
                ("/jobs", "/"),
                ("/weather/end", "/weather"),
                ("/birds/end", "/birds"),
                ("/status/test", "/status"),
                ("/people/invite", "/people"),
                ("/people/withdraw", "/people"),
            )
        ]
        return [*signed_in, *by_link, *open_to_all, *back]

    @asynccontextmanager
    async def _lifespan(self, _: Starlette) -> AsyncIterator[None]:
        await self._look()
        looking = asyncio.create_task(self._keep_looking())
        yield
        looking.cancel()
        with suppress(asyncio.CancelledError):
            await looking
        self._desk.close()
        self._lookout.close()

    async def _keep_looking(self) -> None:
        while True:
            await asyncio.sleep(_LOOK_EVERY_S)
            try:
                await self._look()
            except Exception:  # noqa: BLE001 - what is in memory is served on
                _log.exception("calendars.not_read")

    async def _look(self) -> None:
        """Takes over calendars and addresses that have changed; what is in memory stays else."""
        try:
            standing = await self._desk.standing(self._now())
        except (JournalFault, NoHousehold, OSError) as fault:
            _log.warning("calendars.not_read reason=%s", type(fault).__name__)
            return
        site = standing.household.profile.site
        seen = (standing.version, calendar_files.look(self._lookout.folder, site.id))
        if seen != self._seen:
            await self._desk.run(partial(self._take_over, standing))
            self._seen = seen
        if used := self._desk.to_write_down(standing):
            with suppress(JournalFault):  # in a second again
                await self._desk.run(partial(note_used, self._lookout.journal(), site.id, used))

    def _take_over(self, standing: Standing) -> None:
        profile = standing.household.profile
        key = self._lookout.key
        known = passes_of_gone(standing.gone_sites, key) | passes(
            profile,
            key,
            standing.renewals,
            self._now(),
            standing.former,
            standing.gone_houses,
            standing.asked_of,
        )
        found = calendar_files.read(self._lookout.folder, profile.site.id)
        found = calendar_files.with_the_only_house(found, profile)
        self._calendars.serve(known, found, profile.site.name, partial(dress, profile, key))
        web = profile.web
        self._by_https = is_https(web.base_url)
        self._hosts = guards.hosts_of(web.base_url, web.listen, gethostname())
        self._outside.in_force(profile)

    async def _tonight(self, request: Request) -> Response:
        known = pass_of(self._calendars.passes, request.path_params["token"])
        if known is None or known.kind != "tonight":
            return await self._desk.missed(request, by_program=True)
        if known.asked_of:
            return PlainTextResponse(ASKED_OF, 404)
        if known.ended:
            return PlainTextResponse(
                "This address has ended. Ask whoever looks after Duskfold for a new one.\n", 410
            )
        try:
            now = self._now()
            standing = await self._desk.standing(now)
            warnings = await self._desk.warnings()
            visit = Visit(now=now, standing=standing, lookout=self._lookout, warnings=warnings)
            body = await self._desk.run(partial(tonight_json, visit))
        except (JournalFault, NoHousehold, OSError):
            return PlainTextResponse("The data cannot be read just now.\n", 503)
        return Response(body, media_type="application/json")

    async def _live(self, _: Request) -> Response:
        return Response(status_code=200 if self._outside.is_alive() else 503)

    async def _diary(self, request: Request) -> Response:
        """Everything said and done, as a table; each page of it is read by itself."""
        visit = await self._desk.admit(request)
        if isinstance(visit, Response):
            return visit
        site_id = visit.profile.site.id
        rows = diary_export.pages(visit.journal, site_id)

        async def lines() -> AsyncIterator[bytes]:
            yield _csv([diary_export.HEADINGS])
            while (page := await self._desk.run(lambda: next(rows, None))) is not None:
                yield _csv(page)

        named = {"content-disposition": f'attachment; filename="{site_id}.csv"'}
        return StreamingResponse(lines(), media_type="text/csv", headers=named)

    async def _not_found(self, request: Request, _: Exception) -> Response:
        return await self._desk.missed(request)

    async def _wrong_method(self, request: Request, fault: Exception) -> Response:
        response = await self._desk.wrong_method(request)
        response.headers.update(getattr(fault, "headers", None) or {})  # which ones there are
        return response


def _route(path: str, endpoint: Endpoint, method: str = "GET") -> Route:
    return Route(path, endpoint, methods=[method])


async def _back(_: Request, *, to: str) -> Response:
    return RedirectResponse(to, 303)


async def _robots(_: Request) -> Response:
    return PlainTextResponse(_ROBOTS)


async def _worker(_: Request) -> Response:
    # At the root, because a worker sees only what lies below it.
    return FileResponse(HERE / "static" / "worker.js", media_type="text/javascript")


async def _icon(_: Request) -> Response:
    return FileResponse(HERE / "static" / "icon-192.png")


def _csv(rows: list[diary_export.Row]) -> bytes:
    text = io.StringIO()
    csv.writer(text).writerows([_as_text(cell) for cell in row] for row in rows)
    return text.getvalue().encode()


def _as_text(cell: str) -> str:
    """A table program would take a cell that begins like a formula as one, and run it."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell


class _PageHeaders:
    """Puts the headers of every page on what comes from the routes."""

    def __init__(self, app: ASGIApp, by_https: Callable[[], bool]) -> None:
        self._app = app
        self._by_https = by_https
        plain, secure = guards.PAGE_HEADERS, {**guards.PAGE_HEADERS, **guards.HTTPS_HEADERS}
        self._headers = {
            https: [(name.encode(), value.encode()) for name, value in headers.items()]
            for https, headers in ((False, plain), (True, secure))
        }

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        versioned = scope["path"].startswith("/static/") and scope["query_string"].startswith(b"v=")

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = {name for name, _ in message["headers"]}
                headers = self._headers[self._by_https()]
                more = [one for one in headers if one[0] not in own]
                if versioned:
                    forever = (b"cache-control", b"public, max-age=31536000, immutable")
                    more = [one for one in more if one[0] != b"cache-control"] + [forever]
                message["headers"] = [*message["headers"], *more]
            await send(message)

        await self._app(scope, receive, with_headers)
