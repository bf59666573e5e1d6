"""When free-range time is told of, to whoever wants it."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from functools import partial

from sqlalchemy import Connection

from scheduler.alerts.crew import Contact
from scheduler.alerts.delivery import Message
from scheduler.alerts.step import Step
from scheduler.alerts.words import by_day
from scheduler.cares.closing import Closing
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.free_range import FreeRange
from scheduler.profile.words import local_clock
from scheduler.service.almanac import Almanac
from scheduler.watch.site_note import Note


def free_ranges(
    almanac: Almanac, day: date, said: Sequence[Closing], crew: Sequence[Contact]
) -> Iterator[Note]:
    """The free-range time of each house with birds, until they are called in."""
    wanting = {person.id for person in almanac.profile.person if person.range_reminder}
    people = tuple(contact.person_id for contact in crew if contact.person_id in wanting)
    if not people:
        return
    empty = almanac.emptied(day, said)
    for coop in almanac.coops(day):
        spell = coop.free_range
        if isinstance(spell, FreeRange) and coop.coop_id not in empty:
            yield Note(
                step=Step("range", about=coop.coop_id),
                at=spell.start,
                useful_until=spell.call_in,
                people=people,
                words=partial(_words, almanac, coop, spell.call_in),
            )


def _words(
    almanac: Almanac, coop: CoopDay, call_in: datetime, _: Connection, __: datetime
) -> Message:
    profile = almanac.profile
    zone, region = profile.site.zone, profile.site.region
    return by_day.free_range(
        [profile.coop_of(coop.coop_id).name],
        local_clock(call_in, zone, region),
        local_clock(coop.lock_up.instant, zone, region, coop.day),
    )
