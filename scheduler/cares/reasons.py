"""Why a time is what it is, in a sentence a keeper would say."""

from datetime import date, time, timedelta

from scheduler.cares.coop_day import CoopDay
from scheduler.cares.door_state import Door
from scheduler.cares.free_range import CALL_IN_EARLY, FreeRange, NoRange
from scheduler.cares.lamp import Apart, Lamp
from scheduler.cares.let_out import KeptIn, is_secure
from scheduler.cares.newcomer import Quarantine
from scheduler.cares.quarantine import Meeting
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
from scheduler.husbandry.lighting import NOT_BEFORE_WEEKS
from scheduler.light.sun import At, Never
from scheduler.profile.flock import Flock
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Region, Units
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized, clock, day_words, local_clock, words

WALK_IN = (
    "Ducks and geese do not put themselves to bed: walk them in at sunset. Guineas and turkeys "
    "would rather sleep in a tree: call them in with feed before sunset."
)
_HARDLY_DUSK = timedelta(minutes=15)  # after sunset; common practice, no source
_NO_RANGE: dict[NoRange, str] = {
    "no birds": "There are no birds here.",
    "run only": "They stay in the run.",
    "housing order": "They stay in the house: a housing order is in force.",
    "on heat": f"They are under {OFF_HEAT_WEEKS} weeks old: they stay where it is warm.",
    "quarantine": f"They stay in the run: they are in quarantine for {QUARANTINE_DAYS} days.",
    "predator": "They stay in: a predator got at them.",
    "ill birds": (
        "All houses stay in the run: ill birds were noted, with signs that may have to be "
        "reported. Once that is cleared up, end the report."
    ),
    "storm": "They stay in: a storm is on its way.",
    "too young": f"They stay in the run: some birds are under {FREE_RANGE_FROM_WEEKS} weeks old.",
    "age unknown": (
        "They stay in: nobody has said how old the young are. Say when they hatched, or their age."
    ),
    "newly moved": f"For {SETTLING_DAYS} days after birds move in, all stay in the run.",
    "behind wire": (
        "They stay in the run until they have seen the others through wire for "
        f"{MEETING_DAYS} days."
    ),
    "no sunset": "No free-range time: there is no sunset today.",
    "too late": "No free-range time: bedtime comes before the last hour of sun.",
}
_NO_LET_OUT: dict[KeptIn, str] = {
    "housing order": (
        "A housing order is in force and the run has no roof: they stay in the house."
    ),
    "on heat": _NO_RANGE["on heat"],
    "age unknown": _NO_RANGE["age unknown"],
    "nobody slept there": "Nobody slept there last night.",
}


def birds(flocks: tuple[Flock, ...], region: Region) -> str:
    """The head count in words: "12 hens", "12 hens, 1 rooster, 2 others"."""
    spoken = words(region)
    counted = (
        (sum(flock.hens for flock in flocks), "hen", "hens"),
        (sum(flock.roosters for flock in flocks), spoken["rooster"], spoken["roosters"]),
        (sum(flock.young for flock in flocks), "young", "young"),
        (sum(flock.others for flock in flocks), "other", "others"),
    )
    parts = [f"{count} {one if count == 1 else many}" for count, one, many in counted if count]
    return ", ".join(parts)


def usual_air(averages: Averages, day: date, units: Units) -> str:
    """The average night and day of that date: "nights 3 °C, days 13 °C"."""
    low = write_quantity(averages.low_c(day), "temperature", units)
    high = write_quantity(averages.high_c(day), "temperature", units)
    return f"nights {low}, days {high}"


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
        return "The sun is still up: call them in with feed."
    if sets and coop.lock_up.instant < sets + _HARDLY_DUSK:
        return "It is barely dusk by then: call them in with feed."
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
    at = local_clock(early, profile.site.zone, profile.site.region)
    call = f"Call them in with feed from {at}, and lift in the last."
    return f"New to the house: {', '.join(new)}. {call}"


