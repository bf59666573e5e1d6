"""H1–H14 and P14: what strangers, scanners and broken clients do to the pages."""

import gzip
import re
import signal
import socket
import sqlite3
import statistics
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, contextmanager
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlencode

import pytest

from scheduler.machine.paths import JOURNAL_NAME
from scheduler.machine.signing_key import signing_key
from scheduler.service.people.access import renew
from scheduler.tokens.evening_link import EveningLink
from scheduler.web.bounded_protocol import REQUEST_S
from scheduler.web.early_refusals import ANOTHER_NAME, TOO_MANY
from scheduler.web.guards import MOST_BODY_BYTES
from scheduler.web.rate_limit import MOST_A_MINUTE
from tests.faults.house import (
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    SITE,
    WINTER,
    House,
    household,
)
from tests.sinks.smtp import Mail
from tests.sinks.waiting import at_most
from tests.unhurried import unhurried
from tests.web.front import PAGES, Front, front, link_of

EVENING = {"coop": "walnut", "day": "2026-12-21", "turn": "0", "expected": "12"}
ALL_IN = {**EVENING, "do": "all-in"}
UNKNOWN = "A" * 43


@pytest.fixture
def watched(tmp_path: Path) -> Iterator[Front]:
    """The pages beside a watch, at four o'clock; a proxy on this machine is believed."""
    with household(tmp_path) as house:
        house.set_clock(house.local("16:00"))
        with front(house, watched=True, trusted='["127.0.0.1"]') as pages:
            yield pages


@pytest.fixture
def alone(tmp_path: Path) -> Iterator[Front]:
    """The pages and calendars without a watch, at twenty past four, with no proxy believed."""
    with household(tmp_path) as house, front(house) as pages:
        house.set_clock(house.local("16:20"))
        yield pages


def everything(pages: Front) -> list[object]:
    """All rows of the journal that a request could change."""
    tables = ("closing", "done", "report", "session", "invitation", "renewal", "spent_answer")
    return [pages.house.rows(f"SELECT * FROM {name}") for name in tables]  # noqa: S608 - ours


def rings_on_time(house: House) -> None:
    """O6: what becomes due just now is claimed within the second, and rings."""
    house.set_clock(house.local("16:18:28"))  # the lock-up is at 16:18:29
    query = (
        "SELECT attempt.began_at - delivery.due_at FROM attempt JOIN delivery ON "
        "delivery.id = attempt.delivery_id WHERE step = 'now'"
    )
    house.wait(lambda: house.rows(query), "the lock-up was not claimed")
    assert max(late for (late,) in house.rows(query)) <= 1
    house.settle()
    assert any("lock up" in title.lower() for title in house.phone("ana"))
    house.wait(lambda: house.faults == [], "health stays bad")


def connect(pages: Front) -> socket.socket:
    """A connection to the pages."""
    return socket.create_connection(("127.0.0.1", pages.port), timeout=20)


def closed_within(line: socket.socket, deadline: float) -> bool:
    """Whether the other side ends the connection by that monotonic time."""
    try:
        while time.monotonic() < deadline:
            line.settimeout(max(deadline - time.monotonic(), 0.01))
            if not line.recv(65536):
                return True
    except TimeoutError:
        return False
    except OSError:
        return True
    return False


# -- H1 -------------------------------------------------------------------------------------


@unhurried
def test_h1_guessing_is_slowed_and_tells_nothing(watched: Front) -> None:
    good = watched.calendar()
    guesses = (f"/calendar/{UNKNOWN}/orchard-lockup.ics", f"/tonight/{UNKNOWN}/tonight.json")
    found = [watched.get(guesses[n % 2]) for n in range(MOST_A_MINUTE + 10)]
    assert [one.status for one in found] == [404] * MOST_A_MINUTE + [429] * 10
    assert {one.body for one in found if one.status == 404} == {b"Not found.\n"}
    # Whoever looks there with a browser reads what to do, of either kind of address the same.
    seen = {watched.get(one, Accept="text/html").body for one in (guesses[0], "/nothing")}
    assert seen == {TOO_MANY.page}
    # A known address is never limited, whoever missed from there.
    assert {watched.get(good).status for _ in range(100)} == {200}
    # Another source is another count.
    assert watched.get(guesses[0], X_Forwarded_For="203.0.113.7").status == 404


