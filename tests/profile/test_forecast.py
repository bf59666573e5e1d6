"""The forecast and the thermometers of a profile: what is read, and what is said of the rest."""

from datetime import date
from typing import get_args

import pytest

from scheduler.climate.forecast import ForecastSource
from scheduler.profile.forecast import (
    Forecasts,
    SourceName,
    in_reach_of_nws,
    usual_source,
)
from scheduler.profile.load import Loaded, parse
from scheduler.profile.problem import dotted
from scheduler.profile.values import Profile

PLACE = '[site]\nname = "Orchard"\nlatitude = 51.5\nlongitude = -0.1\nregion = "UK"\n'
WALNUT = '[[coop]]\nname = "Walnut"\n'
BARN = '[[coop]]\nname = "Barn"\n[[flock]]\nname = "Boys"\ncoop = "barn"\nroosters = 2\n'
FLOCK = '[[flock]]\nname = "Girls"\ncoop = "walnut"\nhens = 12\n'
HOUSE = WALNUT + FLOCK
PEAR = '[[sensor]]\nname = "Pear tree"\n'


def loaded(more: str) -> Profile:
    found = parse((PLACE + HOUSE + more).encode(), file="farm.toml", today=date(2026, 3, 1))
    assert isinstance(found, Loaded), "\n".join(map(str, found))
    return found.profile


def told(more: str) -> list[tuple[str, str, str, str]]:
    """Key, found, accepted and hint of each problem."""
    found = parse((PLACE + HOUSE + more).encode(), file="farm.toml", today=date(2026, 3, 1))
    assert not isinstance(found, Loaded)
    assert all(one.line for one in found)
    return [(dotted(one.key), one.found, one.accepted, one.hint) for one in found]


def test_no_table_is_not_asked_an_empty_list_is_refused_and_the_order_is_the_keepers() -> None:
    assert loaded("").forecast is None
    refused = loaded("[forecast]\nsources = []\n").forecast
    assert refused == Forecasts(sources=())
    assert refused is not None
    assert (refused.rounding_deg, refused.contact) == (0.01, None)
    agreed = loaded(
        '[forecast]\nsources = ["Open-Meteo", "met-norway"]\nrounding = 0.1\n'
        'contact = "https://hens.example.org/about"\n'
    ).forecast
    assert agreed is not None
    assert agreed.sources == ("open-meteo", "met-norway")
    assert (agreed.rounding_deg, agreed.contact) == (0.1, "https://hens.example.org/about")


def test_a_profile_may_name_the_services_that_a_forecast_comes_from_and_no_other() -> None:
    assert get_args(SourceName) == get_args(ForecastSource)


LIST = 'a list such as ["met-norway"], or [] for no forecast'
NAMES = '"met-norway", "open-meteo", "us-nws"'


@pytest.mark.parametrize(
    ("table", "key", "found", "accepted", "hint"),
    [
        ('sources = "met-norway"', "sources", '"met-norway"', LIST, "Write it in brackets."),
        ("sources = true", "sources", "true", LIST, ""),
        (
            'sources = ["met-norwy"]',
            "sources[1]",
            '"met-norwy"',
            NAMES,
            'Did you mean "met-norway"?',
        ),
        (
            'sources = ["open-meteo", "NOAA"]',
            "sources[2]",
            '"NOAA"',
            NAMES,
            'For the US National Weather Service, write "us-nws".',
        ),
        ("sources = [3]", "sources[1]", "3", NAMES, ""),
        (
            'sources = ["us-nws", "US-NWS"]',
            "sources[2]",
            "us-nws again",
            "each service once",
            "",
        ),
        ("sources = []\nrounding = 0.02", "rounding", "0.02", "0.01 or 0.1", ""),
        ("sources = []\nrounding = true", "rounding", "true", "0.01 or 0.1", ""),
        (
            'sources = []\ncontact = "http://hens.example.org"',
            "contact",
            '"http://hens.example.org"',
            'an email address or a page such as "https://hens.example.org"',
            "It must begin with https://.",
        ),
        (
            'sources = []\ncontact = "sam@example.org) evil (x"',
            "contact",
            '"sam@example.org) evil (x"',
            'an email address or a page such as "https://hens.example.org"',
            "",
        ),
        (
            'sources = []\nservice = "met-norway"',
            "service",
            'the unknown key "service"',
            "sources, rounding, contact",
            'Name the services as sources = ["met-norway"].',
        ),
    ],
)
def test_what_is_wrong_with_a_forecast_is_said_with_what_is_accepted(
    table: str, key: str, found: str, accepted: str, hint: str
) -> None:
    assert told(f"[forecast]\n{table}\n") == [(f"forecast.{key}", found, accepted, hint)]


