"""The morning brief: when it comes, what it says, and what waits for the next one."""

import json
from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, timedelta
from functools import partial

from sqlalchemy import Connection

from scheduler.alerts.crew import duty_ids
from scheduler.alerts.delivery import Matter
from scheduler.alerts.step import Step
from scheduler.cares import reasons
from scheduler.cares.birds_today import bird_lines
from scheduler.cares.closing import Closing, is_count_due
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Round
from scheduler.cares.door_state import Door
from scheduler.cares.free_range import FreeRange
from scheduler.cares.records import Records
from scheduler.cares.rounds import each_once
from scheduler.journal import history, memos
from scheduler.light.sun import HalfDay
from scheduler.light.wall import first_in
from scheduler.messages import missing, profile_changed, ways_out
from scheduler.messages.brief import Brief, after_a_restart, brief
from scheduler.messages.site_news import news
from scheduler.profile.words import capitalized
from scheduler.service.almanac import Almanac
from scheduler.service.health.phones_heard import of_phones
from scheduler.watch import backup_offers, unheard_answers, weather_in_brief
from scheduler.watch.site_note import Note
from scheduler.wording.cares.plan_changes import Rounds
from scheduler.wording.messages.reminders import OfEvening
from scheduler.wording.spoken import day_and_month, one_by_one
from scheduler.wording.watch.morning import BriefLines, BriefWorries
from scheduler.wording.words import every

RESTARTED, STEPPED = "restarted", "clock-stepped"
LEFT = "left"  # ids and names of whom the next brief tells that they are told no more
_DAY = timedelta(days=1)
_USEFUL = timedelta(hours=1)
_WALKS = every(Rounds)


def briefs(
    almanac: Almanac, day: date, said: Sequence[Closing] = (), doubt_of: Callable[[], str] = str
) -> Iterator[Note]:
    """That date's brief, where anybody wants one.

    `doubt_of` is asked when it is told: why the reminders cannot be relied on, or nothing.
    """
    profile, crew = almanac.profile, almanac.crew(day)
    if profile.reminders.brief is None:
        return
    on_duty = duty_ids(crew, day)
    wanting = {
        person.id
        for person in profile.person
        if person.brief or (person.brief is None and person.id in on_duty)
    }
    people = tuple(contact.person_id for contact in crew if contact.person_id in wanting)
    noon = almanac.noon(day)
    since_noon = HalfDay(almanac.noon_before(day), noon)
    at = first_in(since_noon, profile.reminders.brief, profile.on(day).site.zone)
    if at and people:
        yield Note(
            step=Step("brief"),
            at=at,
            useful_until=max(noon, at + _USEFUL),
            people=people,
            tells=partial(_told, almanac, said, day, doubt_of),
        )


def told(
    connection: Connection, almanac: Almanac, day: date, now: datetime, *, to_duty: bool
) -> None:
    """Forgets what waited for a brief that has told it."""
    site_id = almanac.site_id
    weather_in_brief.told(almanac, connection, day, now)
    for waiting in (RESTARTED, STEPPED, LEFT):
        memos.forget(connection, site_id, waiting)
    if to_duty:
        memos.forget(connection, site_id, unheard_answers.HELD)


def has_brief(almanac: Almanac, now: datetime) -> bool:
    """Whether anybody reads a brief tomorrow."""
    return any(briefs(almanac, almanac.household.today(now) + _DAY))


def _told(  # noqa: PLR0913, PLR0917 - the day in parts
    almanac: Almanac,
    said: Sequence[Closing],
    day: date,
    doubt_of: Callable[[], str],
    connection: Connection,
    now: datetime,
) -> Matter:
    doubt = filter(None, [doubt_of()])
    worries = (*doubt, *_worries(almanac, connection, said, day, now))
    return news(brief, _brief(almanac, said, day, worries))


def _brief(almanac: Almanac, said: Sequence[Closing], day: date, worries: tuple[str, ...]) -> Brief:
    planned = almanac.plan_of(day, almanac.emptied(day, said))
    shut = [coop.lock_up.instant for coop in planned.coops if coop.coop_id not in planned.empty]
    return Brief(
        site_name=almanac.profile.site.name,
        lock_up=almanac.clock(min(shut), day) if shut else "",
        jobs=sum(len(walk.lines) for walk in planned.rounds),
        minutes=sum(walk.minutes for walk in planned.rounds),
        worries=worries,
        urgent=tuple(
            BriefLines.walk(walk=_name(walk), minutes=line.minutes, jobs=line.text)
            for walk in planned.rounds
            for line in walk.lines
            if line.urgent
        ),
        tonight=tuple(_house(almanac, coop, said) for coop in planned.coops),
        walks=tuple(filter(None, map(_walk, planned.rounds))),
        seasons=tuple(text for text, _ in each_once(almanac.profile, planned.seasons)),
        link=almanac.page("/"),
    )