@unhurried
def test_h1_ten_thousand_guesses_take_the_same_time_and_change_nothing(watched: Front) -> None:
    expired, used = watched.invitation("ana"), watched.invitation("ana")
    assert watched.post(used, {}).status == 303
    watched.house.set_clock(watched.house.now + timedelta(minutes=16))
    watched.house.settle()  # until then the page says that the reminders have not been heard from
    kinds = {
        "expired": [expired],
        "used": [used],
        "unknown": [f"/sign-in/{UNKNOWN[:-4]}{number:04}" for number in range(100)],
    }
    took_s: dict[str, list[float]] = {kind: [] for kind in kinds}
    answers: set[tuple[int, bytes]] = set()
    for number in range(300):
        for kind, paths in kinds.items():
            source = f"203.0.{number // 10}.{1 + len(kind)}"
            began = time.perf_counter()
            reply = watched.get(paths[number % len(paths)], X_Forwarded_For=source)
            took_s[kind].append(time.perf_counter() - began)
            answers.add((reply.status, reply.body))
    assert len(answers) == 1
    assert answers.pop()[0] == 404
    medians = [statistics.median(times) for times in took_s.values()]
    assert max(medians) < 2 * min(medians), took_s.keys()
    # The watch forgets expired links itself, once a day, soon after it was started.
    copied = "SELECT * FROM memo WHERE name = 'copied-on'"
    watched.house.wait(lambda: watched.house.rows(copied), "housekeeping never came round")
    before = everything(watched)
    statuses = keep_alive(watched, [f"/calendar/{UNKNOWN}/x.ics"] * 10_000)
    assert set(statuses) <= {404, 429}
    assert statuses.count(404) <= MOST_A_MINUTE * 2
    assert everything(watched) == before
    rings_on_time(watched.house)


def keep_alive(pages: Front, paths: list[str], headers: str = "") -> list[int]:
    """The statuses of many requests over one connection, written a hundred at a time."""
    statuses: list[int] = []
    with connect(pages) as line, line.makefile("rb") as stream:
        for start in range(0, len(paths), 100):
            some = paths[start : start + 100]
            heads = (f"GET {path} HTTP/1.1\r\nHost: localhost\r\n{headers}\r\n" for path in some)
            line.sendall("".join(heads).encode())
            for _ in some:
                statuses.append(int(stream.readline().split()[1]))
                length = 0
                while (name := stream.readline().strip().lower()) != b"":
                    if name.startswith(b"content-length:"):
                        length = int(name.split(b":")[1])
                stream.read(length)
    return statuses


# -- H2 -------------------------------------------------------------------------------------

PREVIEWS = (
    {"Purpose": "prefetch"},
    {"Sec-Purpose": "prefetch;prerender"},
    {"X-Moz": "prefetch"},
    {"User-Agent": "facebookexternalhit/1.1"},
)


def plain(mail: Mail) -> str:
    """The text that a mail program shows."""
    body = mail.parsed.get_body(("plain",))
    assert body
    return str(body.get_content())


@unhurried
def test_h2_whoever_only_looks_at_a_link_changes_nothing(tmp_path: Path) -> None:
    with household(tmp_path) as house:
        house.set_clock(house.local("16:10"))
        with front(house, watched=True, base_url="https://hens.example.net") as pages:
            house.at("16:19")
            house.at("16:34")
            said = " ".join(plain(mail) for mail in house.mails())
            said += " ".join(str(event.said) for event in house.phone_events("ana"))
            paths = set(re.findall(r"https://hens\.example\.net(/[\w/.-]+)", said))
            assert any(path.startswith("/evening/") for path in paths), said
            paths.add(pages.invitation("ana"))
            before = everything(pages)
            for path in paths:
                for method in ("GET", "HEAD", "OPTIONS", "PROPFIND", "TRACE", "PUT", "DELETE"):
                    assert pages.ask(method, path).status < 500
                for headers in PREVIEWS:
                    assert pages.ask("GET", path, headers).status == 200
                assert everything(pages) == before


