"""`duskfold today`: tonight first, then the jobs."""

from datetime import date

from scheduler.cares import reasons
from scheduler.cares.evening import CoopDay, FreeRange
from scheduler.cares.plan import ESTIMATED, DayPlan, Plan, Round
from scheduler.cli.compose import Session
from scheduler.cli.screens.facts import coop_facts, round_facts
from scheduler.cli.screens.tables import as_json, table
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock

LAMP_RULE = "Hold it until days are long enough: light is never shortened in lay."


def show(session: Session, day: date | None, *, json: bool) -> None:
    """Prints the day's times and jobs."""
    household = session.household()
    day = day or household.today(session.now)
    planned = session.plan(household, day)
    if json:
        print(as_json(day_facts(planned, planned.days[0])))
        return
    print(f"{household.profile.site.name}, {day:%A} {day.day} {day:%B} {day.year}")
    for coop in planned.days[0].coops:
        print()
        print("\n".join(_coop_lines(household.profile, coop)))
    for walk in planned.days[0].rounds:
        print()
        print("\n".join(_round_lines(household.profile, walk)))
    if planned.climate_estimated:
        print(f"\n{ESTIMATED} Give your own under [climate].")


def day_facts(planned: Plan, day: DayPlan) -> dict[str, object]:
    """The JSON of one date."""
    return {
        "date": day.day.isoformat(),
        "site": planned.profile.site.id,
        "coops": [
            coop_facts(coop)
            | {"birds": sum(f.birds for f in planned.profile.flocks_on(coop.coop_id, day.day))}
            for coop in day.coops
        ],
        "rounds": [round_facts(walk) for walk in day.rounds],
        "seasons": [{"id": task.care_id, "title": task.title} for task in day.seasons],
        "climate": "estimated from latitude" if planned.climate_estimated else "as given",
    }


def _coop_lines(profile: Profile, coop: CoopDay) -> list[str]:
    zone, region = profile.site.zone, profile.site.region
    house = profile.coop_of(coop.coop_id)
    latest = local_clock(coop.lock_up.latest, zone, region, coop.day)
    rows = []
    if coop.lamp:
        on, off = (local_clock(at, zone, region) for at in (coop.lamp.on, coop.lamp.off))
        rows.append(("Lamp", f"{on} to {off}", LAMP_RULE))
    rows += [
        (
            "Let out",
            local_clock(coop.let_out.instant, zone, region),
            reasons.why_let_out(profile, coop),
        )
    ]
    spell = coop.free_range
    if isinstance(spell, FreeRange):
        start = local_clock(spell.start, zone, region)
        rows.append(("Free range", f"from {start}", reasons.why_range(profile, coop)))
    else:
        rows.append(("Free range", "none", reasons.why_range(profile, coop)))
    rows += [
        (
            "Lock up",
            local_clock(coop.lock_up.instant, zone, region, coop.day),
            reasons.why_lock_up(profile, coop),
        ),
        ("Latest", latest, f"The door must not be open after this ({reasons.why_latest(coop)})."),
    ]
    if any(flock.others for flock in profile.flocks_on(house.id, coop.day)):
        rows.append(("Others", "at sunset", reasons.WALK_IN))
    heading = f"{house.name}: {reasons.birds(profile.flocks_on(house.id, coop.day), region)}"
    return [heading, *(f"  {line}" for line in table(rows).split("\n"))]


def _round_lines(profile: Profile, walk: Round) -> list[str]:
    start = local_clock(walk.start, profile.site.zone, profile.site.region)
    heading = f"{walk.name.capitalize()} jobs, {start}, {walk.minutes} min"
    rows = [(line.text, f"{line.minutes} min") for line in walk.lines]
    return [heading, *(f"  {line}" for line in table(rows).split("\n"))]
