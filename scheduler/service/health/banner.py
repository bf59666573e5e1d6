"""Everything that is wrong with the reminders, in one list, for every outlet."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from scheduler.machine.clock import Readings
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.health.causes import Cause, causes_of
from scheduler.service.health.tick_file import Pulse
from scheduler.service.reachable import Reach, WayTo
from scheduler.wording.channels.ways import channel_words
from scheduler.wording.service.faults import NotInForce, NotReached, ToMend
from scheduler.wording.service.health import AtTime
from scheduler.wording.service.phones import PhonesHeard
from scheduler.wording.spoken import one_by_one, short_day

_ORDER = ("not-running", "nobody")  # what is missing altogether comes first


def banner(
    pulse: Pulse | None, profile: Profile, reach: Reach, readings: Readings
) -> tuple[Cause, ...]:
    """Why the reminders cannot be relied on now, by the last tick; empty when they can."""
    found = everything(pulse, profile, reach, readings)
    return tuple(one for one in found if one.counts)


def everything(
    pulse: Pulse | None, profile: Profile, reach: Reach, readings: Readings
) -> list[Cause]:
    """What the last tick and the last messages show to be wrong, the worst first, notes last."""

    def said(at: datetime) -> str:
        local = at.astimezone(profile.site.zone)
        clock = local_clock(at, profile.site.zone, profile.site.region)
        return AtTime.day_and_time(day=short_day(local.date()), time=clock)

    reach = reach.lacking(pulse.lacks if pulse else ())
    found = [*_of_reach(reach), *causes_of(pulse, readings, said)]
    return sorted(found, key=lambda one: (not one.counts, one.kind not in _ORDER))


def _of_reach(reach: Reach) -> Iterator[Cause]:
    if not reach.working:
        yield _nobody(reach)
        return
    if reach.nothing_gets_through:
        why = _each((way.said, way.failed) for way in reach.working)
        yield Cause(
            kind="not-getting-through",
            what=NotReached.nothing(why=why),
            remedy=NotReached.nothing_remedy(),
        )
    for person_id in dict.fromkeys(way.person_id for way in reach.ways):
        ways = [way for way in reach.ways if way.person_id == person_id]
        if all(way.failed for way in ways):
            yield from _cut_off(ways, reach)
        else:
            yield from (_of_way(way) for way in ways if way.failed)
    for name in reach.without:
        yield Cause(
            kind="no-way",
            what=NotReached.without(name=name),
            remedy=NotReached.without_remedy(),
        )
    here = {way.person_id: way.name for way in reach.ways}
    if len(here) == 1:
        (name,) = here.values()
        yield Cause(
            kind="only-one",
            what=NotReached.only_one(name=name),
            remedy=NotReached.only_one_remedy(),
        )


def _nobody(reach: Reach) -> Cause:
    what, to_mend, missing = NotReached.no_way(), ToMend.give_way(), ""
    if reach.ways:
        what = NotReached.nobody(why=_each((way.said, way.broken) for way in reach.ways))
        to_mend, missing = _to_mend(reach.ways)
    remedy = f"{to_mend} {ToMend.watch_yourself()}"
    return Cause(kind="nobody", what=what, remedy=remedy, command=missing)


def _each(ways: Iterable[tuple[str, str]]) -> str:
    """Each way with why nothing got through by it."""
    return one_by_one([NotReached.way_and_why(way=way, why=why) for way, why in ways])


def _cut_off(ways: list[WayTo], reach: Reach) -> Iterator[Cause]:
    """Somebody whom nothing reaches while others can be told: they would not hear of their door."""
    name = ways[0].name
    why = _each((channel_words(way.channel), way.failed) for way in ways)
    if all(way.broken for way in ways):
        remedy, command = _to_mend(ways)
        what = NotReached.cut_off(name=name, why=why)
        yield Cause(kind="cut-off", what=what, remedy=remedy, command=command)
    elif not reach.nothing_gets_through:
        yield Cause(
            kind="not-reached",
            what=NotReached.last_failed(name=name, why=why),
            remedy=NotReached.last_failed_remedy(),
        )


def _of_way(way: WayTo) -> Cause:
    """One way that fails while the same person is told over another."""
    if way.broken:
        remedy, command = _to_mend([way])
        what = NotReached.way_broken(way=way.said, why=way.broken)
        return Cause(kind="way-broken", what=what, remedy=remedy, command=command)
    return Cause(
        kind="way-failed",
        what=NotReached.way_failed(way=way.said, why=way.failed),
        remedy=NotReached.way_failed_remedy(),
    )


def _to_mend(ways: Sequence[WayTo]) -> tuple[str, str]:
    """What would mend these broken ways, and what a terminal adds."""
    if all(way.channel == "phone" for way in ways):
        return PhonesHeard.open_it(), ""
    lacks = [way.lacks for way in ways if way.lacks]
    missing = NotInForce.missing_command() if lacks else ""
    if len(lacks) < len(ways):
        return ToMend.put_right(), missing
    in_file = all(lack.in_file for lack in lacks)
    return (ToMend.see_file if in_file else ToMend.give_secret)(), missing
