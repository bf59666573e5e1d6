"""The pages as one ASGI application: calendars in front, then the routes.

Nothing is decided here: each page is a function of how everything stands, each button a use case.
"""

import asyncio
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
from starlette.responses import PlainTextResponse, Response
from starlette.routing import BaseRoute
from starlette.types import Receive, Scope, Send

from scheduler.journal.fault import JournalFault
from scheduler.machine.clock import Readings
from scheduler.profile.values import Profile
from scheduler.service.calendars import calendar_files
from scheduler.service.calendars.personal import dress
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.household.open_profile import Household
from scheduler.service.people.access import note_used, pass_of, passes, passes_of_gone
from scheduler.web import backup_download, calendars, diary_download, guards
from scheduler.web.calendars import Calendars
from scheduler.web.early_refusals import ANOTHER_NAME, line
from scheduler.web.household_now import Lookout, NoHousehold, Standing
from scheduler.web.page_headers import PageHeaders
from scheduler.web.page_requests import PageRequests
from scheduler.web.rate_limit import Misses
from scheduler.web.render import is_https
from scheduler.web.request_and_answer import Visit
from scheduler.web.routes import page_routes, route
from scheduler.web.tonight_json import tonight_json
from scheduler.web.views.phone import Phones
from scheduler.web.views.status import SendTest, Status
from scheduler.wording.web.refusals import ToPrograms

_LOOK_EVERY_S = 1.0
_GZIP_LEVEL = 4
_BY_ANY_NAME = ("/tonight/", "/live", "/robots.txt")
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """What the pages ask of the world: the clocks, a test, a sign of life.

    `in_force` is told the profile whenever it may have changed; `said` is called when something
    may have been said of a door. `phone_key` is the public key that phones are rung with; "" where
    none are. `is_made_up`: nobody is reminded of this garden, which each page
    says in place of what is wrong with the reminders.
    """

    read: Callable[[], Readings]
    send_test: SendTest
    is_alive: Callable[[], bool]
    in_force: Callable[[Profile], None]
    said: Callable[[Household], None]
    phone_key: Callable[[str], str] = lambda _: ""
    listen: str = ""  # where this host listens, if not where the profile says
    is_made_up: bool = False


class App:
    """Everything that is answered over HTTP."""

    def __init__(self, lookout: Lookout, outside: Outside) -> None:
        """Reads nothing yet."""
        self._lookout = lookout
        self._outside = outside
        self._misses = Misses(self._monotonic_s)
        self._desk = PageRequests(
            lookout, outside.read, self._misses, is_made_up=outside.is_made_up
        )
        self._calendars = Calendars(self._misses)
        self._seen: object = None
        self._is_unread = False
        self._by_https = False
        self._hosts = guards.Hosts(names=frozenset({"localhost"}), any_address=True)
        status = Status(outside.send_test, outside.read)
        phones = Phones(outside.send_test, outside.phone_key)
        self.routes: list[BaseRoute] = [
            *page_routes(self._desk, status, self._monotonic_s, outside.said, phones),
            route(backup_download.PATH, partial(backup_download.as_file, desk=self._desk)),
            route("/diary.csv", partial(diary_download.as_csv, desk=self._desk)),
            route("/diary.json", partial(diary_download.as_json, desk=self._desk)),
            route("/tonight/{token}/tonight.json", self._tonight),
            route("/live", self._live),
        ]
        self._inner = Starlette(
            routes=self.routes,
            middleware=[
                Middleware(PageHeaders, by_https=lambda: self._by_https),
                Middleware(GZipMiddleware, minimum_size=1000, compresslevel=_GZIP_LEVEL),
            ],
            exception_handlers={404: self._not_found, 405: self._wrong_method},
            lifespan=self._lifespan,
        )
        # It would answer /week/ with whatever address the request gives itself.
        self._inner.router.redirect_slashes = False

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

    def _monotonic_s(self) -> float:
        return self._outside.read().monotonic_s

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
            if not self._is_unread:  # four times a second is no news
                _log.warning("calendars.not_read reason=%s", type(fault).__name__)
            self._is_unread = True
            return
        self._is_unread = False
        site = standing.household.profile.site
        seen = (standing.version, Shelf(self._lookout.place).look(site.id))
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
        found = Shelf(self._lookout.place).read(self._lookout.journal(), profile.site.id)
        found = calendar_files.with_the_only_house(found, profile)
        self._calendars.serve(known, found, profile.site.name, partial(dress, profile, key))
        web = profile.web
        self._by_https = is_https(web.base_url)
        listen = self._outside.listen or web.listen
        self._hosts = guards.hosts_of(web.base_url, listen, gethostname())
        self._outside.in_force(profile)

    async def _tonight(self, request: Request) -> Response:
        known = pass_of(self._calendars.passes, request.path_params["token"])
        if known is None or known.kind != "tonight":
            return await self._desk.missed(request, by_program=True)
        if known.asked_of:
            return PlainTextResponse(line(ToPrograms.asked_of), 404)
        if known.ended:
            return PlainTextResponse(line(ToPrograms.ended), 410)
        try:
            now = self._now()
            standing = await self._desk.standing(now)
            warnings = await self._desk.causes()
            visit = Visit(now=now, standing=standing, lookout=self._lookout, warnings=warnings)
            body = await self._desk.run(partial(tonight_json, visit))
        except (JournalFault, NoHousehold, OSError):
            return PlainTextResponse(line(ToPrograms.unreadable), 503)
        return Response(body, media_type="application/json")

    async def _live(self, _: Request) -> Response:
        return Response(status_code=200 if self._outside.is_alive() else 503)

    async def _not_found(self, request: Request, _: Exception) -> Response:
        return await self._desk.missed(request)

    async def _wrong_method(self, request: Request, fault: Exception) -> Response:
        response = await self._desk.wrong_method(request)
        response.headers.update(getattr(fault, "headers", None) or {})  # which ones there are
        return response
