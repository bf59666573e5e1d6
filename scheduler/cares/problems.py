"""What only this room can judge in a profile: wall times, jobs."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta, tzinfo

from scheduler.cares import catalogue as cares
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.lamp import has_programme, keeps_feed_and_water_inside
from scheduler.cares.plan import sky_over
from scheduler.husbandry.impossible import impossible_sizes
from scheduler.light.sun import Half, HalfDay
from scheduler.light.wall import first_in
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.problem import KeyPath, Problem
from scheduler.profile.units_in_text import in_units
from scheduler.profile.values import Profile

_SAMPLE = tuple(date(2026, 1, 5) + timedelta(days=10 * step) for step in range(37))
_MINUTE = timedelta(minutes=1)
_LOCK_UP_KEYS = ("cap", "not_after", "not_before", "no_sun")
_LET_OUT_KEYS = ("not_before", "not_after", "no_sun")


def problems(profile: Profile, catalogue: Catalogue) -> Iterator[Problem]:
    """Wall times that cannot lie in their half-day, and what is wrong with the jobs."""
    yield from cares.problems(profile, catalogue)
    for index, coop in enumerate(profile.coop):
        for slip in impossible_sizes(coop, ("coop", index)):
            found, accepted = (in_units(t, profile.units) for t in (slip.found, slip.accepted))
            yield replace(slip, found=found, accepted=accepted)
        if has_programme(coop) and not keeps_feed_and_water_inside(coop):
            yield Problem(
                key=("coop", index, "light", "programme"),
                found="true, without a drinker and a feeder inside",
                accepted="a light programme only where feed and water stand inside overnight",
                hint="Birds that are lit must be able to eat and drink: inside = true on both.",
            )
    halves = _halves(profile)
    yield from _unreachable(halves["evening"], "evening", profile.lockup, ("lockup",), profile)
    yield from _unreachable(halves["morning"], "morning", profile.letout, ("letout",), profile)
    for index, coop in enumerate(profile.coop):
        for half, rule, name in (
            ("evening", coop.lockup, "lockup"),
            ("morning", coop.letout, "letout"),
        ):
            if rule:
                yield from _unreachable(halves[half], half, rule, ("coop", index, name), profile)


def _crossed(rule: LockUpRule | LetOutRule, key: KeyPath) -> Iterator[Problem]:
    """Bounds that leave no time between them."""
    written = {"not_before", "not_after"} <= rule.model_fields_set
    if written and rule.not_before and rule.not_after and rule.not_before > rule.not_after:
        yield Problem(
            key=(*key, "not_before"),
            found=f"{rule.not_before:%H:%M}, after not_after {rule.not_after:%H:%M}",
            accepted="a time before not_after",
        )


def _halves(profile: Profile) -> dict[str, list[HalfDay]]:
    sky = sky_over(profile)
    return {
        "morning": [sky.morning(day) for day in _SAMPLE],
        "evening": [sky.evening(day) for day in _SAMPLE],
    }


def _unreachable(
    halves: list[HalfDay],
    half: Half | str,
    rule: LockUpRule | LetOutRule,
    key: KeyPath,
    profile: Profile,
) -> Iterator[Problem]:
    yield from _crossed(rule, key)
    zone = profile.site.zone
    for name in _LOCK_UP_KEYS if isinstance(rule, LockUpRule) else _LET_OUT_KEYS:
        at: time | None = getattr(rule, name)
        # A default that cannot be met here is nobody's mistake; it is passed over.
        if at is None or name not in rule.model_fields_set:
            continue
        if any(first_in(day, at, zone) for day in halves):
            continue
        first, last = _span(halves, zone)
        yield Problem(
            key=(*key, name),
            found=f"{at:%H:%M}",
            accepted=(
                f"a time of the {half}, which at this place lies between about {first} and {last}"
            ),
            hint="By this clock and longitude it never comes in that half of the day.",
        )


def _span(halves: list[HalfDay], zone: tzinfo) -> tuple[str, str]:
    """The earliest start and the latest end by the clock, counted from the day of each start."""
    starts, ends = [], []
    for half in halves:
        start, end = half.start.astimezone(zone), half.end.astimezone(zone)
        midnight = datetime.combine(start.date(), time(), zone)
        starts.append((start - midnight) // _MINUTE)  # same zone: wall-clock distance, as meant
        ends.append((end - midnight) // _MINUTE)
    return _clock(min(starts)), _clock(max(ends))


def _clock(minutes: int) -> str:
    return f"{minutes // 60 % 24:02}:{minutes % 60:02}"
