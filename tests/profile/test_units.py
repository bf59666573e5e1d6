import math
from collections.abc import Callable
from datetime import time
from typing import TypeVar

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduler.profile.problem import Unreadable
from scheduler.profile.quantity import round_down, round_up, write_quantity
from scheduler.profile.time_fields import read_wall_time
from scheduler.profile.units import (
    Dimension,
    Region,
    Units,
    accepted_text,
    read_extent,
    read_quantity,
)

# Exact by definition, from memory; tests/reference/test_units_pint.py has every unit from pint.
INCH_M = 0.0254
FOOT_M = 0.3048
SQUARE_FOOT_M2 = 0.09290304
POUND_KG = 0.45359237
US_GALLON_L = 3.785411784
IMPERIAL_GALLON_L = 4.54609

Read = TypeVar("Read")
DIMENSIONS: tuple[Dimension, ...] = (
    "length",
    "area",
    "volume",
    "mass",
    "temperature",
    "duration",
    "angle",
)
REGIONS: tuple[Region, ...] = ("US", "UK", "EU", "AU", "other")
LENGTH = accepted_text("length")
AREA = accepted_text("area")
VOLUME = accepted_text("volume")
TEMPERATURE = accepted_text("temperature")

relaxed = settings(deadline=None)


@pytest.mark.parametrize(
    ("text", "dimension", "region", "expected"),
    [
        ("1.8 m", "length", "EU", 1.8),
        ("60cm", "length", "EU", 0.6),
        ("  25 mm ", "length", "EU", 0.025),
        ("6 ft", "length", "US", 6 * FOOT_M),
        ("5' 6\"", "length", "US", 66 * INCH_M),
        ("5'6\"", "length", "US", 66 * INCH_M),
        ("5 ft 6 in", "length", "UK", 66 * INCH_M),
        ("5 Feet 6 Inches", "length", "UK", 66 * INCH_M),
        ("1/2 in", "length", "US", INCH_M / 2),
        ('3/4"', "length", "US", INCH_M * 0.75),
        ("1 1/2 in", "length", "US", INCH_M * 1.5),
        ("5 ft 1/2 in", "length", "US", 60.5 * INCH_M),
        ("-12 m", "length", "EU", -12.0),
        ("−12 m", "length", "EU", -12.0),
        ("3 m²", "area", "EU", 3.0),
        ("3 m2", "area", "EU", 3.0),
        ("3m2", "area", "EU", 3.0),
        ("3 m^2", "area", "EU", 3.0),
        ("3 sq m", "area", "EU", 3.0),
        ("3 square metres", "area", "AU", 3.0),
        ("32 sq ft", "area", "US", 32 * SQUARE_FOOT_M2),
        ("32 sq. ft.", "area", "US", 32 * SQUARE_FOOT_M2),
        ("32 ft²", "area", "US", 32 * SQUARE_FOOT_M2),
        ("32 ft2", "area", "US", 32 * SQUARE_FOOT_M2),
        ("2 gal", "volume", "US", 2 * US_GALLON_L),
        ("2 gallons", "volume", "US", 2 * US_GALLON_L),
        ("2 qt", "volume", "US", US_GALLON_L / 2),
        ("2 pints", "volume", "US", US_GALLON_L / 4),
        ("2 US gal", "volume", "UK", 2 * US_GALLON_L),
        ("2 U.S. gal", "volume", "AU", 2 * US_GALLON_L),
        ("2 imp gal", "volume", "US", 2 * IMPERIAL_GALLON_L),
        ("2 imp. gal", "volume", "other", 2 * IMPERIAL_GALLON_L),
        ("8 L", "volume", "EU", 8.0),
        ("750 mL", "volume", "EU", 0.75),
        ("4.4 lb", "mass", "US", 4.4 * POUND_KG),
        ("4 lb 8 oz", "mass", "US", 4.5 * POUND_KG),
        ("1800 g", "mass", "EU", 1.8),
        ("-5 °C", "temperature", "EU", -5.0),
        ("-5C", "temperature", "EU", -5.0),
        ("−5 ° C", "temperature", "EU", -5.0),
        ("40 F", "temperature", "US", 40 / 9),
        ("-40 °F", "temperature", "US", -40.0),
        ("212 °F", "temperature", "US", 100.0),
        ("40 min", "duration", "EU", 40.0),
        ("1 h 30 min", "duration", "EU", 90.0),
        ("7 days", "duration", "EU", 7 * 24 * 60.0),
        ("4", "angle", "EU", 4.0),
        ("4°", "angle", "EU", 4.0),
        ("-4.5 degrees", "angle", "EU", -4.5),
    ],
)
def test_a_quantity_as_people_write_it(
    text: str, dimension: Dimension, region: Region, expected: float
) -> None:
    assert read_quantity(text, dimension, region) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "sides_m"),
    [
        ("4 ft x 8 ft", (4 * FOOT_M, 8 * FOOT_M)),
        ("4 x 8 ft", (4 * FOOT_M, 8 * FOOT_M)),
        ("4ft x 8ft", (4 * FOOT_M, 8 * FOOT_M)),
        ("4ftx8ft", (4 * FOOT_M, 8 * FOOT_M)),
        ("4x8ft", (4 * FOOT_M, 8 * FOOT_M)),
        ("4 FT X 8 FT", (4 * FOOT_M, 8 * FOOT_M)),
        ("4' x 8'", (4 * FOOT_M, 8 * FOOT_M)),
        ("5' 6\" x 6'", (66 * INCH_M, 6 * FOOT_M)),
        ("12 in x 14 in", (12 * INCH_M, 14 * INCH_M)),
        ("1 1/2 ft x 2 ft", (1.5 * FOOT_M, 2 * FOOT_M)),
        ("1/2 m x 2 m", (0.5, 2.0)),
        ("1.2 m by 1.8 m", (1.2, 1.8)),
        ("1.2 by 1.8 m", (1.2, 1.8)),
        ("10 cm × 40 cm", (0.1, 0.4)),
        ("120 cm x 1.8 m", (1.2, 1.8)),
    ],
)
def test_two_sides_span_an_area(text: str, sides_m: tuple[float, float]) -> None:
    extent = read_extent(text, "US")
    assert extent.sides_m == pytest.approx(sides_m, rel=1e-14)
    assert extent.area_m2 == pytest.approx(sides_m[0] * sides_m[1], rel=1e-14)