def _why_shut(  # noqa: PLR0911 - one sentence for each basis
    profile: Profile, coop: CoopDay
) -> str:
    rule = profile.lock_up_rule(profile.coop_of(coop.coop_id))
    region = profile.site.region
    after = f"{abs(rule.after_sunset_minutes):g} min"
    after += " after" if rule.after_sunset_minutes >= 0 else " before"
    match coop.lock_up.basis:
        case "angle":
            side = "below" if rule.angle_deg < 0 else "above"
            perch = words(region)["perch"]
            here = profile.flocks_on(coop.coop_id, coop.day)
            perched = rule.angle_deg < 0 and any(perches(flock, coop.day) for flock in here)
            roosting = f": birds should be on the {perch}" if perched else ""
            return f"The sun is {abs(rule.angle_deg):g}° {side} the horizon{roosting}."
        case "sunset_offset":
            return f"It is {after} sunset, which comes before it is dark enough."
        case "visible_sunset":
            return f"It is {after} the sun goes behind the hill."
        case "civil_dusk":
            return "It is civil dusk, the end of usable light."
        case "cap":
            return f"It is {_said(rule.cap, region)}, the latest bedtime."
        case "not_after":
            return f"It is {_said(rule.not_after, region)}: you lock up no later."
        case "not_before":
            return _why_held(profile, coop, rule.not_before)
        case "predator":
            after = "ten minutes after sunset at the latest"
            return f"A predator has tried to get in. Shut the door once all are in, {after}."
        case "fallback":
            return "There is no dusk today, so the clock sets the time."


def _why_held(profile: Profile, coop: CoopDay, not_before: time | None) -> str:
    asked = _said(not_before, profile.site.region)
    held = local_clock(coop.lock_up.instant, profile.site.zone, profile.site.region)
    if held == asked:
        return f"You lock up no earlier than {asked}."
    return f"You asked for no earlier than {asked}, but the door must not stay open that long."


def why_latest(coop: CoopDay) -> str:
    """What the latest instant is, in a few words."""
    if isinstance(coop.dusk, At) and coop.dusk.instant == coop.lock_up.latest:
        return "civil dusk"
    minutes = round((coop.lock_up.latest - coop.lock_up.instant).total_seconds() / 60)
    return f"{minutes} min after lock-up" if minutes else "the lock-up itself"


def why_let_out(  # noqa: PLR0911 - one sentence for each basis
    profile: Profile, coop: CoopDay
) -> str:
    """One sentence on what set the let-out, or on why there is none."""
    house = profile.coop_of(coop.coop_id)
    if coop.kept_in:
        return _NO_LET_OUT[coop.kept_in]
    rule, region = profile.let_out_rule(house), profile.site.region
    by_dawn = coop.let_out.basis == "civil_dawn"
    minutes = (0 if by_dawn else 30) if rule.after_minutes is None else rule.after_minutes
    after = f"{abs(minutes):g} min {'after' if minutes >= 0 else 'before'} " if minutes else ""
    match coop.let_out.basis:
        case "civil_dawn":
            where = ", into a secure run" if is_secure(house) else ""
            return capitalized(f"{after}civil dawn{where}.")
        case "sunrise":
            return capitalized(f"{after}sunrise, when somebody is about.")
        case "visible_sunrise":
            return capitalized(f"{after}the sun is over the hill, when somebody is about.")
        case "not_before":
            return f"Not before {_said(rule.not_before, region)}, whatever the sun does."
        case "not_after":
            return f"Not after {_said(rule.not_after, region)}, whatever the sun does."
        case "quarantine":
            return (
                "After you have seen to the other birds, whether or not you let them out: see to "
                "those in quarantine last."
            )
        case "fallback":
            bright = isinstance(coop.dawn, Never) and coop.dawn.side == "above"
            reason = "It never gets dark" if bright else "The sun does not rise"
            return f"{reason}, so the clock sets the time."