def test_everything_that_is_wrong_with_both_tables_is_told_at_once() -> None:
    text = (
        '[forecast]\nsources = ["yr", "meteo"]\nrounding = 1\n'
        f'{PEAR}where = "garden"\nfile = "thermometer.json"\n'
        '[[sensor]]\nname = "Pear tree"\nwhere = "coop"\ncoop = "Walnutt"\nfile = "/run/"\n'
    )
    assert {(key, hint) for key, _, _, hint in told(text)} == {
        ("forecast.sources[1]", 'For MET Norway, write "met-norway".'),
        ("forecast.sources[2]", 'Did you mean "open-meteo"?'),
        ("forecast.rounding", ""),
        ("sensor[1].where", 'For one in the open, write where = "outside".'),
        ("sensor[1].file", "Write the path from the root on."),
        ("sensor[2].id", ""),
        ("sensor[2].coop", 'Did you mean "walnut"?'),
        ("sensor[2].file", "That is a folder."),
    }


def test_a_table_without_sources_says_what_is_missing() -> None:
    [(key, found, _, _)] = told("[forecast]\nrounding = 0.1\n")
    assert (key, found) == ("forecast.sources", "nothing")


def test_a_thermometer_has_an_id_from_its_name_and_hangs_in_the_only_house() -> None:
    outside, inside = loaded(
        f'{PEAR}where = "outside"\nfile = "/srv/pear.txt"\n'
        "[[sensor]]\nname = 'Roof'\nwhere = 'Coop'\nfile = 'C:\\garden\\roof.txt'\n"
    ).sensor
    assert (outside.id, outside.where, outside.coop) == ("pear-tree", "outside", None)
    assert (inside.id, inside.coop, inside.file) == ("roof", "walnut", r"C:\garden\roof.txt")
    [by_name] = loaded(f'{BARN}{PEAR}where = "coop"\ncoop = "Barn"\nfile = "/t"\n').sensor
    assert by_name.coop == "barn"


def test_of_several_houses_the_one_it_hangs_in_is_asked_for() -> None:
    [(key, found, accepted, _)] = told(f'{BARN}{PEAR}where = "coop"\nfile = "/t"\n')
    assert (key, found) == ("sensor[1].coop", "nothing")
    assert accepted == "the house that it hangs in"
    [(key, _, accepted, _)] = told(f'{PEAR}where = "outside"\ncoop = "walnut"\nfile = "/t"\n')
    assert (key, accepted) == ("sensor[1].coop", 'no coop, or where = "coop"')


def test_a_single_bracket_is_told() -> None:
    [(key, _, _, hint)] = told(
        f'{PEAR.replace("[[", "[").replace("]]", "]")}where = "outside"\nfile = "/t"\n'
    )
    assert key == "sensor"
    assert "[[sensor]]" in hint


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "is_there"),
    [
        (44.3, -71.2, True),
        (25.8, -80.2, True),
        (64.8, -147.7, True),
        (52.9, 172.9, True),
        (21.3, -157.9, True),
        (18.4, -66.1, True),
        (13.5, 144.8, True),
        (-14.3, -170.7, True),
        (51.5, -0.1, False),
        (-33.9, 151.2, False),
        (19.4, -99.1, False),
        (53.5, -113.5, False),
    ],
)
def test_the_us_service_is_within_reach_in_the_states_and_territories_alone(
    latitude_deg: float, longitude_deg: float, is_there: bool
) -> None:
    assert in_reach_of_nws(latitude_deg, longitude_deg) is is_there


def test_in_the_us_the_question_names_their_own_service_and_elsewhere_met_norway() -> None:
    assert usual_source("US", 44.3, -71.2) == "us-nws"
    assert usual_source("other", 43.7, -79.4) == "met-norway"  # Toronto, in the same rectangle
    assert usual_source("US", 48.1, 11.6) == "met-norway"  # an American in Bavaria
