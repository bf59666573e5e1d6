"""In a made language every page of the first run speaks it alone: no word has no key."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from scheduler.machine.clock import Readings
from scheduler.service.data_place import DataPlace
from scheduler.service.first_run.first_key import new_key
from scheduler.web.first_run.pages import FirstPages
from scheduler.web.rate_limit import Misses
from tests.recorder.serving import answer, looped
from tests.unhurried import unhurried
from tests.web.first_house import STEPS
from tests.wording import test_marked_pages
from tests.wording.scenes import NAMES

NOON = Readings(
    wall=datetime(2026, 12, 21, 12, tzinfo=UTC), boot_s=1.0, monotonic_s=1.0, synchronised=True
)
# Places, names and addresses stand in every language as they are.
KNOWN = (
    *("Lambeth", "England", "United Kingdom", "London"),
    *("ben@example.org", "mail.example.net", "hens@example.net"),
)
MORE = {
    "house-1": {"name": "Walnut", "minutes": "14"},
    "reach-1": {"how": "push", "server": "https://push.example.net"},
    "reach-2": {"how": "mail", "mail": "ben@example.org"},
    "mail": {"host": "mail.example.net", "user": "hens@example.net", "from": ""},
}
WRONG = {
    "place": {"typed": ""},
    "birds-1": {"hens": "0", "roosters": "0"},
    "web": {"where": "anywhere"},
    "reach-1": {},
}


async def walk(pages: FirstPages, key: str) -> dict[str, str]:
    """Every page of the first run, by its step."""
    seen: dict[str, str] = {}

    async def look(called: str, path: str, form: dict[str, str] | None = None) -> dict[str, str]:
        _, headers, body = await answer(pages, path, form, cookie)
        seen[called] = body.decode()
        return dict(headers)

    cookie = ""
    await look("closed", "/")
    await look("missing", "/begin/with/nothing")
    await look("key", f"/begin/with/{key}")
    headers = await look("begun", f"/begin/with/{key}", {})
    cookie = headers["set-cookie"].partition(";")[0]
    step = "place"
    while step != "look-over":
        await look(step, f"/begin/{step}")
        if step in WRONG:
            await look(f"wrong {step}", f"/begin/{step}", dict(WRONG[step]))
        fields = dict(MORE.get(step) or STEPS.get(step, {}))
        headers = await look(f"answered {step}", f"/begin/{step}", fields)
        step = headers["location"].rpartition("/")[2]
    await look(step, f"/begin/{step}")
    return {name: page for name, page in seen.items() if page}


@pytest.fixture(scope="module")
def seen(_in_other_letters: None, tmp_path_factory: pytest.TempPathFactory) -> Iterator[object]:
    folder: Path = tmp_path_factory.mktemp("first")
    pages = FirstPages(
        DataPlace(folder), "127.0.0.1:8640", lambda: NOON, Misses(lambda: 1.0), patience_s=0.0
    )
    yield looped(walk(pages, new_key(folder)))
    pages.close()


@unhurried
def test_no_page_of_the_first_run_has_a_word_without_a_key(
    seen: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(test_marked_pages, "KNOWN", (*test_marked_pages.KNOWN, *NAMES, *KNOWN))
    found = {
        name: lines for name, page in seen.items() if (lines := test_marked_pages.foreign(page))
    }
    assert found == {}
    assert len(seen) > len(STEPS)
