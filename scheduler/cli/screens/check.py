"""`duskfold check`: can the profile be used, is the house large and safe enough, what to buy."""

import sys
from collections.abc import Sequence
from datetime import date, timedelta
from typing import get_args

from scheduler.alerts.evening import crew_of
from scheduler.cares import reasons
from scheduler.cares.evening import CoopDay
from scheduler.cares.lamp import keeps_feed_and_water_inside
from scheduler.cares.plan import ESTIMATED, Plan
from scheduler.cli.compose import Session, refuse
from scheduler.cli.faults import CANNOT_USE, FAILED, complain
from scheduler.cli.screens.tables import as_json, table
from scheduler.climate.curve import averages
from scheduler.husbandry.birds import weeks_old
from scheduler.husbandry.figure import COMMON_PRACTICE
from scheduler.husbandry.growth import LAYER_WEEKS
from scheduler.husbandry.housing import (
    Capacity,
    Criterion,
    Purchase,
    RuleSet,
    capacity,
    criteria,
    shopping,
)
from scheduler.husbandry.lighting import AWAKE_NOTE, AWAKE_PROBLEM
from scheduler.light.sun import At, Sky
from scheduler.profile.load import Problems
from scheduler.profile.package_data import zone
from scheduler.profile.prepare import proposed_zone
from scheduler.profile.problem import dotted, nearest
from scheduler.profile.retold import in_units
from scheduler.profile.units import write_quantity
from scheduler.profile.values import Profile
from scheduler.profile.words import clock, local_clock
from scheduler.service.open_profile import Household
from scheduler.service.reach import unreachable, ways_of, what_would_do

RULE_SETS: tuple[RuleSet, ...] = get_args(RuleSet)
_MINUTE = timedelta(minutes=1)
_CAUTION = (
    "How many birds may be kept, crowing and registration: by your local rules. Wiring, lamps and "
    "heaters: by an electrician."
)


def show(session: Session, rules: str, *, json: bool) -> None:
    """Prints what the profile holds and the housing check, or every problem.

    Ends with status 2 when the profile cannot be used, 1 when something is short.
    """
    if rules not in RULE_SETS:
        accepted = ", ".join(RULE_SETS)
        complain(
            f'duskfold check: --rules: found "{rules}"; accepted: {accepted}. '
            f"{nearest(rules, RULE_SETS)}".rstrip()
        )
        sys.exit(CANNOT_USE)
    chosen: RuleSet = "eu" if rules == "eu" else "backyard"
    path, household = session.judged()
    if isinstance(household, tuple):
        if json:
            print(as_json(_facts(str(path), problems=household)))
            sys.exit(CANNOT_USE)
        refuse(household)
    profile = household.profile
    found = [c for coop in profile.coop for c in criteria(profile, coop, chosen)]
    holds = [c for coop in profile.coop if (c := capacity(coop, chosen))]
    buy = [
        p
        for coop in profile.coop
        for p in shopping([c for c in found if c.coop_id == coop.id], coop)
    ]
    notes = _notes(session, household)
    if json:
        print(as_json(_facts(str(path), notes=notes, found=found, holds=holds, buy=buy)))
    else:
        print(f"{path} can be used.")
        print(table(_summary(profile)))
        for coop in profile.coop:
            own = [criterion for criterion in found if criterion.coop_id == coop.id]
            print(f"\n{coop.name}, by {_named(chosen)}")
            print(table([_row(criterion, profile) for criterion in own], _HEADINGS))
            for line in (*_explained(own, profile), *_holds(profile, coop.id, holds, buy)):
                print(line)
        print()
        for note in notes:
            print(f"Note: {note}")
        print(_CAUTION)
    if any(criterion.verdict == "short" for criterion in found):
        sys.exit(FAILED)


_HEADINGS = ("  what", "have", "need", "margin", "verdict", "source, where not common practice")


def _named(rules: RuleSet) -> str:
    return "the EU figures for laying hens" if rules == "eu" else "backyard practice"


