"""Everything that is wrong with the reminders, in one list, for every outlet."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from scheduler.machine.clock import Readings
from scheduler.messages.ways_out import give_it
from scheduler.profile.values import Profile
from scheduler.profile.words import day_words, local_clock
from scheduler.service.health.causes import WATCH_YOURSELF, WHAT_IS_MISSING, Cause, causes_of
from scheduler.service.health.tick_file import Pulse
from scheduler.service.reachable import Reach, WayTo

_ORDER = ("not-running", "nobody")  # what is missing altogether comes first
_PUT_RIGHT = (
    "Correct the address in the profile, or what Duskfold signs in with there, then send a test."
)
_GIVE_A_WAY = (
    "Give somebody a push topic or a mail address in the profile. Mail also needs a mail server."
)


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
        return f"{day_words(local.date())}, {clock}"

    reach = reach.lacking(pulse.lacks if pulse else ())
    found = [*_of_reach(reach), *causes_of(pulse, readings, said)]
    return sorted(found, key=lambda one: (not one.counts, one.kind not in _ORDER))


def _of_reach(reach: Reach) -> Iterator[Cause]:
    if not reach.working:
        yield _nobody(reach)
        return
    if reach.nothing_gets_through:
        why = "; ".join(f"{way.said}: {way.failed}" for way in reach.working)
        yield Cause(
            kind="not-getting-through",
            what=f"The last messages did not get through ({why}).",
            remedy=(
                "Check the network of Duskfold's machine. Until a message arrives, watch the door "
                "yourself."
            ),
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
            what=f"There is no way to tell {name}.",
            remedy="Give them a push topic or a mail address in the profile.",
        )
    here = {way.person_id: way.name for way in reach.ways}
    if len(here) == 1:
        (name,) = here.values()
        yield Cause(
            kind="only-one",
            what=f"Only {name} can be told. If {name} does not answer, nobody else is called.",
            remedy="Give somebody else a push topic or a mail address in the profile.",
        )


def _nobody(reach: Reach) -> Cause:
    why = "; ".join(f"{way.said}: {way.broken}" for way in reach.ways)
    to_mend, missing = _to_mend(reach.ways) if why else (_GIVE_A_WAY, "")
    return Cause(
        kind="nobody",
        what=f"No reminders go out, because nobody can be told{f' ({why})' if why else ''}.",
        remedy=f"{to_mend} {WATCH_YOURSELF}",
        command=missing,
    )


def _cut_off(ways: list[WayTo], reach: Reach) -> Iterator[Cause]:
    """Somebody whom nothing reaches while others can be told: they would not hear of their door."""
    name = ways[0].name
    why = "; ".join(f"{way.channel}: {way.failed}" for way in ways)
    if all(way.broken for way in ways):
        remedy, command = _to_mend(ways)
        what = f"{name} cannot be told ({why})."
        yield Cause(kind="cut-off", what=what, remedy=remedy, command=command)
    elif not reach.nothing_gets_through:
        yield Cause(
            kind="not-reached",
            what=f"The last messages to {name} did not get through ({why}).",
            remedy=(
                "The next message, or a test, will show whether it works again. Until one arrives, "
                "somebody else should see to the door."
            ),
        )


def _of_way(way: WayTo) -> Cause:
    """One way that fails while the same person is told over another."""
    if way.broken:
        remedy, command = _to_mend([way])
        what = f"Nothing reaches {way.said}: {way.broken}."
        return Cause(kind="way-broken", what=what, remedy=remedy, command=command)
    return Cause(
        kind="way-failed",
        what=f"The last message to {way.said} did not get through: {way.failed}.",
        remedy="The next message, or a test, will show whether it works again.",
    )


def _to_mend(ways: Sequence[WayTo]) -> tuple[str, str]:
    """What would mend these broken ways, and what a terminal adds."""
    lacks = [way.lacks for way in ways if way.lacks]
    missing = WHAT_IS_MISSING if lacks else ""
    if len(lacks) < len(ways):
        return _PUT_RIGHT, missing
    return f"{give_it(in_file=all(lack.in_file for lack in lacks))}.", missing
