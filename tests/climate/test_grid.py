"""The climate map's file, read a second time as its format is described, and its edges."""

import lzma
import struct
from math import cos, pi, sin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scheduler.climate.grid import MappedYear, NotAMap, land_at, year_at
from scheduler.profile.package_data import climate_map

MAP = climate_map()
MONTHS = range(12)
latitudes, longitudes = st.floats(-55.9, 84.0), st.floats(-180.0, 180.0)
anywhere = (st.floats(-90, 90), st.floats(-180, 180))
heights = st.none() | st.floats(-400, 6000)
ON_LAND = {
    "London": (51.5, -0.1),
    "Phoenix": (33.4, -112.1),
    "Manila": (14.6, 121.0),
    "Melbourne": (-37.8, 145.0),
    "Oulu": (65.0, 25.5),
    "Suva": (-18.1, 178.4),
}
# The file's description: planes of 41 x 41 nodes every half degree, then of 21 x 21 every degree.
# A set: name, its first plane, how many, what a step is worth, and its offset.
SETS = (
    ("mean", 1, 5, 0.3, 5.0),
    ("low", 6, 5, 0.25, 0.0),
    ("high", 11, 5, 0.25, 0.0),
    ("low_ln_sd", 16, 3, 0.04, 0.0),
    ("high_ln_sd", 19, 3, 0.04, 0.0),
    ("humidity", 22, 5, 0.015, 0.0),
)


