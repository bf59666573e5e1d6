"""The pages ask owners about the forecast until the profile says yes or no, and keep nothing."""

import html
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from scheduler.wording.sources.attribution import PlacesAttribution
from tests.faults.house import ONE_COOP, PEOPLE, SITE, household
from tests.web.front import Front, front

ASKED = "Use the forecast? Your rough location goes to MET Norway."
QUIET = "Use the forecast? Nobody has answered yet."
CLIMATE = "Climate: ERA5, Copernicus Climate Change Service (CC BY 4.0)"
NO_FORECAST = "Duskfold has no forecast"
MEMBER = PEOPLE.replace('mail = "kim@example.org"', 'role = "member"')
HOUSE = SITE + ONE_COOP + MEMBER
YES = '[forecast]\nsources = ["met-norway"]\n'
NO = "[forecast]\nsources = []\n"


@contextmanager
def served(folder: Path, forecast: str) -> Iterator[Front]:
    with (
        household(folder, body=HOUSE + forecast) as house,
        front(house, published=False) as pages,
    ):
        yield pages


def shown(pages: Front, path: str, who: str) -> str:
    return html.unescape(pages.get(path, who=who).text)


def test_an_owner_is_asked_and_a_member_is_not(tmp_path: Path) -> None:
    with served(tmp_path, "") as pages:
        weather = shown(pages, "/weather", "ana")
        assert ASKED in weather
        assert NO_FORECAST in weather
        # This profile lies elsewhere: nothing can be answered here yet.
        assert "To answer here, first let these pages change the profile" in weather
        assert "/weather/forecast" not in weather
        for path in ("/", "/status"):
            assert QUIET in shown(pages, path, "ana"), path
            assert QUIET not in shown(pages, path, "kim"), path
        weather = shown(pages, "/weather", "kim")
        assert ASKED not in weather
        for path in ("/weather", "/about"):
            assert CLIMATE in shown(pages, path, "kim"), path
            assert "data from MET Norway" not in shown(pages, path, "ana"), path
        assert PlacesAttribution.place_names() in shown(pages, "/about", "kim")


@pytest.mark.parametrize("answer", [YES, NO], ids=["yes", "no"])
def test_nobody_is_asked_again_once_the_profile_has_an_answer(tmp_path: Path, answer: str) -> None:
    with served(tmp_path, answer) as pages:
        for path in ("/", "/weather", "/status"):
            text = shown(pages, path, "ana")
            assert QUIET not in text, path
            assert ASKED not in text, path
        weather, status, about = (
            shown(pages, path, "ana") for path in ("/weather", "/status", "/about")
        )
        assert (NO_FORECAST in weather) is (answer == NO)
        for text in (weather, about):
            assert CLIMATE in text
            assert ("data from MET Norway (CC BY 4.0)" in text) is (answer == YES)
        sent = "<code>GET https://api.met.no/weatherapi/locationforecast/2.0/"
        assert (sent in status) is (answer == YES)
        assert ("<code>User-Agent: Duskfold/" in status) is (answer == YES)
        assert sent not in shown(pages, "/status", "kim")  # who sees no more of the place
