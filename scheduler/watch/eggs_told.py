"""Everybody hears by day, once, which eggs are not to be eaten, and of each change of it."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, field
from datetime import date, datetime

from sqlalchemy import Connection

from scheduler.alerts.crew import duty
from scheduler.alerts.delivery import Delivery, Matter
from scheduler.alerts.step import step_at
from scheduler.cares.bird_line import said_of_house
from scheduler.cares.diary.of_reports import Change
from scheduler.cares.egg_lines import egg_lines
from scheduler.cares.records import Report
from scheduler.cares.withheld_eggs import asked_about, withheld
from scheduler.journal import memos, reports
from scheduler.messages import by_day
from scheduler.messages.site_news import news
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized
from scheduler.service.almanac import Almanac
from scheduler.watch.quiet_hours import night_ends
from scheduler.watch.site_note import told_to
from scheduler.wording.watch.morning import EggsTold

_TOLD = "eggs-told"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """What holds of a house's eggs; `free` is the first day on which they may be eaten again.

    `of_signs`: for signs to be reported, and not after a medicine. Another `why` is no news: the
    day after the last dose only says that the days of the label run now. `about` is what the title
    says, in no language; empty where an older program kept it.
    """

    title: str = field(compare=False)
    why: str = field(compare=False)
    free: str  # empty where nobody knows
    of_signs: bool = False
    about: str = ""


def follow(almanac: Almanac, connection: Connection, now: datetime) -> Iterator[Delivery]:
    """What is to be told of eggs since this was asked last; nothing between 22:00 and 07:00.

    That a label's days are over is no news: everybody was told the date. Whoever reported it knows,
    and whoever is on duty is rung for signs that have to be reported.
    """
    site_id, day = almanac.site_id, almanac.household.today(now)
    known = memos.recall(connection, site_id, _TOLD)
    if (known is None and not almanac.records.reports) or night_ends(almanac, now):
        return
    told = {house_id: _Rule(**rule) for house_id, rule in json.loads(known or "{}").items()}
    holds = almanac.kept(("eggs", day), lambda: dict(_holding(almanac, day)))
    if told == holds:
        return
    memos.note(connection, site_id, _TOLD, json.dumps({id_: asdict(holds[id_]) for id_ in holds}))
    for house_id in {**told, **holds}:
        before, after = told.get(house_id), holds.get(house_id)
        if not _is_as_told(before, after) and (
            message := _message(almanac, house_id, before, after, day)
        ):
            step = step_at("eggs", now, house_id)
            people = _who_does_not_know(almanac, connection, house_id, day, before, after)
            yield from told_to(almanac, step, day, message, now, people)


def _is_as_told(before: _Rule | None, after: _Rule | None) -> bool:
    if before and after and not before.about:
        return (before.title, before.of_signs) == (after.title, after.of_signs)
    return before == after


def _holding(almanac: Almanac, day: date) -> Iterator[tuple[str, _Rule]]:
    """What holds of each house whose eggs are not to be eaten."""
    profile, records = almanac.profile, almanac.records
    found = set()
    for line in egg_lines(profile, records, day):
        if eggs := withheld(records, line.house_id, day):
            found.add(line.house_id)
            free = eggs.free_from.isoformat() if eggs.free_from else ""
            about = json.dumps(
                [_shown(profile, line.house_id), free, *([] if free else eggs.labels)]
            )
            yield line.house_id, _Rule(title=line.title, why=line.text, free=free, about=about)
    for coop in profile.coop:
        if coop.id not in found and (asked := asked_about(records, coop.id, day)):
            none = EggsTold.none(until=asked.until_words)
            title = capitalized(said_of_house(profile, coop.id, none))
            about = json.dumps([_shown(profile, coop.id)])
            yield coop.id, _Rule(title=title, why=asked.why, free="", of_signs=True, about=about)


def _shown(profile: Profile, house_id: str) -> str:
    """The name by which a title tells the house from others; empty where there are none."""
    names = profile.house_names
    return "" if list(names) == [house_id] else names.get(house_id, house_id)


def _message(
    almanac: Almanac, house_id: str, before: _Rule | None, after: _Rule | None, day: date
) -> Matter | None:
    if after:
        return news(by_day.eggs, after.title, after.why, almanac.page("/birds"))
    if before is None or (before.free and date.fromisoformat(before.free) <= day):
        return None
    title = said_of_house(almanac.profile, house_id, EggsTold.free())
    was = EggsTold.was(title=before.title)
    return news(by_day.eggs, capitalized(title), was, almanac.page("/birds"))


def _who_does_not_know(  # noqa: PLR0913, PLR0917 - of which house, and what of it changed
    almanac: Almanac,
    connection: Connection,
    house_id: str,
    day: date,
    before: _Rule | None,
    after: _Rule | None,
) -> tuple[str, ...]:
    """Everybody but the one who said last what holds of that house, where that is one by name.

    Nor whoever is on duty where it is signs to be reported, or was: they are told of those.
    """
    crew = almanac.crew(day)
    written, changes = reports.every(connection, almanac.site_id)
    said = {
        _said_last(one.report, (each for each in changes if each.number == one.number))
        for one in written
        if one.undone_at is None
        and one.report.kind in {"medicine", "illness"}
        and one.report.house_id == house_id
    }
    names = [one.name for one in crew]
    knows = {name for name in said if names.count(name) == 1} if len(said) == 1 else set()
    first = duty(crew, day).first
    if first and all(one is None or one.of_signs for one in (before, after)):
        knows.add(first.name)
    return tuple(one.person_id for one in crew if one.name not in knows)


def _said_last(report: Report, changes: Iterable[Change]) -> str:
    """Who said the last word of it: made it, changed it, or took a change back."""
    at, who = report.made_at, report.said_by
    for one in changes:
        for then, by in ((one.at, one.who), (one.undone_at, one.undone_by)):
            if then and (at is None or then >= at):
                at, who = then, by
    return who