# -- H3 -------------------------------------------------------------------------------------

HERE = "https://hens.example.net"
CROSS_SITE = [
    # Sec-Fetch-Site, Origin, with a cookie, let in
    ("same-origin", None, True, True),
    ("same-origin", HERE, True, True),
    ("cross-site", None, True, False),
    ("cross-site", HERE, True, False),
    ("same-site", None, True, False),
    ("none", None, True, False),
    ("", None, True, False),
    (None, HERE, True, True),
    (None, "http://hens.example.net", True, False),
    (None, "https://hens.example.net.evil.test", True, False),
    (None, "https://evil.test", True, False),
    (None, "null", True, False),
    (None, "http://[x", True, False),
    (None, "", True, False),
    (None, None, True, False),
    (None, None, False, True),
    (None, "https://evil.test", False, False),
    ("cross-site", None, False, False),
]


def test_h3_forms_of_other_sites_are_refused(tmp_path: Path) -> None:
    with household(tmp_path) as house, front(house, published=False, base_url=HERE) as pages:
        house.set_clock(house.local("16:20"))
        link, cookie = link_of(pages), pages.cookie("ana")
        turn = 0
        for site, origin, with_cookie, let_in in CROSS_SITE:
            headers = {"Content-Type": "application/x-www-form-urlencoded"}
            headers |= {} if site is None else {"Sec-Fetch-Site": site}
            headers |= {} if origin is None else {"Origin": origin}
            headers |= {"Cookie": cookie} if with_cookie else {}
            fields = {**EVENING, "turn": str(turn), "do": "reopened" if turn % 2 else "all-in"}
            reply = pages.ask("POST", link, headers, urlencode(fields).encode())
            assert reply.status == (303 if let_in else 403), (site, origin, with_cookie)
            turn += let_in
        kept = house.rows("SELECT count(*) FROM closing")
        assert kept == [(sum(case[3] for case in CROSS_SITE),)]


# -- H4 -------------------------------------------------------------------------------------


def test_h4_fifty_people_press_at_once_and_it_is_written_down_once(watched: Front) -> None:
    watched.house.at("16:19")
    link = link_of(watched)

    def press(number: int) -> str:
        path = link if number % 2 else link_of(watched, "kim")
        return watched.post(path, ALL_IN).headers["location"].partition("?")[2]

    with ThreadPoolExecutor(50) as crowd:
        answers = list(crowd.map(press, range(50)))
    assert sorted(answers) == ["", *["already=walnut-2026-12-21"] * 49]
    assert watched.house.rows("SELECT kind, count FROM closing") == [("closed", 12)]
    replayed = watched.post(link, ALL_IN)
    assert replayed.headers["location"] == f"{link}?already=walnut-2026-12-21"
    assert "That has already been said" in watched.get(f"{link}?already=walnut-2026-12-21").text
    watched.house.at("16:34")
    assert watched.house.phone("kim") == [], "told although it was confirmed"


# -- H5 -------------------------------------------------------------------------------------

ODD_PATHS = (
    *("/static/../site.css", "/static/%2e%2e/app.py", "/static/..%2fapp.py", "/static/.."),
    *("/static/%2e%2e%2fapp.py", "/static/site.css%00.png", "/static/%c0%ae%c0%ae/app.py"),
    *("/static/..%5capp.py", "/static//etc/passwd", "//etc/passwd", "/static/%00", "/%00"),
    *("/calendar/%2f/x.ics", "/calendar//x.ics", "/calendar/../live", "/./live", "/static/."),
    *("/calendar/" + "A" * 600, "/%2e%2e/%2e%2e/etc/passwd"),
    *("/calendar/{token}%2fx.ics", "/calendar/x/{token}/x.ics"),
)


