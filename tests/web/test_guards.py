"""What is refused before it is looked at, and how often somebody may miss."""

import csv
import io
import re
from pathlib import Path
from urllib.parse import urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.datastructures import Headers
from starlette.types import Message

from scheduler.web.guards import (
    MOST_BODY_BYTES,
    BadBody,
    hosts_of,
    is_from_elsewhere,
    is_plain_path,
    read_form,
)
from scheduler.web.rate_limit import MOST_A_MINUTE, Misses
from scheduler.web.routes import MOST_ANSWERS, MOST_CHANGES, MOST_TESTS
from tests.faults.house import household
from tests.recorder.serving import looped
from tests.unhurried import unhurried
from tests.web.front import Front, front, link_of

FORM = b"application/x-www-form-urlencoded"


def read(
    body: bytes, kind: bytes = FORM, *, pieces: int = 1, **headers: bytes
) -> dict[str, list[str]]:
    """What is read of a body that comes in pieces."""
    size = max(-(-len(body) // pieces), 1)
    parts = [body[at : at + size] for at in range(0, len(body), size)] or [b""]
    left = iter([*parts[:-1], parts[-1]])
    last = len(parts)
    count = 0

    async def receive() -> Message:
        nonlocal count
        count += 1
        return {"type": "http.request", "body": next(left), "more_body": count < last}

    given_headers = [(b"content-type", kind)]
    given_headers += [(name.replace("_", "-").encode(), one) for name, one in headers.items()]
    return looped(read_form({"type": "http", "headers": given_headers}, receive))


@given(
    st.dictionaries(st.text(min_size=1, max_size=20), st.lists(st.text(max_size=40), min_size=1)),
    st.integers(1, 9),
)
def test_a_form_is_read_as_it_was_sent(sent: dict[str, list[str]], pieces: int) -> None:
    body = urlencode(sent, doseq=True, errors="surrogatepass").encode()
    fields = sum(map(len, sent.values()))
    if len(body) > MOST_BODY_BYTES or fields > 64:
        with pytest.raises(BadBody):
            read(body, pieces=pieces)
    else:
        assert read(body, pieces=pieces) == sent


@given(st.binary(max_size=200), st.integers(1, 5))
def test_any_bytes_are_a_form_or_refused(body: bytes, pieces: int) -> None:
    try:
        found = read(body, pieces=pieces)
    except BadBody as bad:
        found = {"refused": [str(bad.status)]}
    assert found.get("refused", ["400"]) == ["400"]
    assert all(isinstance(one, str) for values in found.values() for one in values)


def refusal(body: bytes, kind: bytes = FORM, **headers: bytes) -> int:
    with pytest.raises(BadBody) as caught:
        read(body, kind, pieces=1, **headers)
    return caught.value.status


def test_refusals_say_why() -> None:
    assert refusal(b"a" * (MOST_BODY_BYTES + 1)) == 413
    assert refusal(b"", content_length=b"8193") == 413
    assert refusal(b"", content_length=b"+1") == 400
    assert refusal(b"a=1", kind=b"application/json") == 415
    assert refusal(b"a=1", kind=b"multipart/form-data; boundary=x") == 415
    assert refusal(b"a=1", content_encoding=b"gzip") == 415
    assert refusal(b"a=%ff") == 400
    assert refusal(b"&".join([b"a=1"] * 65)) == 400
    assert read(b"a=1", kind=b"application/x-www-form-urlencoded; charset=UTF-8") == {"a": ["1"]}


@pytest.mark.parametrize("path", ["/", "/week", "/calendar/abc/x.ics", "/a.b/..c/d..", "/%C3%A9"])
def test_plain_paths(path: str) -> None:
    assert is_plain_path({"path": path, "raw_path": path.encode()})


@pytest.mark.parametrize(
    "path",
    ["/..", "/.", "/a/../b", "/a/./b", "/a//b", "/a%2fb", "/a%2Fb", "/a%00", "/a%5cb", "/a\\b"],
)
def test_odd_paths(path: str) -> None:
    assert not is_plain_path({"path": path, "raw_path": path.encode()})


# -- misses -----------------------------------------------------------------------------------


class Stopwatch:
    """Monotonic seconds that a test drives."""

    now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


def test_twenty_a_minute_and_then_again() -> None:
    watch = Stopwatch()
    misses = Misses(watch)
    assert [misses.add("198.51.100.7") for _ in range(25)] == [True] * MOST_A_MINUTE + [False] * 5
    assert misses.add("198.51.100.8")
    watch.now_s += 59.9
    assert not misses.add("198.51.100.7")
    watch.now_s += 0.1
    assert misses.add("198.51.100.7")


def test_a_network_of_version_six_counts_as_one_and_a_mapped_address_as_itself() -> None:
    misses = Misses(Stopwatch())
    found = [misses.add(f"2001:db8:1:2::{number:x}") for number in range(25)]
    assert found.count(True) == MOST_A_MINUTE
    assert misses.add("2001:db8:1:3::1")
    mapped = [misses.add("::ffff:198.51.100.7") for _ in range(MOST_A_MINUTE)]
    assert all(mapped)
    assert not misses.add("198.51.100.7")


def test_many_sources_cost_no_more_than_some_memory() -> None:
    misses = Misses(Stopwatch())
    for number in range(10_000):
        misses.add(f"10.{number // 65536}.{number // 256 % 256}.{number % 256}")
    assert len(misses._sources) == 4096  # noqa: SLF001 - the bound is inside


def test_every_page_has_its_headers(pages: Front) -> None:
    for reply in (pages.get("/", who="ana"), pages.get("/"), pages.get("/nowhere")):
        policy = reply.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'")
        assert "unsafe" not in policy
        assert reply.headers["x-content-type-options"] == "nosniff"
        assert reply.headers["referrer-policy"] == "same-origin"
        assert reply.headers["cache-control"] == "no-store"
    styled = pages.get("/static/site.css?v=1")
    assert styled.headers["cache-control"] == "public, max-age=31536000, immutable"


# Who wants in


def test_s7_an_origin_that_is_none_is_refused_in_a_line(pages: Front) -> None:
    reply = pages.ask("POST", "/door", {"Origin": "http://[x", "Cookie": "a=b"}, b"")
    assert reply.status == 403
    assert "Traceback" not in pages.log


def test_s8_no_redirect_goes_where_the_request_says(pages: Front) -> None:
    for path in ("/week/", "/people/", "/static", "/door"):
        for host in ("evil.test", f"127.0.0.1:{pages.port}"):
            reply = pages.ask("GET", path, {"Host": host})
            assert reply.status in {303, 404, 421}
            assert "://" not in reply.headers.get("location", "")


@pytest.mark.parametrize(
    ("origin", "scheme", "refused"),
    [
        ("https://hens.example.net", "http", False),
        ("https://hens.example.net", "https", False),
        ("http://hens.example.net", "https", True),
        ("http://hens.example.net", "http", False),  # past the proxy, by the same name
        ("http://192.168.1.20:8640", "http", True),
        ("https://evil.test", "https", True),
        ("http://[x", "http", True),
        ("null", "https", True),
    ],
)
def test_s9_an_origin_counts_with_its_scheme(origin: str, scheme: str, refused: bool) -> None:
    headers = Headers({"origin": origin, "host": "hens.example.net", "cookie": "a=b"})
    found = is_from_elsewhere(headers, "https://hens.example.net", scheme)
    assert found is refused


def test_s11_nobody_sends_tests_without_end(pages: Front) -> None:
    statuses = [
        pages.post("/status/test", {"person": "nobody"}, who="ana").status
        for _ in range(MOST_TESTS + 2)
    ]
    assert statuses[:MOST_TESTS] == [statuses[0]] * MOST_TESTS
    assert statuses[0] != 429
    assert statuses[MOST_TESTS:] == [429, 429]
    assert pages.post("/status/test", {"person": "nobody"}, who="kim").status == statuses[0]
    # What says that a door is shut is never limited.
    form = {"coop": "walnut", "day": "2026-12-21", "turn": "-1", "do": "all-in", "expected": "12"}
    assert {pages.post("/door", form, who="ana").status for _ in range(60)} <= {303, 200}
    pages.house.forget()  # tests are written down nowhere


@unhurried
@pytest.mark.parametrize(("who", "most"), [("", MOST_ANSWERS), ("ana", MOST_CHANGES)])
def test_s11_nobody_plays_with_a_door_without_end_but_may_always_say_that_it_is_shut(
    pages: Front, who: str, most: int
) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    path = "/door" if who else link_of(pages)
    form = {"coop": "walnut", "day": "2026-12-21", "expected": "12"}
    for number in range(most):
        shut = {**form, "turn": str(2 * number), "do": "shut", "count": "12"}
        undo = {**form, "turn": str(2 * number + 1), "do": "undo"}
        for fields in (shut, undo):
            reply = pages.post(path, fields, who=who)
            assert (reply.status, "?" in reply.headers["location"]) == (303, False), number
    undo = {**form, "turn": "7", "do": "undo"}
    reply = pages.post(path, undo, who=who)
    assert reply.status == 429
    assert reply.headers["retry-after"] == "600"
    assert "You have pressed that too often" in reply.text
    assert "Orchard" not in reply.text
    # What was sent stands there, to be sent again; the link of somebody else goes on.
    again = dict(re.findall(r'name="(\w+)" value="([^"]*)"', reply.text))
    assert again == undo
    assert f'action="{path}"' in reply.text
    assert pages.post(link_of(pages, "kim"), undo).status == 303
    shut = {**form, "turn": "0", "do": "shut", "count": "12"}
    assert pages.post(path, shut, who=who).status == 303


def test_what_is_not_read_is_told_in_a_plain_sentence_with_a_way_back(pages: Front) -> None:
    form = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": pages.cookie("ana")}
    ours = {**form, "Sec-Fetch-Site": "same-origin"}
    for method, path, headers, body, status, told, back in (
        ("POST", "/weather", {**form, "Sec-Fetch-Site": "cross-site"}, b"kind=heat", 403,
         "That did not come from a page at this address.", "/weather"),
        ("POST", "/weather", ours, b"kind=" + b"x" * 9000, 413, "That is too long", "/weather"),
        ("POST", "/weather", ours, b"kind=%ff", 400, "That could not be read", "/weather"),
        ("POST", "/weather", {**ours, "Content-Type": "text/plain"}, b"x", 415,
         "That could not be read", "/weather"),
        ("POST", "/week", ours, b"x=y", 405, "Nothing was done", "/"),
    ):  # fmt: skip
        reply = pages.ask(method, path, headers, body)
        assert reply.status == status
        assert told in reply.text
        assert f'<a class="big quiet" href="{back}">' in reply.text
        assert "<form" not in reply.text, "what somebody else's page has sent is not offered again"
        assert "Orchard" not in reply.text
    assert pages.ask("POST", "/week", ours, b"x=y").headers["allow"]
    reply = pages.post("/add", {"kind": "heat"})
    assert reply.status == 403
    assert "What you sent was not saved" in reply.text
    assert pages.house.rows("SELECT * FROM report") == []


@pytest.mark.parametrize(
    ("host", "ours"),
    [
        (b"hens.example.net", True),
        (b"HENS.example.net.:443", True),
        (b"127.0.0.1:8640", True),
        (b"[::1]:8640", True),
        (b"localhost:8640", True),
        (b"192.168.1.20:8640", False),
        (b"evil.test", False),
        (b"hens.example.net.evil.test", False),
        (b"hens.example.net@evil.test", False),
        (b"", False),
    ],
)
def test_s16_the_pages_answer_to_their_own_names(host: bytes, ours: bool) -> None:
    known = hosts_of("https://hens.example.net", "127.0.0.1:8640", "pi")
    assert known.allow([(b"host", host)]) is ours
    assert known.allow([]), "a program may send none"
    assert not known.allow([(b"host", b"localhost"), (b"host", b"evil.test")])


def test_s16_listening_everywhere_any_address_will_do_and_no_other_name() -> None:
    known = hosts_of(None, "0.0.0.0:8640", "Pi")
    for host in (b"192.168.1.20:8640", b"[fe80::1]:8640", b"pi.local:8640", b"pi"):
        assert known.allow([(b"host", host)])
    assert not known.allow([(b"host", b"evil.test")])


@pytest.mark.parametrize("scheme", ["https", "http"])
def test_s16_every_page_says_what_a_browser_may_do_and_signing_out_clears(
    tmp_path: Path, scheme: str
) -> None:
    base_url = f"{scheme}://hens.example.net"
    with household(tmp_path) as house, front(house, published=False, base_url=base_url) as pages:
        reply = pages.get("/people", who="ana")
        assert reply.headers["cross-origin-resource-policy"] == "same-origin"
        assert "camera=()" in reply.headers["permissions-policy"]
        assert "clear-site-data" not in reply.headers
        [(own,)] = house.rows("SELECT id_hash FROM session")
        ended = pages.post("/people/end", {"session": own}, who="ana")
    # Elsewhere browsers heed neither, and complain.
    found = (
        reply.headers.get("cross-origin-opener-policy"),
        ended.headers.get("clear-site-data"),
    )
    assert found == (("same-origin", '"cache", "storage"') if scheme == "https" else (None, None))


def test_s13_no_cell_of_the_diary_is_a_formula(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    for name in ('=HYPERLINK("http://evil.test")', "@SUM(A1)", "+1", "-1", "\tx"):
        pages.house.say(count=12, who=name)
        pages.house.say("reopened", who=name)
    text = pages.get("/diary.csv", who="ana").text
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    assert '\'=HYPERLINK("http://evil.test")' in cells
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t"))]
