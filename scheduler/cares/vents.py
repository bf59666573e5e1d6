"""The vent changes of one coop: the catalogue says when, this coop's own openings say what."""

from dataclasses import replace
from datetime import date
from functools import cache
from typing import Literal, get_args

from scheduler.climate.chance import FROST, STEPS, Extreme, due_steps, step_of
from scheduler.climate.curve import Averages
from scheduler.husbandry.age import all_on_heat
from scheduler.husbandry.air import Inside, Weather
from scheduler.husbandry.groups import Group, groups, head_count
from scheduler.husbandry.ventilation import (
    Season,
    SeasonWeather,
    Setting,
    high_vents_enough,
    setting,
)
from scheduler.profile.coop import Coop
from scheduler.profile.phrase import Phrase, Text, filled, joined
from scheduler.profile.quantity import read_written, reckoned
from scheduler.profile.values import Profile
from scheduler.wording.cares.vents import AirExpected, VentsChange
from scheduler.wording.words import Words

# By the care of the catalogue: the season that it begins, and the one that it ends.
CHANGES: dict[str, tuple[Season, Season]] = {
    "vents-cold": ("cold", "mild"),
    "vents-mild": ("mild", "cold"),
    "vents-open": ("hot", "mild"),
    "vents-autumn": ("mild", "hot"),
}
_HOT_DAY = Extreme("high", 26.0)  # as the catalogue's changes
_DRY_HEAT_HUMIDITY = 0.5
_HIGH_VENT_A_BIRD = read_written("0.1 sq ft = 93 cm²")
_Rise = Literal["none", "hardly", "some"]
# By whether there is an average night, hardly warmer inside, and a sunny day, hardly so.
_AIR: dict[tuple[_Rise, _Rise], Words] = {
    ("some", "none"): AirExpected.night,
    ("hardly", "none"): AirExpected.hardly_night,
    ("none", "some"): AirExpected.day,
    ("none", "hardly"): AirExpected.hardly_day,
    ("some", "some"): AirExpected.night_and_day,
    ("some", "hardly"): AirExpected.night_and_hardly_day,
    ("hardly", "some"): AirExpected.hardly_night_and_day,
    ("hardly", "hardly"): AirExpected.hardly_night_and_hardly_day,
}


def change(
    care_id: str, profile: Profile, coop: Coop, day: date, averages: Averages
) -> tuple[str, Text] | None:
    """What to set in this coop for the care of the catalogue, and why; None: nothing changes."""
    begins, ends = CHANGES[care_id]
    now = season_setting(profile, coop, begins, day, averages)
    before = season_setting(profile, coop, ends, day, averages)
    if now.low_share == before.low_share and not now.draught:
        return None
    parts: list[Text] = [expected(now)] if now.night or now.day else []
    if begins == "cold" and not high_vents_enough(coop, head_count(_birds(profile, coop, day))):
        parts.append(filled(VentsChange.too_small, area=_HIGH_VENT_A_BIRD))
    return VentsChange.title(setting=now.words), joined(" ", (*parts, now.helps))


def expected(setting: Setting) -> Phrase:
    """The air to expect inside, in a sentence; of a setting in which it is known."""
    night, day = setting.night, setting.day
    return filled(
        _AIR[_rise(night), _rise(day)],
        humidity=f"{100 * night.humidity:.0f}" if night else "",
        night_rise=reckoned(night.rise_k, "°C rise", 0) if night else "",
        day_rise=reckoned(day.rise_k, "°C rise", 0) if day else "",
    )


def _rise(air: Inside | None) -> _Rise:
    if air is None:
        return "none"
    return "some" if round(air.rise_k) else "hardly"


def season_setting(
    profile: Profile, coop: Coop, season: Season, day: date, averages: Averages
) -> Setting:
    """The setting of the coop's vents for the season, by the average weather of that season.

    The air among chicks on heat is not reckoned: what keeps them warm warms and dries it.
    """
    found = setting(coop, _birds(profile, coop, day), season, _weather(averages, season))
    if not all_on_heat(profile.flocks_on(coop.id, day), day):
        return found
    return replace(found, night=None, day=None, helps=found.draught, met=not found.draught)


def season_on(averages: Averages, day: date) -> Season:
    """Hot while one day in five may reach 26 °C, else cold while one night in five may freeze."""
    return _season_at(averages, step_of(averages, day))


@cache
def seasons(averages: Averages) -> tuple[Season, ...]:
    """Those of the seasons that there are in the average year, the coldest first."""
    found = {_season_at(averages, step) for step in range(STEPS)}
    return tuple(season for season in get_args(Season) if season in found)


def _season_at(averages: Averages, step: int) -> Season:
    if due_steps(averages, _HOT_DAY)[step]:
        return "hot"
    return "cold" if due_steps(averages, FROST)[step] else "mild"


def _birds(profile: Profile, coop: Coop, day: date) -> tuple[Group, ...]:
    return groups(profile.flocks_on(coop.id, day), day)


@cache
def _weather(averages: Averages, season: Season) -> SeasonWeather:
    """The coldest, the middle or the hottest time of the average year."""
    shares = [step / 73 for step in range(73)]
    by_heat = sorted(shares, key=averages.high.at)
    share = {"cold": by_heat[0], "mild": by_heat[len(by_heat) // 2], "hot": by_heat[-1]}[season]
    wet = averages.humidity_at(share)
    by_day = min(wet, _DRY_HEAT_HUMIDITY)
    return SeasonWeather(
        night=Weather(air_c=averages.low.at(share), humidity=wet),
        day=Weather(air_c=averages.high.at(share), humidity=by_day, sunlit=True),
    )
