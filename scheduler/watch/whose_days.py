"""Who has the evenings of the next seven days, now and by the profile that was in force before."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import Connection

from scheduler.alerts.crew import Contact, duty, in_turn
from scheduler.journal import memos
from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.service.almanac import Almanac

Told = Sequence[str]  # id and name of somebody who could be told
_USUAL = "whose-days"  # the id of each weekday's person by the profile in force
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One of those days: who had it before, and who has it now; None for nobody."""

    day: date
    had: Told | None
    has: Contact | None

    @property
    def is_moved(self) -> bool:
        """Whether it went from one to another."""
        return bool(self.had and self.has and self.had[0] != self.has.person_id)


def usual_before(almanac: Almanac, connection: Connection) -> Mapping[str, str]:
    """Whose weekdays were whose when this was asked last; keeps how they are now."""
    site_id, usual = almanac.site_id, almanac.profile.duty.by_weekday
    before: dict[str, str] = json.loads(memos.recall(connection, site_id, _USUAL) or "{}")
    if before != usual:
        if usual:
            memos.note(connection, site_id, _USUAL, json.dumps(usual))
        else:
            memos.forget(connection, site_id, _USUAL)
    return before


def called(before: Sequence[Told], usual: Mapping[str, str], day: date) -> tuple[Told, ...]:
    """Those people in the order in which that day called them."""
    whose = usual.get(WEEKDAYS[day.weekday()])
    return in_turn(before, next((one for one in before if one[0] == whose), None))


def turns(
    almanac: Almanac, before: Sequence[Told], usual: Mapping[str, str], today: date
) -> tuple[Turn, ...]:
    """The evenings of that day and the six after it."""
    people = {one.id: one for one in almanac.profile.person}
    found = []
    for day in (today + number * _DAY for number in range(7)):
        there = [one for one in before if one[0] not in people or people[one[0]].is_there(day)]
        found.append(
            Turn(
                day=day,
                had=duty(called(there, usual, day), day).first,
                has=duty(almanac.crew(day), day).first,
            )
        )
    return tuple(found)


def by_person(those: Sequence[Turn]) -> list[tuple[str, list[date]]]:
    """Each person's name with the days that are theirs now."""
    found: dict[str, list[date]] = {}
    for one in those:
        if one.has:
            found.setdefault(one.has.name, []).append(one.day)
    return list(found.items())
