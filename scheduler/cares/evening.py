"""Lock-up, latest, let-out and free-range time of one coop on one date.

On every date and at every latitude there is exactly one let-out and one lock-up, in this order:
let-out(D) < lock-up(D) < let-out(D + 1). Both lie inside their half-day of D by construction.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from typing import Literal

from scheduler.cares.lamp import Lamp, lamp_on
from scheduler.cares.quarantine import (
    Meeting,
    Quarantine,
    in_quarantine,
    joins_others,
    learns_the_way_home,
    meets_from_house,
    quarantine_of_house,
)
from scheduler.cares.records import Records
from scheduler.husbandry.age import (
    all_on_heat,
    newly_moved,
    too_young_to_range,
    young_of_unknown_age,
)
from scheduler.light.sun import (
    CIVIL_DEG,
    SUNSET_DEG,
    At,
    Crossing,
    HalfDay,
    Never,
    Sky,
    visible_limb_deg,
)
from scheduler.light.wall import first_in
from scheduler.profile.values import Coop, Flock, LetOutRule, LockUpRule, Profile, Site

Basis = Literal[
    "angle",
    "sunset_offset",
    "visible_sunset",
    "civil_dusk",
    "cap",
    "not_after",
    "not_before",
    "predator",
    "fallback",
]
LetOutBasis = Literal[
    "civil_dawn",
    "sunrise",
    "visible_sunrise",
    "not_before",
    "not_after",
    "quarantine",
    "fallback",
]
KeptIn = Literal["housing order", "on heat", "age unknown", "nobody slept there"]
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
    "behind wire",
    "no sunset",
    "too late",
]

_MINUTE = timedelta(minutes=1)
_SECOND = timedelta(seconds=1)
_HALF_SECOND = _SECOND / 2
# All common practice, no source.
_LATEST_AFTER = timedelta(minutes=30)
_LATEST_WITHOUT_DUSK = timedelta(minutes=20)
_RANGE_BEFORE_SUNSET = timedelta(minutes=60)
_CALL_IN_BEFORE = timedelta(minutes=10)
_AFTER_A_PREDATOR = timedelta(minutes=10)  # after sunset
CALL_IN_EARLY = timedelta(minutes=30)  # before sunset: after a predator, and of new birds
_TENDED_LAST = timedelta(minutes=20)  # after the last of the other houses
_BRIGHT_NIGHT_BEDTIME = time(22, 30)


@dataclass(frozen=True, slots=True, kw_only=True)
class LockUp:
    """When the door is shut, what set that time, and when it must not be open any more."""

    instant: datetime
    latest: datetime
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class LetOut:
    """When the door is opened, and what set that time."""

    instant: datetime
    basis: LetOutBasis


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeRange:
    """Supervised time outside the run: from, call them in, until (the lock-up)."""

    start: datetime
    call_in: datetime
    end: datetime


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
    """The coop's day; instants are aware UTC in whole seconds."""
    morning, evening = sky.morning(day), sky.evening(day)
    flocks = profile.flocks_on(coop.id, day)
    dawn = sky.crossing(day, "morning", CIVIL_DEG)
    sunrise = sky.crossing(day, "morning", SUNSET_DEG)
    sunset = sky.crossing(day, "evening", SUNSET_DEG)
    dusk = sky.crossing(day, "evening", CIVIL_DEG)
    opened = _opened(profile, sky, coop, day, records, morning, dawn=dawn, sunrise=sunrise)
    shut = lock_up(
        profile.site,
        sky,
        profile.lock_up_rule(coop),
        day,
        evening,
        sunset=sunset,
        dusk=dusk,
        after_predator=records.predator("tried", day),
    )
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
        free_range=free_range(
            profile,
            coop,
            day,
            records,
            sunset=sunset,
            let_out_at=opened.instant,
            lock_up_at=shut.instant,
        ),
        lamp=lamp_on(coop, flocks, sky, day, records),
        kept_in=kept_in(coop, flocks, day, records) or _unslept(profile, coop, day),
        quarantine=quarantine_of_house(flocks, records, day),
        meets=meets_from_house(profile, coop.id, records, day),
    )


