"""`duskfold today`: tonight first, then the jobs."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta

from scheduler.alerts.reminded_evening import in_one_walk
from scheduler.cares import reasons
from scheduler.cares.climate_told import source_words
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.dark_under_cloud import dark_under_cloud, early_by
from scheduler.cares.day_lines import day_lines
from scheduler.cares.day_plan import DayPlan, Plan
from scheduler.cares.door_state import Door
from scheduler.cares.move_ahead import move_ahead
from scheduler.cares.records import Records
from scheduler.cli.compose import Session
from scheduler.cli.screens.facts import climate_facts, coop_facts, round_facts
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import only_day
from scheduler.climate.curve import averages
from scheduler.light.sun import sky_over
from scheduler.messages.missing import missing_since, more_found, not_all_in
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized, local_clock
from scheduler.service.household.open_profile import Household
from scheduler.service.weather.warned import quoted, warnings_of
from scheduler.wording.cli.plan import OtherBirds, RoundHeading, Spans, TodayScreen
from scheduler.wording.messages.missing import Missing
from scheduler.wording.messages.reminders import OfEvening
from scheduler.wording.spoken import day_and_month, in_a_row, long_day_with_year
from scheduler.wording.words import every

_HEADINGS = every(RoundHeading)


def show(session: Session, on: str | None, *, json: bool) -> None:
    """Prints the day's times and jobs."""
    household = session.household()
    today = household.today(session.now)
    day = only_day("today", on) or today
    states = session.houses(household, day)
    planned = session.plan(household, day)
    if json:
        print(as_json(day_facts(planned, planned.days[0])))
        return
    here = household.profile.on(day).site
    print(TodayScreen.heading(site=here.name, day=long_day_with_year(day)))
    if moving := move_ahead(household.profile, day):
        print("\n" + wrapped(moving))
    if day == today:
        for asked in _to_look_at(session, household, planned.days[0]):
            print("\n" + wrapped(asked))
    for line in planned.days[0].birds:
        print("\n" + wrapped(line.sentence))
        print(wrapped(line.text, indent=2))
    _print_houses(session, household, planned.days[0], states)
    for walk in planned.days[0].rounds:
        start = local_clock(walk.start, here.zone, here.region)
        print("\n" + _HEADINGS[walk.name](time=start, minutes=walk.minutes))
        lines = [(line.text, Spans.minutes(minutes=line.minutes)) for line in walk.lines]
        print(table(lines, indent=2))
    if told := source_words(averages(planned.profile), household.profile.units):
        print("\n" + wrapped(TodayScreen.give_climate(estimated=told)))


def _print_houses(
    session: Session,
    household: Household,
    planned: DayPlan,
    states: Mapping[tuple[str, date], Door],
) -> None:
    day = planned.day
    records = session.records(household, day)
    leave_by = _leave_by(household.profile, records, planned, states)
    for coop in planned.coops:
        print()
        print("\n".join(_coop_lines(household.profile, coop, states.get((coop.coop_id, day)))))
        leave, dark = leave_by.get(coop.coop_id, (session.now, session.now))
        if session.now < dark:
            at = local_clock(leave, household.profile.site.zone, household.profile.site.region, day)
            print(wrapped(OfEvening.leave_by(at=at), indent=2))
        if early := _dark_early(records, household.profile, coop):
            print(wrapped(OfEvening.cloudy(minutes=early), indent=2))


def _dark_early(records: Records, profile: Profile, coop: CoopDay) -> int:
    """By how many minutes a forecast's cloud makes it dark before the lock-up."""
    decided = records.weather_on(coop.day)
    if decided is None or not decided.shift_minutes:
        return 0
    dark = dark_under_cloud(sky_over(profile.on(coop.day)), coop.day, decided.shift_minutes)
    return early_by(coop.lock_up, dark)


