"""One coop on one date: let-out, free-range time, lock-up and what the sun does meanwhile.

On every date and at every latitude there is exactly one let-out and one lock-up, in this order:
let-out(D) < lock-up(D) < let-out(D + 1). Both lie inside their half-day of D by construction.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.cares.free_range import FreeRange, NoRange, free_range
from scheduler.cares.lamp import Lamp, lamp_on
from scheduler.cares.let_out import KeptIn, LetOut, kept_in, let_out_of_house
from scheduler.cares.lock_up import LockUp, lock_up
from scheduler.cares.moving_day import opened_after, shut_after
from scheduler.cares.newcomer import Quarantine
from scheduler.cares.quarantine import Meeting, meets_from_house, quarantine_of_house
from scheduler.cares.records import Records
from scheduler.cares.whole_seconds import nearest_second
from scheduler.light.sun import CIVIL_DEG, SUNSET_DEG, At, Crossing, Never, Sky, sky_over
from scheduler.profile.coop import Coop
from scheduler.profile.values import Profile


@dataclass(frozen=True, slots=True, kw_only=True)
class CoopDay:
    """One coop on one civil date: the sun's crossings and what follows from them.

    `kept_in`: the door stays shut by day as well, because a housing order holds and the run has no
    roof, or because all are chicks that need their heat, or young that may be. `meets`: when a
    house of newcomers may range beside those that were there before it.
    """

    coop_id: str
    day: date
    dawn: Crossing
    sunrise: Crossing
    sunset: Crossing
    dusk: Crossing
    daylight: timedelta
    let_out: LetOut
    lock_up: LockUp
    free_range: FreeRange | NoRange
    lamp: Lamp | None
    kept_in: KeptIn | None = None
    quarantine: Quarantine | None = None
    meets: Meeting | None = None


def coop_day(profile: Profile, sky: Sky, coop: Coop, day: date, records: Records) -> CoopDay:
    """The coop's day; instants are aware UTC in whole seconds.

    `profile` and `sky` are of the place where the birds live on that date.
    """
    flocks = profile.flocks_on(coop.id, day)
    dawn = sky.crossing(day, "morning", CIVIL_DEG)
    sunrise = sky.crossing(day, "morning", SUNSET_DEG)
    sunset = sky.crossing(day, "evening", SUNSET_DEG)
    dusk = sky.crossing(day, "evening", CIVIL_DEG)
    opened = let_out_of_house(profile, sky, coop, day, records, dawn=dawn, sunrise=sunrise)
    shut = _lock_up(profile, sky, coop, day, records, sunset=sunset, dusk=dusk)
    if profile.move and day == profile.move.on:
        opened = opened_after(_lock_up_before(profile, coop, day, records), opened)
        shut = shut_after(opened.instant, shut)
    slept = profile.flocks_on(coop.id, day - timedelta(days=1))
    at = {"let_out_at": opened.instant, "lock_up_at": shut.instant}
    ranging = free_range(profile, coop, day, records, sunset=sunset, **at)
    return CoopDay(
        coop_id=coop.id,
        day=day,
        dawn=_whole(dawn),
        sunrise=_whole(sunrise),
        sunset=_whole(sunset),
        dusk=_whole(dusk),
        daylight=sky.daylight(day),
        let_out=opened,
        lock_up=shut,
        free_range=ranging,
        lamp=lamp_on(coop, flocks, sky, day, records),
        kept_in=kept_in(coop, flocks, day, records) or (None if slept else "nobody slept there"),
        quarantine=quarantine_of_house(flocks, records, day),
        meets=meets_from_house(profile, coop.id, records, day),
    )


def _lock_up(  # noqa: PLR0913 - as lock_up
    profile: Profile,
    sky: Sky,
    coop: Coop,
    day: date,
    records: Records,
    *,
    sunset: Crossing,
    dusk: Crossing,
) -> LockUp:
    return lock_up(
        profile.site,
        sky,
        profile.lock_up_rule(coop),
        day,
        sunset=sunset,
        dusk=dusk,
        after_predator=records.predator("tried", day),
    )


def _lock_up_before(profile: Profile, coop: Coop, day: date, records: Records) -> LockUp:
    """The last lock-up at the place where the birds lived until the day before."""
    before = day - timedelta(days=1)
    there = profile.on(before)
    sky = sky_over(there)
    sunset = sky.crossing(before, "evening", SUNSET_DEG)
    dusk = sky.crossing(before, "evening", CIVIL_DEG)
    return _lock_up(there, sky, coop, before, records, sunset=sunset, dusk=dusk)


def _whole(crossing: Crossing) -> Crossing:
    return crossing if isinstance(crossing, Never) else At(nearest_second(crossing.instant))