def _opened(  # noqa: PLR0913, PLR0917 - as lock_up
    profile: Profile,
    sky: Sky,
    coop: Coop,
    day: date,
    records: Records,
    morning: HalfDay,
    *,
    dawn: Crossing,
    sunrise: Crossing,
) -> LetOut:
    """By the coop's own rule; a house of quarantined birds after every other house with birds.

    One whose birds are kept in counts by its own rule: that is when the morning round sees to them.
    """
    risen = sunrise
    behind = sky.crossing(day, "morning", visible_limb_deg(profile.site.east_horizon_deg))
    if isinstance(behind, At):  # else the sun stays behind the hill
        risen = behind

    def by_rule(house: Coop) -> LetOut:
        rule = profile.let_out_rule(house)
        seen = risen if rule.basis == "visible sunrise" else sunrise
        return let_out(house, rule, profile.site.zone, morning, dawn=dawn, sunrise=seen)

    own = by_rule(coop)
    if not _is_quarantine_house(profile, coop, day, records):
        return own
    others = [
        by_rule(one)
        for one in profile.coop
        if profile.flocks_on(one.id, day) and not _is_quarantine_house(profile, one, day, records)
    ]
    last = max((one.instant for one in others), default=None)
    if last is None or own.instant >= last + _TENDED_LAST:
        return own
    instant = _within(last + _TENDED_LAST, morning.start, morning.end)
    return LetOut(instant=instant, basis="quarantine")


def _is_quarantine_house(profile: Profile, coop: Coop, day: date, records: Records) -> bool:
    """Whether all the birds of the coop are in quarantine."""
    flocks = profile.flocks_on(coop.id, day)
    return bool(flocks) and len(in_quarantine(flocks, records, day)) == len(flocks)


def lock_up(  # noqa: PLR0913 - the evening in parts, so that the year table computes each once
    site: Site,
    sky: Sky,
    rule: LockUpRule,
    day: date,
    evening: HalfDay,
    *,
    sunset: Crossing,
    dusk: Crossing,
    after_predator: bool = False,
) -> LockUp:
    """The lock-up of `day`: basis or fallback, then cap and `not_after`, then `not_before`.

    `not_before` never moves it past the latest, which is civil dusk but at most 30 minutes after
    the lock-up, or 20 minutes after it where there is no later dusk. In the days after a predator
    tried to get in it is ten minutes after sunset at the latest, whatever `not_before` says.
    """
    shut, basis = _by_basis(site, sky, rule, day, evening, sunset=sunset, dusk=dusk)
    bounds: tuple[tuple[time | None, Basis], ...] = (
        (rule.cap, "cap"),
        (rule.not_after, "not_after"),
    )
    for bound, named in bounds:
        limit = first_in(evening, bound, site.zone) if bound else None
        if limit and limit < shut:
            shut, basis = limit, named
    early = None
    if after_predator and isinstance(sunset, At):
        early = sunset.instant + _AFTER_A_PREDATOR
    if early and early < shut:
        shut, basis = early, "predator"
    shut = _within(shut, evening.start + _MINUTE, evening.end - _MINUTE)
    latest = shut + _LATEST_WITHOUT_DUSK
    if isinstance(dusk, At) and _second(dusk.instant) > shut:
        latest = min(_second(dusk.instant), shut + _LATEST_AFTER)
    held = first_in(evening, rule.not_before, site.zone) if rule.not_before else None
    if held and held > shut and basis != "predator":
        shut, basis = min(held, latest, _floor(evening.end - _MINUTE)), "not_before"
        if early and early < shut:
            shut, basis = _second(early), "predator"
    return LockUp(instant=shut, latest=max(latest, shut), basis=basis)


def _by_basis(  # noqa: PLR0913 - as lock_up
    site: Site,
    sky: Sky,
    rule: LockUpRule,
    day: date,
    evening: HalfDay,
    *,
    sunset: Crossing,
    dusk: Crossing,
) -> tuple[datetime, Basis]:
    dark = sunset == Never("below")
    after = timedelta(minutes=rule.after_sunset_minutes)
    chosen: list[tuple[datetime, Basis]] = []
    if rule.basis == "angle" or (rule.basis == "light" and not dark):
        chosen += _at(sky.crossing(day, "evening", rule.angle_deg), "angle")
    if rule.basis in {"light", "sunset"}:
        chosen += _at(sunset, "sunset_offset", after)
    if rule.basis == "visible sunset":
        hill_deg = visible_limb_deg(site.west_horizon_deg)
        chosen += _at(sky.crossing(day, "evening", hill_deg), "visible_sunset", after)
    if rule.basis == "civil dusk":
        chosen += _at(dusk, "civil_dusk")
    if chosen:
        return min(chosen)
    if dark:
        # Where that time has passed before the evening begins, it begins with the lock-up.
        return first_in(evening, rule.no_sun, site.zone) or evening.start, "fallback"
    # The chosen angle is not passed today: the light decides, or a bright night's bedtime.
    spare = _at(sky.crossing(day, "evening", rule.angle_deg), "angle")
    spare += _at(sunset, "sunset_offset", after)
    bedtime = first_in(evening, rule.cap or _BRIGHT_NIGHT_BEDTIME, site.zone)
    return min(spare) if spare else (bedtime or evening.end, "cap" if rule.cap else "fallback")


