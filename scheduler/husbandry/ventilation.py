"""The vents of a coop through the year: one setting for the cold, the mild and the hot season.

Cold: the largest opening that lets in no rain, snow or draught at perch height, so the low vents
are shut and the high ones stay open. Hot: everything is open, by day and by night.
(Common practice, no source; the expected air is computed.)
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from scheduler.husbandry.air import (
    BREEZE_M_S,
    SUMMER_RISE_K,
    Inside,
    Openings,
    Weather,
    balance,
    openings,
    shell,
    wetness,
)
from scheduler.husbandry.criterion import SLACK
from scheduler.husbandry.drying import Drying, drying
from scheduler.husbandry.groups import Group, head_count
from scheduler.husbandry.needs import HIGH_VENTS_M2
from scheduler.profile.coop import Coop, Vent
from scheduler.profile.phrase import Text, filled, joined
from scheduler.profile.quantity import read_written, reckoned
from scheduler.wording.husbandry.air import DampNights, VentsHelp, VentsSet

Season = Literal["cold", "mild", "hot"]
_HIGH_VENT_A_BIRD = read_written("0.1 sq ft = 93 cm²")
# How far birds' heads are above the perch, up to so many kg. Common practice, no source.
_HEADS_UP_M: tuple[tuple[float, float], ...] = ((1.5, 0.30), (2.5, 0.40), (math.inf, 0.50))


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """How far the vents stand open in a season, in words, and the air to expect; None: unknown.

    `night` and `day` are still, `breeze` is the same night with a little wind. `dry_by` is what
    dries it; `known` is what helps whatever the air is: `draught` says which of the vents blow on
    the birds in the cold.
    """

    low_share: float
    words: str
    night: Inside | None
    breeze: Inside | None
    day: Inside | None
    dry_by: Drying
    met: bool
    helps: Text = ""
    known: Text = ""
    draught: Text = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonWeather:
    """Nights and a day of a season, of average weather: `coldest`, and the night that dries least.

    Which of the two is the damper one inside hangs on the house.
    """

    night: Weather
    day: Weather
    coldest: Weather | None = None


def setting(coop: Coop, birds: Sequence[Group], season: Season, weather: SeasonWeather) -> Setting:
    """The setting of the coop's vents for the season; the high ones are open all year."""
    low_share = low_vents_share(coop, season)
    through = openings(coop.vent, 1.0, low_share)
    draught = _draught(coop, birds, low_share) if season == "cold" else ""
    known = joined(" ", (_too_small(coop, birds) if season == "cold" else "", draught))
    night = _damper(coop, birds, through, weather)
    helps, dry_by = [known], _dry_by(coop, birds, through, night)
    day = _air(coop, birds, through, weather.day)
    if season == "hot" and day and day.rise_k > SUMMER_RISE_K:
        helps.insert(0, VentsHelp.cooler())
    if dry_by != "dry":
        helps.insert(0, _drier(coop, dry_by, low_share))
    told = joined(" ", helps)
    return Setting(
        low_share=low_share,
        words=_words(coop.vent, low_share),
        night=_air(coop, birds, through, night),
        breeze=_air(coop, birds, through, replace(night, wind_m_s=BREEZE_M_S)),
        day=day,
        dry_by=dry_by,
        met=not told,
        helps=told,
        known=known,
        draught=draught,
    )


def _damper(
    coop: Coop, birds: Sequence[Group], through: Openings, weather: SeasonWeather
) -> Weather:
    house = shell(coop)
    if not house or not weather.coldest:
        return weather.night

    def wet(night: Weather) -> float:
        return wetness(birds, balance(birds, house, through, night), night)

    return max(weather.night, weather.coldest, key=wet)


def _air(coop: Coop, birds: Sequence[Group], through: Openings, weather: Weather) -> Inside | None:
    house = shell(coop)
    return balance(birds, house, through, weather) if house and coop.vent else None


def _dry_by(coop: Coop, birds: Sequence[Group], through: Openings, night: Weather) -> Drying:
    house = shell(coop)
    return drying(birds, house, through, coop.vent, night) if house and coop.vent else "dry"


