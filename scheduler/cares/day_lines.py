"""The times of a coop's day, each with what set it."""

from typing import Literal, NamedTuple

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.door_state import Door
from scheduler.cares.free_range import FreeRange
from scheduler.light.sun import At
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock


class DayLine(NamedTuple):
    """One time of the day as the site's clock shows it, and its reason in a sentence."""

    key: Literal[
        "lamp", "let-out", "range", "lock-up", "latest", "others", "quarantine", "no-birds"
    ]
    label: str
    time: str
    reason: str


def day_lines(profile: Profile, coop: CoopDay, state: Door | None = None) -> tuple[DayLine, ...]:
    """The coop's day in its order; "quarantine", "lamp" and "others" only where there is one.

    Where no bird sleeps that night, by the profile or by what was said (`state`), that alone.
    """
    if why := reasons.why_no_birds(profile, coop.coop_id, coop.day, state):
        return (DayLine("no-birds", "No birds", "tonight", why),)
    zone, region = profile.site.zone, profile.site.region
    lines = []
    if coop.quarantine:
        apart = reasons.quarantine(coop.quarantine, coop.meets)
        lines.append(DayLine("quarantine", "Quarantine", *apart))
    if coop.lamp:
        on, off = (local_clock(at, zone, region) for at in (coop.lamp.on, coop.lamp.off))
        lines.append(DayLine("lamp", "Lamp", f"{on} to {off}", reasons.why_lamp(coop.lamp)))
    spell = coop.free_range
    start = f"from {local_clock(spell.start, zone, region)}" if isinstance(spell, FreeRange) else ""
    let_out = reasons.let_out_time(profile, coop)
    lock_up = local_clock(coop.lock_up.instant, zone, region, coop.day)
    latest = local_clock(coop.lock_up.latest, zone, region, coop.day)
    not_open = f"The door must not be open after this ({reasons.why_latest(coop)})."
    lines += [
        DayLine("let-out", "Let out", let_out, reasons.why_let_out(profile, coop)),
        DayLine("range", "Free range", start or "none", reasons.why_range(profile, coop)),
        DayLine("lock-up", "Lock up", lock_up, reasons.why_lock_up(profile, coop)),
        DayLine("latest", "Shut by", latest, not_open),
    ]
    if any(flock.others for flock in profile.flocks_on(coop.coop_id, coop.day)):
        # Where the sun does not set they go in with the hens, and never after the door is shut.
        sunset = coop.sunset.instant if isinstance(coop.sunset, At) else coop.lock_up.instant
        walked_in = local_clock(min(sunset, coop.lock_up.instant), zone, region, coop.day)
        lines.append(DayLine("others", "Others", walked_in, reasons.WALK_IN))
    return tuple(lines)