@pytest.mark.parametrize("path", ODD_PATHS)
@unhurried
def test_h5_paths_with_tricks_lead_nowhere(module_pages: Front, path: str) -> None:
    module_pages.house.set_clock(module_pages.house.now)
    path = path.replace("{token}", module_pages.calendar().split("/")[2])
    got = module_pages.raw(
        f"GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n".encode()
    )
    assert got.split(b"\r\n")[0].split()[1] in {b"404", b"429", b"400"}
    for secret in (b"root:", b"import ", b"BEGIN:"):
        assert secret not in got


@pytest.fixture(scope="module")
def module_pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """One set of pages for requests that change nothing; each source is a proxy's word."""
    folder = tmp_path_factory.mktemp("http")
    with household(folder) as house, front(house) as pages:
        yield pages


# -- H6 -------------------------------------------------------------------------------------


def half_open(pages: Front, sent: bytes, count: int) -> list[socket.socket]:
    """Connections that send no more than this."""
    lines = []
    for _ in range(count):
        line = connect(pages)
        line.sendall(sent)
        lines.append(line)
    return lines


LIVE = b"GET /live HTTP/1.1\r\nHost: localhost\r\n\r\n"
HEAD = (
    b"POST /door HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-www-form-urlencoded\r\n"
)


@unhurried
def test_h6_five_hundred_half_open_requests_stop_nobody(watched: Front) -> None:
    with ExitStack() as stack:
        began = time.monotonic()
        for sent in (b"", b"GET / HT", HEAD, HEAD + b"Content-Length: 100\r\n\r\nday="):
            for line in half_open(watched, sent, 125):
                stack.enter_context(line)
        assert time.monotonic() - began < 5
        # A new connection takes the place of the one that has waited longest.
        assert watched.get(watched.calendar()).status == 200
        assert watched.get("/", who="ana").status == 200
        rings_on_time(watched.house)


UNENDING = {
    "nothing": b"",
    "head": b"GET / HTTP/1.1\r\nHost: localhost\r\nX-Long: a",
    "body": HEAD + b"Content-Length: 100\r\n\r\nday=",
    "chunks": HEAD + b"Transfer-Encoding: chunked\r\n\r\n5\r\nday=2\r\n",
    "after an answer": LIVE,
    "pipelined": LIVE + HEAD + b"Content-Length: 100\r\n\r\nday=",
    "after a refusal": HEAD.replace(b"/door", b"/nowhere") + b"Content-Length: 100\r\n\r\nday=",
}


@unhurried
def test_h6_who_does_not_end_a_request_in_ten_seconds_is_cut(module_pages: Front) -> None:
    def is_cut(sent: bytes) -> bool:
        with connect(module_pages) as line:
            line.sendall(sent)
            began = time.monotonic()
            while time.monotonic() < began + REQUEST_S - 2:
                drip(line, sent)
                if closed_within(line, time.monotonic() + 1):
                    return False  # too early
            return closed_within(line, began + REQUEST_S + 3)

    with ThreadPoolExecutor(len(UNENDING)) as crowd:  # all at once, to wait once
        cut = dict(zip(UNENDING, crowd.map(is_cut, UNENDING.values()), strict=True))
    assert cut == dict.fromkeys(UNENDING, True)


def drip(line: socket.socket, sent: bytes) -> None:
    """One more byte of what was begun, so that the connection is never idle."""
    if not sent or sent.endswith(b"\r\n\r\n"):
        return
    line.sendall(b"1\r\na\r\n" if b"chunked" in sent else b"a")


@unhurried
def test_h6_who_does_not_read_is_cut_and_the_others_are_served(watched: Front) -> None:
    path = watched.calendar(feed="all")
    ask = f"GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n".encode()
    with ExitStack() as stack:
        lines = []
        for _ in range(20):
            line = stack.enter_context(socket.socket())
            line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            line.connect(("127.0.0.1", watched.port))
            line.sendall(ask * 100)
            lines.append(line)
        rings_on_time(watched.house)
        assert watched.get(path).status == 200
        deadline = time.monotonic() + REQUEST_S + 5
        watched.house.wait(lambda: open_lines(watched) == 0, "they are still there")
        assert time.monotonic() < deadline


