"""How old a flock is on a date, how long it has been here, and what follows from it."""

from collections.abc import Iterable
from datetime import date

from scheduler.profile.flock import Flock

FREE_RANGE_FROM_WEEKS = 12  # common practice, no source: near adult size, feathered, mixed in
WEEKS_OF_CLASS = {"chick": 4.0, "pullet": 14.0, "adult": 52.0}  # common practice, no source
QUARANTINE_DAYS = 30  # USDA, quoted second-hand by Hobby Farms, 6 Basic Rules
OFF_HEAT_WEEKS = 6  # common practice, no source
ON_HEAT_AT_MOST_WEEKS = 10  # in cold nights; common practice, no source: fully feathered by then
LAYER_WEEKS = 18  # PNW 477: layer feed from 18 to 20 weeks or the first egg
NESTS_FROM_WEEKS = 16  # common practice, no source: they choose a place before the first egg
SEEING_FROM_WEEKS = 11  # common practice, no source: big enough to meet grown birds
MEETING_DAYS = 7  # of seeing each other through wire; common practice, no source
SETTLING_DAYS = 14  # common practice, no source: after a move birds must first learn the house


def age_weeks(flock: Flock, day: date) -> float | None:
    """Weeks since hatching on `day`; None when the hatch date is not known."""
    return (day - flock.hatched).days / 7 if flock.hatched else None


def weeks_old(flock: Flock, day: date) -> float | None:
    """Age in weeks by hatch date, else by class, else None (taken as grown)."""
    weeks = age_weeks(flock, day)
    if weeks is None and flock.age:
        return WEEKS_OF_CLASS[flock.age]
    return weeks


def under_a_hen(flock: Flock) -> bool:
    """Whether a hen keeps the flock's chicks warm: so said, or a hen is counted with them."""
    if flock.raised_by is None:
        return bool(flock.hens and flock.young)
    return flock.raised_by == "hen"


def on_heat(flock: Flock, day: date) -> bool:
    """Whether the flock has chicks under six weeks that no hen keeps warm, bought ones included."""
    weeks = weeks_old(flock, day)
    chicks = flock.chickens > 0 and not under_a_hen(flock)
    return chicks and weeks is not None and weeks < OFF_HEAT_WEEKS


def came_off_heat_here(flock: Flock, day: date) -> bool:
    """Whether chicks came to six weeks under a lamp in this house and are not yet ten weeks old."""
    weeks = age_weeks(flock, day)
    if weeks is None or not OFF_HEAT_WEEKS <= weeks < ON_HEAT_AT_MOST_WEEKS:
        return False
    came_weeks = age_weeks(flock, flock.arrived) if flock.arrived else None
    was_here = came_weeks is None or came_weeks < OFF_HEAT_WEEKS
    return flock.chickens > 0 and was_here and not under_a_hen(flock)


def all_on_heat(flocks: Iterable[Flock], day: date) -> bool:
    """Whether there are birds, and all of them are chicks that live under a lamp."""
    flocks = tuple(flocks)
    return bool(flocks) and all(
        # Beside young ones the hatch date is theirs: hens and roosters among them are grown.
        on_heat(flock, day)
        and not flock.others
        and not (flock.young and (flock.hens or flock.roosters))
        for flock in flocks
    )


def some_on_heat(flocks: Iterable[Flock], day: date) -> bool:
    """Whether chicks of any of the flocks live under a lamp; those yet to hatch do not."""
    return any(on_heat(f, day) and not (f.hatched and day < f.hatched) for f in flocks)


def perches(flock: Flock, day: date) -> bool:
    """Whether birds of the flock sleep on the perch: not chicks, nor the hen that leads them."""
    weeks = weeks_old(flock, day)
    return weeks is None or weeks >= OFF_HEAT_WEEKS or of_two_ages(flock)


def of_two_ages(flock: Flock) -> bool:
    """Whether grown birds are counted with young ones, beside a hen that raises them."""
    leading = 1 if under_a_hen(flock) else 0
    return flock.young > 0 and flock.hens + flock.roosters > leading


def layers(flock: Flock, day: date, from_weeks: float = LAYER_WEEKS) -> int:
    """How many birds of the flock are of an age to lay: from eighteen weeks, or of unknown age.

    Beside young ones the hatch date is theirs; young counted past that age may all be hens.
    """
    weeks = weeks_old(flock, day)
    grown = weeks is not None and weeks >= from_weeks
    if flock.young:
        return flock.hens + (flock.young if grown else 0)
    return flock.hens if weeks is None or grown else 0


def lays(flock: Flock, day: date) -> bool:
    """Whether birds of the flock are of an age to lay."""
    return layers(flock, day) > 0


def nesting(flock: Flock, day: date) -> int:
    """How many birds of the flock want nests: those that lay, and pullets that soon will."""
    return layers(flock, day, NESTS_FROM_WEEKS)


def too_young_to_range(flock: Flock, day: date) -> bool:
    """Whether the flock is below twelve weeks on `day`, or said to be chicks."""
    weeks = age_weeks(flock, day)
    return flock.age == "chick" if weeks is None else weeks < FREE_RANGE_FROM_WEEKS


def young_of_unknown_age(flock: Flock) -> bool:
    """Whether nobody has said how old the flock's young are: they may be chicks."""
    return bool(flock.young) and flock.hatched is None and flock.age is None


def newly_moved(flock: Flock, day: date) -> bool:
    """Whether the flock moved into its house less than fourteen days before `day`."""
    since = flock.joined or flock.arrived
    return since is not None and 0 <= (day - since).days < SETTLING_DAYS