def _at(
    crossing: Crossing, basis: Basis, after: timedelta = timedelta()
) -> list[tuple[datetime, Basis]]:
    return [(crossing.instant + after, basis)] if isinstance(crossing, At) else []


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


def _unslept(profile: Profile, coop: Coop, day: date) -> KeptIn | None:
    """Whether the coop's birds come on that day or later, so that there is nobody to let out."""
    slept = profile.flocks_on(coop.id, day - timedelta(days=1))
    return None if slept else "nobody slept there"


def let_out(  # noqa: PLR0913 - as lock_up
    coop: Coop,
    rule: LetOutRule,
    zone: tzinfo,
    morning: HalfDay,
    *,
    dawn: Crossing,
    sunrise: Crossing,
) -> LetOut:
    """The let-out: civil dawn into a secure run, half an hour after sunrise on open ground.

    `sunrise` is the one the rule asks for: over the horizon, or over the hill in the east.

    Not after `not_after` (by default for a secure run only), then not before `not_before`, which
    wins: late is safe. `no_sun` by the clock where the sun gives nothing.
    """
    secure = is_secure(coop)
    by_dawn = secure if rule.basis is None else rule.basis == "civil dawn"
    crossing = dawn if by_dawn else sunrise
    basis: LetOutBasis = "civil_dawn" if by_dawn else "sunrise"
    if rule.basis == "visible sunrise":
        basis = "visible_sunrise"
    after = rule.after_minutes if rule.after_minutes is not None else (0 if by_dawn else 30)
    if isinstance(crossing, At):
        opened = crossing.instant + timedelta(minutes=after)
    else:
        opened, basis = first_in(morning, rule.no_sun, zone) or morning.start, "fallback"
    if rule.not_after and (secure or "not_after" in rule.model_fields_set):
        last = first_in(morning, rule.not_after, zone)
        if last and last < opened:
            opened, basis = last, "not_after"
    earliest = first_in(morning, rule.not_before, zone) if rule.not_before else None
    if earliest and earliest > opened:
        opened, basis = earliest, "not_before"
    return LetOut(instant=_within(opened, morning.start, morning.end), basis=basis)


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
        flocks, joins = profile.flocks_on(coop.id, day), joins_others(profile, coop.id, day)
        new = any(learns_the_way_home(one, flocks, records, day, joins=joins) for one in flocks)
        early = new or records.predator("tried", day)
        before = CALL_IN_EARLY if early else _CALL_IN_BEFORE
        call_in = min(call_in, sunset.instant - before)
        if not all_day:
            start = max(start, sunset.instant - _RANGE_BEFORE_SUNSET)
    if start >= lock_up_at:
        return "too late"
    return FreeRange(
        start=_second(start), call_in=_second(max(start, call_in)), end=_second(lock_up_at)
    )


def stays_in(  # noqa: C901, PLR0911 - one answer for each reason
    profile: Profile, coop: Coop, day: date, records: Records
) -> NoRange | None:
    """Why birds, reports or the keeper's choice keep them from ranging on that day, if they do."""
    flocks = profile.flocks_on(coop.id, day)
    if all_on_heat(flocks, day):
        return "on heat"
    if records.of("order", day):
        return "housing order"
    if in_quarantine(flocks, records, day):
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
    if any(newly_moved(flock, day) for flock in flocks):
        return "newly moved"
    return "behind wire" if meets_from_house(profile, coop.id, records, day) else None


def _second(instant: datetime) -> datetime:
    """The nearest whole second: what is published must not hang on the last bits of a float."""
    return (instant + _HALF_SECOND).replace(microsecond=0)


def _floor(instant: datetime) -> datetime:
    return instant.replace(microsecond=0)


def _within(instant: datetime, first: datetime, last: datetime) -> datetime:
    """The nearest whole second that does not leave the span."""
    least = _floor(first) + (_SECOND if first.microsecond else timedelta())
    return min(max(_second(instant), least), _floor(last))


def _whole(crossing: Crossing) -> Crossing:
    return crossing if isinstance(crossing, Never) else At(_second(crossing.instant))