def open_lines(pages: Front) -> int:
    """How many connections the process of the pages has open."""
    assert pages.process
    local = f":{pages.port:04X}"
    with Path(f"/proc/{pages.process.pid}/net/tcp").open() as table:
        rows = [line.split() for line in table.readlines()[1:]]
    return sum(row[1].endswith(local) and row[3] == "01" for row in rows)


# -- H7 -------------------------------------------------------------------------------------


def posted(body: bytes, *headers: bytes) -> bytes:
    """A whole POST to the door."""
    return HEAD + b"".join(one + b"\r\n" for one in headers) + b"\r\n" + body


def chunked(piece: bytes, times: int) -> bytes:
    """A body in chunks that does not end."""
    return (f"{len(piece):x}\r\n".encode() + piece + b"\r\n") * times


LARGE = b"a" * (MOST_BODY_BYTES + 1)
PACKED = gzip.compress(b"day=" + b"a" * 1_000_000)


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (posted(LARGE, b"Content-Length: 8193"), 413),
        (posted(b"", b"Content-Length: 999999999999"), 413),
        (posted(b"a" * 100_000, b"Content-Length: 100000"), 413),
        (posted(chunked(b"a" * 1000, 9), b"Transfer-Encoding: chunked"), 413),
        (posted(chunked(b"a" * 1000, 1000), b"Transfer-Encoding: chunked"), 413),
        (
            posted(PACKED, b"Content-Encoding: gzip", b"Content-Length: %d" % len(PACKED)),
            415,
        ),
        (posted(b"", b"Content-Length: -1"), 400),
        (posted(b"", b"Content-Length: 1e3"), 400),
        (HEAD + b"X: " + b"a" * 70_000, 413),
        (b"GET /" + b"a" * 70_000, 413),
    ],
)
def test_h7_what_is_too_large_is_refused_before_it_is_read(
    module_pages: Front, sent: bytes, status: int
) -> None:
    began = time.monotonic()
    got = module_pages.raw(sent)
    # A refusal may be lost when the connection is cut while much more is on its way.
    assert got == b"" or int(got.split()[1]) == status, got[:200]
    assert time.monotonic() - began < REQUEST_S + 3
    assert len(sent) > 60_000 or got


# -- H8, H9 ---------------------------------------------------------------------------------


@unhurried
def test_h8_a_calendar_that_is_asked_for_all_day_costs_no_write(watched: Front) -> None:
    house, path = watched.house, watched.calendar()
    etag = watched.get(path).headers["etag"]
    house.stop()
    before = files(house)
    assert keep_alive(watched, [path] * 500) == [200] * 500
    assert keep_alive(watched, [path] * 2000, f"If-None-Match: {etag}\r\n") == [304] * 2000
    for who in ("ana", "kim"):
        assert watched.get(watched.tonight(who)).status == 200
    assert files(house) == before


def files(house: House) -> dict[str, tuple[int, bytes]]:
    """Every file of the data folder with its time and its bytes."""
    return {
        path.name: (path.stat().st_mtime_ns, path.read_bytes())
        for path in sorted(house.data.rglob("*"))
        if path.is_file()
    }


@unhurried
def test_h9_a_calendar_tells_no_secret_and_its_address_can_be_ended(watched: Front) -> None:
    house = watched.house
    paths = [
        watched.calendar(feed=feed, alarms=alarms)
        for feed in ("lockup", "jobs", "seasons", "all")
        for alarms in (False, True)
    ]
    for path in paths:
        reply = watched.get(path)
        assert reply.status == 200
        token = path.split("/")[2]
        for secret in (token, "kim@", "q7w2", "/evening/", "http:", house.push.url, "Ana", "Kim"):
            assert secret not in reply.text
        assert "set-cookie" not in reply.headers
        assert token not in watched.log
    kims, tonight = watched.calendar("kim"), watched.tonight()
    with house.journal() as journal:
        renew(journal, "orchard", "ana", house.now)
    house.wait(lambda: watched.get(paths[0]).status == 410, "the old address goes on")
    assert [watched.get(path).status for path in (*paths, tonight)] == [410] * 9
    assert watched.get(kims).status == 200
    house.stop()
    house.set_clock(house.now + timedelta(days=30, hours=1))
    watched.stop()
    watched.start()
    ended = watched.get(paths[0])
    unknown = watched.get(f"/calendar/{UNKNOWN}/x.ics")
    assert (ended.status, ended.body) == (unknown.status, unknown.body) == (404, b"Not found.\n")


