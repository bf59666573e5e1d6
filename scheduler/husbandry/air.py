"""The air of a coop: what its openings give, and the heat and moisture balance inside.

A steady state of a small unheated house at night: birds warm and moisten it, openings (stack and
wind), leaks and walls cool and dry it. Margins are honest ones: a small coop is no laboratory.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

from scheduler.husbandry.groups import Group
from scheduler.husbandry.heat import (
    Output,
    humidity_ratio,
    moist_air_m3_per_kg,
    output,
    relative_humidity,
)
from scheduler.profile.coop import Coop, Vent

_G = 9.81
_KELVIN = 273.15
_AIR_WH_PER_M3_K = 0.335
_TWO_OPENINGS = 0.65  # discharge of separate inlet and outlet, ASHRAE (from memory)
_WIND = 0.30  # wind diagonal to the opening, 0.25 to 0.35 (from memory)
_WALL_W_M2_K = 2.5  # single boards, common practice, no source
_LEAKS_PER_H = 0.5  # air changes through cracks, common practice, no source
_HIGH_M, _LOW_M = 1.2, 0.3  # heights of openings that nobody has measured
_OPENING_HEIGHT_M = 0.15
TO_SPARE = 1.2  # modern hens give off more moisture than the design data: at least a fifth
# The design case is still air, in which vents give least; this wind is told beside it. A slow walk,
# as between hedges and houses: common practice, no source.
STILL_M_S, BREEZE_M_S = 0.0, 1.0
_SUN_ON_ROOF_W_M2 = 60.0  # through single boards in full sun, worked out: 2.5 × 0.7 × 700 / 20
TARGET_HUMIDITY = 0.75
CO2_LIMIT = 3000e-6
_CO2_OUTSIDE = 400e-6
SUMMER_RISE_K = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Openings:
    """Free area open at the top and at the bottom, and the height between the two."""

    high_m2: float
    low_m2: float
    apart_m: float
    opening_height_m: float = _OPENING_HEIGHT_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Shell:
    """The house around the air: its volume and what its walls and roof lose a degree."""

    volume_m3: float
    roof_m2: float
    loss_w_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """The air outside: `humidity` from 0 to 1, wind at the openings, sun on the roof or not.

    It is still where nothing is said of wind.
    """

    air_c: float
    humidity: float
    wind_m_s: float = STILL_M_S
    sunlit: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """The steady state: temperature, its rise over outside, humidity from 0 to 1, flow."""

    air_c: float
    rise_k: float
    humidity: float
    flow_m3_h: float
    extrapolated: bool


def openings(vents: Iterable[Vent], high_share: float, low_share: float) -> Openings:
    """What the vents give when the high and the low ones are open to these shares.

    A vent of one step cannot be shut.
    """
    open_m2 = {"high": 0.0, "low": 0.0}
    weighted = {"high": 0.0, "low": 0.0}
    slot = 0.0
    for vent in vents:
        share = 1.0 if vent.steps == 1 else {"high": high_share, "low": low_share}[vent.place]
        area_m2 = vent.area_m2 * share
        usual_m = _HIGH_M if vent.place == "high" else _LOW_M
        open_m2[vent.place] += area_m2
        weighted[vent.place] += area_m2 * (vent.height_m if vent.height_m is not None else usual_m)
        slot += area_m2 * (min(vent.size.sides_m) if vent.size.sides_m else _OPENING_HEIGHT_M)
    high_m = weighted["high"] / open_m2["high"] if open_m2["high"] else _HIGH_M
    low_m = weighted["low"] / open_m2["low"] if open_m2["low"] else _LOW_M
    total_m2 = open_m2["high"] + open_m2["low"]
    return Openings(
        high_m2=open_m2["high"],
        low_m2=open_m2["low"],
        apart_m=max(high_m - low_m, 0.1),
        opening_height_m=slot / total_m2 if total_m2 else _OPENING_HEIGHT_M,
    )


def shell(coop: Coop) -> Shell | None:
    """The house of the coop, or None while floor or height is not known."""
    if not coop.floor or not coop.height_m:
        return None
    walls_m2 = coop.floor.perimeter_m * coop.height_m
    loss_w_k = (walls_m2 + coop.floor.area_m2) * _WALL_W_M2_K
    return Shell(
        volume_m3=coop.floor.area_m2 * coop.height_m,
        roof_m2=coop.floor.area_m2,
        loss_w_k=loss_w_k,
    )


def stack_flow_m3_s(area_m2: float, height_m: float, inside_c: float, outside_c: float) -> float:
    """Flow through separate inlet and outlet of `area_m2` each.

    `height_m` is from the middle of the lower opening to the neutral level.
    """
    lift = max(inside_c - outside_c, 0.0) / (inside_c + _KELVIN)
    return _TWO_OPENINGS * area_m2 * sqrt(2 * _G * height_m * lift)


def two_way_flow_m3_s(area_m2: float, height_m: float, inside_c: float, outside_c: float) -> float:
    """Flow in and out through one opening (ASHRAE Fundamentals 1997, p. 25.13)."""
    difference = max(inside_c - outside_c, 0.0)
    discharge = 0.40 + 0.0045 * difference
    lift = difference / (inside_c + _KELVIN)
    return discharge * area_m2 * sqrt(2 * _G * height_m * lift)


def wind_flow_m3_s(area_m2: float, wind_m_s: float) -> float:
    """Flow that the wind drives through a free inlet area."""
    return _WIND * area_m2 * wind_m_s


def flow_m3_h(through: Openings, inside_c: float, weather: Weather) -> float:
    """Stack and wind together, as the root of the sum of squares (from memory)."""
    total_m2 = through.high_m2 + through.low_m2
    # In and out through the same openings; or in low and out high, where that gives more.
    half_m = through.opening_height_m / 2
    stack = two_way_flow_m3_s(total_m2, half_m, inside_c, weather.air_c)
    if through.high_m2 and through.low_m2:
        # Two openings in series: equal areas A give A / √2 and a neutral level half way.
        in_series = 1 / sqrt(through.high_m2**-2 + through.low_m2**-2)
        one_way = stack_flow_m3_s(in_series, through.apart_m, inside_c, weather.air_c)
        stack = max(stack, one_way)
    wind = wind_flow_m3_s(total_m2 / 2, weather.wind_m_s)
    return sqrt(stack**2 + wind**2) * 3600


def balance(birds: Sequence[Group], house: Shell, through: Openings, weather: Weather) -> Inside:
    """The temperature at which the birds' heat leaves as fast as it comes, and its humidity."""

    def flow(inside_c: float) -> float:
        return flow_m3_h(through, inside_c, weather) + _LEAKS_PER_H * house.volume_m3

    return _steady(birds, house, flow, weather)


