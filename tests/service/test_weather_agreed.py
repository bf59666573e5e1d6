"""The question about the forecast, its answers, whose data are named, and what is sent."""

from collections.abc import Sequence
from datetime import date

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.records import NO_RECORDS
from scheduler.channels.http import Request
from scheduler.profile.forecast import SourceName
from scheduler.profile.values import Profile
from scheduler.service.weather.agreed import answers, attributions, is_asked, question, services
from scheduler.service.health.forecast_request import (
    SOURCES,
    AskedOf,
    Requests,
    agent_of,
    forecast_requests,
    sent_to,
)
from scheduler.service.household.open_profile import Household
from scheduler.service.housing_check import housing_check
from tests.alerts.orchard import SITE, WALNUT
from tests.conftest import declared

BOTH = '[forecast]\nsources = ["open-meteo", "met-norway"]\ncontact = "sam@example.org"\n'
IN_MAINE = (
    '[site]\nname = "Orchard"\nlatitude = 44.3\nlongitude = -71.2\n'
    'timezone = "America/New_York"\nregion = "US"\n'
)
CLIMATE = "Climate: ERA5, Copernicus Climate Change Service (CC BY 4.0), and station averages, "


def household(more: str = "", site: str = SITE) -> Profile:
    return declared(site + WALNUT + more)


def test_the_question_names_the_service_that_its_yes_would_name() -> None:
    assert question(household()) == (
        "Use the forecast? Your rough location goes to MET Norway. Without it, heat and frost "
        "reminders follow the usual weather here."
    )
    assert "goes to the US National Weather Service." in question(household(site=IN_MAINE))


@pytest.mark.parametrize("site", [SITE, IN_MAINE])
def test_the_lines_that_say_yes_and_no_are_read_as_that_and_end_the_question(site: str) -> None:
    unanswered = household(site=site)
    assert is_asked(unanswered)
    assert services(unanswered) == ()
    yes, no = (household("\n".join(lines), site) for lines in answers(unanswered))
    assert not is_asked(yes)
    assert services(yes) == (("us-nws",) if site is IN_MAINE else ("met-norway",))
    assert not is_asked(no)
    assert services(no) == ()


def test_the_climate_is_always_attributed_and_a_service_only_when_it_is_named() -> None:
    [(climate, page)] = attributions(household())
    assert climate.startswith(CLIMATE)
    assert page == ""
    assert attributions(household("[forecast]\nsources = []\n")) == ((climate, page),)
    named = attributions(household(BOTH))
    assert [text for text, _ in named] == [
        climate,
        "Weather data by Open-Meteo.com",
        "Weather forecast: data from MET Norway (CC BY 4.0), processed",
    ]
    assert all(page.startswith("https://") for _, page in named[1:])


def of_two(profile: Profile, agent: str) -> Sequence[Request]:
    rounded = f"{profile.site.latitude_deg:.2f}"
    headers = {"User-Agent": agent, "Accept-Encoding": "gzip"}
    return [
        Request(method="GET", url=f"https://weather.example.org/{step}/{rounded}", headers=headers)
        for step in ("points", "grid")
    ]


def test_no_service_is_sent_anything_that_was_not_named() -> None:
    known: dict[SourceName, Requests] = {"met-norway": of_two, "us-nws": of_two}
    for unnamed in ("", "[forecast]\nsources = []\n"):
        assert forecast_requests(household(unnamed), known) == ()
    first, second = forecast_requests(household(BOTH), known)
    assert first == AskedOf(source="open-meteo", requests=())
    assert (second.source, len(second.requests)) == ("met-norway", 2)
    assert [asked.requests for asked in forecast_requests(household(BOTH), SOURCES)] == [(), ()]


def test_a_request_is_shown_to_the_letter() -> None:
    known: dict[SourceName, Requests] = {"met-norway": of_two}
    nothing, asked = forecast_requests(household(BOTH), known)
    [(said, lines)] = sent_to(nothing)
    assert said == "The forecast may come from Open-Meteo, but nothing is sent there yet."
    assert lines == ()
    assert list(sent_to(asked)) == [
        (
            words,
            (
                f"GET https://weather.example.org/{step}/51.50",
                "User-Agent: Duskfold/0.1.0 (sam@example.org)",
                "Accept-Encoding: gzip",
            ),
        )
        for words, step in (
            ("For the forecast, MET Norway is sent exactly this:", "points"),
            ("Then this, with what the first answer names:", "grid"),
        )
    ]


def test_the_agent_names_the_contact_only_where_one_is_given() -> None:
    assert agent_of(household()) == "Duskfold/0.1.0"
    assert agent_of(household(BOTH)) == "Duskfold/0.1.0 (sam@example.org)"


@pytest.mark.parametrize(
    ("forecast", "site", "noted"),
    [
        ("", SITE, []),
        ("[forecast]\nsources = []\n", SITE, []),
        (BOTH, SITE, []),
        ('[forecast]\nsources = ["met-norway"]\n', SITE, ["(contact under [forecast])"]),
        ('[forecast]\nsources = ["us-nws"]\n', SITE, ["(sources under [forecast])"]),
        ('[forecast]\nsources = ["us-nws"]\n', IN_MAINE, []),
    ],
)
def test_check_points_out_what_keeps_a_service_from_answering(
    forecast: str, site: str, noted: list[str], catalogue: Catalogue
) -> None:
    profile = household(forecast, site)
    day = date(2026, 12, 21)
    found = housing_check(
        Household(profile=profile, catalogue=catalogue), NO_RECORDS, "backyard", day
    )
    told = [one for one in found.notes if "[forecast]" in one]
    assert len(told) == len(noted)
    assert all(keys in one for keys, one in zip(noted, told, strict=True))
    assert not any("[forecast]" in one for one in found.page_notes)