def _drier(coop: Coop, dry_by: Drying, low_share: float) -> str:
    if dry_by == "open":
        return DampNights.low_vents()
    if dry_by in {"enlarge", "larger helps"}:
        return DampNights.enlarge()
    if low_share >= 1 or not any(vent.place == "high" for vent in coop.vent):
        return DampNights.bedding()
    return DampNights.bedding_high()


def _too_small(coop: Coop, birds: Sequence[Group]) -> Text:
    if high_vents_enough(coop, head_count(birds)) or not coop.vent:
        return ""
    return filled(VentsHelp.too_small, area=_HIGH_VENT_A_BIRD)


def low_vents_share(coop: Coop, season: Season) -> float:
    """How far the low vents of the coop stand open in the season, from 0 to 1."""
    lows = shares([vent for vent in coop.vent if vent.place == "low"])
    half = min(lows, key=lambda share: (abs(share - 0.5), -share))
    if season != "cold":
        return lows[-1] if season == "hot" else half
    # A house is never shut tight: where there are only low vents, half of them stay open.
    has_high = any(vent.place == "high" for vent in coop.vent)
    return lows[0] if has_high else max(lows[0], half)


def shares(vents: Sequence[Vent]) -> list[float]:
    """The shares, rising, to which vents can be opened together; one step is always open."""
    steps = max((vent.steps for vent in vents), default=1)
    if steps == 1:
        return [1.0]
    return [step / (steps - 1) for step in range(steps)]


def high_vents_enough(coop: Coop, bird_count: int) -> bool:
    """Whether the high vents, wide open, give each bird 93 cm² in winter."""
    area_m2 = sum(vent.area_m2 for vent in coop.vent if vent.place == "high")
    return area_m2 >= HIGH_VENTS_M2[0] * bird_count * (1 - SLACK)


def heads_m(coop: Coop, birds: Sequence[Group]) -> float | None:
    """How high the heads of the birds on the perch are above the floor; None: not known."""
    if not coop.perches or coop.perches.height_m is None or not birds:
        return None
    heaviest_kg = max(group.mass_kg for group in birds)
    up_m = next(up_m for most_kg, up_m in _HEADS_UP_M if heaviest_kg <= most_kg)
    bedding_m = (coop.bedding.depth_m if coop.bedding else None) or 0.0
    return bedding_m + coop.perches.height_m + up_m


def _draught(coop: Coop, birds: Sequence[Group], low_share: float) -> Text:
    """Which openings that are open in the cold lie at or below the birds' heads, and what helps."""
    said: list[Text] = []
    heads = heads_m(coop, birds)
    edges = [_lower_edge_m(vent) for vent in coop.vent if vent.place == "high"]
    blowing = [edge for edge in edges if edge is not None and heads is not None and edge <= heads]
    if blowing and heads is not None:
        edge, above = reckoned(min(blowing), "m", 2), reckoned(heads, "m", 2)
        said.append(filled(VentsHelp.high_draught, edge=edge, heads=above))
    lows = [vent for vent in coop.vent if vent.place == "low"]
    if any(vent.steps == 1 or low_share > 0 for vent in lows):
        said.append(VentsHelp.low_draught())
    return joined(" ", said)


def _lower_edge_m(vent: Vent) -> float | None:
    if vent.height_m is None:
        return None
    return vent.height_m - (min(vent.size.sides_m) / 2 if vent.size.sides_m else 0.0)


def _words(vents: Sequence[Vent], low_share: float) -> str:
    lows = [vent for vent in vents if vent.place == "low"]
    highs = [vent for vent in vents if vent.place == "high"]
    low = _low(low_share, movable=any(vent.steps > 1 for vent in lows)) if lows else ""
    if not highs:
        return low
    movable = any(vent.steps > 1 for vent in highs)
    high = VentsSet.high_open() if movable else VentsSet.high_always()
    return VentsSet.both(low=low, high=high) if low else high


def _low(share: float, *, movable: bool) -> str:
    if not movable:
        return VentsSet.low_always()
    if share <= 0:
        return VentsSet.low_shut()
    if share >= 1:
        return VentsSet.low_open()
    if share == 0.5:  # noqa: PLR2004 - a half
        return VentsSet.low_half()
    return VentsSet.low_partly(share=f"{share:.0%}")
