"""Somebody says that they look for the missing birds as well, or takes that back.

It changes no door and no reminder, and is not counted among what was said of the door: no button
of a page comes too late by it.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from sqlalchemy import Connection

from scheduler.cares.diary.entry import Entry
from scheduler.cares.diary.of_searches import lookers_of
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.cares.looking import Looker, search_since, who_looks
from scheduler.journal import closings, entries
from scheduler.journal.store import Journal
from scheduler.service import diary
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Judged, Refused, Speaker
from scheduler.service.evenings_around import nights_of, planned_of

_CLOCKS_APART = timedelta(minutes=5)  # of a phone and this machine

# "already": it stands so; "overtaken": nobody looks for birds there any more.
Looks = Literal["kept", "already", "overtaken"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """The house and the evening whose missing birds are looked for."""

    coop_id: str
    evening: date


def say_looking(
    journal: Journal,
    almanac: Almanac,
    search: Search,
    by: Speaker,
    at: datetime | None = None,
) -> Looks | Refused:
    """Keeps that whoever speaks looks for the birds, since `at` or now; once for each search."""

    def judge(connection: Connection) -> Judged[Looks]:
        said = closings.closings(connection, almanac.site_id, search.evening)
        around = nights_of(almanac, connection, search.evening, said, by.now)
        night = next((one for one in around if search.coop_id in one.states), None)
        if night is None or by.now >= night.evening.let_out:
            return Judged(answer="overtaken")
        birds = planned_of(night, search.coop_id).profile_birds
        since = search_since(said, search.coop_id, search.evening, birds)
        # A press that was kept on the phone may be of a search that is over.
        if since is None or (at and at < since - _CLOCKS_APART):
            return Judged(answer="overtaken")
        known = lookers_of(_said(connection, almanac, search))
        looking = who_looks(known, said, search.coop_id, search.evening, birds)
        if any(_is_of(one, by) for one in looking):
            return Judged(answer="already")
        # Nobody looks before it is known: the clock of the phone that said so may be ahead.
        new = by.entry(LookingToo(), search.coop_id, search.evening, max(at or by.now, since))
        return Judged(answer="kept", said=[new])

    return diary.say(journal, almanac.site_id, by, "search", search.evening, judge)


def take_looking_back(
    journal: Journal, almanac: Almanac, search: Search, by: Speaker
) -> Looks | Refused:
    """Takes back that whoever speaks looks for the birds of that evening."""

    def judge(connection: Connection) -> Judged[Looks]:
        known = lookers_of(_said(connection, almanac, search))
        mine = [one.number for one in known if one.coop_id == search.coop_id and _is_of(one, by)]
        return Judged(answer="kept" if mine else "already", back=mine)

    return diary.say(journal, almanac.site_id, by, "search", search.evening, judge)


def _said(connection: Connection, almanac: Almanac, search: Search) -> list[Entry]:
    said = entries.of_family(connection, almanac.site_id, "search", search.evening)
    return [one for one in said if one.day == search.evening]


def _is_of(one: Looker, by: Speaker) -> bool:
    return one.whose == (by.person_id or by.who)