@pytest.mark.parametrize(
    ("text", "area_m2"),
    [("32 sq ft", 32 * SQUARE_FOOT_M2), ("3 m²", 3.0), ("3 m2", 3.0), ("900 cm²", 0.09)],
)
def test_an_area_alone_has_no_sides(text: str, area_m2: float) -> None:
    extent = read_extent(text, "EU")
    assert extent.sides_m is None
    assert extent.area_m2 == pytest.approx(area_m2, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "dimension", "hint"),
    [
        ("", "length", ""),
        ("   ", "length", ""),
        ("m", "length", ""),
        ("five m", "length", ""),
        ("nan m", "length", ""),
        ("inf m", "length", ""),
        ("1e9 m", "length", ""),
        ("1_000 m", "length", ""),
        ("\x00 m", "length", ""),
        ("- m", "length", ""),
        ("/2 m", "length", ""),
        ("3", "length", "The unit is missing."),
        ("3 kg", "length", '"kg" measures mass.'),
        ("3 m 2 kg", "length", '"kg" measures mass.'),
        ("5 ft 6", "length", ""),
        ("3 feat", "length", 'Did you mean "feet"?'),
        ("3 metters", "length", 'Did you mean "meters"?'),
        ("1,2 m", "length", "Write decimals with a point."),
        ("1,5 kg", "mass", "Write decimals with a point."),
        ("12 sq gallons", "area", ""),
        ("12 sq gallons", "volume", 'Did you mean "us gallons"?'),
        ("3 m² 2 m²", "area", ""),
        ("5 °C 3 °C", "temperature", ""),
        ("5 K", "temperature", ""),
        ("1.5.2", "angle", ""),
    ],
)
def test_what_is_no_quantity_is_refused_with_what_is(
    text: str, dimension: Dimension, hint: str
) -> None:
    with pytest.raises(Unreadable) as refused:
        read_quantity(text, dimension, "EU")
    assert (refused.value.accepted, refused.value.hint) == (accepted_text(dimension), hint)


@pytest.mark.parametrize(
    "text", ["1 1/0 in", "1/0 in", "9" * 400 + " m", "-" + "9" * 400 + " m", "9" * 5000 + " m"]
)
def test_a_number_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_quantity(text, "length", "EU")


