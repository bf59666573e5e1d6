"""The usual day of a date: its weather and light by the averages, and what a coop's vents give."""

from datetime import date
from typing import NamedTuple

from scheduler.cares.hot_day import noon
from scheduler.cares.lamp import has_programme, light_on, longest_day
from scheduler.cares.vent_seasons import season_on, seasons
from scheduler.cares.vents import expected, season_setting
from scheduler.climate.curve import averages
from scheduler.climate.humidity import humidity_at_low
from scheduler.husbandry.age import all_on_heat
from scheduler.husbandry.air import Weather
from scheduler.husbandry.lighting import season as short_days
from scheduler.husbandry.lighting import target_hours
from scheduler.husbandry.ventilation import Season, Setting
from scheduler.husbandry.weather_and_light import Day
from scheduler.light.sun import Sky, sky_over
from scheduler.profile.coop import Coop
from scheduler.profile.phrase import joined, say
from scheduler.profile.values import Profile
from scheduler.wording.cares.vents import AirLines
from scheduler.wording.words import Words

# By the season, and whether it is that season now.
_SEASON: dict[tuple[Season, bool], Words] = {
    ("cold", False): AirLines.cold,
    ("mild", False): AirLines.mild,
    ("hot", False): AirLines.hot,
    ("cold", True): AirLines.now_cold,
    ("mild", True): AirLines.now_mild,
    ("hot", True): AirLines.now_hot,
}


class AirLine(NamedTuple):
    """A season, or "vents" where they are unknown; their setting, what helps, and the sums."""

    label: str
    text: str
    sums: str = ""


def usual_day(profile: Profile, day: date) -> Day:
    """What the figures of that date are reckoned with."""
    profile = profile.on(day)
    yearly, sky = averages(profile), sky_over(profile)
    hours = target_hours(longest_day(sky))
    return Day(
        day=day,
        night=Weather(air_c=yearly.low_c(day), humidity=humidity_at_low(yearly, day)),
        noon=noon(yearly, day),
        daylight=sky.daylight(day),
        light_hours=hours,
        lamp_season=_lamp_season(sky, day, hours),
        lit={
            coop.id: light_on(coop, profile.flocks_on(coop.id, day), sky, day)
            for coop in profile.coop
            if has_programme(coop)
        },
    )


def _lamp_season(sky: Sky, day: date, hours: float) -> tuple[date, date] | None:
    """The short days that hold `day`, or the next ones."""
    for year in (day.year - 1, day.year):
        found = short_days(sky.daylight, year, hours)
        if found and day <= found[1]:
            return found
    return None


def vent_settings(profile: Profile, coop: Coop, day: date) -> tuple[tuple[Season, Setting], ...]:
    """The setting of the coop's vents in each season of the place; none without vents."""
    if not coop.vent:
        return ()
    profile = profile.on(day)
    yearly = averages(profile)
    return tuple(
        (each, season_setting(profile, coop, each, day, yearly)) for each in seasons(yearly)
    )


def air_lines(profile: Profile, coop: Coop, day: date) -> tuple[AirLine, ...]:
    """What this coop's vents give in each of their settings; the season of `day` is marked."""
    if not coop.vent:
        return (AirLine(AirLines.vents(), AirLines.vents_unknown()),)
    now = season_on(averages(profile.on(day)), day)
    on_heat = all_on_heat(profile.flocks_on(coop.id, day), day)
    unknown = AirLines.on_heat() if on_heat else AirLines.house_unknown()
    lines = []
    for season, setting in vent_settings(profile, coop, day):
        air = expected(setting) if setting.night else unknown
        stands = AirLines.setting(setting=setting.words)
        text = say(joined(" ", (stands, setting.helps)), profile.units)
        lines.append(AirLine(_SEASON[season, season == now](), text, say(air, profile.units)))
    return tuple(lines)