# -- H10 ------------------------------------------------------------------------------------

SPOOFED = (
    {"Host": "evil.test"},
    {"Host": "evil.test", "X-Forwarded-Host": "evil.test", "X-Forwarded-Proto": "https"},
    {"Forwarded": "host=evil.test;proto=https"},
    {"X-Forwarded-Prefix": "/evil", "X-Original-URL": "/people", "X-Rewrite-URL": "/people"},
    {"X-Forwarded-For": "127.0.0.1, 203.0.113.9"},
)
ANOTHER = b"These pages have another address.\n"


@unhurried
def test_h10_no_link_comes_from_the_request(tmp_path: Path) -> None:
    with household(tmp_path) as house, front(house, base_url=HERE) as pages:
        plain = {path: pages.get(path, who="ana") for path in ("/subscribe", "/", "/people")}
        for headers in SPOOFED:
            for path, usual in plain.items():
                reply = pages.ask("GET", path, {**headers, "Cookie": pages.cookie("ana")})
                if "Host" in headers:
                    assert (reply.status, reply.body) == (421, ANOTHER), (path, headers)
                    seen = pages.ask("GET", path, {**headers, "Accept": "text/html,*/*"})
                    assert (seen.status, seen.body) == (421, ANOTHER_NAME.page)
                    assert seen.headers["content-type"].startswith("text/html")
                else:
                    assert reply.body == usual.body, (path, headers)
                assert "evil" not in str(reply.headers)
            moved = pages.ask("POST", link_of(pages), headers, urlencode(ALL_IN).encode())
            assert moved.headers.get("location", "/").startswith("/")
            assert "evil" not in str(moved.headers)
            # Whoever has subscribed under another name goes on: a token is no name's secret.
            assert pages.ask("GET", pages.calendar(), headers).status == 200
            assert pages.ask("GET", "/live", headers).status in {200, 503}
        assert HERE in plain["/subscribe"].text


@unhurried
def test_h10_misses_are_counted_by_the_address_that_a_stranger_cannot_choose(
    alone: Front,
) -> None:
    path = f"/calendar/{UNKNOWN}/x.ics"
    statuses = [
        alone.get(path, X_Forwarded_For=f"203.0.113.{number}").status
        for number in range(MOST_A_MINUTE + 5)
    ]
    assert statuses[-1] == 429


# -- H11, H12 -------------------------------------------------------------------------------

MARKUP = """<script>alert(1)</script>"><img src=x onerror=alert(2)>{{7*7}}{% raw %}'&amp;"""


@unhurried
def test_h11_names_with_markup_are_shown_as_they_are_written(tmp_path: Path) -> None:
    named = MARKUP.replace('"', '\\"')
    body = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE
    body = body.replace('"Walnut"', f'"{named}"\nid = "walnut"')
    body = body.replace('"Girls"', f'"{named}"\nid = "girls"')
    body = body.replace('name = "Ana"', f'name = "{named}"\nid = "ana"')
    body = body.replace('name = "Orchard"', f'name = "{named}"\nid = "orchard"')
    with household(tmp_path, body=body) as house, front(house) as pages:
        house.set_clock(house.local("16:20"))
        fields = {**ALL_IN, "who": MARKUP, "link": MARKUP}
        pages.post("/door", fields, who="ana")
        pages.post("/add", {"kind": "predator", "link": MARKUP, "air": MARKUP}, who="ana")
        pages.post("/birds", {"kind": "medicine", "words": MARKUP[:80]}, who="ana")
        seen = 0
        rules = f"/coop?{urlencode({'rules': MARKUP})}"
        for path in (*PAGES, "/why/water", link_of(pages), rules):
            text = pages.get(path, who="ana").text
            seen += "&lt;script&gt;" in text
            for raw in ("<script>alert", "<img src=x", "49{%"):
                assert raw not in text, path
        assert seen >= 5
        for feed in ("lockup", "jobs"):
            assert pages.get(pages.calendar(feed=feed)).status == 200


