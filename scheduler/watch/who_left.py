"""Who can be told no more since the profile was changed: those who remain hear it once, quietly.

Where it was somebody who is called first or second, who is called tonight has changed: everybody
who remains is told at once. Of others nobody needs to know before the next brief. Where nobody has
left and another stands first, those two are told; where days of the week have people of their own,
everybody whose days have changed. Where somebody comes back to an evening that has begun and has it
again, everybody is told.
"""

import json
import logging
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime

from sqlalchemy import Connection

from scheduler.alerts.crew import Contact, crew_of, duty
from scheduler.alerts.delivery import Delivery
from scheduler.alerts.reminded_evening import Evening, among
from scheduler.alerts.step import step_at
from scheduler.cares.closing import Closing
from scheduler.journal import done, memos
from scheduler.messages import profile_changed
from scheduler.messages.site_news import news
from scheduler.service.almanac import Almanac
from scheduler.service.jobs.kept_ticks import that_count
from scheduler.service.reachable import ways_of
from scheduler.service.reports.emergencies import urgent_today
from scheduler.watch.morning_brief import LEFT, has_brief
from scheduler.watch.site_note import told_to, told_to_all
from scheduler.watch.unheard_answers import deaf_line
from scheduler.watch.whose_days import Turn, by_person, called, turns, usual_before
from scheduler.wording.spoken import one_by_one
from scheduler.wording.watch.morning import BriefWorries

_TOLD = "who-is-told"  # the crew by the profile in force, in its order
_log = logging.getLogger(__name__)


def follow(
    almanac: Almanac,
    connection: Connection,
    now: datetime,
    *,
    begun: Sequence[Evening],
    said: Sequence[Closing] = (),
) -> Iterator[Delivery]:
    """What to tell of who has left since this was asked last, by this profile or an earlier run.

    With what whoever had the evenings was told that still holds: what is urgent today, buttons that
    do not work. `begun`: the evenings of today that are under way; they go on without whoever is
    new.
    """
    for one in _told_of(almanac, connection, now, begun):
        holds = filter(
            None, (deaf_line(almanac, connection), _urgent(almanac, connection, said, now))
        )
        yield replace(one, matter=replace(one.matter, behind=tuple(holds)))


def _urgent(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], now: datetime
) -> str:
    """What whoever comes on duty later than an emergency is told is to know as well."""
    day = almanac.household.today(now)
    marks = done.since(connection, almanac.site_id, day)
    try:
        ticks = that_count(almanac, connection, said, marks, now)
        urgent = urgent_today(almanac, day, said, ticks)
    except Exception:  # noqa: BLE001 - a day that cannot be planned must not hide who has left
        _log.exception("urgent.not_planned")
        urgent = []
    return BriefWorries.urgent(jobs=one_by_one(urgent)) if urgent else ""


def _told_of(
    almanac: Almanac, connection: Connection, now: datetime, begun: Sequence[Evening]
) -> Iterator[Delivery]:
    site_id, profile, today = almanac.site_id, almanac.profile, almanac.household.today(now)
    crew = almanac.crew(today)
    # Who is not reached because a secret is missing has not left, nor has a sitter on other days.
    here = [[one.person_id, one.name] for one in crew_of(profile, ways_of(profile), None)]
    before: list[list[str]] = json.loads(memos.recall(connection, site_id, _TOLD) or "[]")
    if before != here:
        memos.note(connection, site_id, _TOLD, json.dumps(here))
    usual = usual_before(almanac, connection)
    week = turns(almanac, before, usual, today) if usual or profile.duty.by_weekday else ()
    known = {part for one in here for part in one}  # who has only another id has not left
    left = [one for one in before if known.isdisjoint(one)]
    away = {one.id for one in profile.person if not one.is_there(today)}
    before = [one for one in before if one[0] not in away]
    if not crew:
        return
    if not left:
        ids = {person_id for person_id, _ in before}
        there = [one for one in crew if one.person_id in ids]
        if week:
            yield from _days_moved(almanac, week, there, now, begun)
        else:
            yield from _moved(almanac, before, there, now, begun)
        yield from _back(almanac, there, now, begun)
        return
    had_tonight = _had_tonight(before, begun)
    whose = duty(called(before, usual, today), today)
    had_evenings = left[0] in (whose.first, whose.second) or had_tonight in left
    had_evenings |= any(one.had in left for one in week)
    if had_evenings or not has_brief(almanac, now):
        if week:
            names = [name for _, name in left]
            has, then = _whose_is_tonight(crew, today, begun)
            matter = news(profile_changed.left_days, names, has, then, by_person(week))
            yield from told_to_all(almanac, step_at("left", now), today, matter, now)
            return
        first, then = _who_has_the_evenings(crew, today)
        had_them = whose.first not in left and had_tonight not in left
        matter = news(
            profile_changed.left,
            [name for _, name in left],
            first,
            then,
            had_them=had_them,
            tonight=_who_has_tonight(begun[0], crew) if begun else None,
        )
        yield from told_to_all(almanac, step_at("left", now), today, matter, now)
        return
    waiting = json.loads(memos.recall(connection, site_id, LEFT) or "[]")
    memos.note(connection, site_id, LEFT, json.dumps([*waiting, *left]))


