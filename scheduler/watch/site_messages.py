"""What a site tells besides its evenings: emergencies, let-out, free-range time, morning brief."""

import json
import logging
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from sqlalchemy import Connection

from scheduler.alerts.brief import Brief, after_a_restart, brief
from scheduler.alerts.delivery import Delivery, Key, Message
from scheduler.alerts.emergency import STEP
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import Contact, among, crew_of, on_duty
from scheduler.alerts.words import by_day, missing, reminders, ways_out, who_is_told
from scheduler.cares import reasons
from scheduler.cares.bird_reports import bird_lines
from scheduler.cares.closing import Closing, is_count_due
from scheduler.cares.door_fold import door
from scheduler.cares.evening import CoopDay, FreeRange
from scheduler.cares.plan import Round, each_once
from scheduler.cares.records import Records, Report
from scheduler.climate.curve import averages
from scheduler.journal import deliveries, history, memos
from scheduler.light.sun import HalfDay
from scheduler.light.wall import first_in
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.evenings_around import Almanac
from scheduler.service.reports.emergencies import Call, calls_on
from scheduler.service.reports.emergency_known import beyond_walk, news, untold
from scheduler.watch.emergency_over import endings, put_back

HOT_C = 27.0  # from here on a shut house can kill (common practice, no source)
_SHARED_WITHIN = timedelta(minutes=15)
_DAY = timedelta(days=1)
_LET_OUT_USEFUL = timedelta(hours=1)
_ABOUT_TO_WAIT = timedelta(hours=1)
_log = logging.getLogger(__name__)
_IN_THE_HEAT = "heat-in-"
RESTARTED, STEPPED, DEAF = "restarted", "clock-stepped", "deaf"
LEFT = "left"  # ids and names of whom the next brief tells that they are told no more
DEAF_HELD = "deaf-held"  # nobody is told of it before the night ends
_NIGHT, _MORNING = time(22), time(7)  # local; nobody is rung for what no door waits for


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One thing to tell at an instant; its message is made only when it is due."""

    step: str
    at: datetime
    useful_until: datetime
    people: tuple[str, ...]
    late_until: datetime | None = None  # of use so long where nobody has been told


def notes_of(
    almanac: Almanac, day: date, said: Sequence[Closing] = (), duty: Contact | None = None
) -> tuple[Note, ...]:
    """Everything the site may tell on that date, in the order of the instants.

    `duty` hears of emergencies; else whoever has the evenings.
    """
    profile = almanac.household.profile
    crew = crew_of(profile, almanac.ways)
    if not crew:
        return ()
    found = [*_let_outs(almanac, day, said, crew), *_ranges(almanac, day, said, crew)]
    found += _brief_at(almanac, day, crew)
    found += _emergencies(almanac, day, said, duty or on_duty(crew))
    return tuple(sorted(found, key=lambda note: note.at))


def due_notes(
    almanac: Almanac,
    connection: Connection,
    said: Sequence[Closing],
    now: datetime,
    doubt_of: Callable[[], str] = str,
) -> Iterator[Delivery]:
    """The notes of today that are due and still of use, and last evening's emergencies.

    `doubt_of` is asked for a brief: why the reminders cannot be relied on, or nothing.
    """
    today = almanac.household.today(now)
    crew = crew_of(almanac.household.profile, almanac.ways)
    here = {contact.person_id for contact in crew}  # what only who has left was told is told again
    site_id = almanac.household.profile.site.id
    duty = _on_duty_now(almanac, connection, crew, now)
    # What was reported just before midnight is no less urgent after it.
    late = [(today - _DAY, note) for note in _emergencies(almanac, today - _DAY, said, duty)]
    for day, note in (*late, *((today, one) for one in notes_of(almanac, today, said, duty))):
        # An emergency rings for whoever has come on duty since as well.
        whom = note.people if note.step.startswith(STEP) else here
        until = note.late_until or note.useful_until
        if not note.at <= now < until or history.is_told(connection, site_id, day, note.step, whom):
            continue
        call = _call_of(almanac, day, said, note)
        if call and not (call := _left_of(almanac, connection, said, call, day, note, now)):
            continue
        try:
            message = (
                call.message(almanac, _today(almanac.household.profile), now)
                if call
                else _message(almanac, connection, said, day, note, now, doubt_of)
            )
        except Exception:  # noqa: BLE001 - a note that cannot be made must stop no reminder
            _log.exception("note.not_made")
            continue
        yield from _to(almanac, day, note, crew, message)


def overs(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], now: datetime
) -> Iterator[Delivery]:
    """That an emergency is over, for whoever was told of it; what has not gone out is given up.

    And that it holds again, for whoever had heard of its end: whoever is on duty is rung for that.
    """
    crew = crew_of(almanac.household.profile, almanac.ways)
    duty = _on_duty_now(almanac, connection, crew, now)
    again = put_back(almanac, connection, said, now)
    rung = (replace(one, people=tuple(_others(one.people, duty))) for one in again)
    for one in (*endings(almanac, connection, said, now), *rung):
        deliveries.drop(connection, one.unsent)
        note = Note(step=one.step, at=one.at, useful_until=one.at + _DAY, people=one.people)
        yield from _to(almanac, almanac.household.today(one.at), note, crew, one.message)


def _others(people: Iterable[str], duty: Contact | None) -> Iterator[str]:
    return (one for one in people if duty is None or one != duty.person_id)


def next_note(almanac: Almanac, now: datetime, said: Sequence[Closing] = ()) -> datetime:
    """The next instant at which a note is due, today or tomorrow."""
    today = almanac.household.today(now)
    instants = [note.at for day in (today, today + _DAY) for note in notes_of(almanac, day, said)]
    return min((at for at in instants if at > now), default=now + _DAY)


def has_brief(almanac: Almanac, now: datetime) -> bool:
    """Whether anybody reads a brief tomorrow."""
    crew = crew_of(almanac.household.profile, almanac.ways)
    return any(_brief_at(almanac, almanac.household.today(now) + _DAY, crew))


def told_to_all(
    almanac: Almanac, step: str, day: date, message: Message, now: datetime
) -> Iterator[Delivery]:
    """The message to everybody, over their loudest way, once for that step and date."""
    crew = crew_of(almanac.household.profile, almanac.ways)
    people = tuple(contact.person_id for contact in crew)
    yield from told_to(almanac, step, day, message, now, people)


def told_to_duty(
    almanac: Almanac, step: str, day: date, message: Message, now: datetime
) -> Iterator[Delivery]:
    """The message to whoever is on duty, over their loudest way, once for that step and date."""
    crew = crew_of(almanac.household.profile, almanac.ways)
    yield from told_to(almanac, step, day, message, now, _duty(crew))


def told_to(  # noqa: PLR0913, PLR0917 - what, of when, to whom
    almanac: Almanac, step: str, day: date, message: Message, now: datetime, people: tuple[str, ...]
) -> Iterator[Delivery]:
    """The message to those people, over their loudest way, once for that step and date."""
    crew = crew_of(almanac.household.profile, almanac.ways)
    note = Note(step=step, at=now, useful_until=now + _DAY, people=people)
    yield from _to(almanac, day, note, crew, message)


def night_ends(almanac: Almanac, now: datetime) -> datetime | None:
    """When the night ends that people sleep through, 22:00 to 07:00 local; None by day."""
    local = now.astimezone(almanac.household.profile.site.zone)
    if _MORNING <= local.time() < _NIGHT:
        return None
    day = local.date() + (_DAY if local.time() >= _NIGHT else timedelta())
    return datetime.combine(day, _MORNING, local.tzinfo).astimezone(UTC)


def can_be_said(almanac: Almanac, nights: Iterable[Night], now: datetime) -> bool:
    """Whether it is day, or a door waits whose lock-up is at most an hour away."""
    return night_ends(almanac, now) is None or any(
        night.states[one.coop_id].waits
        and one.lock_up <= now + _ABOUT_TO_WAIT
        and almanac.evening_of(now, one.coop_id) == night.evening.day
        for night in nights
        for one in night.evening.doors
    )


def deaf_line(almanac: Almanac, connection: Connection) -> str:
    """That buttons under messages do not work, as a sentence; empty while they do."""
    known = memos.recall(connection, almanac.household.profile.site.id, DEAF)
    since, _, reason = (known or "").partition(" ")
    return f"{deaf(almanac, datetime.fromisoformat(since), reason).title}." if known else ""


def deaf(almanac: Almanac, since: datetime, reason: str) -> Message:
    """That buttons under messages do not work, and which way still does."""
    profile = almanac.household.profile
    clock = local_clock(since, profile.site.zone, profile.site.region)
    return ways_out.deaf(clock, reason, profile.web.base_url or "")


def _to(
    almanac: Almanac, day: date, note: Note, crew: Iterable[Contact], message: Message
) -> Iterator[Delivery]:
    site_id = almanac.household.profile.site.id
    for contact in crew:
        if contact.person_id in note.people:
            yield Delivery(
                key=Key(
                    site_id=site_id,
                    subject_id=site_id,
                    day=day,
                    step=note.step,
                    opening=0,
                    person_id=contact.person_id,
                    channel=contact.addresses[0][0],
                ),
                message=message,
                due_at=note.at,
                useful_until=note.late_until or note.useful_until,
            )


def _emergencies(
    almanac: Almanac, day: date, said: Sequence[Closing], duty: Contact | None
) -> Iterator[Note]:
    for call in calls_on(almanac, day, said):
        if duty and not call.is_of(duty.name):
            yield Note(
                step=call.step,
                at=call.at,
                useful_until=call.useful_until,
                people=(duty.person_id,),
                late_until=call.late_until,
            )


def _on_duty_now(
    almanac: Almanac, connection: Connection, crew: Sequence[Contact], now: datetime
) -> Contact | None:
    """Who has the evening under way, though another has them from tomorrow; else who has them."""
    if not almanac.records.reports:  # nobody hears of any
        return on_duty(crew)
    yesterday = almanac.household.today(now) - _DAY
    evenings = deliveries.evenings(connection, almanac.household.profile.site.id, yesterday)
    begun = [one for one in evenings if now < one.let_out]
    return on_duty(among(begun[-1], crew).crew if begun else crew)


def _left_of(  # noqa: PLR0913, PLR0917 - what of which, of what day, for whom, when
    almanac: Almanac,
    connection: Connection,
    said: Sequence[Closing],
    call: Call,
    day: date,
    note: Note,
    now: datetime,
) -> Call | None:
    """What of the call is still to be told to whom the note is for; None when it is nothing."""
    calls, people = calls_on(almanac, day, said), frozenset(note.people)
    left = (
        untold(almanac, connection, call, calls, day, now)
        if now >= note.useful_until
        else beyond_walk(
            connection, almanac.household.profile.site.id, call, calls, day, now, people
        )
    )
    return news(almanac, connection, left, day, note.people) if left else None


def _call_of(almanac: Almanac, day: date, said: Sequence[Closing], note: Note) -> Call | None:
    return next((one for one in calls_on(almanac, day, said) if one.step == note.step), None)


def _duty(crew: Sequence[Contact]) -> tuple[str, ...]:
    duty = on_duty(crew)
    return (duty.person_id,) if duty else ()


def _let_outs(
    almanac: Almanac, day: date, said: Sequence[Closing], crew: Sequence[Contact]
) -> Iterator[Note]:
    wanted = almanac.household.profile.reminders.letout
    if wanted == "none" or (wanted == "heat" and not is_hot(almanac, day)):
        return
    for group in _groups(_opened(almanac, day, said)):
        at = group[0].let_out.instant
        yield Note(
            step=_let_out_step(group),
            at=at,
            useful_until=at + _LET_OUT_USEFUL,
            people=_duty(crew),
        )
    if is_hot(almanac, day):
        yield from _kept_in_the_heat(almanac, day, said, crew)


def _kept_in_the_heat(
    almanac: Almanac, day: date, said: Sequence[Closing], crew: Sequence[Contact]
) -> Iterator[Note]:
    """At the hour of the let-out; where the heat or the order was only known later, from then."""
    known = _hot_in_since(almanac, day)
    empty = almanac.emptied(day, said)
    for coop in almanac.coops(day):
        at = max(coop.let_out.instant, known) if known else coop.let_out.instant
        has_birds = coop.coop_id not in empty and almanac.birds_in(coop.coop_id, day)
        # Chicks on heat are kept in as well, and no vent is opened on them.
        by_order = coop.kept_in == "housing order"
        if by_order and has_birds and at < coop.lock_up.instant:
            yield Note(
                step=f"{_IN_THE_HEAT}{coop.coop_id}",
                at=at,
                useful_until=at + _LET_OUT_USEFUL,
                people=_duty(crew),
            )


def _hot_in_since(almanac: Almanac, day: date) -> datetime | None:
    """Since when reports have said that it is hot that day, and that birds stay in."""
    orders = almanac.records.of("order", day)
    hot: tuple[Report, ...] = ()
    if not _is_usually_hot(almanac, day):
        hot = tuple(filter(_says_hot, almanac.records.of("heat", day)))
    made = ((one.stands_since for one in those if one.stands_since) for those in (orders, hot))
    first = (min(instants, default=None) for instants in made)
    return max((at for at in first if at), default=None)


def _opened(almanac: Almanac, day: date, said: Sequence[Closing]) -> list[CoopDay]:
    """The coops that are opened that morning, because birds slept there and may come out."""
    slept_elsewhere = almanac.emptied(day - _DAY, said)
    return [
        coop
        for coop in almanac.coops(day)
        if not coop.kept_in
        and coop.coop_id not in slept_elsewhere
        and almanac.birds_in(coop.coop_id, day)
    ]


def _let_out_step(group: Sequence[CoopDay]) -> str:
    return f"let-out-{group[0].coop_id}"


def _groups(coops: Sequence[CoopDay]) -> list[list[CoopDay]]:
    groups: list[list[CoopDay]] = []
    for coop in sorted(coops, key=lambda coop: coop.let_out.instant):
        first = groups[-1][0].let_out.instant if groups else None
        if first is None or coop.let_out.instant - first > _SHARED_WITHIN:
            groups.append([])
        groups[-1].append(coop)
    return groups


def _ranges(
    almanac: Almanac, day: date, said: Sequence[Closing], crew: Sequence[Contact]
) -> Iterator[Note]:
    wanting = {person.id for person in almanac.household.profile.person if person.range_reminder}
    people = tuple(contact.person_id for contact in crew if contact.person_id in wanting)
    if not people:
        return
    empty = almanac.emptied(day, said)
    for coop in almanac.coops(day):
        if isinstance(coop.free_range, FreeRange) and coop.coop_id not in empty:
            yield Note(
                step=f"range-{coop.coop_id}",
                at=coop.free_range.start,
                useful_until=coop.free_range.call_in,
                people=people,
            )


def _brief_at(almanac: Almanac, day: date, crew: Sequence[Contact]) -> Iterator[Note]:
    profile = almanac.household.profile
    if profile.reminders.brief is None:
        return
    duty = on_duty(crew)
    wanting = {
        person.id
        for person in profile.person
        if person.brief or (person.brief is None and duty and person.id == duty.person_id)
    }
    people = tuple(contact.person_id for contact in crew if contact.person_id in wanting)
    noon = almanac.noon(day)
    at = first_in(
        HalfDay(almanac.noon(day - _DAY), noon), profile.reminders.brief, profile.site.zone
    )
    if at and people:
        yield Note(step="brief", at=at, useful_until=max(noon, at + _LET_OUT_USEFUL), people=people)


def _message(  # noqa: PLR0913, PLR0917 - the day in parts
    almanac: Almanac,
    connection: Connection,
    said: Sequence[Closing],
    day: date,
    note: Note,
    now: datetime,
    doubt_of: Callable[[], str],
) -> Message:
    profile = almanac.household.profile
    zone, region = profile.site.zone, profile.site.region
    coops = {coop.coop_id: coop for coop in almanac.coops(day)}
    names = {coop.id: coop.name for coop in profile.coop}
    if note.step == "brief":
        doubt = doubt_of()
        worries = (*filter(None, [doubt]), *_worries(almanac, connection, said, day, now))
        return brief(_brief(almanac, said, day, worries))
    if note.step.startswith(_IN_THE_HEAT):
        return by_day.kept_in_the_heat(names[note.step.removeprefix(_IN_THE_HEAT)])
    kind, _, coop_id = note.step.partition("-")
    if kind == "range":
        spell = coops[coop_id].free_range
        call_in = spell.call_in if isinstance(spell, FreeRange) else note.useful_until
        return by_day.free_range(
            [names[coop_id]],
            local_clock(call_in, zone, region),
            local_clock(coops[coop_id].lock_up.instant, zone, region, day),
        )
    opened = _groups(_opened(almanac, day, said))
    group = next(group for group in opened if note.step == _let_out_step(group))
    return by_day.let_out(
        [names[coop.coop_id] for coop in group],
        local_clock(note.at, zone, region),
        hot=is_hot(almanac, day),
        loud=profile.reminders.letout == "loud",
    )


def _today(profile: Profile) -> str:
    """Where today's page is reached; empty while there are no pages."""
    return f"{profile.web.base_url}/" if profile.web.base_url else ""


