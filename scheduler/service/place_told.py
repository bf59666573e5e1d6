"""What is shown back of a place: what it lies near, and when it gets dark there."""

from dataclasses import dataclass
from datetime import date, tzinfo

from scheduler.light.sun import At, Sky
from scheduler.profile.units import Region
from scheduler.profile.words import local_clock
from scheduler.wording.service.first_run import PlaceFound
from scheduler.wording.spoken import day_and_month

_CIVIL_DUSK_DEG = -6.0  # civil twilight ends (Explanatory Supplement to the Astronomical Almanac)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a place is, and by which clocks and words people live there."""

    latitude_deg: float
    longitude_deg: float
    zone: tzinfo
    region: Region


def where(spot: Spot, near: str) -> str:
    """The place in a sentence: what it is near, or else its coordinates and clocks."""
    if near:
        return PlaceFound.near(place=near)
    at = (spot.latitude_deg, spot.longitude_deg)
    latitude, longitude = (f"{one:.4f}".replace("-", "\N{MINUS SIGN}") for one in at)
    zone_name = str(spot.zone).replace("_", " ")
    return PlaceFound.at(latitude=latitude, longitude=longitude, zone=zone_name)


def dusk(spot: Spot, day: date, today: date) -> str:
    """When civil dusk is that evening by the clocks of the place, in a sentence."""
    sky = Sky.over(spot.latitude_deg, spot.longitude_deg, spot.zone)
    found, on = sky.crossing(day, "evening", _CIVIL_DUSK_DEG), day_and_month(day)
    is_tonight = day == today
    if isinstance(found, At):
        time = local_clock(found.instant, spot.zone, spot.region, day)
        return PlaceFound.dusk(time=time) if is_tonight else PlaceFound.dusk_on(day=on, time=time)
    if found.side == "above":
        return PlaceFound.no_dusk() if is_tonight else PlaceFound.no_dusk_on(day=on)
    return PlaceFound.dark_all_day() if is_tonight else PlaceFound.dark_all_day_on(day=on)
