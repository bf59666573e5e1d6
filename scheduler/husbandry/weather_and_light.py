"""The weather and light of the day that figures are for."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from scheduler.husbandry.air import Weather
from scheduler.profile.coop import Coop


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """The weather and light that the figures are for; `lamp_season` holds the day or follows.

    `lit` is how long birds have light where a lamp programme is chosen, by the coop's id.
    """

    day: date
    night: Weather
    noon: Weather
    daylight: timedelta
    light_hours: float
    lamp_season: tuple[date, date] | None
    lit: Mapping[str, timedelta] = field(default_factory=dict)

    def light(self, coop: Coop) -> timedelta:
        """How long the birds of that coop have light: by day, or by its lamp."""
        return self.lit.get(coop.id, self.daylight)
