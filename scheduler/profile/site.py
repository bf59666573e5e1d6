"""Where the birds live, and what the year is like there."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Annotated, Self

from pydantic import ValidationInfo, model_validator

from scheduler.profile.coordinates import SOUTHERNMOST_DEG
from scheduler.profile.fields import (
    Elevation,
    HorizonAngle,
    Latitude,
    Longitude,
    Name,
    Percent,
    Slug,
    Temperature,
    Word,
    Zone,
    one_or_more_percent,
)
from scheduler.profile.frozen_table import Value, agree, key, needed
from scheduler.profile.problem import Problem
from scheduler.profile.units import Region
from scheduler.wording.profile.shared_keys import SharedKeys
from scheduler.wording.profile.site_keys import (
    ClimateKeys,
    SiteKeys,
    WrongClimate,
    WrongPlace,
    WrongZone,
)

ZONE_LONGITUDE_LIMIT_H = 4
DATE_LINE_DEG = 155  # from here on a zone may count the days of the other side (Kiritimati)
MONTHS = 12
_REFERENCE = datetime(2026, 1, 1, 12, tzinfo=UTC)
_HOUR = timedelta(hours=1)


def standard_offset_h(zone: tzinfo) -> float:
    """The zone's offset from UTC in hours without summer time, as in January 2026."""
    at = _REFERENCE.astimezone(zone)
    return ((at.utcoffset() or timedelta()) - (at.dst() or timedelta())) / _HOUR


class Site(Value):
    """Where the birds live."""

    name: Name = needed(SiteKeys.name)
    id: Slug = needed(SharedKeys.id)
    latitude_deg: Latitude = needed(SiteKeys.latitude)
    longitude_deg: Longitude = needed(SiteKeys.longitude)
    zone: Zone = needed(SiteKeys.zone, alias="timezone")
    elevation_m: Elevation | None = key(None, SiteKeys.elevation)
    west_horizon_deg: HorizonAngle = key(0.0, SiteKeys.west_horizon)
    east_horizon_deg: HorizonAngle = key(0.0, SiteKeys.east_horizon)
    region: Word[Region] = key("other", SiteKeys.region)

    @model_validator(mode="after")
    def _place_and_zone_agree(self, info: ValidationInfo) -> Self:
        # What a keeper wrote is doubted; the sun's formulas hold at both poles.
        far_south = too_far_south(self.latitude_deg, self.longitude_deg) if info.context else ()
        agree([*far_south, *zone_too_far(self.latitude_deg, self.longitude_deg, self.zone)])
        return self


def too_far_south(latitude_deg: float, longitude_deg: float) -> Iterator[Problem]:
    """That nobody keeps hens there; perhaps latitude and longitude were swapped."""
    if latitude_deg < SOUTHERNMOST_DEG:
        latitude, longitude = f"{latitude_deg:g}", f"{longitude_deg:g}"
        swaps = abs(longitude_deg) <= -SOUTHERNMOST_DEG
        swapped = WrongPlace.swapped(latitude=longitude, longitude=latitude)
        yield Problem(
            key=("latitude",),
            found=WrongPlace.antarctica(latitude=latitude),
            accepted=WrongPlace.inhabited(least=f"{SOUTHERNMOST_DEG:g}"),
            hint=swapped if swaps else WrongPlace.sign(),
        )


def zone_too_far(latitude_deg: float, longitude_deg: float, zone: tzinfo) -> Iterator[Problem]:
    """That its clock is more than four hours from the sun's; perhaps a sign is wrong."""
    if zone is UTC:  # stands for: not known, which has been told
        return
    offset_h = standard_offset_h(zone)
    apart_h = abs(offset_h - longitude_deg / 15)
    if abs(longitude_deg) >= DATE_LINE_DEG:
        apart_h = min(apart_h, abs(24 - apart_h))
    if apart_h <= ZONE_LONGITUDE_LIMIT_H:
        return
    hours, longitude = f"{round(apart_h, 1):g}", f"{longitude_deg:g}"
    fits_swapped = abs(offset_h - latitude_deg / 15) <= 1
    yield Problem(
        key=("timezone",),
        found=WrongZone.away(zone=zone, hours=hours, longitude=longitude),
        accepted=WrongZone.near(hours=ZONE_LONGITUDE_LIMIT_H),
        hint=WrongZone.swapped() if fits_swapped else WrongZone.sign(),
    )


class Climate(Value):
    """The year's averages at the site: two figures, or twelve lows and twelve highs."""

    coldest_month_low_c: Temperature | None = key(None, ClimateKeys.coldest_month_low)
    warmest_month_high_c: Temperature | None = key(None, ClimateKeys.warmest_month_high)
    lows_c: tuple[Temperature, ...] | None = key(None, ClimateKeys.lows)
    highs_c: tuple[Temperature, ...] | None = key(None, ClimateKeys.highs)
    humidity_percent: Annotated[tuple[Percent, ...] | None, one_or_more_percent] = key(
        None, ClimateKeys.humidity
    )

    @model_validator(mode="after")
    def _figures_agree(self) -> Self:
        agree(self._disagreements())
        return self

    def _disagreements(self) -> Iterator[Problem]:
        low, high = two = [self.coldest_month_low_c, self.warmest_month_high_c]
        twelve = {"lows": self.lows_c, "highs": self.highs_c}
        if two.count(None) == 1 or [*twelve.values()].count(None) == 1:
            found, accepted = WrongClimate.half_a_pair(), WrongClimate.pairs()
            yield Problem(key=(), found=found, accepted=accepted)
        if two != [None, None] and any(values is not None for values in twelve.values()):
            found, accepted = WrongClimate.both(), WrongClimate.one_of_both()
            yield Problem(key=(), found=found, accepted=accepted)
        for name, values in (twelve | {"humidity": self.humidity_percent}).items():
            if values is not None and len(values) != MONTHS:
                found, accepted = WrongClimate.values(values=len(values)), WrongClimate.twelve()
                yield Problem(key=(name,), found=found, accepted=accepted)
        accepted = WrongClimate.low_below_high()
        if low is not None and high is not None and low >= high:
            found = WrongClimate.winter_above_summer()
            yield Problem(key=("coldest_month_low",), found=found, accepted=accepted)
        pairs = zip(self.lows_c or (), self.highs_c or (), strict=False)
        for month, (low_c, high_c) in enumerate(pairs):
            if low_c > high_c:
                found = WrongClimate.low_above_high(low=f"{low_c:g}", high=f"{high_c:g}")
                yield Problem(key=("lows", month), found=found, accepted=accepted)
