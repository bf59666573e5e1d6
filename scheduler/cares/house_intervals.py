"""What this house asks for: grids of days from its own floor, nests and drinkers."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from scheduler.cares.cleaning import cleanings
from scheduler.cares.records import Records
from scheduler.cares.told_heat import high_c
from scheduler.climate.curve import Averages
from scheduler.husbandry.age import layers
from scheduler.husbandry.consumption import (
    BeddingLoad,
    capacity_l,
    floor_load,
    has_open_water,
    water_l_a_day,
)
from scheduler.husbandry.groups import groups
from scheduler.husbandry.upkeep import (
    CLEANINGS_LEAST,
    cleanings_a_year,
    nest_refreshes_a_week,
    stirs_a_week,
    top_up_days,
    wants_evening_look,
)
from scheduler.profile.coop import Coop
from scheduler.profile.values import Profile

Upkeep = Literal[
    "stirring", "top-up", "nest refresh", "drinker look", "drinker scrub", "open water"
]
Cleaning = Literal["deep clean", "clean-out"]
_COLD_DAY_C = 5.0
_WARM_DAY_C = 25.0  # slime grows faster, common practice, no source
_WATER_FOR_HEAT_C = 32.0  # planned for where heat is told without a figure
_SPREAD = {1: (0,), 2: (0, 3), 3: (0, 2, 4), 4: (0, 2, 4, 6)}  # days of a week, by times
_TOP_UP_PHASE = 7


@dataclass(frozen=True, slots=True)
class Grid:
    """Due each `days` days, on each of the phases."""

    days: int
    phases: tuple[int, ...]


_NEVER = Grid(1, ())
_DAILY = Grid(1, (0,))


def grid(  # noqa: PLR0911, PLR0913, PLR0917 - what the house and the day are; an answer for each
    of: Upkeep,
    profile: Profile,
    coop: Coop,
    averages: Averages,
    records: Records,
    day: date,
    light: timedelta,
) -> Grid:
    """The grid of days of this upkeep for the coop as things stand on `day`.

    Where the floor is not known: stirred weekly, twice a week where days are below 5 °C, topped up
    monthly. Drinkers are scrubbed weekly, in warm weather twice; nipples half as often.
    """
    match of:
        case "stirring":
            load = load_of(profile, coop, averages, day, light)
            cold = averages.high_c(day) < _COLD_DAY_C
            times = stirs_a_week(load) if load else (2 if cold else 1)
            return Grid(7, _SPREAD[times])
        case "top-up":
            load = load_of(profile, coop, averages, day, light)
            return Grid(top_up_days(load) if load else 28, (_TOP_UP_PHASE,))
        case "nest refresh":
            hens = sum(layers(flock, day) for flock in profile.flocks_on(coop.id, day))
            nests = coop.nests.count if coop.nests else None
            return Grid(7, _SPREAD[nest_refreshes_a_week(hens, nests)])
        case "drinker look":
            need_l = water_need_l(profile, coop, averages, records, day)
            return _DAILY if wants_evening_look(capacity_l(coop), need_l) else _NEVER
        case "drinker scrub":
            warm = averages.high_c(day) > _WARM_DAY_C
            if coop.drinker and all(drinker.type == "nipple" for drinker in coop.drinker):
                return Grid(7, (0,)) if warm else Grid(14, (0,))
            return Grid(7, (0, 4)) if warm else Grid(7, (0,))
        case "open water":
            need_l = water_need_l(profile, coop, averages, records, day)
            is_filled = wants_evening_look(capacity_l(coop), need_l)
            return _DAILY if has_open_water(coop) and not is_filled else _NEVER


def cleaning_shares(
    of: Cleaning, profile: Profile, coop: Coop, averages: Averages, day: date
) -> tuple[float, ...]:
    """The shares of the year at which the coop has its deep clean, or its other cleanings.

    Twice a year in all where the floor is not known.
    """
    load = load_over_the_year(profile, coop, averages, day)
    shares = cleanings(averages, cleanings_a_year(load) if load else CLEANINGS_LEAST)
    return shares[:1] if of == "deep clean" else shares[1:]


def load_of(
    profile: Profile, coop: Coop, averages: Averages, day: date, light: timedelta
) -> BeddingLoad | None:
    """The moisture load of the coop's floor on that day, its birds laying as in light so long."""
    mean_c = (averages.low_c(day) + averages.high_c(day)) / 2
    return floor_load(coop, groups(profile.flocks_on(coop.id, day), day, light), mean_c)


def load_over_the_year(
    profile: Profile, coop: Coop, averages: Averages, day: date
) -> BeddingLoad | None:
    """The moisture load of that day's birds at the year's mean temperature and day length."""
    mean_c = (averages.low.mean + averages.high.mean) / 2
    return floor_load(coop, groups(profile.flocks_on(coop.id, day), day), mean_c)


def water_need_l(
    profile: Profile, coop: Coop, averages: Averages, records: Records, day: date
) -> float:
    """What the coop's birds are to be planned for on that day, in told heat or by the average."""
    warmest_c = high_c(averages, records, day)
    for told in records.of("heat", day):
        warmest_c = max(warmest_c, _WATER_FOR_HEAT_C if told.air_c is None else told.air_c)
    return water_l_a_day(groups(profile.flocks_on(coop.id, day), day), warmest_c)
