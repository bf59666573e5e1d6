"""What is refused before it is looked at, and how often somebody may miss."""

import asyncio
from urllib.parse import urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.types import Message

from scheduler.web.guards import MOST_BODY_BYTES, BadBody, is_plain_path, read_form
from scheduler.web.misses import MOST_A_MINUTE, Misses
from tests.web.front import Front

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
    return asyncio.run(read_form({"type": "http", "headers": given_headers}, receive))


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
