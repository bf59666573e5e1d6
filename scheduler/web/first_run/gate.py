"""Before the usual pages: the first run, until there is a profile; then they go on by themselves.

One ASGI application at one address in one process, so that no page is lost in between.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from contextlib import suppress

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from scheduler.web import calendars, guards
from scheduler.web.early_refusals import ANOTHER_NAME
from scheduler.web.first_run.pages import PREFIX, FirstPages
from scheduler.web.page_headers import PageHeaders
from scheduler.web.rate_limit import Misses

_log = logging.getLogger(__name__)


class Gate:
    """The first run's pages while there is no profile, and the usual ones from then on."""

    def __init__(
        self,
        pages: FirstPages,
        usual: Callable[[], ASGIApp],
        has_profile: Callable[[], bool],
        hosts: guards.Hosts,
        misses: Misses,
    ) -> None:
        """`usual` makes the pages of the profile; it is called once, when there is one."""
        self._pages = pages
        self._usual = usual
        self._has_profile = has_profile
        self._hosts = hosts
        self._misses = misses
        self._first = PageHeaders(pages, by_https=lambda: False)
        self._app: ASGIApp | None = None
        self._opening = asyncio.Lock()
        self._told: asyncio.Queue[Message] = asyncio.Queue()
        self._life: asyncio.Task[None] | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request, or the beginning and end of the server."""
        if scope["type"] == "lifespan":
            await self._lifespan(receive, send)
            return
        app = await self._opened()
        if app is None or (scope["path"].startswith(PREFIX) and self._pages.is_awaited()):
            await self._begin(scope, receive, send)
            return
        if self._pages.is_awaited():
            self._pages.note_arrival(scope)
        await app(scope, receive, send)

    async def _begin(self, scope: Scope, receive: Receive, send: Send) -> None:
        if not guards.is_plain_path(scope):
            await calendars.missed(scope, send, self._misses)
        elif not (self._hosts.allow(scope["headers"]) or _is_handed_on(scope)):
            await calendars.turn_away(scope, send, 421, ANOTHER_NAME)
        else:
            await self._first(scope, receive, send)

    async def _opened(self) -> ASGIApp | None:
        """The usual pages once there is a profile, whoever wrote it."""
        if self._app is None and self._has_profile():
            async with self._opening:
                if self._app is None:
                    app = self._usual()
                    await self._start(app)
                    self._app = app
        return self._app

    async def _start(self, app: ASGIApp) -> None:
        """The beginning of the server, as the pages would have been told it."""
        begun = asyncio.Event()

        async def hear(message: Message) -> None:
            if message["type"] == "lifespan.startup.failed":
                _log.error("first_run.pages_not_started")
            begun.set()

        await self._told.put({"type": "lifespan.startup"})
        scope = {"type": "lifespan", "asgi": {"version": "3.0", "spec_version": "2.0"}, "state": {}}
        self._life = asyncio.create_task(_run(app(scope, self._told.get, hear), begun))
        await begun.wait()

    async def _lifespan(self, receive: Receive, send: Send) -> None:
        await receive()
        await self._opened()
        await send({"type": "lifespan.startup.complete"})
        await receive()
        if self._life:
            await self._told.put({"type": "lifespan.shutdown"})
            with suppress(asyncio.CancelledError):
                await self._life
        self._pages.close()
        await send({"type": "lifespan.shutdown.complete"})


async def _run(life: Awaitable[None], begun: asyncio.Event) -> None:
    try:
        await life
    finally:
        begun.set()  # whatever ended it, nobody waits for it


def _is_handed_on(scope: Scope) -> bool:
    """Whether a proxy hands the request on: under which name, no profile says yet.

    A page that has its own name point here could say so too; it has neither key nor cookie, and
    there is nothing else to be had.
    """
    return any(name == b"x-forwarded-proto" for name, _ in scope["headers"])