def tile_at(data: bytes, latitude: float, longitude: float) -> tuple[bytes, float, float] | None:
    """The tile that the place lies in, unpacked, and the place's distance in degrees in it."""
    south, east = 84.0 - latitude, longitude % 360 % 360  # -1e-17 is 360.0 after the first
    number = int(south // 20) * 18 + int(east // 20)
    offsets = struct.unpack("<127I", data[8 : 8 + 127 * 4])
    packed = data[offsets[number] : offsets[number + 1]]
    if not packed:
        return None
    delta = {"id": lzma.FILTER_DELTA, "dist": 1}
    lzma2 = {"id": lzma.FILTER_LZMA2, "dict_size": 65536, "lc": 0, "lp": 0, "pb": 0}
    return lzma.decompress(packed, lzma.FORMAT_RAW, filters=[delta, lzma2]), south % 20, east % 20


def signed(byte: int) -> int:
    return byte - 256 if byte > 127 else byte


def plane_at(nodes: bytes, plane: int, south: float, east: float) -> float:
    """By the four corners of its cell, each weighted by how near it is."""
    side, per_degree = (41, 2) if plane < 6 else (21, 1)
    first = plane * 41 * 41 if plane < 6 else 6 * 41 * 41 + (plane - 6) * 21 * 21
    y, x = south * per_degree, east * per_degree
    total = 0.0
    for row in (int(y), int(y) + 1):
        for column in (int(x), int(x) + 1):
            weight = (1 - abs(y - row)) * (1 - abs(x - column))
            if weight:
                total += weight * signed(nodes[first + row * side + column])
    return total


def read_again(latitude: float, longitude: float, height_m: float | None) -> dict[str, list[float]]:
    """Twelve values of each set at the place, with the mean at its height."""
    found = tile_at(MAP, latitude, longitude)
    assert found
    nodes, south, east = found
    land_m = 2800 + 25 * plane_at(nodes, 0, south, east)
    angles = [2 * pi * (month + 0.5) / 12 for month in MONTHS]
    values: dict[str, list[float]] = {"land_m": [land_m]}
    for name, first, count, step, offset in SETS:
        parts = [step * plane_at(nodes, first + n, south, east) for n in range(count)]
        shapes = [(1.0, cos(a), sin(a), cos(2 * a), sin(2 * a))[:count] for a in angles]
        values[name] = [
            offset + sum(part * of for part, of in zip(parts, shape, strict=True))
            for shape in shapes
        ]
    height_m = land_m if height_m is None else height_m
    for name in ("low", "high"):
        values[name] = [
            mean - 0.0055 * height_m + apart
            for mean, apart in zip(values["mean"], values[name], strict=True)
        ]
    return values


def here(place: str) -> MappedYear:
    found = year_at(MAP, *ON_LAND[place], None)
    assert found
    return found


@given(latitudes, longitudes, heights)
def test_a_place_is_read_as_the_format_is_described(
    latitude: float, longitude: float, height_m: float | None
) -> None:
    found = year_at(MAP, latitude, longitude, height_m)
    if found is None:
        assert tile_at(MAP, latitude, longitude) is None
        return
    wanted = read_again(latitude, longitude, height_m)
    assert found.land_m == pytest.approx(wanted["land_m"][0], abs=1e-6)
    for name in ("low", "high", "low_ln_sd", "high_ln_sd", "humidity"):
        assert getattr(found, name).of_months() == pytest.approx(wanted[name], abs=1e-6), name


@pytest.mark.parametrize("place", ON_LAND)
def test_each_of_the_places_is_on_the_map_as_its_format_says(place: str) -> None:
    found = here(place)
    wanted = read_again(*ON_LAND[place], None)
    assert found.low.of_months() == pytest.approx(wanted["low"], abs=1e-9)
    assert found.humidity.of_months() == pytest.approx(wanted["humidity"], abs=1e-9)


@given(latitudes, longitudes, st.integers(-3, 3))
def test_a_place_is_the_same_however_its_longitude_is_written(
    latitude: float, longitude: float, turns: int
) -> None:
    written = round(longitude, 4)
    one, other = (
        year_at(MAP, latitude, each, None) for each in (written, round(written + 360 * turns, 4))
    )
    assert (one is None) == (other is None)
    if one and other:
        assert one.low.of_months() == pytest.approx(other.low.of_months(), abs=1e-6)
        assert one.humidity.of_months() == pytest.approx(other.humidity.of_months(), abs=1e-6)


@given(latitudes, longitudes, st.sampled_from([(0.01, 0.0), (0.0, 0.01), (0.01, -0.01)]))
def test_places_a_kilometre_apart_have_nearly_the_same_year(
    latitude: float, longitude: float, step: tuple[float, float]
) -> None:
    assume(latitude + step[0] <= 84)
    one = year_at(MAP, latitude, longitude, None)
    other = year_at(MAP, latitude + step[0], longitude + step[1], None)
    assume(one is not None and other is not None)
    assert one
    assert other
    for name in ("low", "high"):
        for here_c, there_c in zip(
            getattr(one, name).of_months(), getattr(other, name).of_months(), strict=True
        ):
            assert abs(here_c - there_c) < 0.5


@given(latitudes, longitudes)
def test_nights_are_colder_than_days_and_days_stray_wherever_the_map_has_a_place(
    latitude: float, longitude: float
) -> None:
    found = year_at(MAP, latitude, longitude, None)
    assume(found is not None)
    assert found
    lows, highs = found.low.of_months(), found.high.of_months()
    assert all(-75 < low < high < 55 for low, high in zip(lows, highs, strict=True))
    for spread in (*found.low_ln_sd.of_months(), *found.high_ln_sd.of_months()):
        assert -1 < spread < 3  # 0.4 to 20 °C


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [
        (84.01, 0.0),
        (90.0, 0.0),
        (-56.0, -70.0),
        (-90.0, 0.0),
        (-40.0, -110.0),  # in the middle of the South Pacific
        (-40.0, 85.0),  # in the middle of the Indian Ocean
    ],
)
def test_beyond_the_map_and_far_out_at_sea_there_is_no_year(
    latitude: float, longitude: float
) -> None:
    assert year_at(MAP, latitude, longitude, None) is None


@pytest.mark.parametrize("longitude", [-180.0, 180.0, 179.9999999, -179.9999999, 540.0])
def test_the_date_line_is_no_edge(longitude: float) -> None:
    found = year_at(MAP, 66.0, longitude, None)  # Chukotka
    beside = year_at(MAP, 66.0, 179.99, None)
    assert found
    assert beside
    assert found.low.of_months() == pytest.approx(beside.low.of_months(), abs=0.5)


def test_the_northern_edge_and_tiny_steps_west_of_greenwich_are_on_the_map() -> None:
    assert year_at(MAP, 84.0, -35.0, None)  # north of Greenland
    greenwich = year_at(MAP, 51.5, 0.0, None)
    assert greenwich
    for longitude in (-1e-20, 360.0, 1e-20):
        found = year_at(MAP, 51.5, longitude, None)
        assert found
        assert found.low.of_months() == pytest.approx(greenwich.low.of_months(), abs=1e-6)