def balance_at(birds: Sequence[Group], house: Shell, moved_m3_h: float, weather: Weather) -> Inside:
    """The same, while so much air goes through the house, by whatever way."""
    return _steady(birds, house, lambda _: moved_m3_h, weather)


def _steady(
    birds: Sequence[Group], house: Shell, flow: Callable[[float], float], weather: Weather
) -> Inside:
    sun_w = _SUN_ON_ROOF_W_M2 * house.roof_m2 if weather.sunlit else 0.0

    def surplus_w(inside_c: float) -> float:
        lost = (house.loss_w_k + _AIR_WH_PER_M3_K * flow(inside_c)) * (inside_c - weather.air_c)
        return output(birds, inside_c).sensible_w + sun_w - lost

    # Walls alone lose that much heat at the upper end, whatever the openings do.
    most_w = output(birds, weather.air_c).sensible_w + sun_w
    low_c, high_c = weather.air_c, weather.air_c + most_w / house.loss_w_k + 1.0
    while high_c - low_c > 1e-4:  # noqa: PLR2004 - far finer than any thermometer
        middle_c = (low_c + high_c) / 2
        if surplus_w(middle_c) > 0:
            low_c = middle_c
        else:
            high_c = middle_c
    inside_c = (low_c + high_c) / 2
    moved_m3_h = flow(inside_c)
    ratio = _ratio_inside(birds, inside_c, moved_m3_h, weather)
    return Inside(
        air_c=inside_c,
        rise_k=inside_c - weather.air_c,
        humidity=relative_humidity(inside_c, ratio),
        flow_m3_h=moved_m3_h,
        extrapolated=output(birds, inside_c).extrapolated,
    )


def _ratio_inside(
    birds: Sequence[Group], inside_c: float, moved_m3_h: float, weather: Weather
) -> float:
    outside_ratio = humidity_ratio(weather.air_c, weather.humidity)
    volume = moist_air_m3_per_kg(inside_c, outside_ratio)
    return outside_ratio + output(birds, inside_c).moisture_kg_h * volume / max(moved_m3_h, 1e-9)


def wetness(birds: Sequence[Group], inside: Inside, weather: Weather) -> float:
    """The water that the air inside is given, as a share of what it can carry: 1 wets the walls."""
    ratio = _ratio_inside(birds, inside.air_c, inside.flow_m3_h, weather)
    return ratio / humidity_ratio(inside.air_c, 1.0)


def wanted_for_moisture_m3_h(
    given: Output, inside_c: float, weather: Weather, humidity: float = TARGET_HUMIDITY
) -> float | None:
    """Air that keeps the inside at that humidity, a fifth to spare; None when none can.

    It grows without end as the air outside nears what is wanted inside.
    """
    inside_ratio = humidity_ratio(inside_c, humidity)
    outside_ratio = humidity_ratio(weather.air_c, weather.humidity)
    if inside_ratio <= outside_ratio:
        return None
    volume = moist_air_m3_per_kg(inside_c, inside_ratio)
    return TO_SPARE * given.moisture_kg_h * volume / (inside_ratio - outside_ratio)


def wanted_for_co2_m3_h(given: Output) -> float:
    """Air that keeps carbon dioxide under 3000 ppm (Lohmann guide)."""
    return given.co2_m3_h / (CO2_LIMIT - _CO2_OUTSIDE)


def wanted_for_heat_m3_h(given: Output, rise_k: float = SUMMER_RISE_K) -> float:
    """Air that carries the birds' warmth off at that rise."""
    return given.sensible_w / (_AIR_WH_PER_M3_K * rise_k)