def is_hot(almanac: Almanac, day: date) -> bool:
    """Whether 27 °C is to be expected: told for that day, or by the year's averages."""
    return _is_usually_hot(almanac, day) or any(map(_says_hot, almanac.records.of("heat", day)))


def _is_usually_hot(almanac: Almanac, day: date) -> bool:
    return averages(almanac.household.profile).high_c(day) >= HOT_C


def _says_hot(heat: Report) -> bool:
    return heat.air_c is None or heat.air_c >= HOT_C


def _brief(almanac: Almanac, said: Sequence[Closing], day: date, worries: tuple[str, ...]) -> Brief:
    household = almanac.household
    profile = household.profile
    zone, region = profile.site.zone, profile.site.region
    planned = almanac.plan_of(day, almanac.emptied(day, said))
    shut = [coop.lock_up.instant for coop in planned.coops if coop.coop_id not in planned.empty]
    return Brief(
        site_name=profile.site.name,
        lock_up=local_clock(min(shut), zone, region, day) if shut else "",
        jobs=sum(len(walk.lines) for walk in planned.rounds),
        minutes=sum(walk.minutes for walk in planned.rounds),
        worries=worries,
        urgent=tuple(
            f"{walk.name.capitalize()}, {line.minutes} min: {line.text}."
            for walk in planned.rounds
            for line in walk.lines
            if line.urgent
        ),
        tonight=tuple(_house(almanac, coop, said) for coop in planned.coops),
        walks=tuple(filter(None, map(_walk, planned.rounds))),
        seasons=tuple(text for text, _ in each_once(profile, planned.seasons)),
        link=_today(profile),
    )


