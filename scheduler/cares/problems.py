"""What only this room can judge in a profile: wall times, jobs."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta, tzinfo

from scheduler.cares import catalogue as cares
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.lamp import has_programme, keeps_feed_and_water_inside
from scheduler.husbandry.impossible import impossible_sizes
from scheduler.light.sun import Half, HalfDay, sky_over
from scheduler.light.wall import first_in
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.problem import KeyPath, Problem
from scheduler.profile.values import Profile
from scheduler.wording.cares.profile_jobs import DoorTimeProblems, LampProblems

_SAMPLE = tuple(date(2026, 1, 5) + timedelta(days=10 * step) for step in range(37))
_MINUTE = timedelta(minutes=1)
_TIMES = ("cap", "not_after", "not_before", "no_sun")


def problems(profile: Profile, catalogue: Catalogue) -> Iterator[Problem]:
    """Wall times that cannot lie in their half-day, and what is wrong with the jobs."""
    yield from cares.problems(profile, catalogue)
    for index, coop in enumerate(profile.coop):
        yield from impossible_sizes(coop, ("coop", index), profile.units)
        if has_programme(coop) and not keeps_feed_and_water_inside(coop):
            yield Problem(
                key=("coop", index, "light", "programme"),
                found=LampProblems.found(),
                accepted=LampProblems.accepted(),
                hint=LampProblems.hint(),
            )
    found = list(_never_come(profile.on(date.min)))
    if profile.move:
        known = {one.key for one in found}
        found += [one for one in _never_come(profile.on(date.max)) if one.key not in known]
    yield from found


def _never_come(profile: Profile) -> Iterator[Problem]:
    """Wall times that cannot be at the profile's place."""
    sky = sky_over(profile)
    halves: dict[Half, list[HalfDay]] = {
        "evening": [sky.evening(day) for day in _SAMPLE],
        "morning": [sky.morning(day) for day in _SAMPLE],
    }
    for half, rule, key in _rules(profile):
        yield from _crossed(rule, key)
        yield from _unreachable(halves[half], half, rule, key, profile.site.zone)


def _rules(profile: Profile) -> Iterator[tuple[Half, LockUpRule | LetOutRule, KeyPath]]:
    yield "evening", profile.lockup, ("lockup",)
    yield "morning", profile.letout, ("letout",)
    for index, coop in enumerate(profile.coop):
        if coop.lockup:
            yield "evening", coop.lockup, ("coop", index, "lockup")
        if coop.letout:
            yield "morning", coop.letout, ("coop", index, "letout")


def _crossed(rule: LockUpRule | LetOutRule, key: KeyPath) -> Iterator[Problem]:
    """Bounds that leave no time between them."""
    written = {"not_before", "not_after"} <= rule.model_fields_set
    if written and rule.not_before and rule.not_after and rule.not_before > rule.not_after:
        yield Problem(
            key=(*key, "not_before"),
            found=DoorTimeProblems.crossed(
                not_before=f"{rule.not_before:%H:%M}", not_after=f"{rule.not_after:%H:%M}"
            ),
            accepted=DoorTimeProblems.before_not_after(),
        )


def _unreachable(
    halves: list[HalfDay], half: Half, rule: LockUpRule | LetOutRule, key: KeyPath, zone: tzinfo
) -> Iterator[Problem]:
    # A default that cannot be met here is nobody's mistake; it is passed over.
    for name in [name for name in _TIMES if name in rule.model_fields_set]:
        at: time | None = getattr(rule, name)
        if at is None or any(first_in(day, at, zone) for day in halves):
            continue
        first, last = _span(halves, zone)
        of_half = DoorTimeProblems.of_evening if half == "evening" else DoorTimeProblems.of_morning
        yield Problem(
            key=(*key, name),
            found=f"{at:%H:%M}",
            accepted=of_half(first=first, last=last),
            hint=DoorTimeProblems.never_comes(),
        )


def _span(halves: list[HalfDay], zone: tzinfo) -> Iterator[str]:
    """The earliest start and the latest end by the clock, counted from the day of each start."""
    starts, ends = [], []
    for half in halves:
        start, end = half.start.astimezone(zone), half.end.astimezone(zone)
        midnight = datetime.combine(start.date(), time(), zone)
        starts.append((start - midnight) // _MINUTE)  # same zone: wall-clock distance, as meant
        ends.append((end - midnight) // _MINUTE)
    for minutes in (min(starts), max(ends)):
        yield f"{minutes // 60 % 24:02}:{minutes % 60:02}"
