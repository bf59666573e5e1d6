"""The seasons of the vents at a place: which there are, when each holds, and its weather."""

from datetime import date
from functools import cache
from typing import get_args

from scheduler.climate.chance import FROST, STEPS, Extreme, due_steps, step_of
from scheduler.climate.curve import TROPICAL_YEAR_DAYS, Averages
from scheduler.climate.humidity import day_humidity, night_humidity
from scheduler.husbandry.air import SUMMER_RISE_K, TARGET_HUMIDITY, Weather
from scheduler.husbandry.heat import humidity_ratio
from scheduler.husbandry.ventilation import Season, SeasonWeather

# By the care of the catalogue: the season that it begins, and the one that it ends.
CHANGES: dict[str, tuple[Season, Season]] = {
    "vents-cold": ("cold", "mild"),
    "vents-mild": ("mild", "cold"),
    "vents-open": ("hot", "mild"),
    "vents-autumn": ("mild", "hot"),
}
_HOT_DAY = Extreme("high", 26.0)  # as the catalogue's changes
_APART = 14 / TROPICAL_YEAR_DAYS  # as the catalogue's changes keep
_EVERY_DAYS = 5


def season_on(averages: Averages, day: date) -> Season:
    """Hot while one day in five may reach 26 °C, else cold while one night in five may freeze."""
    return _season_at(averages, step_of(averages, day))


@cache
def seasons(averages: Averages) -> tuple[Season, ...]:
    """Those of the seasons that there are in the average year, the coldest first."""
    found = {_season_at(averages, step) for step in range(STEPS)}
    return tuple(season for season in get_args(Season) if season in found)


def _season_at(averages: Averages, step: int) -> Season:
    return _by_step(averages)[step]


@cache
def _by_step(averages: Averages) -> tuple[Season, ...]:
    """The season at each step; one of under a fortnight is left out, as its changes are."""
    due = zip(due_steps(averages, _HOT_DAY), due_steps(averages, FROST), strict=True)
    found: list[Season] = ["hot" if hot else "cold" if cold else "mild" for hot, cold in due]
    begins = [step for step in range(STEPS) if found[step] != found[step - 1]]
    long = [
        step
        for step, following in zip(begins, begins[1:] + begins[:1], strict=True)
        if (following - step) % STEPS >= _APART * STEPS
    ]
    if not long:
        return tuple(found)
    holds = (max((at for at in long if at <= step), default=long[-1]) for step in range(STEPS))
    return tuple(found[at] for at in holds)


@cache
def season_weather(averages: Averages, season: Season) -> SeasonWeather:
    """Its coldest night, the one whose air dries least, and its hottest day."""
    steps = [step for step in range(STEPS) if _season_at(averages, step) == season]
    own = [step / STEPS for step in (steps or range(STEPS))[::_EVERY_DAYS]]
    night = min((_night(averages, share) for share in own), key=_dries)
    coldest, hottest = min(own, key=averages.low.at), max(own, key=averages.high.at)
    by_day = Weather(
        air_c=averages.high.at(hottest),
        humidity=day_humidity(averages, hottest),
        sunlit=True,
    )
    return SeasonWeather(night=night, day=by_day, coldest=_night(averages, coldest))


def _night(averages: Averages, share: float) -> Weather:
    return Weather(air_c=averages.low.at(share), humidity=night_humidity(averages, share))


def _dries(night: Weather) -> float:
    """The water that a kilogram of that air can take up in a house that is a little warmer."""
    inside = humidity_ratio(night.air_c + SUMMER_RISE_K, TARGET_HUMIDITY)
    return inside - humidity_ratio(night.air_c, night.humidity)
