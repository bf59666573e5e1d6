"""When the door is shut, what sets that time, and when it must not be open any more."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal

from scheduler.cares.whole_seconds import nearest_second, second_begun, second_within
from scheduler.light.sun import At, Crossing, Never, Sky, visible_limb_deg
from scheduler.light.wall import first_in
from scheduler.profile.door_rules import LockUpRule
from scheduler.profile.site import Site

Basis = Literal[
    "angle",
    "sunset_offset",
    "visible_sunset",
    "civil_dusk",
    "cap",
    "not_after",
    "not_before",
    "predator",
    "moved",
    "fallback",
]
# Those that follow the light of the evening, which cloud takes away.
BY_LIGHT: frozenset[Basis] = frozenset({"angle", "sunset_offset", "visible_sunset", "civil_dusk"})
_MINUTE = timedelta(minutes=1)
# All common practice, no source.
_LATEST_AFTER = timedelta(minutes=30)
_LATEST_WITHOUT_DUSK = timedelta(minutes=20)
_AFTER_A_PREDATOR = timedelta(minutes=10)  # after sunset
_BRIGHT_NIGHT_BEDTIME = time(22, 30)


@dataclass(frozen=True, slots=True, kw_only=True)
class LockUp:
    """When the door is shut, what set that time, and when it must not be open any more."""

    instant: datetime
    latest: datetime
    basis: Basis


def lock_up(  # noqa: PLR0913 - the evening in parts, so that the year table computes each once
    site: Site,
    sky: Sky,
    rule: LockUpRule,
    day: date,
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
    evening = sky.evening(day)
    shut, basis = _by_basis(site, sky, rule, day, sunset=sunset, dusk=dusk)
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
    shut = second_within(shut, evening.start + _MINUTE, evening.end - _MINUTE)
    latest = _latest(shut, dusk)
    held = first_in(evening, rule.not_before, site.zone) if rule.not_before else None
    if held and held > shut and basis != "predator":
        shut, basis = min(held, latest, second_begun(evening.end - _MINUTE)), "not_before"
        if early and early < shut:
            shut, basis = nearest_second(early), "predator"
    return LockUp(instant=shut, latest=max(latest, shut), basis=basis)


def _latest(shut: datetime, dusk: Crossing) -> datetime:
    if isinstance(dusk, At) and nearest_second(dusk.instant) > shut:
        return min(nearest_second(dusk.instant), shut + _LATEST_AFTER)
    return shut + _LATEST_WITHOUT_DUSK


def _by_basis(  # noqa: PLR0913 - as lock_up
    site: Site, sky: Sky, rule: LockUpRule, day: date, *, sunset: Crossing, dusk: Crossing
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
    evening = sky.evening(day)
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