def _house(almanac: Almanac, coop: CoopDay, said: Sequence[Closing]) -> str:
    """When one house is opened and shut, and why its birds stay in where they do."""
    profile, state = almanac.household.profile, almanac.house(coop.coop_id, coop.day, said)
    if why := reasons.why_no_birds(profile, coop.coop_id, coop.day, state):
        return f"{profile.coop_of(coop.coop_id).name}: no birds tonight. {why}"
    zone, region = profile.site.zone, profile.site.region
    lock_up, latest = (
        local_clock(at, zone, region, coop.day)
        for at in (coop.lock_up.instant, coop.lock_up.latest)
    )
    slept_elsewhere = coop.coop_id in almanac.emptied(coop.day - _DAY, said)
    out = (
        ""
        if coop.kept_in or slept_elsewhere
        else f"let out {reasons.let_out_time(profile, coop)}, "
    )
    inside = "" if isinstance(coop.free_range, FreeRange) else reasons.why_range(profile, coop)
    times = f"{out}lock up {lock_up}, latest {latest}."
    return f"{profile.coop_of(coop.coop_id).name}: {times} {inside}".rstrip()


def _walk(walk: Round) -> str:
    """The jobs of one walk that are not urgent, on one line; empty where there are none."""
    lines = [line for line in walk.lines if not line.urgent]
    jobs = "; ".join(line.text.removeprefix("Also: ") for line in lines)
    minutes = sum(line.minutes for line in lines)
    ends = "" if jobs.endswith("?") else "."
    return f"{walk.name.capitalize()}, {minutes} min: {jobs}{ends}" if lines else ""


