"""Whatever is asked, with whatever fields: never an answer with a fault of our own."""

import http.client
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from urllib.parse import quote, urlencode

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.routing import Route

from scheduler.service.data_place import DataPlace
from scheduler.web.app import App, Outside
from scheduler.web.household_now import Lookout
from tests.faults.house import household
from tests.web.front import Front, front, link_of

FIELDS = (
    *("coop", "day", "turn", "expected", "count", "do", "sure", "at", "job", "kind", "air"),
    *("first", "last", "link", "who", "number", "person", "session", "rules", "alarms", "already"),
)
LIKELY = (
    *("walnut", "2026-12-21", "0", "1", "12", "-1", "99999999999999999999", "1e9", "water"),
    *("water|walnut|2026-12-21|1", "all-in", "some-missing", "not-counted", "undo", "reopened"),
    *("found", "dead", "elsewhere", "heat", "order", "36 C", "tomorrow", "0001-01-01"),
    *(
        "9999-12-31",
        "https://example.org",
        "ana",
        "",
        "\x00",
        "\ud800".encode("utf-8", "replace").decode(),
    ),
)
text = st.one_of(st.sampled_from(LIKELY), st.sampled_from(LIKELY), st.text(max_size=60))
fields = st.fixed_dictionaries({}, optional=dict.fromkeys(FIELDS, text))
mostly = st.sampled_from([True, True, True, False])
part = st.one_of(st.sampled_from(LIKELY), st.text(min_size=1, max_size=50))


def routes(folder: Path) -> list[Route]:
    """Every route of the pages."""
    outside = Outside(
        read=lambda: pytest.fail("nothing is asked"),
        send_test=lambda *_, **__: [],
        is_alive=lambda: True,
        in_force=lambda _: None,
        said=lambda _: None,
    )
    app = App(Lookout(folder / "none.toml", DataPlace(folder), b""), outside)
    return [route for route in app.routes if isinstance(route, Route)]


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Front, list[Route]]]:
    """One set of pages for every question, and its routes."""
    folder = tmp_path_factory.mktemp("asked")
    with household(folder) as house, front(house) as pages:
        house.set_clock(house.local("16:20"))
        yield pages, routes(folder)
        house.forget()  # messages of tests are not written down


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_request_finds_a_fault(asked: tuple[Front, list[Route]], data: st.DataObject) -> None:
    pages, known = asked
    route = data.draw(st.sampled_from(known), label="route")
    path = route.path
    if path.startswith("/evening/") and data.draw(mostly, label="real link"):
        path = link_of(pages)
    for name in route.param_convertors:
        path = path.replace(f"{{{name}}}", quote(data.draw(part, label=name), safe=""))
    method = data.draw(st.sampled_from(["GET", "POST", "POST", "HEAD", "DELETE"]), label="method")
    sent = urlencode(data.draw(fields, label="fields"), doseq=True, errors="replace")
    headers = {"Content-Type": "application/x-www-form-urlencoded"}
    if data.draw(mostly, label="signed in"):
        headers["Cookie"] = pages.cookie("ana")
    if data.draw(mostly, label="from our page"):
        headers["Sec-Fetch-Site"] = "same-origin"
    if method == "GET":
        path, body = f"{path}?{sent}", None
    else:
        body = sent.encode()[:8000]
    with closing(http.client.HTTPConnection("127.0.0.1", pages.port, timeout=20)) as line:
        line.request(method, path, body, headers)
        answer = line.getresponse()
        answer.read()
    unready = path.startswith("/live") and answer.status == 503
    assert answer.status < 500 or unready, pages.log[-3000:]
