"""Whether a door stays shut by day as well."""

from datetime import date
from typing import Literal

from scheduler.cares.records import Records
from scheduler.husbandry.age import all_on_heat, young_of_unknown_age
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock

KeptIn = Literal["housing order", "on heat", "age unknown", "nobody slept there"]


def is_secure(coop: Coop) -> bool:
    """Whether the coop opens into a secure, roofed run."""
    return coop.run is not None and coop.run.type == "secure"


def kept_in(coop: Coop, flocks: tuple[Flock, ...], day: date, records: Records) -> KeptIn | None:
    """Why the coop is not opened at all on that day, if it is not."""
    if all_on_heat(flocks, day):
        return "on heat"
    if flocks and all(young_of_unknown_age(one) and one.young == one.birds for one in flocks):
        return "age unknown"
    return "housing order" if records.of("order", day) and not is_secure(coop) else None
