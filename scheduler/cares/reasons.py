"""Why a time is what it is, in a sentence a keeper would say."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta

from scheduler.cares.coop_day import CoopDay
from scheduler.cares.door_state import Door
from scheduler.cares.free_range import CALL_IN_EARLY, FreeRange, NoRange
from scheduler.cares.let_out import KeptIn, is_secure
from scheduler.climate.curve import Averages
from scheduler.husbandry.age import (
    FREE_RANGE_FROM_WEEKS,
    MEETING_DAYS,
    OFF_HEAT_WEEKS,
    QUARANTINE_DAYS,
    SETTLING_DAYS,
    newly_moved,
    perches,
)
from scheduler.light.sun import At, Never
from scheduler.profile.flock import Flock
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Region, Units
from scheduler.profile.values import Profile
from scheduler.profile.words import clock, local_clock, words
from scheduler.wording.cares.day_of_house import DayLabels, NoBirds, UsualAir
from scheduler.wording.cares.door_times import (
    CallIn,
    KeptInBy,
    LetOutAtDawn,
    LetOutAtDawnIntoRun,
    LetOutAtSunrise,
    LetOutOverHill,
    LetOutSetBy,
    LockUpSetBy,
    ShutBySetBy,
)
from scheduler.wording.cares.ranging import FreeRangeTime, NoFreeRange
from scheduler.wording.profile.region_words import Counted
from scheduler.wording.spoken import day_and_month, in_a_row, short_day
from scheduler.wording.words import Words, every

_HARDLY_DUSK = timedelta(minutes=15)  # after sunset; common practice, no source
_NO_RANGE: dict[NoRange, Words] = {
    "no birds": NoFreeRange.no_birds,
    "run only": NoFreeRange.run_only,
    "housing order": NoFreeRange.order,
    "on heat": NoFreeRange.on_heat,
    "quarantine": NoFreeRange.quarantine,
    "predator": NoFreeRange.predator,
    "ill birds": NoFreeRange.ill_birds,
    "storm": NoFreeRange.storm,
    "too young": NoFreeRange.too_young,
    "age unknown": NoFreeRange.age_unknown,
    "newly moved": NoFreeRange.newly_moved,
    "moved here": NoFreeRange.moved_here,
    "behind wire": NoFreeRange.behind_wire,
    "no sunset": NoFreeRange.no_sunset,
    "too late": NoFreeRange.too_late,
}
_NO_LET_OUT: dict[KeptIn, Words] = {
    "housing order": KeptInBy.order,
    "on heat": NoFreeRange.on_heat,
    "age unknown": NoFreeRange.age_unknown,
    "gale": KeptInBy.gale,
    "nobody slept there": KeptInBy.nobody_slept,
}
_AGES_AND_DAYS = {
    "heat_weeks": OFF_HEAT_WEEKS,
    "range_weeks": FREE_RANGE_FROM_WEEKS,
    "quarantine_days": QUARANTINE_DAYS,
    "settling_days": SETTLING_DAYS,
    "meeting_days": MEETING_DAYS,
}
_Offset = Mapping[str, Words]  # by "at", "after" and "before"
_AT_DAWN, _AT_DAWN_INTO_RUN = every(LetOutAtDawn), every(LetOutAtDawnIntoRun)
_AT_SUNRISE, _OVER_HILL = every(LetOutAtSunrise), every(LetOutOverHill)


def birds(flocks: tuple[Flock, ...], region: Region) -> str:
    """The head count in words: "12 hens", "12 hens, 1 rooster, 2 others"."""
    rooster = Counted.cockerel if region == "UK" else Counted.rooster
    counted = (
        (sum(flock.hens for flock in flocks), Counted.hen),
        (sum(flock.roosters for flock in flocks), rooster),
        (sum(flock.young for flock in flocks), Counted.young),
        (sum(flock.others for flock in flocks), Counted.other),
    )
    return in_a_row([said(count=count) for count, said in counted if count])


def usual_air(averages: Averages, day: date, units: Units) -> str:
    """The average night and day of that date: "nights 3 °C, days 13 °C"."""
    return UsualAir.nights_and_days(
        low=write_quantity(averages.low_c(day), "temperature", units),
        high=write_quantity(averages.high_c(day), "temperature", units),
    )


def why_lock_up(profile: Profile, coop: CoopDay) -> str:
    """One sentence on what set the lock-up, and more where birds do not go in by themselves yet."""
    sentence = _why_shut(profile, coop)
    if coop.kept_in and coop.kept_in != "nobody slept there":
        return sentence
    return " ".join(filter(None, (sentence, _too_light(coop), _new_birds(profile, coop))))


def _too_light(coop: CoopDay) -> str:
    """What to do where the door is to be shut before hens go in by themselves."""
    sets = coop.sunset.instant if isinstance(coop.sunset, At) else None
    if coop.sunset == Never("above") or (sets and sets > coop.lock_up.instant):
        return CallIn.still_up()
    if sets and coop.lock_up.instant < sets + _HARDLY_DUSK:
        return CallIn.barely_dusk()
    return ""


def _new_birds(profile: Profile, coop: CoopDay) -> str:
    """From when birds that do not know the house yet are called in."""
    new = [
        flock.name
        for flock in profile.flocks_on(coop.coop_id, coop.day)
        if newly_moved(flock, coop.day) and perches(flock, coop.day)
    ]
    if not new or not isinstance(coop.sunset, At):
        return ""
    early = min(coop.sunset.instant, coop.lock_up.instant) - CALL_IN_EARLY
    at = _clock(profile, early, coop.day)
    return CallIn.new_here(flocks=in_a_row(new), time=at)


def _why_shut(  # noqa: C901, PLR0911 - one sentence for each basis
    profile: Profile, coop: CoopDay
) -> str:
    rule = profile.lock_up_rule(profile.coop_of(coop.coop_id))
    region = profile.on(coop.day).site.region
    minutes, after = f"{abs(rule.after_sunset_minutes):g}", rule.after_sunset_minutes >= 0
    match coop.lock_up.basis:
        case "angle":
            return _by_angle(profile, coop, rule.angle_deg)
        case "sunset_offset":
            said = LockUpSetBy.after_sunset if after else LockUpSetBy.before_sunset
            return said(minutes=minutes)
        case "visible_sunset":
            said = LockUpSetBy.after_hill if after else LockUpSetBy.before_hill
            return said(minutes=minutes)
        case "civil_dusk":
            return LockUpSetBy.civil_dusk()
        case "cap":
            return LockUpSetBy.bedtime(time=_said(rule.cap, region))
        case "not_after":
            return LockUpSetBy.no_later(time=_said(rule.not_after, region))
        case "not_before":
            return _why_held(profile, coop, rule.not_before)
        case "predator":
            return LockUpSetBy.predator()
        case "moved":
            return LockUpSetBy.moved()
        case "fallback":
            return LockUpSetBy.clock()


def _by_angle(profile: Profile, coop: CoopDay, angle_deg: float) -> str:
    degrees = f"{abs(angle_deg):g}"
    if angle_deg >= 0:
        return LockUpSetBy.above_horizon(degrees=degrees)
    here = profile.flocks_on(coop.coop_id, coop.day)
    if not any(perches(flock, coop.day) for flock in here):
        return LockUpSetBy.below_horizon(degrees=degrees)
    perch = words(profile.on(coop.day).site.region)["perch"]
    return LockUpSetBy.below_horizon_perched(degrees=degrees, perch=perch)


def _why_held(profile: Profile, coop: CoopDay, not_before: time | None) -> str:
    asked = _said(not_before, profile.on(coop.day).site.region)
    held = _clock(profile, coop.lock_up.instant, coop.day)
    said = LockUpSetBy.no_earlier if held == asked else LockUpSetBy.held_short
    return said(time=asked)


def why_latest(coop: CoopDay) -> str:
    """What the latest instant is, in a few words."""
    if isinstance(coop.dusk, At) and coop.dusk.instant == coop.lock_up.latest:
        return ShutBySetBy.civil_dusk()
    minutes = round((coop.lock_up.latest - coop.lock_up.instant).total_seconds() / 60)
    return ShutBySetBy.after_lock_up(minutes=minutes) if minutes else ShutBySetBy.lock_up()


def why_let_out(  # noqa: C901, PLR0911 - one sentence for each basis
    profile: Profile, coop: CoopDay
) -> str:
    """One sentence on what set the let-out, or on why there is none."""
    house = profile.coop_of(coop.coop_id)
    if coop.kept_in:
        return _NO_LET_OUT[coop.kept_in](**_AGES_AND_DAYS)
    rule, region = profile.let_out_rule(house), profile.on(coop.day).site.region
    by_dawn = coop.let_out.basis == "civil_dawn"
    minutes = (0 if by_dawn else 30) if rule.after_minutes is None else rule.after_minutes
    match coop.let_out.basis:
        case "civil_dawn":
            if is_secure(house):
                return _offset(_AT_DAWN_INTO_RUN, minutes)
            return _offset(_AT_DAWN, minutes)
        case "sunrise":
            return _offset(_AT_SUNRISE, minutes)
        case "visible_sunrise":
            return _offset(_OVER_HILL, minutes)
        case "not_before":
            return LetOutSetBy.not_before(time=_said(rule.not_before, region))
        case "not_after":
            return LetOutSetBy.not_after(time=_said(rule.not_after, region))
        case "quarantine":
            return LetOutSetBy.quarantine()
        case "moved":
            return LetOutSetBy.moved()
        case "fallback":
            bright = isinstance(coop.dawn, Never) and coop.dawn.side == "above"
            return LetOutSetBy.never_dark() if bright else LetOutSetBy.no_sunrise()


def _offset(said: _Offset, minutes: float) -> str:
    if not minutes:
        return said["at"]()
    return said["after" if minutes > 0 else "before"](minutes=f"{abs(minutes):g}")


def why_range(profile: Profile, coop: CoopDay) -> str:
    """One sentence on free-range time, or on why there is none."""
    spell = coop.free_range
    if spell == "housing order" and not coop.kept_in:
        return NoFreeRange.order_in_run()
    if spell == "behind wire" and coop.meets and coop.meets.first:
        return NoFreeRange.behind_wire_until(day=short_day(coop.meets.first))
    if spell == "moved here" and profile.move:
        return NoFreeRange.moved_here(
            moved=day_and_month(profile.move.on), until=day_and_month(profile.move.settled_on)
        )
    if not isinstance(spell, FreeRange):
        return _NO_RANGE[spell](**_AGES_AND_DAYS)
    call = _clock(profile, spell.call_in, coop.day)
    all_day = profile.coop_of(coop.coop_id).ranging == "all day"
    return (FreeRangeTime.all_day if all_day else FreeRangeTime.supervised)(time=call)


def why_no_birds(profile: Profile, coop_id: str, day: date, state: Door | None = None) -> str:
    """Why no bird sleeps in the coop that night, in a sentence; empty where some do.

    `state` is what was said of it by then; without it the profile alone is asked.
    """
    if profile.flocks_on(coop_id, day) if state is None else not state.is_empty:
        return ""
    ahead = [f for f in profile.flocks_of(coop_id) if f.arrived is not None and f.arrived > day]
    if ahead and not profile.flocks_on(coop_id, day):
        first = min(ahead, key=lambda flock: flock.arrived or day)
        return NoBirds.come_on(flock=first.name, day=day_and_month(first.arrived or day))
    if state is None or not state.flock:
        return NoBirds.none_lives()
    return _what_became_of_all(state)


def _what_became_of_all(state: Door) -> str:
    match (state.away > 0, state.gone > 0, state.come < 0):
        case (True, True, True):
            said = NoBirds.away_gone_and_left
        case (True, True, False):
            said = NoBirds.away_and_gone
        case (True, False, True):
            said = NoBirds.away_and_left
        case (True, False, False):
            said = NoBirds.away
        case (False, True, True):
            said = NoBirds.gone_and_left
        case (False, True, False):
            said = NoBirds.gone
        case _:
            said = NoBirds.left
    return said(away=state.away, gone=state.gone)


def let_out_time(profile: Profile, coop: CoopDay) -> str:
    """When the door is opened, by the clock at the site; "not today" where they are kept in."""
    if coop.kept_in:
        return DayLabels.not_today()
    return _clock(profile, coop.let_out.instant, coop.day)


def _clock(profile: Profile, instant: datetime, day: date) -> str:
    """What the clock shows then where the birds live on that date."""
    site = profile.on(day).site
    return local_clock(instant, site.zone, site.region)


def _said(at: time | None, region: Region) -> str:
    return clock(at, region) if at else ""
