"""Whether a change of the profile would take away the last way to reach anybody."""

from collections.abc import Callable, Mapping

from scheduler.journal.history import LastTry
from scheduler.profile.values import Profile
from scheduler.service.reachable import (
    Lack,
    cut_off_by,
    reaches_anybody,
    ways_of,
    who_can_be_told,
)
from scheduler.wording.service.changing import NotKept
from scheduler.wording.spoken import one_by_one
from scheduler.wording.told_later import told

LacksOf = Callable[[Profile], tuple[Lack, ...]]
Tries = Mapping[tuple[str, str, str], LastTry]


def what_it_would_end(before: Profile, after: Profile, lacks_of: LacksOf, tries: Tries) -> str:
    """What the change would end, and what to do first, in a sentence or two; empty: nothing."""
    lacks_before, lacks_after = lacks_of(before), lacks_of(after)
    if reaches_anybody(before, lacks_before) and not reaches_anybody(after, lacks_after):
        return NotKept.last_way()
    if cut_off := cut_off_by((before, lacks_before), (after, lacks_after)):
        return NotKept.lacks(why=told(cut_off[0].why))
    proven = _proven(before, lacks_before, tries)
    if proven and not _proven(after, lacks_after, tries):
        return NotKept.last_proven(ways=one_by_one(proven))
    return ""


def _proven(profile: Profile, lacks: tuple[Lack, ...], tries: Tries) -> list[str]:
    """The ways over which the last message went out, to the address that stands there now.

    And the phones that are known to ring.

    Of a sitter none counts: the days of a sitter end.
    """
    addresses: dict[tuple[str, str], str | None] = {
        (person.id, channel): address
        for person in profile.person
        if person.role != "sitter"
        for channel, address in (
            ("push", person.push),
            ("service", person.service),
            ("mail", person.mail),
        )
    }
    ring = {
        one.id for one in profile.phones if one.is_proven and (one.person_id, "mail") in addresses
    }
    return [
        way.said
        for way in who_can_be_told(profile, ways_of(profile), tries, None).lacking(lacks).working
        if way.place in ring
        or (
            (last := tries.get((way.person_id, way.channel, "")))
            and last.outcome == "sent"
            and last.address is not None
            and last.address == addresses.get((way.person_id, way.channel))
        )
    ]
