"""Why a time is what it is, in a sentence a keeper would say."""

from scheduler.cares.evening import CoopDay, FreeRange, LetOut, LockUp, NoRange
from scheduler.light.sun import At
from scheduler.profile.units import Region
from scheduler.profile.values import Coop, Flock, LetOutRule, LockUpRule, Profile
from scheduler.profile.words import clock, local_clock

_NO_RANGE: dict[NoRange, str] = {
    "run only": "They stay in the run.",
    "disease order": "They stay in: a disease order is in force.",
    "predator": "They stay in for 14 days after a predator's visit.",
    "too young": "They stay in: some birds are under 12 weeks old.",
    "newly moved": "They stay in for 14 days after moving in.",
    "no sunset": "No free-range time: there is no sunset today.",
    "too late": "No free-range time: bedtime comes before the last hour of sun.",
}


def lock_up_rule(profile: Profile, coop_id: str) -> LockUpRule:
    """The rule that holds for the coop: its own, else the site's."""
    return _coop(profile, coop_id).lockup or profile.lockup


def let_out_rule(profile: Profile, coop_id: str) -> LetOutRule:
    """The rule that holds for the coop: its own, else the site's."""
    return _coop(profile, coop_id).letout or profile.letout


def _coop(profile: Profile, coop_id: str) -> Coop:
    return next(coop for coop in profile.coop if coop.id == coop_id)


def birds(flocks: tuple[Flock, ...]) -> str:
    """The head count in words: "12 hens", "12 hens, 1 rooster, 2 others"."""
    counts = {
        "hen": sum(flock.hens for flock in flocks),
        "rooster": sum(flock.roosters for flock in flocks),
        "young": sum(flock.young for flock in flocks),
        "other": sum(flock.others for flock in flocks),
    }
    parts = []
    for word, count in counts.items():
        if count:
            plural = "" if count == 1 or word == "young" else "s"
            parts.append(f"{count} {word}{plural}")
    return ", ".join(parts)


def why_lock_up(profile: Profile, coop: CoopDay) -> str:
    """One sentence on what set the lock-up."""
    rule, shut = lock_up_rule(profile, coop.coop_id), coop.lock_up
    sun_up = isinstance(coop.sunset, At) and coop.sunset.instant > shut.instant
    if not isinstance(coop.sunset, At):
        sun_up = coop.sunset.side == "above"
    sentence = _why_shut(profile, rule, shut)
    return f"{sentence} The sun is still up: call them in with feed." if sun_up else sentence


def _why_shut(  # noqa: PLR0911 - one sentence for each basis
    profile: Profile, rule: LockUpRule, shut: LockUp
) -> str:
    region = profile.site.region
    after = f"{abs(rule.after_sunset_minutes):g} min"
    after += " after" if rule.after_sunset_minutes >= 0 else " before"
    match shut.basis:
        case "angle":
            side = "below" if rule.angle_deg < 0 else "above"
            return (
                f"The sun is {abs(rule.angle_deg):g}° {side} the horizon: birds are on the perch."
            )
        case "sunset_offset":
            return f"It is {after} sunset: the light lasts long, so no longer wait for dark."
        case "visible_sunset":
            return f"It is {after} the sun goes behind the hill."
        case "civil_dusk":
            return "It is civil dusk, the end of usable light."
        case "cap":
            cap = clock(rule.cap, region) if rule.cap else ""
            return f"It is {cap}, the time nobody stays up past."
        case "not_after":
            at = clock(rule.not_after, region) if rule.not_after else ""
            return f"It is {at}: you lock up no later."
        case "not_before":
            at = clock(rule.not_before, region) if rule.not_before else ""
            return f"You lock up no earlier than {at}, short of leaving the door open too late."
        case "fallback":
            return "The sun gives no dusk today, so the clock sets the time."


def why_latest(coop: CoopDay) -> str:
    """What the latest instant is, in a few words."""
    dusk = coop.dusk.instant if isinstance(coop.dusk, At) else None
    if dusk == coop.lock_up.latest:
        return "civil dusk"
    minutes = round((coop.lock_up.latest - coop.lock_up.instant).total_seconds() / 60)
    return f"{minutes} min after lock-up"


def why_let_out(profile: Profile, coop: CoopDay) -> str:
    """One sentence on what set the let-out."""
    rule = let_out_rule(profile, coop.coop_id)
    return _why_opened(rule, coop.let_out, profile.site.region)


def _why_opened(rule: LetOutRule, opened: LetOut, region: Region) -> str:
    match opened.basis:
        case "civil_dawn":
            return "Civil dawn, into a secure run."
        case "sunrise" | "visible_sunrise":
            over = "sunrise" if opened.basis == "sunrise" else "the sun is over the hill"
            minutes = 30 if rule.after_minutes is None else rule.after_minutes
            return f"{minutes:g} min after {over}, when somebody is about."
        case "not_before":
            at = clock(rule.not_before, region) if rule.not_before else ""
            return f"Not before {at}, whatever the sun does."
        case "not_after":
            at = clock(rule.not_after, region) if rule.not_after else ""
            return f"Not after {at}: inside a secure run they need not wait for the light."
        case "fallback":
            return "The sun gives nothing today, so the clock sets the time."


def why_range(profile: Profile, coop: CoopDay) -> str:
    """One sentence on free-range time, or on why there is none."""
    spell = coop.free_range
    if not isinstance(spell, FreeRange):
        return _NO_RANGE[spell]
    call = local_clock(spell.call_in, profile.site.zone, profile.site.region)
    if _coop(profile, coop.coop_id).ranging == "all day":
        return f"Out all day; call them in with feed at {call}."
    return f"Stay in sight until the door is latched; call them in with feed at {call}."
