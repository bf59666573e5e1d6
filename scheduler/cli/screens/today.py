"""`duskfold today`: tonight first, then the jobs."""

from datetime import timedelta

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_lines import day_lines
from scheduler.cares.day_plan import DayPlan, Plan
from scheduler.cares.door_state import Door
from scheduler.cli.compose import Session
from scheduler.cli.screens.facts import coop_facts, round_facts
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import only_day
from scheduler.messages.missing import missing_since, more_found, not_all_in
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized, local_clock
from scheduler.wording.cares.tasks import TaskWords
from scheduler.wording.messages.missing import Missing


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
    print(f"{household.profile.site.name}, {day:%A} {day.day} {day:%B} {day.year}")
    # Until tonight's doors come first.
    if day == today and session.now < min(
        (coop.lock_up.instant for coop in planned.days[0].coops), default=session.now
    ):
        for name in session.unsaid_last_night(household, today):
            how = f"duskfold closed --evening {today - timedelta(days=1)}"
            asked = "nobody said that the door was shut last night. Count them, and say how it was"
            print("\n" + wrapped(f"{name}: {asked}: {how}"))
    for report in session.records(household).of("order", day):
        if day == today and report.is_long_unconfirmed(today):
            since = f"{report.spell.first.day} {report.spell.first:%B}"
            asked = (
                f"A housing order began on {since}. Is it still in force? Say so: duskfold weather"
            )
            print("\n" + wrapped(asked))
    for line in planned.days[0].birds:
        print("\n" + wrapped(line.sentence))
        print(wrapped(line.text, indent=2))
    for coop in planned.days[0].coops:
        print()
        print("\n".join(_coop_lines(household.profile, coop, states.get((coop.coop_id, day)))))
    for walk in planned.days[0].rounds:
        start = local_clock(walk.start, household.profile.site.zone, household.profile.site.region)
        print(f"\n{walk.name.capitalize()} jobs, {start}, {walk.minutes} min")
        print(table([(line.text, f"{line.minutes} min") for line in walk.lines], indent=2))
    if planned.climate_estimated:
        print("\n" + wrapped(f"{TaskWords.estimated()} Give your own under [climate]."))


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
        "climate": "estimated from latitude" if planned.climate_estimated else "as given",
    }


def _coop_lines(profile: Profile, coop: CoopDay, state: Door | None) -> list[str]:
    house = profile.coop_of(coop.coop_id)
    birds = reasons.birds(profile.flocks_on(house.id, coop.day), profile.site.region)
    rows = [(line.label, line.time, line.reason) for line in day_lines(profile, coop, state)]
    is_other = state and (state.gone or state.away or state.come or state.over or state.before)
    by_profile = " in the profile" if is_other else ""
    lines = [wrapped(f"{house.name}: {birds or 'nobody yet'}{by_profile}"), table(rows, indent=2)]
    if state and (said := _what_was_said(state)):
        lines.insert(1, wrapped(f"  {said}"))
    return lines


def _what_was_said(state: Door) -> str:
    """Why others may be in than the profile has: who came, left, is missing, dead or away."""
    parts = []
    if birds := abs(state.come):
        more = "more" if state.come > 0 else "fewer"
        parts.append(f"{birds} {more} {'lives' if birds == 1 else 'live'} there")
    if state.gone:
        parts.append(f"{state.gone} dead or given up for lost")
    if state.away:
        parts.append(f"{state.away} {'sleeps' if state.away == 1 else 'sleep'} elsewhere")
    told = [f"{', '.join(parts)}: {state.expected} expected."] if parts else []
    if state.missing or state.lost or state.over:
        counted = f"{state.counted} in, " if state.over else ""
        amiss = f"{counted}{not_all_in(state)}."
        told.append(capitalized(amiss))
    elif state.before:
        expected = "" if parts else f": {state.expected} expected"
        told.append(f"{missing_since(state)}{expected}. Found, dead or given up?")
    elif state.is_surplus_asked:
        told.append(more_found(state))
    elif state.unsure:
        told.append(f"{capitalized(Missing.uncounted())}.")
    return " ".join(told)
