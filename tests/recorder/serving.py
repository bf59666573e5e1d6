"""Serves an ASGI app in this process, without a socket."""

import asyncio
from collections.abc import AsyncIterator, Coroutine
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from typing import Any, TypeVar
from urllib.parse import urlencode, urlsplit

_Found = TypeVar("_Found")


def looped(work: Coroutine[Any, Any, _Found]) -> _Found:
    """What the work comes to, also where a test with a browser ran in this process before.

    Playwright leaves its own loop running in the main thread until the process ends, and a thread
    that has a running loop refuses another.
    """
    with ThreadPoolExecutor(1) as beside:
        return beside.submit(asyncio.run, work).result()  # noqa: TID251 - in a thread of its own


@asynccontextmanager
async def serving(app: Any) -> AsyncIterator[None]:
    """What the app does at its start is done, and at the end of the block what it does at its end.

    An app that cannot start fails here.
    """
    received: asyncio.Queue[Any] = asyncio.Queue()
    sent: asyncio.Queue[Any] = asyncio.Queue()
    scope = {"type": "lifespan", "asgi": {"version": "3.0"}}
    served = asyncio.create_task(app(scope, received.get, sent.put))
    for_start, for_end = ("lifespan.startup", "lifespan.shutdown")
    await _done(received, sent, for_start)
    yield
    await _done(received, sent, for_end)
    await served


async def _done(received: asyncio.Queue[Any], sent: asyncio.Queue[Any], what: str) -> None:
    await received.put({"type": what})
    said = await sent.get()
    assert said["type"] == f"{what}.complete", said


async def answer(
    app: Any, path: str, form: dict[str, str] | None, cookie: str
) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body of what the app answers; a form is sent where there is one."""
    url, body = urlsplit(path), urlencode(form or {}).encode()
    headers = [(b"host", b"localhost"), (b"user-agent", b"recorder")]
    if cookie:
        headers.append((b"cookie", cookie.encode()))
    if form is not None:
        headers += [
            (b"content-type", b"application/x-www-form-urlencoded"),
            (b"content-length", str(len(body)).encode()),
            (b"origin", b"http://localhost"),
        ]
    scope = {
        "type": "http", "http_version": "1.1", "scheme": "http", "asgi": {"version": "3.0"},
        "method": "GET" if form is None else "POST", "path": url.path,
        "raw_path": url.path.encode(), "query_string": url.query.encode(), "root_path": "",
        "headers": headers, "client": ("127.0.0.1", 1), "server": ("localhost", 80), "state": {},
    }  # fmt: skip
    sent: list[Any] = []
    parts = [{"type": "http.request", "body": body, "more_body": False}]

    async def receive() -> dict[str, Any]:
        return parts.pop() if parts else await asyncio.Future()  # it never hangs up

    async def send(message: Any) -> None:
        sent.append(message)

    await app(scope, receive, send)
    answered = {name.decode().lower(): value.decode() for name, value in sent[0]["headers"]}
    return sent[0]["status"], answered, b"".join(one.get("body", b"") for one in sent[1:])
