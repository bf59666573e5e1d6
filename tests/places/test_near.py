"""The nearest place, and where well-known towns are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.places.globe import apart_deg
from scheduler.places.place import Place
from tests.places.drawn import drawn, world
from tests.places.second_reading import every_place
from tests.unhurried import unhurried

anywhere = st.tuples(st.floats(-90, 90), st.floats(-180, 180))
edges = st.tuples(
    st.sampled_from((-90.0, -89.99, -17.0, 0.0, 52.0, 66.0, 89.99, 90.0)),
    st.sampled_from((-180.0, -179.99, -0.01, 0.0, 179.99, 180.0)),
)
# Degrees north and east, from memory; the middle of a town is within a twentieth of a degree.
TOWNS = {
    "London, England": (51.51, -0.13),
    "Lewes, England": (50.87, 0.01),
    "Reykjavík, Iceland": (64.14, -21.94),
    "Berlin, Germany": (52.52, 13.40),
    "Madrid, Spain": (40.42, -3.70),
    "New York City, United States": (40.71, -74.01),
    "Springfield, Illinois": (39.80, -89.65),
    "Anchorage, Alaska": (61.22, -149.90),
    "Tokyo, Japan": (35.69, 139.69),
    "Singapore, Singapore": (1.29, 103.85),
    "Nairobi, Kenya": (-1.29, 36.82),
    "Sydney, Australia": (-33.87, 151.21),
    "Wellington, New Zealand": (-41.29, 174.78),
    "Suva, Fiji": (-18.14, 178.44),
    "Ushuaia, Argentina": (-54.80, -68.30),
}
ZONES = {
    "London, England": "Europe/London",
    "Springfield, Illinois": "America/Chicago",
    "Pensacola, Florida": "America/Chicago",  # most of Florida is on New York's
    "Anchorage, Alaska": "America/Anchorage",
    "Suva, Fiji": "Pacific/Fiji",
    "Broken Hill, New South Wales": "Australia/Broken_Hill",
}


def away_deg(at: tuple[float, float], place: Place) -> float:
    return apart_deg(*at, place.latitude_deg, place.longitude_deg)


@given(drawn())
def test_the_nearest_to_a_place_is_it(place: Place) -> None:
    found = world().near(place.latitude_deg, place.longitude_deg)
    assert found is not None
    assert away_deg((place.latitude_deg, place.longitude_deg), found) == 0


@given(anywhere | edges, drawn())
def test_no_place_is_nearer_than_the_nearest(at: tuple[float, float], other: Place) -> None:
    found = world().near(*at)
    assert found is not None
    assert away_deg(at, found) <= away_deg(at, other) + 1e-9


@unhurried
def test_no_place_of_all_is_nearer() -> None:
    spots = ((90, 0), (-90, 0), (-17, 180), (-17, -180), (0, 0), (51.5, -0.1), (-40, -120))
    for lat, lon in spots:
        found = world().near(lat, lon)
        assert found is not None
        nearest_deg = min(
            apart_deg(lat, lon, told.latitude_deg, told.longitude_deg) for told in every_place()
        )
        assert away_deg((lat, lon), found) == pytest.approx(nearest_deg, abs=1e-9)


def test_180_degrees_is_no_edge() -> None:
    assert world().near(-17, 180) == world().near(-17, -180)
    assert str(world().near(-17, -179.9999)) == str(world().near(-17, 179.9999))


@pytest.mark.parametrize(
    "at", [(90.1, 0), (-91, 0), (float("nan"), 0), (0, float("nan")), (0, float("inf"))]
)
def test_no_place_on_earth_has_none_near(at: tuple[float, float]) -> None:
    assert world().near(*at) is None


def test_what_is_said_back() -> None:
    assert str(world().near(50.9, 0.01)) == "Lewes, England, United Kingdom"


@pytest.mark.parametrize(("name", "where"), TOWNS.items())
def test_towns_are_where_they_are(name: str, where: tuple[float, float]) -> None:
    found = world().starting(name)[0]
    assert name.partition(",")[0] == found.name
    assert away_deg(where, found) < 0.05


@pytest.mark.parametrize(("name", "zone_name"), ZONES.items())
def test_towns_have_their_zone(name: str, zone_name: str) -> None:
    assert world().starting(name)[0].zone_name == zone_name
