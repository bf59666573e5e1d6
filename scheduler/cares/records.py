"""What keepers have reported, as far as it changes the plan."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

Sign = Literal["frost", "heat"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """A run of days, both ends included; without a `last` day it goes on."""

    first: date
    last: date | None = None

    def __contains__(self, day: date) -> bool:
        """Whether `day` lies in the spell."""
        return self.first <= day and (self.last is None or day <= self.last)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """Weather that a keeper has told for some days."""

    sign: Sign
    spell: Spell


@dataclass(frozen=True, slots=True, kw_only=True)
class Records:
    """Reports by kind: disease orders, days of a predator's visit, weather as told."""

    orders: tuple[Spell, ...] = ()
    predator_days: tuple[date, ...] = ()
    weather: tuple[Weather, ...] = ()


NO_RECORDS = Records()
