"""How old a flock is on a date, how long it has been here, and what follows from it."""

from collections.abc import Iterable
from datetime import date, timedelta

from scheduler.profile.values import Flock

FREE_RANGE_FROM_WEEKS = 12  # common practice, no source: near adult size, feathered, mixed in
QUARANTINE_DAYS = 30  # USDA, quoted second-hand by Hobby Farms, 6 Basic Rules
SETTLING_DAYS = 14  # common practice, no source: after a move birds must first learn the house


def age_weeks(flock: Flock, day: date) -> float | None:
    """Weeks since hatching on `day`; None when the hatch date is not known."""
    return (day - flock.hatched).days / 7 if flock.hatched else None


def too_young_to_range(flock: Flock, day: date) -> bool:
    """Whether the flock is below twelve weeks on `day`, or said to be chicks."""
    weeks = age_weeks(flock, day)
    return flock.age == "chick" if weeks is None else weeks < FREE_RANGE_FROM_WEEKS


def newly_moved(flock: Flock, day: date) -> bool:
    """Whether the flock moved in less than fourteen days before `day`."""
    return flock.arrived is not None and 0 <= (day - flock.arrived).days < SETTLING_DAYS


def quarantine_day(flock: Flock, day: date) -> int | None:
    """Which of the thirty days of quarantine `day` is for birds that were bought; 1 on arrival."""
    if flock.raised_by != "bought" or flock.arrived is None:
        return None
    number = (day - flock.arrived).days + 1
    return number if 1 <= number <= QUARANTINE_DAYS else None


def in_quarantine(flocks: Iterable[Flock], day: date) -> tuple[Flock, ...]:
    """Those of the flocks that are in quarantine on `day`."""
    return tuple(flock for flock in flocks if quarantine_day(flock, day))


def quarantine_ends(flock: Flock) -> date | None:
    """The first day after the quarantine of birds that were bought."""
    if flock.raised_by != "bought" or flock.arrived is None:
        return None
    return flock.arrived + timedelta(days=QUARANTINE_DAYS)
