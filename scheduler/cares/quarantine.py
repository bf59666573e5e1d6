"""Houses of newcomers: the quarantine that binds them all, and when they meet the others."""

from dataclasses import dataclass, replace
from datetime import date

from scheduler.cares.newcomer import Quarantine, newcomers
from scheduler.cares.records import Records
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """The first day on which newcomers may range beside the others; None: nobody knows yet."""

    first: date | None


def quarantine_of_house(
    flocks: tuple[Flock, ...], records: Records, day: date
) -> Quarantine | None:
    """That of the flock that waits longest, named with all that are in it; None where none is."""
    here = newcomers(flocks, records, day)
    found = {one.flock.name: of for one in here if (of := one.quarantine)}
    if not found:
        return None
    longest = max(found.values(), key=lambda one: one.ends or date.max)
    meets = [one.meets_others_from for one in here if one.flock.name in found]
    known = [first for first in meets if first]
    mixes = max(known) if len(known) == len(meets) else None
    return replace(longest, names=tuple(found), mixes=mixes)


def joins_others(profile: Profile, house_id: str, day: date) -> bool:
    """Whether birds of another house that may range were there before any of this house came."""
    here = profile.flocks_on(house_id, day)
    came = min((flock.arrived or date.min for flock in here), default=date.min)
    if came == date.min:  # as in most houses: nobody was there before
        return False
    return any(
        (flock.arrived or date.min) < came
        for other in profile.coop
        if other.id != house_id and other.ranging != "run only"
        for flock in profile.flocks_on(other.id, day)
    )


def meets_from_house(
    profile: Profile, house_id: str, records: Records, day: date
) -> Meeting | None:
    """When a house of newcomers meets those there before it; None where one of them may already."""
    if not joins_others(profile, house_id, day):
        return None
    flocks = profile.flocks_on(house_id, day)
    waits = [
        Meeting(first=first)
        for one in newcomers(flocks, records, day)
        if one.flock.arrived and not ((first := one.ranges_beside_from) and first <= day)
    ]
    if not waits or len(waits) < len(flocks):
        return None
    return max(waits, key=lambda one: one.first or date.max)
