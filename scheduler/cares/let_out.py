"""When the door is opened, what sets that time, and why it stays shut by day as well."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from scheduler.cares.decided import GALE
from scheduler.cares.newcomer import newcomers
from scheduler.cares.records import Records
from scheduler.cares.whole_seconds import second_within
from scheduler.husbandry.age import all_on_heat, young_of_unknown_age
from scheduler.light.sun import At, Crossing, HalfDay, Sky, visible_limb_deg
from scheduler.light.wall import first_in
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile

LetOutBasis = Literal[
    "civil_dawn",
    "sunrise",
    "visible_sunrise",
    "not_before",
    "not_after",
    "quarantine",
    "moved",
    "fallback",
]
KeptIn = Literal["housing order", "on heat", "age unknown", "gale", "nobody slept there"]
_TENDED_LAST = timedelta(minutes=20)  # after the last of the other houses


@dataclass(frozen=True, slots=True, kw_only=True)
class LetOut:
    """When the door is opened, and what set that time."""

    instant: datetime
    basis: LetOutBasis


def is_secure(coop: Coop) -> bool:
    """Whether the coop opens into a secure, roofed run."""
    return coop.run is not None and coop.run.type == "secure"


def kept_in(coop: Coop, flocks: tuple[Flock, ...], day: date, records: Records) -> KeptIn | None:
    """Why the coop is not opened at all on that day, if it is not."""
    if all_on_heat(flocks, day):
        return "on heat"
    if flocks and all(young_of_unknown_age(one) and one.young == one.birds for one in flocks):
        return "age unknown"
    if records.of("order", day) and not is_secure(coop):
        return "housing order"
    decided = records.weather_on(day)
    return "gale" if decided and GALE in decided.signs | decided.stood else None


def let_out_of_house(  # noqa: PLR0913 - as lock_up
    profile: Profile,
    sky: Sky,
    coop: Coop,
    day: date,
    records: Records,
    *,
    dawn: Crossing,
    sunrise: Crossing,
) -> LetOut:
    """By the coop's own rule; a house of quarantined birds after every other house with birds.

    One whose birds are kept in counts by its own rule: that is when the morning round sees to them.
    """
    morning, risen = sky.morning(day), sunrise
    behind = sky.crossing(day, "morning", visible_limb_deg(profile.site.east_horizon_deg))
    if isinstance(behind, At):  # else the sun stays behind the hill
        risen = behind

    def by_rule(house: Coop) -> LetOut:
        over_hill = profile.let_out_rule(house).basis == "visible sunrise"
        seen = risen if over_hill else sunrise
        return _by_rule(profile, house, morning, dawn=dawn, sunrise=seen)

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
    instant = second_within(last + _TENDED_LAST, morning.start, morning.end)
    return LetOut(instant=instant, basis="quarantine")


def _is_quarantine_house(profile: Profile, coop: Coop, day: date, records: Records) -> bool:
    flocks = profile.flocks_on(coop.id, day)
    return bool(flocks) and all(one.quarantine for one in newcomers(flocks, records, day))


def _by_rule(
    profile: Profile, coop: Coop, morning: HalfDay, *, dawn: Crossing, sunrise: Crossing
) -> LetOut:
    """The let-out: civil dawn into a secure run, half an hour after sunrise on open ground.

    `sunrise` is the one the rule asks for: over the horizon, or over the hill in the east.

    Not after `not_after` (by default for a secure run only), then not before `not_before`, which
    wins: late is safe. `no_sun` by the clock where the sun gives nothing.
    """
    rule, zone, secure = profile.let_out_rule(coop), profile.site.zone, is_secure(coop)
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
    return LetOut(instant=second_within(opened, morning.start, morning.end), basis=basis)
