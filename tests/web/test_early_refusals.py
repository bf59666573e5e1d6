"""Whoever is turned away before anything is looked up reads what to do; a program, one line."""

import pytest

from scheduler.web.early_refusals import ANOTHER_NAME, PAGE, PLAIN, TOO_MANY, TurnedAway

BROWSER = b"text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"


@pytest.mark.parametrize("told", [ANOTHER_NAME, TOO_MANY])
@pytest.mark.parametrize(
    ("accept", "kind"), [(BROWSER, PAGE), (b"*/*", PLAIN), (b"text/calendar", PLAIN), (None, PLAIN)]
)
def test_a_browser_gets_a_page_and_a_program_a_line(
    told: TurnedAway, accept: bytes | None, kind: bytes
) -> None:
    headers = [(b"host", b"evil.test"), *([(b"accept", accept)] if accept else [])]
    got, body = told.to(headers)
    assert got == kind
    assert body == (told.page if kind == PAGE else told.line)


@pytest.mark.parametrize("told", [ANOTHER_NAME, TOO_MANY])
def test_the_page_says_what_to_do_and_brings_nothing_with_it(told: TurnedAway) -> None:
    page = told.page.decode()
    assert "go and check the door" in page
    assert "Nothing was saved" in page
    for needs in ("href", "src", "style", "script"):
        assert needs not in page
    assert told.line.count(b"\n") == 1
    assert len(told.page) < 1000