@unhurried
def test_h12_a_link_answers_for_its_own_person_alone(alone: Front) -> None:
    mine, kims = link_of(alone), link_of(alone, "kim")
    for path, other in ((mine, kims), (kims, mine)):
        token, others = (one.rpartition("/")[2] for one in (path, other))
        assert alone.get(path.replace(token, others)).status == 404
        assert alone.post(path.replace(token, others), ALL_IN).status == 404
    # A link is for one evening, one door and one person, whatever else is asked of it.
    for true, forged in (("12-21", "12-20"), ("walnut", "orchard"), ("/ana/", "/eve/")):
        assert alone.post(mine.replace(true, forged), ALL_IN).status == 404
    assert alone.post(mine, {**ALL_IN, "coop": "barn"}).status == 422
    assert alone.house.rows("SELECT * FROM closing") == []
    assert alone.post(kims, {**ALL_IN, "who": "Ana", "person": "ana"}).status == 303
    assert alone.house.rows("SELECT coop_id, who FROM closing") == [("walnut", "Kim")]
    # Somebody who is no longer of the household.
    link = EveningLink(site_id="orchard", day=WINTER, subject_id="walnut", person_id="eve")
    assert alone.get(link.path(signing_key(alone.house.data, {}))).status == 404


# -- H13 ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sent",
    [
        posted(b"a" + LIVE, b"Content-Length: 1", b"Content-Length: 2"),
        posted(b"a" + LIVE, b"Content-Length: 1, 2"),
        posted(b"0\r\n\r\n" + LIVE, b"Content-Length: 5", b"Transfer-Encoding: chunked"),
        posted(b"0\r\n\r\n" + LIVE, b"Transfer-Encoding: chunked", b"Content-Length: 5"),
        posted(b"0\r\n\r\n" + LIVE, b"Transfer-Encoding: xchunked"),
        posted(b"0\r\n\r\n" + LIVE, b"Transfer-Encoding : chunked"),
        posted(b"0\r\n\r\n" + LIVE, b"Transfer-Encoding: chunked, identity"),
        b"GET /live HTTP/1.1\nHost: localhost\n\n" + LIVE,
        b"GET /live HTTP/1.1\r\nHost: localhost\nX: y\r\n\r\n" + LIVE,
        b"GET /live HTTP/1.1\r\nHost: localhost\r\n X: folded\r\n\r\n" + LIVE,
        b"GET /live HTTP/1.1\r\nHo st: h\r\n\r\n" + LIVE,
        posted(b"5;\nx\r\nhello\r\n0\r\n\r\n" + LIVE, b"Transfer-Encoding: chunked"),
        posted(b"-1\r\nx\r\n0\r\n\r\n" + LIVE, b"Transfer-Encoding: chunked"),
    ],
)
def test_h13_what_two_servers_could_read_in_two_ways_is_refused(
    module_pages: Front, sent: bytes
) -> None:
    began = time.monotonic()
    got = module_pages.raw(sent)
    assert got.startswith(b"HTTP/1.1 400 "), got[:100]
    assert got.count(b"HTTP/1.1 ") == 1, "what was smuggled in was answered"
    assert time.monotonic() - began < 2, "the connection stayed open"


# -- H14 ------------------------------------------------------------------------------------


