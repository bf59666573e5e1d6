"""How old a flock is on a date, and what follows from it."""

from datetime import date

from scheduler.profile.values import Flock

FREE_RANGE_FROM_WEEKS = 12  # common practice, no source: near adult size, feathered, mixed in
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