def _row(criterion: Criterion, profile: Profile) -> tuple[str, ...]:
    margin = criterion.margin
    need = _amount(criterion.need, criterion, profile)
    return (
        f"  {criterion.label}",
        "?" if criterion.have is None else _amount(criterion.have, criterion, profile),
        f"at most {need}" if criterion.at_most else need,
        "" if margin is None else f"{margin:+.0%}",
        {"unknown": criterion.note, "explained": "see below"}.get(
            criterion.verdict, criterion.verdict
        ),
        "" if criterion.source == COMMON_PRACTICE else criterion.source.text,
    )


def _amount(value: float | str, criterion: Criterion, profile: Profile) -> str:
    if isinstance(value, str):
        return value
    if criterion.dimension in {"count", "words"}:
        return f"{value:g}"
    return write_quantity(value, criterion.dimension, profile.units)  # type: ignore[arg-type] # a dimension


def _explained(own: list[Criterion], profile: Profile) -> list[str]:
    notes = [f"  {c.label.capitalize()}: {c.note}" for c in own if c.verdict == "explained"]
    return [in_units(note, profile.units) for note in notes]


def _holds(profile: Profile, coop_id: str, holds: list[Capacity], buy: list[Purchase]) -> list[str]:
    held = [each for each in holds if each.coop_id == coop_id]
    wanted = [each for each in buy if each.coop_id == coop_id]
    return [
        *(f"  Holds {each.birds} birds; {each.binding} binds first." for each in held),
        *(f"  To buy: {_bought(each, profile)}" for each in wanted),
    ]


def _bought(purchase: Purchase, profile: Profile) -> str:
    unit = {"L": " L loose", "m": " m"}.get(purchase.unit, "")
    note = f" ({purchase.note})" if purchase.note else ""
    return in_units(f"{round(purchase.amount, 1):g}{unit} {purchase.what}{note}", profile.units)


def _facts(  # noqa: PLR0913 - what the command knows, by name
    file: str,
    *,
    problems: Problems = (),
    notes: Sequence[str] = (),
    found: Sequence[Criterion] = (),
    holds: Sequence[Capacity] = (),
    buy: Sequence[Purchase] = (),
) -> dict[str, object]:
    return {
        "file": file,
        "usable": not problems,
        "problems": [
            {
                "line": problem.line,
                "key": dotted(problem.key),
                "found": problem.found,
                "accepted": problem.accepted,
                "hint": problem.hint,
            }
            for problem in problems
        ],
        "notes": list(notes),
        "criteria": [
            {
                "coop": criterion.coop_id,
                "key": criterion.key,
                "have": criterion.have,
                "need": criterion.need,
                "unit": _UNITS[criterion.dimension],
                "margin": None if criterion.margin is None else round(criterion.margin, 3),
                "verdict": criterion.verdict,
                "note": criterion.note,
                "source": criterion.source.text,
                "mark": criterion.source.mark,
            }
            for criterion in found
        ],
        "capacity": [
            {"coop": held.coop_id, "birds": held.birds, "binding": held.binding} for held in holds
        ],
        "shopping": [
            {
                "coop": purchase.coop_id,
                "what": purchase.what,
                "amount": round(purchase.amount, 2),
                "unit": purchase.unit,
                "note": purchase.note,
            }
            for purchase in buy
        ],
    }


_UNITS = {"area": "m²", "length": "m", "volume": "L", "mass": "kg", "count": "", "words": ""}


def _summary(profile: Profile) -> list[tuple[str, str]]:
    site = profile.site
    north = "N" if site.latitude_deg >= 0 else "S"
    east = "E" if site.longitude_deg >= 0 else "W"
    place = f"{abs(site.latitude_deg):g}° {north}, {abs(site.longitude_deg):g}° {east}, {site.zone}"
    rows = [("Place", f"{site.name} ({place})")]
    for coop in profile.coop:
        birds = reasons.birds(profile.flocks_of(coop.id), site.region)
        run = f"{coop.run.type} run" if coop.run else "no run given"
        rule = profile.lock_up_rule(coop)
        cap = f", never past {clock(rule.cap, profile.site.region)}" if rule.cap else ""
        rows.append(("House", f"{coop.name}: {birds}, {run}, ranging {coop.ranging}"))
        rows.append(("", f"lock-up by {rule.basis}{cap}"))
    people = ", ".join(person.name for person in profile.person) or "nobody yet"
    return [*rows, ("People", people)]


