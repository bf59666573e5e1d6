"""Where the birds live, and what the year is like there."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Annotated, Self

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator

from scheduler.profile.coordinates import SOUTHERNMOST_DEG
from scheduler.profile.field_readers import one_of
from scheduler.profile.fields import (
    Elevation,
    HorizonAngle,
    Latitude,
    Longitude,
    Name,
    Percent,
    Slug,
    Temperature,
    Zone,
    one_or_more_percent,
)
from scheduler.profile.frozen_table import Value, agree
from scheduler.profile.problem import Problem
from scheduler.profile.units import Region

ZONE_LONGITUDE_LIMIT_H = 4
DATE_LINE_DEG = 155  # from here on a zone may count the days of the other side (Kiritimati)
MONTHS = 12
_REFERENCE = datetime(2026, 1, 1, 12, tzinfo=UTC)
_HOUR = timedelta(hours=1)
RegionChoice = Annotated[Region, one_of(Region)]


def standard_offset_h(zone: tzinfo) -> float:
    """The zone's offset from UTC in hours without summer time, as in January 2026."""
    at = _REFERENCE.astimezone(zone)
    return ((at.utcoffset() or timedelta()) - (at.dst() or timedelta())) / _HOUR


def _months(value: object) -> object:
    return tuple(value) if isinstance(value, list) else value


class Site(Value):
    """Where the birds live."""

    name: Name = Field(description="what you call the place")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    latitude_deg: Latitude = Field(description="degrees north, negative in the south")
    longitude_deg: Longitude = Field(description="degrees east, negative in the west")
    zone: Zone = Field(
        alias="timezone",
        description='time zone such as "Europe/Paris"; proposed from the place when left out',
    )
    elevation_m: Elevation = Field(
        default=0.0, description="height above sea level; cools the estimated climate"
    )
    west_horizon_deg: HorizonAngle = Field(
        default=0.0, description="height of the hill or trees the sun sets behind, in degrees"
    )
    east_horizon_deg: HorizonAngle = Field(
        default=0.0, description="height of the hill or trees the sun rises behind, in degrees"
    )
    region: RegionChoice = Field(
        default="other", description="whose words and gallons you use: US, UK, EU, AU or other"
    )

    @model_validator(mode="after")
    def _place_and_zone_agree(self, info: ValidationInfo) -> Self:
        # What a keeper wrote is doubted; the sun's formulas hold at both poles.
        far_south = _too_far_south(self) if info.context else ()
        agree([*far_south, *_zone_too_far(self)])
        return self


def _too_far_south(site: Site) -> Iterator[Problem]:
    if site.latitude_deg < SOUTHERNMOST_DEG:
        other = f"latitude = {site.longitude_deg:g}, longitude = {site.latitude_deg:g}"
        swaps = abs(site.longitude_deg) <= -SOUTHERNMOST_DEG
        yield Problem(
            key=("latitude",),
            found=f"{site.latitude_deg:g}, which is in Antarctica",
            accepted=f"a latitude from {SOUTHERNMOST_DEG:g} to 90",
            hint=f"Are the two swapped? {other}" if swaps else "Is the sign right?",
        )


def _zone_too_far(site: Site) -> Iterator[Problem]:
    if site.zone is UTC:  # stands for: not known, which has been told
        return
    offset_h = standard_offset_h(site.zone)
    apart_h = abs(offset_h - site.longitude_deg / 15)
    if abs(site.longitude_deg) >= DATE_LINE_DEG:
        apart_h = min(apart_h, abs(24 - apart_h))
    if apart_h <= ZONE_LONGITUDE_LIMIT_H:
        return
    apart = f"{round(apart_h, 1):g} h away from longitude {site.longitude_deg:g}"
    fits_swapped = abs(offset_h - site.latitude_deg / 15) <= 1
    slip = (
        "Are latitude and longitude swapped?"
        if fits_swapped
        else "Is the sign of the longitude right?"
    )
    yield Problem(
        key=("timezone",),
        found=f"{site.zone}, {apart}",
        accepted=f"a zone within {ZONE_LONGITUDE_LIMIT_H} h of the sun at the place",
        hint=f"{slip} East is positive.",
    )


class Climate(Value):
    """The year's averages at the site: two figures, or twelve lows and twelve highs."""

    coldest_month_low_c: Temperature | None = Field(
        default=None, description="average night low of the coldest month"
    )
    warmest_month_high_c: Temperature | None = Field(
        default=None, description="average day high of the warmest month"
    )
    lows_c: Annotated[tuple[Temperature, ...] | None, BeforeValidator(_months)] = Field(
        default=None, description="average night low of each month, January first"
    )
    highs_c: Annotated[tuple[Temperature, ...] | None, BeforeValidator(_months)] = Field(
        default=None, description="average day high of each month, January first"
    )
    humidity_percent: Annotated[tuple[Percent, ...] | None, one_or_more_percent] = Field(
        default=None, description="average relative humidity, one figure or twelve"
    )

    @model_validator(mode="after")
    def _figures_agree(self) -> Self:
        two = [self.coldest_month_low_c, self.warmest_month_high_c]
        twelve = [self.lows_c, self.highs_c]
        problems = []
        if two.count(None) == 1 or twelve.count(None) == 1:
            accepted = "coldest_month_low with warmest_month_high, or lows with highs"
            problems.append(Problem(key=(), found="only one of a pair", accepted=accepted))
        if two != [None, None] and twelve != [None, None]:
            accepted = "the two figures or the twelve, not both"
            problems.append(Problem(key=(), found="both", accepted=accepted))
        for key, values in (
            ("lows", self.lows_c),
            ("highs", self.highs_c),
            ("humidity", self.humidity_percent),
        ):
            if values is not None and len(values) != MONTHS:
                accepted = "twelve values, January first"
                problems.append(
                    Problem(key=(key,), found=f"{len(values)} values", accepted=accepted)
                )
        low, high = two
        if low is not None and high is not None and low >= high:
            found = "a winter low that is not below the summer high"
            problems.append(
                Problem(key=("coldest_month_low",), found=found, accepted="low below high")
            )
        for month, (low, high) in enumerate(
            zip(self.lows_c or (), self.highs_c or (), strict=False)
        ):
            if low > high:
                found = f"a low of {low:g} °C above the high of {high:g} °C"
                problems.append(
                    Problem(key=("lows", month), found=found, accepted="low below high")
                )
        agree(problems)
        return self
