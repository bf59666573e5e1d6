"""The headers of every page: how long it may be kept, and what it may load."""

from collections.abc import Callable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from scheduler.web import guards


class PageHeaders:
    """Puts the headers of every page on what comes from the routes."""

    def __init__(self, app: ASGIApp, by_https: Callable[[], bool]) -> None:
        """`by_https` is asked again for each answer."""
        self._app = app
        self._by_https = by_https
        plain, secure = guards.PAGE_HEADERS, {**guards.PAGE_HEADERS, **guards.HTTPS_HEADERS}
        self._headers = {
            https: [(name.encode(), value.encode()) for name, value in headers.items()]
            for https, headers in ((False, plain), (True, secure))
        }

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers as the routes do; a header that they set themselves stands."""
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