def _notes(session: Session, household: Household) -> list[str]:
    profile = household.profile
    today = household.today(session.now)
    notes = []
    if averages(profile).estimated:
        notes.append(f"{ESTIMATED} Give your own under [climate].")
    notes += [*_zone_notes(profile), *_people_notes(profile), *_flock_notes(profile, today)]
    year = session.plan(household, today.replace(month=1, day=1), 365)
    notes += [*_late_notes(year), *_waiting_notes(year)]
    return notes


def _zone_notes(profile: Profile) -> list[str]:
    """A slip in sign or zone that the longitude alone cannot show."""
    site = profile.site
    mapped = proposed_zone(site.latitude_deg, site.longitude_deg)
    if mapped is None:
        return [f"The map has open sea at {site.latitude_deg:g}, {site.longitude_deg:g}."]
    here = Sky.over(site.latitude_deg, site.longitude_deg, site.zone)
    noons = [here.transit(date(2026, month, 1)) for month in (1, 7)]
    theirs = zone(mapped)
    offsets = [[at.astimezone(each).utcoffset() for at in noons] for each in (site.zone, theirs)]
    if offsets[0] == offsets[1]:
        return []
    asked = "Are latitude, longitude and their signs right?"
    return [f"The map has the zone {mapped} here, not {site.zone}. {asked}"]


def _people_notes(profile: Profile) -> list[str]:
    notes = [
        f"Nobody can reach {person.name}. {what_would_do(profile, person)}"
        for person in unreachable(profile)
    ]
    for contact in crew_of(profile, ways_of(profile))[:1]:
        if contact.addresses[0][0] == "mail":
            by_mail = "can be reached by mail alone: a mail rings on few phones at dusk."
            notes.append(f"{contact.name} {by_mail}")
    return notes


def _flock_notes(profile: Profile, today: date) -> list[str]:
    notes = []
    others = sum(flock.others for flock in profile.flock)
    if others:
        birds = f"{others} other bird{' is' if others == 1 else 's are'}"
        notes.append(f"{birds} in no figure. {reasons.WALK_IN}")
    for flock in profile.flock:
        weeks = weeks_old(flock, today)
        if flock.young and weeks is not None and weeks >= LAYER_WEEKS:
            notes.append(
                f"{flock.name} are {weeks:.0f} weeks old: count them as hens and roosters now."
            )
    return notes


def _late_notes(year: Plan) -> list[str]:
    notes = []
    for coop in year.profile.coop:
        late = [c for c in _days_of(year, coop.id) if _after_dusk(c)]
        if late:
            notes.append(
                f"{coop.name}: on {len(late)} evenings of the year the lock-up comes after civil "
                "dusk, when predators are about."
            )
    return notes


def _after_dusk(coop: CoopDay) -> bool:
    return (
        isinstance(coop.dusk, At)
        and isinstance(coop.sunset, At)
        and coop.lock_up.instant > coop.dusk.instant
    )


def _waiting_notes(year: Plan) -> list[str]:
    """Birds that are awake and shut in without feed and water (common practice, no source)."""
    profile = year.profile
    notes = []
    for coop in profile.coop:
        if keeps_feed_and_water_inside(coop):  # as every house with a light programme must
            continue
        waits = [(_wait(c), c) for c in _days_of(year, coop.id)]
        longest, at = max(waits, key=lambda pair: pair[0])
        if longest <= AWAKE_NOTE:
            continue
        hours = f"{longest / _MINUTE / 60:.1f} h"
        opened = local_clock(at.let_out.instant, profile.site.zone, profile.site.region)
        worse = "That is too long. " if longest > AWAKE_PROBLEM else ""
        notes.append(
            f"{coop.name}: around {at.day:%d %B} they are awake {hours} before the let-out at "
            f"{opened}. {worse}Put feed and water inside, or let out earlier into a secure run."
        )
    return notes


def _wait(coop: CoopDay) -> timedelta:
    if isinstance(coop.sunrise, At):
        return max(coop.let_out.instant - coop.sunrise.instant, timedelta())
    return timedelta()


def _days_of(year: Plan, coop_id: str) -> list[CoopDay]:
    return [coop for day in year.days for coop in day.coops if coop.coop_id == coop_id]
