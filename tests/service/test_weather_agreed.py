"""The question about the forecast, its answers, whose data are named, and what is sent."""

from datetime import date

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.records import NO_RECORDS
from scheduler.profile.values import Profile
from scheduler.service.health.forecast_request import forecast_requests, sent_to
from scheduler.service.household.open_profile import Household
from scheduler.service.housing_check import housing_check
from scheduler.service.weather.agreed import (
    agent_of,
    attributions,
    is_asked,
    question,
    services,
    sources_of,
)
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
    yes, no = (
        household(f"[forecast]\nsources = {[*sources_of(unanswered, yes=answer)]}\n", site)
        for answer in (True, False)
    )
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


def sent(profile: Profile) -> list[tuple[str, tuple[str, ...]]]:
    return [shown for asked in forecast_requests(profile) for shown in sent_to(asked)]


@pytest.mark.parametrize("unnamed", ["", "[forecast]\nsources = []\n"])
def test_without_a_yes_nothing_is_sent(unnamed: str) -> None:
    assert forecast_requests(household(unnamed)) == ()


def test_only_the_services_that_were_named_are_sent_anything_in_the_keepers_order() -> None:
    (_, (first, *_)), (_, (second, *_)) = sent(household(BOTH))
    assert first.startswith("GET https://api.open-meteo.com/")
    assert second.startswith("GET https://api.met.no/")


def test_a_request_is_shown_to_the_letter_with_no_more_of_the_place_than_was_agreed() -> None:
    place = SITE.replace("latitude = 51.5\n", "latitude = 51.2468\n")
    assert place != SITE
    named = '[forecast]\nsources = ["met-norway"]\nrounding = {}\ncontact = "sam@example.org"\n'
    for rounding, latitude, longitude in ((0.01, "51.25", "-0.10"), (0.1, "51.2", "-0.1")):
        [(said, lines)] = sent(household(named.format(rounding), place))
        assert said == "For the forecast, MET Norway is sent exactly this:"
        complete = "https://api.met.no/weatherapi/locationforecast/2.0/complete"
        assert lines == (
            f"GET {complete}?lat={latitude}&lon={longitude}",
            "User-Agent: Duskfold/0.1.0 (sam@example.org)",
            "Accept-Encoding: gzip",
        )


def test_of_the_us_service_both_requests_are_shown_that_are_known_before() -> None:
    points, warnings = sent(household('[forecast]\nsources = ["us-nws"]\n', IN_MAINE))
    assert points[0] == "For the forecast, the US National Weather Service is sent exactly this:"
    assert points[1][0] == "GET https://api.weather.gov/points/44.3,-71.2"
    assert "the address that the first answer names, and for official warnings" in warnings[0]
    assert warnings[1][0] == "GET https://api.weather.gov/alerts/active?point=44.3,-71.2"


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