def _worries(
    almanac: Almanac,
    connection: Connection,
    said: Sequence[Closing],
    day: date,
    now: datetime,
) -> Iterator[str]:
    profile = almanac.household.profile
    site_id = profile.site.id
    last_night = day - _DAY
    yield from (line.sentence for line in bird_lines(profile, almanac.records, day))
    for coop in profile.coop:
        tonight = door(said, coop.id, day, almanac.birds_in(coop.id, day))
        if tonight.missing_before:
            yield f"{coop.name}: {missing.missing_since(tonight)}. Found, dead or given up?"
        elif tonight.unsure:
            yield f"{coop.name}: {missing.UNCOUNTED}."
        state = door(said, coop.id, last_night, almanac.birds_in(coop.id, last_night))
        if history.was_called(connection, site_id, last_night) and state.waits:
            yield f"{coop.name}: nobody confirmed the door last night."
        if state.over:
            dead = f"; {told}" if (told := missing.said_dead(state)) else ""
            yield (
                f"{coop.name}: {state.counted} counted in, but {state.expected} were expected"
                f"{dead}. Which is right?"
            )
        if is_count_due(said, coop.id, day, tonight.expected):
            yield f"{coop.name}: {reminders.FULL_COUNT}"
    yield from _unheard(almanac, connection, now)
    yield from _changed(almanac, connection)
    for report in almanac.records.of("order", day):
        if report.is_asked_about(day):
            since = report.spell.first
            yield f"Housing order since {since.day} {since:%B}. Still in force?"
    yield from _order_ends(almanac.records, day)