def _house(almanac: Almanac, coop: CoopDay, said: Sequence[Closing]) -> str:
    """When one house is opened and shut, and why its birds stay in where they do."""
    profile, state = almanac.profile, almanac.house(coop.coop_id, coop.day, said)
    if why := reasons.why_no_birds(profile, coop.coop_id, coop.day, state):
        return BriefLines.no_birds(house=profile.coop_of(coop.coop_id).name, why=why)
    instants = coop.lock_up.instant, coop.lock_up.latest
    lock_up, shut_by = (almanac.clock(at, coop.day) for at in instants)
    house = profile.coop_of(coop.coop_id).name
    if coop.kept_in or coop.coop_id in almanac.emptied(coop.day - _DAY, said):
        times = BriefLines.stays_in(house=house, lock_up=lock_up, shut_by=shut_by)
    else:
        out = reasons.let_out_time(profile, coop)
        times = BriefLines.let_out(house=house, let_out=out, lock_up=lock_up, shut_by=shut_by)
    inside = "" if isinstance(coop.free_range, FreeRange) else reasons.why_range(profile, coop)
    return f"{times} {inside}".rstrip()


def _walk(walk: Round) -> str:
    """The jobs of one walk that are not urgent, on one line; empty where there are none."""
    lines = [line for line in walk.lines if not line.urgent]
    if not lines:
        return ""
    jobs = one_by_one([line.jobs or line.text for line in lines])
    # The last title may be a question, as the catalogue or the keeper has it.
    says = BriefLines.walk_asks if jobs.endswith("?") else BriefLines.walk
    return says(walk=_name(walk), minutes=sum(line.minutes for line in lines), jobs=jobs)


def _name(walk: Round) -> str:
    return capitalized(_WALKS[walk.name]())


def _worries(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], day: date, now: datetime
) -> Iterator[str]:
    last_night = day - _DAY
    yield from (line.sentence for line in bird_lines(almanac.profile, almanac.records, day))
    for coop in almanac.profile.coop:
        tonight = almanac.house(coop.id, day, said)
        if tonight.missing_before:
            since = missing.missing_since(tonight)
            yield BriefWorries.missing(house=coop.name, missing=since)
        elif tonight.unsure:
            yield BriefWorries.uncounted(house=coop.name)
        state = almanac.house(coop.id, last_night, said)
        if history.was_called(connection, almanac.site_id, last_night) and state.waits:
            yield BriefWorries.unconfirmed(house=coop.name)
        if state.over:
            yield _which_number(coop.name, state)
        if is_count_due(said, coop.id, day, tonight.expected):
            yield OfEvening.full_count(houses=coop.name)
    yield from _unheard(almanac, connection, now)
    yield from _changed(almanac, connection)
    yield from backup_offers.lines(almanac, connection, day)
    for report in almanac.records.of("order", day):
        if report.is_asked_about(day):
            yield BriefWorries.order_asked(day=day_and_month(report.spell.first))
    yield from _order_ends(almanac.records, day)
    yield from weather_in_brief.lines(almanac, connection, day, now)


def _which_number(house: str, state: Door) -> str:
    """More were counted than belong there."""
    counted, expected = state.counted, state.expected
    if dead := missing.said_dead(state):
        says = BriefWorries.which_after_dead
        return says(house=house, counted=counted, expected=expected, dead=dead)
    return BriefWorries.which_number(house=house, counted=counted, expected=expected)


def _order_ends(records: Records, day: date) -> Iterator[str]:
    """That the last housing order ends today, or ended yesterday: who prolongs it has to say so."""
    before, now, after = (records.of("order", each) for each in (day - _DAY, day, day + _DAY))
    if now and not after:
        yield BriefWorries.order_ends()
    if before and not now:
        yield BriefWorries.order_ended()


def _changed(almanac: Almanac, connection: Connection) -> Iterator[str]:
    """What has changed since the last brief: of the machine, and who is told."""
    site_id, here = almanac.site_id, {one.person_id for one in almanac.everybody}
    left = json.loads(memos.recall(connection, site_id, LEFT) or "[]")
    if names := [name for person_id, name in left if person_id not in here]:
        yield profile_changed.left_line(names)
    if memos.recall(connection, site_id, RESTARTED):
        yield after_a_restart(almanac.profile)
    if memos.recall(connection, site_id, STEPPED):
        yield BriefWorries.clock_set()


def _unheard(almanac: Almanac, connection: Connection, now: datetime) -> Iterator[str]:
    """What did not reach people, and what of theirs does not reach us."""
    names = almanac.profile.person_names
    for one in history.failures(connection, almanac.site_id, now - _DAY):
        name = names.get(one.person_id, one.person_id)
        yield ways_out.undelivered(name, one.channel, one.count)
    if line := unheard_answers.deaf_line(almanac, connection):
        yield line
    yield from (one.what for one in of_phones(connection, almanac.profile, now))
