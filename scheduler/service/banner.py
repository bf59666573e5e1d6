"""What every page says while the reminders cannot be relied on, and what to do about it."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.clock import Readings
from scheduler.service.health import Cause, Pulse, causes_of, read_pulse
from scheduler.service.reach import Reach

_ORDER = ("not-running", "nobody")  # what is missing altogether comes first


def banner(folder: Path, profile: Profile, reach: Reach, readings: Readings) -> tuple[Cause, ...]:
    """Everything that is wrong now; empty when all is well. One small file is read for it."""
    return tuple(everything(read_pulse(folder), profile, reach, readings))


def everything(
    pulse: Pulse | None, profile: Profile, reach: Reach, readings: Readings
) -> list[Cause]:
    """What the last tick and the last messages show to be wrong, the worst first."""

    def said(at: datetime) -> str:
        local = at.astimezone(profile.site.zone)
        clock = local_clock(at, profile.site.zone, profile.site.region)
        return f"{local:%a} {local.day} {local:%b}, {clock}"

    found = [*_of_reach(reach), *causes_of(pulse, readings, said)]
    return sorted(found, key=lambda one: one.kind not in _ORDER)


def _of_reach(reach: Reach) -> Iterator[Cause]:
    if not reach.working:
        why = "; ".join(f"{way.said}: {way.broken}" for way in reach.ways)
        yield Cause(
            kind="nobody",
            what=f"No reminders: nobody can be told ({why})." if why else _NOBODY,
            remedy=(
                "Give somebody a push topic or a mail address in the profile, and a mail server "
                "for mail. Until then watch the door yourself."
            ),
        )
        return
    if reach.nothing_gets_through:
        why = "; ".join(f"{way.said}: {way.failed}" for way in reach.working)
        yield Cause(
            kind="not-getting-through",
            what=f"The last messages did not get through ({why}).",
            remedy=(
                "Look at the network of Duskfold's machine. Until a message arrives watch the door "
                "yourself."
            ),
        )
    for name in reach.cut_off:
        why = "; ".join(f"{way.channel}: {way.broken}" for way in reach.ways if way.name == name)
        yield Cause(
            kind="cut-off",
            what=f"{name} cannot be told ({why}).",
            remedy="Put the address right in the profile, then send a test.",
        )


_NOBODY = "No reminders: nobody can be told."
