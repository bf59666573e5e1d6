"""Whether `init` asks how high a place lies: where the land around cannot tell it."""

from scheduler.climate.grid import land_at
from scheduler.profile.package_data import climate_map
from scheduler.profile.quantity import reckoned, write
from scheduler.profile.starter import Answers


def mean_height_of_hills(answers: Answers) -> str:
    """The mean height of the land around in the keeper's units, where it is hilly; else nothing."""
    land = land_at(climate_map(), answers.latitude_deg, answers.longitude_deg)
    if land is None or not land.is_hilly:
        return ""
    return write(reckoned(round(land.mean_m, -1), "m"), answers.units)