def _leave_by(
    profile: Profile, records: Records, planned: DayPlan, states: Mapping[tuple[str, date], Door]
) -> dict[str, tuple[datetime, datetime]]:
    """When to leave for each house that is a way off and not shut, as reminders say it; its dark.

    Of houses that are shut in one walk the longest way counts, and the first that is due.
    """
    found = {}
    houses = [coop for coop in planned.coops if coop.coop_id not in planned.empty]
    for walk in in_one_walk(houses, lambda coop: coop.lock_up.instant):
        early = min(_dark_early(records, profile, coop) for coop in walk)
        ways = [
            (coop, profile.coop_of(coop.coop_id).getting_there_minutes)
            for coop in walk
            if (state := states.get((coop.coop_id, coop.day))) is None or state.waits
        ]
        for coop, minutes in ways:
            dark = ways[0][0].lock_up.instant - timedelta(minutes=early)
            if minutes:
                longest = max(way for _, way in ways)
                found[coop.coop_id] = dark - timedelta(minutes=longest), dark
    return found


def _to_look_at(session: Session, household: Household, planned: DayPlan) -> Iterator[str]:
    """What comes before everything else today: last night's doors, warnings, old orders."""
    today = planned.day
    # Until tonight's doors come first.
    if session.now < min((coop.lock_up.instant for coop in planned.coops), default=session.now):
        for name in session.unsaid_last_night(household, today):
            yield TodayScreen.unsaid(house=name, day=today - timedelta(days=1))
    records = session.records(household, today)
    yield from map(quoted, warnings_of(records, today, session.now))
    for report in records.of("order", today):
        if report.is_long_unconfirmed(today):
            yield TodayScreen.order(day=day_and_month(report.spell.first))


def day_facts(planned: Plan, day: DayPlan) -> dict[str, object]:
    """The JSON of one date."""
    return {
        "date": day.day,
        "site": planned.profile.site.id,
        "coops": [
            coop_facts(coop)
            | {
                "birds": sum(f.birds for f in planned.profile.flocks_on(coop.coop_id, day.day)),
                "quarantine": coop.quarantine.words if coop.quarantine else "",
            }
            for coop in day.coops
        ],
        "rounds": [round_facts(walk) for walk in day.rounds],
        "birds": [
            {"coop": one.house_id, "title": one.title, "text": one.text} for one in day.birds
        ],
        "seasons": [{"id": task.care_id, "title": task.title} for task in day.seasons],
    } | climate_facts(planned.climate)


def _coop_lines(profile: Profile, coop: CoopDay, state: Door | None) -> list[str]:
    house = profile.coop_of(coop.coop_id)
    birds = reasons.birds(profile.flocks_on(house.id, coop.day), profile.site.region)
    rows = [(line.label, line.time, line.reason) for line in day_lines(profile, coop, state)]
    is_other = state and (state.gone or state.away or state.come or state.over or state.before)
    if birds:
        heads = TodayScreen.birds_of_profile if is_other else TodayScreen.birds
        head = heads(house=house.name, birds=birds)
    else:
        head = (TodayScreen.nobody_of_profile if is_other else TodayScreen.nobody)(house=house.name)
    lines = [wrapped(head), table(rows, indent=2)]
    if state and (said := _what_was_said(state)):
        lines.insert(1, wrapped(said, indent=2))
    return lines


def _what_was_said(state: Door) -> str:
    """Why others may be in than the profile has: who came, left, is missing, dead or away."""
    parts = list(_who_is_other(state))
    told = []
    if parts:
        told.append(OtherBirds.so_expected(why=in_a_row(parts), birds=state.expected))
    if state.over:
        told.append(OtherBirds.counted_amiss(birds=state.counted, missing=not_all_in(state)))
    elif state.missing or state.lost:
        told.append(OtherBirds.amiss(missing=capitalized(not_all_in(state))))
    elif state.before:
        missing = capitalized(missing_since(state))
        if parts:
            told.append(OtherBirds.since(missing=missing))
        else:
            told.append(OtherBirds.since_expected(missing=missing, birds=state.expected))
    elif state.is_surplus_asked:
        told.append(more_found(state))
    elif state.unsure:
        told.append(Missing.uncounted_sentence())
    return " ".join(told)


def _who_is_other(state: Door) -> Iterator[str]:
    if birds := abs(state.come):
        yield (OtherBirds.more if state.come > 0 else OtherBirds.fewer)(birds=birds)
    if state.gone:
        yield OtherBirds.gone(birds=state.gone)
    if state.away:
        yield OtherBirds.away(birds=state.away)