def test_no_map_has_no_place() -> None:
    assert year_at(b"", *ON_LAND["London"], None) is None


@pytest.mark.parametrize(
    "data",
    [
        b"climate2" + MAP[8:],
        b"climate1",
        MAP[:300],
        MAP[:516],
        MAP[: len(MAP) // 2],
        MAP[:600] + bytes(len(MAP) - 600),
    ],
    ids=["another format", "no offsets", "half its offsets", "no tiles", "cut off", "wiped"],
)
@pytest.mark.parametrize("place", ["London", "Melbourne"])
def test_what_is_no_whole_map_is_said_to_be_none(data: bytes, place: str) -> None:
    cut_after_london = place == "London" and len(data) == len(MAP) // 2
    if cut_after_london:
        assert year_at(data, *ON_LAND[place], None) == here(place)
        return
    with pytest.raises(NotAMap):
        year_at(data, *ON_LAND[place], None)


@given(st.binary(max_size=2000))
def test_no_bytes_are_worse_than_no_map(data: bytes) -> None:
    for start in (b"", b"climate1"):
        if not start + data:
            continue
        try:
            found = year_at(start + data, *ON_LAND["London"], None)
        except ValueError:
            continue
        assert found is None  # its offsets are equal: no land there


@given(*anywhere)
def test_the_land_around_lies_between_its_nodes(latitude_deg: float, longitude_deg: float) -> None:
    land = land_at(MAP, latitude_deg, longitude_deg)
    year = year_at(MAP, latitude_deg, longitude_deg, None)
    assert (land is None) == (year is None)
    if land and year:
        assert land.mean_m == year.land_m
        assert min(land.nodes_m) - 1e-6 <= land.mean_m <= max(land.nodes_m) + 1e-6


@given(*anywhere, st.floats(0, 3000))
def test_a_told_height_cools_by_5_5_c_a_kilometre(
    latitude_deg: float, longitude_deg: float, elevation_m: float
) -> None:
    low, high = (year_at(MAP, latitude_deg, longitude_deg, at) for at in (0.0, elevation_m))
    if low and high:
        assert low.low.at(0.3) - high.low.at(0.3) == pytest.approx(0.0055 * elevation_m)
        assert low.high.at(0.8) - high.high.at(0.8) == pytest.approx(0.0055 * elevation_m)


# A place on the edge of two tiles has one year, whichever is read: they share their nodes.
@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg"), [(44.0, 10.0), (50.0, 20.0), (51.5, 0.0), (-16.0, 28.0)]
)
def test_tiles_meet_without_a_step(latitude_deg: float, longitude_deg: float) -> None:
    here = year_at(MAP, latitude_deg, longitude_deg, 200.0)
    assert here is not None
    for north_deg, east_deg in ((1e-6, 0), (-1e-6, 0), (0, 1e-6), (0, -1e-6)):
        beside = year_at(MAP, latitude_deg + north_deg, longitude_deg + east_deg, 200.0)
        assert beside is not None
        assert beside.low.of_months() == pytest.approx(here.low.of_months(), abs=1e-3)
        assert beside.humidity.of_months() == pytest.approx(here.humidity.of_months(), abs=1e-4)


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "is_hilly"),
    [
        pytest.param(47.0, 10.0, True, id="Alps"),
        pytest.param(-43.6, 170.1, True, id="Southern Alps"),
        pytest.param(39.7, -104.9, True, id="high plain at the foot of mountains"),
        pytest.param(-1.3, 36.8, True, id="tropical highland"),
        pytest.param(52.2, 5.3, False, id="lowland"),
        pytest.param(51.5, -0.1, False, id="river"),
        pytest.param(49.9, -97.1, False, id="plain"),
    ],
)
def test_where_a_height_is_worth_asking_for(
    latitude_deg: float, longitude_deg: float, is_hilly: bool
) -> None:
    land = land_at(MAP, latitude_deg, longitude_deg)
    assert land is not None
    assert land.is_hilly == is_hilly


@pytest.mark.parametrize(("latitude_deg", "longitude_deg"), [(-60, 0), (86, 30), (-6, -110)])
def test_there_is_no_year_far_from_land(latitude_deg: float, longitude_deg: float) -> None:
    assert year_at(MAP, latitude_deg, longitude_deg, None) is None
    assert land_at(MAP, latitude_deg, longitude_deg) is None
