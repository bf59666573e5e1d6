"""The headers of every page: how long it may be kept, and what it may load."""

from collections.abc import Callable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Pages bring no script, style or image but their own, and can be put into no frame.
# Referrer-Policy is same-origin, not no-referrer: with that, browsers send "Origin: null" for our
# own forms (Fetch standard, "append a request Origin header"), and over plain http on a home
# network there is no Sec-Fetch-Site to go by.
_PAGE_HEADERS = {
    "content-security-policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; "
        "connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; "
        "base-uri 'none'; frame-ancestors 'none'"
    ),
    "referrer-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": (
        "camera=(), display-capture=(), geolocation=(), microphone=(), payment=(), usb=()"
    ),
    "x-content-type-options": "nosniff",
    "x-robots-tag": "noindex",
    "cache-control": "no-store",
}

# Of a page with a button that asks the phone where it is; the others never ask.
MAY_LOCATE = _PAGE_HEADERS["permissions-policy"].replace("geolocation=()", "geolocation=(self)")

# Browsers heed it over https alone, and complain of it elsewhere.
_HTTPS_HEADERS = {"cross-origin-opener-policy": "same-origin"}


class PageHeaders:
    """Puts the headers of every page on what comes from the routes."""

    def __init__(self, app: ASGIApp, by_https: Callable[[], bool]) -> None:
        """`by_https` is asked again for each answer."""
        self._app = app
        self._by_https = by_https
        self._headers = {
            https: [(name.encode(), value.encode()) for name, value in headers.items()]
            for https, headers in ((False, _PAGE_HEADERS), (True, _PAGE_HEADERS | _HTTPS_HEADERS))
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
