"""The pages beside nginx and a bare Starlette, one process each, in one run; nothing is asserted.

`python tests/bench/web.py [SECONDS]` prints a table: what, ours, baseline, ratio, aim; then memory.
It needs nginx, wrk and taskset: `apt-get install nginx-light wrk`.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from statistics import median

from scheduler.service.calendars.calendar_files import SHELF_NAME
from tests.faults.house import PEOPLE, ROOT, House, household
from tests.web.front import Front, free_port, front

SERVER_CORE, CLIENT_CORE = "0", "1"
ROUNDS = 3
FEED_BYTES = 200_000
REQUESTS = 100_000
NGINX = """
daemon off;
worker_processes 1;
pid {folder}/nginx.pid;
error_log {folder}/error.log;
events {{ worker_connections 256; }}
http {{
    access_log off;
    sendfile on;
    keepalive_requests 1000000000;
    types {{ text/calendar ics; }}
    server {{ listen 127.0.0.1:{port}; root {folder}; }}
}}
"""
HELLO = """
import sys
import uvicorn
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route

async def hello(_):
    return PlainTextResponse("hello")

app = Starlette(routes=[Route("/", hello)])
uvicorn.run(app, port=int(sys.argv[1]), access_log=False, log_level="error", http="httptools")
"""


@contextmanager
def running(command: list[str], url: str) -> Iterator[None]:
    """The program on the servers' core, from its first answer on."""
    pinned = ["taskset", "-c", SERVER_CORE, *command]
    process = subprocess.Popen(pinned, cwd=ROOT)
    try:
        wait(lambda: answers(url))
        yield
    finally:
        process.terminate()
        process.wait()


def wait(true: Callable[[], bool]) -> None:
    deadline = time.monotonic() + 20
    while not true():
        if time.monotonic() > deadline:
            sys.exit("a server did not start")
        time.sleep(0.05)  # another process cannot notify this one


def answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(url) as reply:  # noqa: S310 - our own
            return bool(reply.status == 200)
    except OSError:
        return False


def a_second(url: str, seconds: float, headers: dict[str, str]) -> float:
    """Requests a second over sixteen connections that are kept."""
    given = [part for name, value in headers.items() for part in ("-H", f"{name}: {value}")]
    wrk = ["wrk", "-t1", "-c16", f"-d{seconds:g}s", *given, url]
    pinned = ["taskset", "-c", CLIENT_CORE, *wrk]
    done = subprocess.run(pinned, check=True, capture_output=True, text=True)
    odd = re.search(r"Non-2xx or 3xx responses: (\d+)|Socket errors.*", done.stdout)
    if odd:
        sys.exit(f"{url}: {odd[0]}")
    found = re.search(r"Requests/sec:\s+([\d.]+)", done.stdout)
    if not found:
        sys.exit(done.stdout)
    return float(found[1])


def in_turn(
    ours: tuple[str, dict[str, str]], baseline: tuple[str, dict[str, str]], seconds: float
) -> tuple[float, float]:
    """Medians of both, in turn, so that a busy machine slows both alike."""
    pairs = [
        (a_second(ours[0], seconds, ours[1]), a_second(baseline[0], seconds, baseline[1]))
        for _ in range(ROUNDS)
    ]
    return median(pair[0] for pair in pairs), median(pair[1] for pair in pairs)


def etag(url: str) -> dict[str, str]:
    """The header that asks for nothing but a change."""
    with urllib.request.urlopen(url) as reply:  # noqa: S310 - our own
        return {"If-None-Match": reply.headers["ETag"]}


def resident_mb(pages: Front) -> float:
    assert pages.process
    status = Path(f"/proc/{pages.process.pid}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+)", status)
    assert found
    return int(found[1]) / 1024


def make_large(house: House) -> None:
    """The whole calendar of the house, its events repeated up to 200 KB."""
    path = house.data / SHELF_NAME / "orchard" / "all.ics"
    content = path.read_bytes()
    begin, end = content.index(b"BEGIN:VEVENT"), content.rindex(b"END:VCALENDAR")
    needed = -(-(FEED_BYTES - len(content)) // (end - begin)) + 1
    path.write_bytes(content[:begin] + content[begin:end] * max(needed, 1) + content[end:])


def main() -> None:
    """Prints the table."""
    if missing := [name for name in ("nginx", "wrk", "taskset") if not shutil.which(name)]:
        sys.exit(f"not installed: {', '.join(missing)}")
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 5.0
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        folder.chmod(0o755)
        (folder / "house").mkdir()
        house = stack.enter_context(household(folder / "house"))
        assert PEOPLE in house.body
        pages = stack.enter_context(front(house))
        assert pages.process
        for thread in Path(f"/proc/{pages.process.pid}/task").iterdir():
            os.sched_setaffinity(int(thread.name), {int(SERVER_CORE)})
        make_large(house)
        calendar = pages.calendar(feed="all")
        wait(lambda: len(pages.get(calendar).body) >= FEED_BYTES)
        (folder / "large.ics").write_bytes(pages.get(calendar).body)
        beside = free_port()
        (folder / "nginx.conf").write_text(NGINX.format(folder=folder, port=beside))
        nginx = f"http://127.0.0.1:{beside}/large.ics"
        stack.enter_context(running(["nginx", "-c", str(folder / "nginx.conf")], nginx))
        hello = free_port()
        bare = f"http://127.0.0.1:{hello}/"
        stack.enter_context(running([sys.executable, "-c", HELLO, str(hello)], bare))
        ours = pages.url + pages.calendar(feed="all")
        today = (pages.url + "/", {"Cookie": pages.cookie("ana")})
        begun_mb = resident_mb(pages)
        rows = [
            ("304 / nginx", 0.3, in_turn((ours, etag(ours)), (nginx, etag(nginx)), seconds)),
            ("200 KB calendar / nginx", 0.8, in_turn((ours, {}), (nginx, {}), seconds)),
            ("Today / bare Starlette", 0.15, in_turn(today, (bare, {}), seconds)),
        ]
        print(f"{'a second':24} {'ours':>8} {'baseline':>8} {'ratio':>6} {'aim':>5}")
        for name, aim, (mine, other) in rows:
            print(f"{name:24} {mine:8.0f} {other:8.0f} {mine / other:6.2f} {aim:5.2f}")
        print(f"\nmemory: {begun_mb:.1f} MB at first", end="")
        for _ in range(2):
            asked = 0.0
            while asked < REQUESTS:
                for url, headers in ((ours, etag(ours)), (ours, {}), today):
                    asked += a_second(url, 2, headers) * 2
            print(f", {resident_mb(pages):.1f} MB after {asked:.0f} requests more", end="")
        print()


if __name__ == "__main__":
    main()