@unhurried
def test_h14_strangers_may_ask_whether_it_lives_and_learn_nothing_else(watched: Front) -> None:
    house = watched.house
    assert keep_alive(watched, ["/live"] * 1000) == [200] * 1000
    assert watched.get("/live").body == b""
    assert watched.get("/status").status == 403
    refused = watched.get("/status")
    for secret in ("Orchard", "Walnut", "Ana", "Kim", "16:18", "q7w2"):
        assert secret not in refused.text + str(refused.headers)
    house.stop()
    before = files(house)
    house.set_clock(house.now + timedelta(minutes=5))
    house.wait(lambda: watched.get("/live").status == 503, "it says it lives", timeout_s=8)
    assert files(house) == before


# -- P14 ------------------------------------------------------------------------------------


@unhurried
def test_p14_pages_without_files_to_open_leave_the_watch_alone(tmp_path: Path) -> None:
    with household(tmp_path) as house:
        house.set_clock(house.local("16:10"))
        with front(house, watched=True, files=32) as pages:
            path = pages.calendar()
            with ExitStack() as stack:
                for line in connect_many(pages, 100):
                    stack.enter_context(line)
                rings_on_time(house)
            house.wait(lambda: answered(pages, path) == 200, "the pages did not recover")
            assert "Traceback" not in house.log


def connect_many(pages: Front, count: int) -> list[socket.socket]:
    """Connections that say nothing; the kernel takes those that the process cannot."""
    return [connect(pages) for _ in range(count)]


def answered(pages: Front, path: str) -> int:
    """The status, or 0 when there is no answer."""
    try:
        return pages.get(path).status
    except OSError:
        return 0


@unhurried
def test_a_reading_that_never_ends_delays_no_claim_by_a_tick(watched: Front) -> None:
    house = watched.house
    house.settle()  # what is being written now would wait its five seconds first
    reader = sqlite3.connect(house.data / JOURNAL_NAME, isolation_level=None)
    with closing(reader):
        reader.execute("BEGIN")
        reader.execute("SELECT * FROM entry").fetchall()
        house.set_clock(house.local("16:18:30"))
        with at_most(6.0):
            house.wait(lambda: any("Lock up now" in one for one in house.phone("ana")), "late")
    house.settle()
    assert house.rows("SELECT state FROM delivery WHERE step = 'now'") == [("sent",)]


# -- an export that stops --------------------------------------------------------------------


@unhurried
def test_an_export_that_stops_in_the_middle_delays_no_claim(watched: Front) -> None:
    house = watched.house
    house.stop()
    with house.journal() as journal, journal.writing() as writing:
        writing.connection.exec_driver_sql(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 60000) "
            "INSERT INTO entry SELECT 'orchard', i, 'job', 'job-done', 1, 'walnut', "
            "date('2020-01-01'), 'water', NULL, 'Ana', NULL, 1600000000 + i, 1600000000 + i, "
            "json_object('care_id', 'water', 'ordinal', i) FROM n"
        )
    house.start()
    cookie = watched.cookie("ana")
    with connect(watched) as line:
        line.sendall(
            f"GET /diary.csv HTTP/1.1\r\nHost: localhost\r\nCookie: {cookie}\r\n\r\n".encode()
        )
        assert b"200 OK" in line.recv(1000, socket.MSG_PEEK)
        got = line.recv(100_000).count(b"\n")
        with stopped(watched):
            # Stopped while it reads, it keeps SQLite from committing: after five seconds the
            # reminder goes out from memory, after ten where a tick had begun to wait, and still
            # within one tick of the product's fifteen.
            house.set_clock(house.local("16:18:30"))
            with at_most(12.0):
                house.wait(lambda: any("Lock up now" in one for one in house.phone("ana")), "late")
        house.settle()
        assert house.rows("SELECT state FROM delivery WHERE step = 'now'") == [("sent",)]
        line.settimeout(5)
        while part := line.recv(1_000_000):
            got += part.count(b"\n")
            if part.endswith(b"0\r\n\r\n"):
                break
    assert got > 60_000


@contextmanager
def stopped(pages: Front) -> Iterator[None]:
    """The process of the pages stands still."""
    assert pages.process
    pages.process.send_signal(signal.SIGSTOP)
    try:
        yield
    finally:
        pages.process.send_signal(signal.SIGCONT)
