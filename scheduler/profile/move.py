"""A move of the whole household: where the birds live from a date on."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Self

from pydantic import ValidationInfo, model_validator

from scheduler.profile.fields import (
    CivilDate,
    Elevation,
    HorizonAngle,
    Latitude,
    Longitude,
    Name,
    Switch,
    Word,
    Zone,
)
from scheduler.profile.frozen_table import Value, agree, key, needed
from scheduler.profile.problem import Problem
from scheduler.profile.site import Site, too_far_south, zone_too_far
from scheduler.profile.units import Region
from scheduler.wording.profile.move_keys import MoveKeys

SETTLING_IN_DAYS = 7  # common practice, no source: the ground is new, the house they know


class Move(Value):
    """Where the birds live from a date on, with the same house, people and diary."""

    on: CivilDate = needed(MoveKeys.on)
    latitude_deg: Latitude = needed(MoveKeys.latitude)
    longitude_deg: Longitude = needed(MoveKeys.longitude)
    zone: Zone = needed(MoveKeys.zone, alias="timezone")
    elevation_m: Elevation | None = key(None, MoveKeys.elevation)
    west_horizon_deg: HorizonAngle = key(0.0, MoveKeys.west_horizon)
    east_horizon_deg: HorizonAngle = key(0.0, MoveKeys.east_horizon)
    region: Word[Region] | None = key(None, MoveKeys.region)
    name: Name | None = key(None, MoveKeys.name)
    same_climate: Switch = key(False, MoveKeys.same_climate)

    @model_validator(mode="after")
    def _place_and_zone_agree(self, info: ValidationInfo) -> Self:
        agree(self._doubts(is_written=bool(info.context)))
        return self

    def _doubts(self, *, is_written: bool) -> Iterator[Problem]:
        """The same as of a site."""
        if is_written:
            yield from too_far_south(self.latitude_deg, self.longitude_deg)
        yield from zone_too_far(self.latitude_deg, self.longitude_deg, self.zone)

    def place(self, before: Site) -> Site:
        """The site at the new place, under the id of the old: what was kept of it goes on."""
        here = {
            "name": self.name or before.name,
            "latitude_deg": self.latitude_deg,
            "longitude_deg": self.longitude_deg,
            "zone": self.zone,
            "elevation_m": self.elevation_m,
            "west_horizon_deg": self.west_horizon_deg,
            "east_horizon_deg": self.east_horizon_deg,
            "region": self.region or before.region,
        }
        return before.model_copy(update=here)

    @property
    def settled_on(self) -> date:
        """The first day on which birds may range at the new place."""
        return self.on + timedelta(days=SETTLING_IN_DAYS)

    def settles_in(self, day: date) -> bool:
        """Whether the birds still learn on that day where they live: seven days from the move."""
        return self.on <= day < self.settled_on