def _moved(
    almanac: Almanac,
    before: Sequence[Sequence[str]],
    there: Sequence[Contact],
    now: datetime,
    begun: Sequence[Evening],
) -> Iterator[Delivery]:
    """Tells whoever had the evenings, and who has them now, where another stands first."""
    today = almanac.household.today(now)
    crew = almanac.crew(today)
    was_first, has = duty(before, today).first, duty(crew, today).first
    had = next((one for one in crew if was_first and one.person_id == was_first[0]), None)
    if had is None or has is None or had == has:
        return
    first, then = _who_has_the_evenings(crew, today)
    tonight = had.name, first
    if begun:
        was, now_has = (_who_has_tonight(begun[0], who)[0] for who in (there, crew))
        tonight = was, now_has
    matter = news(profile_changed.duty_moved, had.name, first, then, tonight)
    people = {had.person_id, has.person_id}
    if has not in there:
        people = {one.person_id for one in crew}  # whoever is called after them hears it, too
    yield from told_to(almanac, step_at("moved", now), today, matter, now, tuple(people))


def _days_moved(
    almanac: Almanac,
    week: Sequence[Turn],
    there: Sequence[Contact],
    now: datetime,
    begun: Sequence[Evening],
) -> Iterator[Delivery]:
    """The same where days of the week have people of their own: tells all whose days changed.

    Whoever had a day and cannot be reached now has not given it away.
    """
    today = almanac.household.today(now)
    reached = {one.person_id for one in almanac.everybody}
    moved = [one for one in week if one.is_moved and one.had and one.had[0] in reached]
    if not moved:
        return
    crew = almanac.crew(today)
    has, then = _whose_is_tonight(crew, today, begun)
    matter = news(profile_changed.days_moved, has, then, by_person(week))
    people = {one.had[0] for one in moved if one.had}
    people |= {one.has.person_id for one in moved if one.has}
    if any(one.has not in there for one in moved):
        people = {one.person_id for one in crew}
    yield from told_to(almanac, step_at("moved", now), today, matter, now, tuple(people))


def _whose_is_tonight(
    crew: Sequence[Contact], day: date, begun: Sequence[Evening]
) -> tuple[str, str]:
    """Who has tonight's evening, begun or not, and who is called when they do not answer."""
    return _who_has_tonight(begun[0], crew) if begun else _who_has_the_evenings(crew, day)


def _back(
    almanac: Almanac, there: Sequence[Contact], now: datetime, begun: Sequence[Evening]
) -> Iterator[Delivery]:
    """Tells everybody where an evening that has begun goes back to somebody who had it."""
    if not begun or not there:
        return
    today = almanac.household.today(now)
    crew = almanac.crew(today)
    (had, second), (has, then) = (_who_has_tonight(begun[0], who) for who in (there, crew))
    (first, _), (was_first, _) = (_who_has_the_evenings(who, today) for who in (crew, there))
    if had != has and (has != first or had != was_first):  # else `_moved` tells
        # Tomorrow is whose weekday it is, where the days have people of their own.
        after = has if almanac.profile.duty.by_weekday else first
        matter = news(profile_changed.duty_is_back, had, has, then, after)
    elif had == has and then != second and then:
        matter = news(profile_changed.second_is_back, has, then)
    else:
        return
    yield from told_to_all(almanac, step_at("duty-back", now), today, matter, now)


def _had_tonight(before: Sequence[Sequence[str]], begun: Sequence[Evening]) -> Sequence[str] | None:
    """Who of those had the evening that has begun; None where there is none, or nobody of it."""
    own = [one.person_id for one in begun[0].crew] if begun else []
    there = {one[0]: one for one in before}
    return next((there[person_id] for person_id in own if person_id in there), None)


def _who_has_the_evenings(crew: Sequence[Contact], day: date) -> tuple[str, str]:
    """Who is on duty, and who is called when they do not answer; empty where there is nobody."""
    whose = duty(crew, day)
    names = [one.name for one in (whose.first, whose.second) if one]
    return names[0], names[1] if names[1] != names[0] else ""


def _who_has_tonight(evening: Evening, crew: Sequence[Contact]) -> tuple[str, str]:
    """The same of an evening that has begun."""
    evening = among(evening, crew)
    first = evening.on_duty
    second = [one for step in evening.steps if step.kind == "next" for one in step.people[:1]]
    then = next((one.name for one in map(evening.contact, second) if one != first), "")
    return first.name if first else "", then