def why_lamp(lamp: Lamp) -> str:
    """What to do with the lamp, and who is to be kept apart from its light."""
    if lamp.hours < lamp.target_hours:
        said = (
            f"Give them {lamp.hours:.1f} h of light in all, and an hour more each week up to "
            f"{lamp.target_hours:.0f} h. Never shorten the light of hens in lay."
        )
    else:
        said = "Keep it on until the days are long enough. Never shorten the light of hens in lay."
    return " ".join([said, *map(_kept_apart, lamp.apart)])


def _kept_apart(flock: Apart) -> str:
    until = f" until {flock.until.day} {flock.until:%B}" if flock.until else ""
    if flock.too_young:
        return (
            f"{flock.name}: house them apart{until}. Under {NOT_BEFORE_WEEKS} weeks old they "
            "need short days."
        )
    return (
        f"{flock.name} come from shorter days: house them apart{until}, and lengthen their light "
        "by an hour a week."
    )


def why_range(profile: Profile, coop: CoopDay) -> str:
    """One sentence on free-range time, or on why there is none."""
    spell = coop.free_range
    if spell == "housing order" and not coop.kept_in:
        return "They stay in the covered run: a housing order is in force."
    if spell == "behind wire" and coop.meets and coop.meets.first:
        from_then = day_words(coop.meets.first)
        return f"Not out of the run before {from_then}: first they get to know the others."
    if not isinstance(spell, FreeRange):
        return _NO_RANGE[spell]
    call = local_clock(spell.call_in, profile.site.zone, profile.site.region)
    out = "Out all day"
    if profile.coop_of(coop.coop_id).ranging != "all day":
        out = "Stay in sight until the door is latched"
    return f"{out}. Call them in with feed at {call}."


def why_no_birds(profile: Profile, coop_id: str, day: date, state: Door | None = None) -> str:
    """Why no bird sleeps in the coop that night, in a sentence; empty where some do.

    `state` is what was said of it by then; without it the profile alone is asked.
    """
    if profile.flocks_on(coop_id, day) if state is None else not state.is_empty:
        return ""
    ahead = [f for f in profile.flocks_of(coop_id) if f.arrived is not None and f.arrived > day]
    if ahead and not profile.flocks_on(coop_id, day):
        first = min(ahead, key=lambda flock: flock.arrived or day)
        comes = first.arrived or day
        return f"{first.name} come on {comes.day} {comes:%B}."
    if state is None or not state.flock:
        return "No bird lives there."
    away = f"{state.away} sleep{'' if state.away > 1 else 's'} elsewhere"
    gone = f"{state.gone} {'are' if state.gone > 1 else 'is'} dead or given up"
    left = f"{'the others' if state.away or state.gone else 'All'} were sold or moved"
    all_of_them = ((state.away, away), (state.gone, gone), (state.come < 0, left))
    return f"{' and '.join(said for birds, said in all_of_them if birds)}."


def let_out_time(profile: Profile, coop: CoopDay) -> str:
    """When the door is opened, by the clock at the site; "not today" where they are kept in."""
    if coop.kept_in:
        return "not today"
    return local_clock(coop.let_out.instant, profile.site.zone, profile.site.region)


def quarantine(found: Quarantine, meets: Meeting | None = None) -> tuple[str, str]:
    """The day of a house's quarantine in a few words, and what it asks for.

    `meets` is when they may range beside others that were there before them, if there are any.
    """
    ranges, mixes = _before(meets.first if meets else found.ends), _before(found.mixes)
    until = "" if ranges == mixes else f" {ranges}"
    asked = f"See to {', '.join(found.names)} last, with separate boots and tools."
    asked += f" No ranging{until}, no mixing {mixes}."
    if found.day:
        return found.words, asked
    again = f"The {QUARANTINE_DAYS} days start again when the illness is over"
    return found.words, f"{asked} {again}{'.' if found.ends else ': end its report then.'}"


def _before(day: date | None) -> str:
    return f"before {day_words(day)}" if day else "for now"


def _said(at: time | None, region: Region) -> str:
    return clock(at, region) if at else ""