@pytest.mark.parametrize("region", [region for region in REGIONS if region != "US"])
@pytest.mark.parametrize(
    ("text", "accepted"),
    [
        ("2 gal", '"2 US gal" (7.57 L) or "2 imp gal" (9.09 L)'),
        ("2 gallons", '"2 US gal" (7.57 L) or "2 imp gal" (9.09 L)'),
        ("1.5 Gallon", '"1.5 US gal" (5.68 L) or "1.5 imp gal" (6.82 L)'),
        ("2 quarts", '"2 US qt" (1.89 L) or "2 imp qt" (2.27 L)'),
        ("1 pint", '"1 US pt" (0.47 L) or "1 imp pt" (0.57 L)'),
    ],
)
def test_a_gallon_outside_the_us_is_asked_about(text: str, accepted: str, region: Region) -> None:
    with pytest.raises(Unreadable) as refused:
        read_quantity(text, "volume", region)
    assert refused.value.accepted == accepted
    assert refused.value.hint.endswith("is not the same everywhere. Say which.")


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("", ""),
        ("x", ""),
        ("4 ft x", ""),
        ("x 8 ft", ""),
        ("2 m x 2 m x 2 m", ""),
        ("4 x 8", "The unit is missing."),
        ("4 ft x 8", "The unit is missing."),
        ("4 kg x 8 kg", '"kg" measures mass.'),
        ("12 sq gallons", ""),
        ("1,2 m x 1,8 m", "Write decimals with a point."),
        ("3,5 m²", "Write decimals with a point."),
        ("2 gal", '"gal" measures volume.'),
    ],
)
def test_what_is_no_area_is_refused_with_what_is(text: str, hint: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read_extent(text, "US")
    assert (refused.value.accepted, refused.value.hint) == (AREA, hint)


@pytest.mark.parametrize("text", ["-2 m x -2 m", "-2 m x 2 m", "0 m x 2 m"])
def test_a_side_is_longer_than_nothing(text: str) -> None:
    with pytest.raises(Unreadable):
        read_extent(text, "EU")


def test_a_bare_side_never_takes_the_inches_of_the_other() -> None:
    # "4 x 8 ft 6 in" is four feet or four inches; to guess would be to change the floor twelvefold.
    with pytest.raises(Unreadable):
        read_extent("4 x 8 ft 6 in", "US")


# For each dimension the span that profiles accept, and the most that writing rounds away.
METRIC_ROUNDING: dict[Dimension, float] = {
    "length": 0.005,
    "area": 0.005,
    "volume": 0.05,
    "mass": 0.05,
    "temperature": 0.5,
}
US_ROUNDING: dict[Dimension, float] = {
    "length": 0.05 * INCH_M,
    "area": 0.05 * SQUARE_FOOT_M2,
    "volume": 0.05 * US_GALLON_L,
    "mass": 0.05 * POUND_KG,
    "temperature": 0.5 * 5 / 9,
}
ROUNDING: dict[Units, dict[Dimension, float]] = {
    "metric": METRIC_ROUNDING,
    "us": US_ROUNDING,
    "uk": METRIC_ROUNDING | {"length": US_ROUNDING["length"], "area": US_ROUNDING["area"]},
}
SPANS: dict[Dimension, st.SearchStrategy[float]] = {
    "length": st.one_of(st.floats(-430, 6000), st.floats(0, 3)),
    "area": st.one_of(st.floats(0, 10_000), st.floats(0, 2)),
    "volume": st.one_of(st.floats(0, 5000), st.floats(0, 5)),
    "mass": st.one_of(st.floats(0, 30), st.floats(0, 2)),
    "temperature": st.floats(-70, 60),
}


@pytest.mark.parametrize("units", ["metric", "us", "uk"])
@pytest.mark.parametrize("dimension", list(SPANS))
def test_what_is_written_reads_back_within_its_rounding(dimension: Dimension, units: Units) -> None:
    region: Region = "US" if units == "us" else "UK"

    @settings(deadline=None)
    @given(SPANS[dimension])
    def holds(value: float) -> None:
        text = write_quantity(value, dimension, units)
        rounded_away = abs(read_quantity(text, dimension, region) - value)
        assert rounded_away <= ROUNDING[units][dimension] * (1 + 1e-9), text

    holds()


@pytest.mark.parametrize("units", ["metric", "us", "uk"])
@pytest.mark.parametrize("dimension", list(SPANS))
def test_a_least_is_never_written_smaller_and_a_most_never_larger(
    dimension: Dimension, units: Units
) -> None:
    region: Region = "US" if units == "us" else "UK"
    nothing = 1e-5  # of a float, in °F of a hundredth of a millionth

    @settings(deadline=None)
    @given(SPANS[dimension])
    def holds(value: float) -> None:
        least = read_quantity(write_quantity(value, dimension, units, round_up), dimension, region)
        most = read_quantity(write_quantity(value, dimension, units, round_down), dimension, region)
        rounding = 2 * ROUNDING[units][dimension] + nothing
        assert value - nothing <= least <= value + rounding
        assert value - rounding <= most <= value + nothing

    holds()


@pytest.mark.parametrize(
    ("value", "dimension", "units", "text"),
    [
        (0.225, "length", "metric", "22.5\u00a0cm"),
        (0.6, "length", "metric", "60\u00a0cm"),
        (1.8, "length", "metric", "1.80\u00a0m"),
        (0.3048, "length", "us", "12\u00a0in"),
        (1.8288, "length", "us", "6\u00a0ft"),
        (1.6764, "length", "uk", "5\u00a0ft\u00a06\u00a0in"),
        (3.0, "area", "metric", "3.00\u00a0m²"),
        (2.97289728, "area", "uk", "32.0\u00a0sq ft"),
        (0.75, "volume", "metric", "750\u00a0mL"),
        (8.0, "volume", "uk", "8.0\u00a0L"),
        (US_GALLON_L, "volume", "us", "1.0\u00a0gal"),
        (US_GALLON_L / 2, "volume", "us", "2.0\u00a0qt"),
        (0.85, "mass", "metric", "850\u00a0g"),
        (2.0, "mass", "us", "4.4\u00a0lb"),
        (-5.0, "temperature", "metric", "-5\u00a0°C"),
        (-0.4, "temperature", "metric", "0\u00a0°C"),
        (-10.0, "temperature", "uk", "-10\u00a0°C"),
        (-17.9, "temperature", "us", "0\u00a0°F"),
        (-5.0, "temperature", "us", "23\u00a0°F"),
    ],
)
def test_a_quantity_as_the_keeper_would_write_it(
    value: float, dimension: Dimension, units: Units, text: str
) -> None:
    assert write_quantity(value, dimension, units) == text


# Letters and signs that quantities are made of reach further into the readers than any text does.
PIECES = st.sampled_from(
    [
        *"0123456789/.,-+−^²°xX×'\" ",
        *("1/2", "\x00", "٣", "½", "\u2028", " x ", " by "),
        *("m", "cm", "ft", "in", "sq ft", "m2", "gal", "L", "kg", "lb", "°C", "F", "min", "h"),
    ]
)
# st.text() first builds tables of all of Unicode, which costs a second in a fresh clone.
characters = st.one_of(st.integers(0, 0xFF), st.integers(0, 0x10FFFF)).map(chr)
any_text = st.lists(characters, max_size=12).map("".join)
anything = st.one_of(any_text, st.lists(PIECES, max_size=8).map("".join))
CLOCK_PIECES = st.sampled_from([*"0123456789: ", "22", ":00", ":30", "am", " p.m.", "٣"])


def outcome(read: Callable[[], Read]) -> Read | Unreadable:
    try:
        return read()
    except Unreadable as unreadable:
        return unreadable


@relaxed
@given(anything, st.sampled_from(DIMENSIONS), st.sampled_from(REGIONS))
@example("1 1/0 m", "length", "EU")
@example("9" * 400 + " m", "length", "EU")
@example("9" * 5000 + " m", "length", "EU")
@example("9" * 400 + " gal", "volume", "UK")
def test_any_text_is_a_finite_quantity_or_unreadable(
    text: str, dimension: Dimension, region: Region
) -> None:
    amount = outcome(lambda: read_quantity(text, dimension, region))
    if isinstance(amount, Unreadable):
        assert amount.accepted
    else:
        assert isinstance(amount, float)
        assert math.isfinite(amount)


@relaxed
@given(anything, st.sampled_from(REGIONS))
@example("9" * 300 + " m x " + "9" * 300 + " m", "EU")
@example("1 1/0 m x 2 m", "EU")
def test_any_text_is_a_finite_extent_or_unreadable(text: str, region: Region) -> None:
    extent = outcome(lambda: read_extent(text, region))
    if isinstance(extent, Unreadable):
        assert extent.accepted
    else:
        assert math.isfinite(extent.area_m2)
        assert extent.sides_m is None or math.prod(extent.sides_m) == extent.area_m2


@relaxed
@given(
    st.one_of(
        any_text,
        st.lists(CLOCK_PIECES, max_size=5).map("".join),
        st.times(),
        st.integers(),
        st.none(),
        st.booleans(),
    )
)
def test_anything_is_a_wall_time_in_whole_minutes_or_unreadable(value: object) -> None:
    at = outcome(lambda: read_wall_time(value))
    if isinstance(at, Unreadable):
        assert at.accepted == 'a time of day such as "22:30" or "10:30 pm"'
    else:
        assert (at.second, at.microsecond, at.tzinfo) == (0, 0, None)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("22:30", time(22, 30)),
        ("22:30:00", time(22, 30)),
        ("7:05", time(7, 5)),
        ("00:00", time(0)),
        ("7 am", time(7)),
        ("7am", time(7)),
        ("12 am", time(0)),
        ("12:30 a.m.", time(0, 30)),
        ("12 pm", time(12)),
        ("10:30 PM", time(22, 30)),
        (time(21, 15), time(21, 15)),
    ],
)
def test_a_wall_time_as_people_write_it(value: object, expected: time) -> None:
    assert read_wall_time(value) == expected


@pytest.mark.parametrize(
    "value",
    ["", "7", "24:00", "23:60", "0 am", "13 pm", "22:30:15", "noon", time(7, 0, 1), 7, None],
)
def test_what_is_no_wall_time_is_refused(value: object) -> None:
    with pytest.raises(Unreadable):
        read_wall_time(value)
