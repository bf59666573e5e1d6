"""Supervised time outside the run, or why there is none."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from scheduler.cares.newcomer import newcomers
from scheduler.cares.quarantine import joins_others, meets_from_house
from scheduler.cares.records import Records
from scheduler.cares.whole_seconds import nearest_second
from scheduler.husbandry.age import (
    SETTLING_DAYS,
    all_on_heat,
    newly_moved,
    too_young_to_range,
    young_of_unknown_age,
)
from scheduler.light.sun import At, Crossing, Never
from scheduler.profile.coop import Coop
from scheduler.profile.values import Profile

NoRange = Literal[
    "no birds",
    "housing order",
    "on heat",
    "quarantine",
    "run only",
    "predator",
    "ill birds",
    "storm",
    "too young",
    "age unknown",
    "newly moved",
    "moved here",
    "behind wire",
    "no sunset",
    "too late",
]
_RANGE_BEFORE_SUNSET = timedelta(minutes=60)
_CALL_IN_BEFORE = timedelta(minutes=10)
CALL_IN_EARLY = timedelta(minutes=30)  # before sunset: after a predator, and of new birds


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeRange:
    """Supervised time outside the run: from, call them in, until (the lock-up)."""

    start: datetime
    call_in: datetime
    end: datetime


def free_range(  # noqa: PLR0913 - as lock_up
    profile: Profile,
    coop: Coop,
    day: date,
    records: Records,
    *,
    sunset: Crossing,
    let_out_at: datetime,
    lock_up_at: datetime,
) -> FreeRange | NoRange:
    """From an hour before sunset (ranging all day: from let-out) to the lock-up, or why not."""
    if not profile.flocks_on(coop.id, day):
        return "no birds"
    if reason := stays_in(profile, coop, day, records):
        return reason
    all_day = coop.ranging == "all day"
    if not isinstance(sunset, At) and (not all_day or sunset == Never("below")):
        return "no sunset"
    start, call_in = let_out_at, lock_up_at - _CALL_IN_BEFORE
    if isinstance(sunset, At):
        joins = joins_others(profile, coop.id, day)
        new = newcomers(profile.flocks_on(coop.id, day), records, day)
        early = any(one.learns_the_way_home(joins=joins) for one in new)
        early = early or records.predator("tried", day) or _still_new_here(profile, day)
        before = CALL_IN_EARLY if early else _CALL_IN_BEFORE
        call_in = min(call_in, sunset.instant - before)
        if not all_day:
            start = max(start, sunset.instant - _RANGE_BEFORE_SUNSET)
    if start >= lock_up_at:
        return "too late"
    return FreeRange(
        start=nearest_second(start),
        call_in=nearest_second(max(start, call_in)),
        end=nearest_second(lock_up_at),
    )


def _still_new_here(profile: Profile, day: date) -> bool:
    """Whether all have ranged at the new place for less than a fortnight, as for newcomers."""
    move = profile.move
    return move is not None and 0 <= (day - move.settled_on).days < SETTLING_DAYS


def stays_in(  # noqa: C901, PLR0911 - one answer for each reason
    profile: Profile, coop: Coop, day: date, records: Records
) -> NoRange | None:
    """Why birds, reports or the keeper's choice keep them from ranging on that day, if they do."""
    flocks = profile.flocks_on(coop.id, day)
    new = newcomers(flocks, records, day)
    if all_on_heat(flocks, day):
        return "on heat"
    if records.of("order", day):
        return "housing order"
    if any(one.quarantine for one in new):
        return "quarantine"
    if coop.ranging == "run only":
        return "run only"
    if records.predator("got-at", day):
        return "predator"
    # In whichever house: they would meet on the same ground.
    if any(report.is_notifiable for report in records.of("illness", day)):
        return "ill birds"
    if records.of("storm", day):
        return "storm"
    if any(too_young_to_range(flock, day) for flock in flocks):
        return "too young"
    if any(map(young_of_unknown_age, flocks)):
        return "age unknown"
    if any(newly_moved(one.flock, day) or one.settles_with_others for one in new):
        return "newly moved"
    if profile.move and profile.move.settles_in(day):
        return "moved here"
    return "behind wire" if meets_from_house(profile, coop.id, records, day) else None
