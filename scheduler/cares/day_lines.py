"""The times of a coop's day, each with what set it."""

from typing import Literal, NamedTuple

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.door_state import Door
from scheduler.cares.free_range import FreeRange
from scheduler.cares.quarantine_words import quarantine_words
from scheduler.cares.why_lamp import why_lamp
from scheduler.light.sun import At
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.wording.cares.day_of_house import DayLabels
from scheduler.wording.cares.door_times import CallIn


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
        return (DayLine("no-birds", DayLabels.no_birds(), DayLabels.tonight(), why),)
    site = profile.on(coop.day).site
    zone, region = site.zone, site.region
    lines = []
    if coop.quarantine:
        apart = quarantine_words(coop.quarantine, coop.meets)
        lines.append(DayLine("quarantine", DayLabels.quarantine(), *apart))
    if coop.lamp:
        on, off = (local_clock(at, zone, region) for at in (coop.lamp.on, coop.lamp.off))
        lamp_time = DayLabels.lamp_time(on=on, off=off)
        lines.append(DayLine("lamp", DayLabels.lamp(), lamp_time, why_lamp(coop.lamp)))
    spell, ranges = coop.free_range, DayLabels.no_range()
    if isinstance(spell, FreeRange):
        ranges = DayLabels.ranges_from(time=local_clock(spell.start, zone, region))
    let_out = reasons.let_out_time(profile, coop)
    lock_up = local_clock(coop.lock_up.instant, zone, region, coop.day)
    latest = local_clock(coop.lock_up.latest, zone, region, coop.day)
    not_open = DayLabels.not_open(why=reasons.why_latest(coop))
    lines += [
        DayLine("let-out", DayLabels.let_out(), let_out, reasons.why_let_out(profile, coop)),
        DayLine("range", DayLabels.free_range(), ranges, reasons.why_range(profile, coop)),
        DayLine("lock-up", DayLabels.lock_up(), lock_up, reasons.why_lock_up(profile, coop)),
        DayLine("latest", DayLabels.shut_by(), latest, not_open),
    ]
    if any(flock.others for flock in profile.flocks_on(coop.coop_id, coop.day)):
        # Where the sun does not set they go in with the hens, and never after the door is shut.
        sunset = coop.sunset.instant if isinstance(coop.sunset, At) else coop.lock_up.instant
        walked_in = local_clock(min(sunset, coop.lock_up.instant), zone, region, coop.day)
        lines.append(DayLine("others", DayLabels.others(), walked_in, CallIn.others()))
    return tuple(lines)