def _order_ends(records: Records, day: date) -> Iterator[str]:
    """That the last housing order ends today, or ended yesterday: who prolongs it has to say so."""
    before, now, after = (records.of("order", each) for each in (day - _DAY, day, day + _DAY))
    if now and not after:
        yield "Today is the last day of the housing order."
    if before and not now:
        yield "The housing order ended yesterday. If it was prolonged, say so."


def _changed(almanac: Almanac, connection: Connection) -> Iterator[str]:
    """What has changed since the last brief: of the machine, and who is told."""
    profile = almanac.household.profile
    site_id = profile.site.id
    here = {one.person_id for one in crew_of(profile, almanac.ways)}
    left = json.loads(memos.recall(connection, site_id, LEFT) or "[]")
    if names := [name for person_id, name in left if person_id not in here]:
        yield who_is_told.left_line(names)
    if memos.recall(connection, site_id, RESTARTED):
        yield after_a_restart(profile)
    if memos.recall(connection, site_id, STEPPED):
        yield "The clock of Duskfold's machine was set by more than two seconds yesterday."


def _unheard(almanac: Almanac, connection: Connection, now: datetime) -> Iterator[str]:
    """What did not reach people, and what of theirs does not reach us."""
    profile = almanac.household.profile
    names = {person.id: person.name for person in profile.person}
    for one in history.failures(connection, profile.site.id, now - _DAY):
        name = names.get(one.person_id, one.person_id)
        yield ways_out.undelivered(name, one.channel, one.count)
    if line := deaf_line(almanac, connection):
        yield line
