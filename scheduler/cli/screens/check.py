"""`duskfold check`: can the profile be used, is the house large and safe enough, what to buy."""

import sys
from dataclasses import replace

from scheduler.cares import reasons
from scheduler.cli.compose import Session, refuse
from scheduler.cli.faults import CANNOT_USE, FAILED, complain
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.husbandry.keeper_words import (
    bought,
    criterion_words,
    explanations,
    holds,
    rule_set_name,
    sources,
)
from scheduler.husbandry.needs import RULE_SETS, RuleSet
from scheduler.profile.load import Problems
from scheduler.profile.person import Person
from scheduler.profile.phrase import plain
from scheduler.profile.problem import dotted, nearest
from scheduler.profile.units import Units
from scheduler.profile.values import Profile
from scheduler.profile.words import clock, day_words
from scheduler.service.housing_check import HousingCheck, housing_check
from scheduler.wording.husbandry.housing import HousingCautions

_HEADINGS = ("  what", "have", "need", "margin", "verdict")
_UNITS = {
    "area": "m²", "length": "m", "volume": "L", "mass": "kg", "percent": "%", "count": "",
    "words": "",
}  # fmt: skip
_NOTHING = HousingCheck(criteria=(), capacities=(), purchases=())


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
    chosen: RuleSet = "eu" if rules == "eu" else "backyard"
    path, household = session.judged()
    if isinstance(household, tuple):
        if json:
            print(as_json(_facts(str(path), problems=household)))
            sys.exit(CANNOT_USE)
        refuse(household)
    if rules not in RULE_SETS:
        sys.exit(CANNOT_USE)
    profile, today = household.profile, household.today(session.now)
    found = housing_check(household, session.records(household), chosen, today)
    more = (*session.exposures(household), *session.secrets_not_given(household))
    found = replace(found, notes=(*found.notes, *more, *session.renames(household)))
    if json:
        print(as_json(_facts(str(path), found=found)))
    else:
        print(f"{path} can be used.")
        print(table(_summary(profile)))
        for coop in profile.coop:
            print(f"\n{coop.name}, by {rule_set_name(chosen)}")
            print("\n".join(_lines(found.of(coop.id), profile.units)))
        print()
        for note in found.notes:
            print(wrapped(f"Note: {note}"))
        print(wrapped(HousingCautions.check()))
    if found.short:
        sys.exit(FAILED)


def _lines(own: HousingCheck, units: Units) -> list[str]:
    rows = [criterion_words(criterion, units) for criterion in own.criteria]
    below = (
        *explanations(own.criteria, units),
        *sources(own.criteria),
        *(holds(each) for each in own.capacities),
        *(f"To buy: {bought(each, units)}" for each in own.purchases),
    )
    shown = [(f"  {row.label}", row.have, row.need, row.margin, row.verdict) for row in rows]
    return [table(shown, _HEADINGS), *(wrapped(line, indent=2) for line in below)]


def _facts(
    file: str, *, problems: Problems = (), found: HousingCheck = _NOTHING
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
        "notes": list(found.notes),
        "criteria": [
            {
                "coop": criterion.coop_id,
                "key": criterion.key,
                "have": criterion.have,
                "need": criterion.most if criterion.need is None else criterion.need,
                "most": criterion.most,
                "unit": _UNITS[criterion.dimension],
                "margin": None if criterion.margin is None else round(criterion.margin, 3),
                "verdict": criterion.verdict,
                "note": plain(criterion.note),
                "source": criterion.source.text,
                "mark": criterion.source.mark,
            }
            for criterion in found.criteria
        ],
        "capacity": [
            {"coop": held.coop_id, "birds": held.birds, "binding": held.binding}
            for held in found.capacities
        ],
        "shopping": [
            {
                "coop": purchase.coop_id,
                "what": purchase.what,
                "amount": round(purchase.amount, 2),
                "unit": purchase.unit,
                "note": plain(purchase.note),
            }
            for purchase in found.purchases
        ],
    }


def _with_role(person: Person) -> str:
    """The name; with what somebody may who is no owner: "Kim (sitter until Sat 14 Aug)"."""
    since = f" from {day_words(person.first_day)}" if person.first_day else ""
    until = f" until {day_words(person.last_day)}" if person.last_day else ""
    return person.name + (f" ({person.role}{since}{until})" if person.role != "owner" else "")


def _summary(profile: Profile) -> list[tuple[str, str]]:
    site = profile.site
    north = "N" if site.latitude_deg >= 0 else "S"
    east = "E" if site.longitude_deg >= 0 else "W"
    place = f"{abs(site.latitude_deg):g}° {north}, {abs(site.longitude_deg):g}° {east}, {site.zone}"
    rows = [("Place", f"{site.name} ({place})")]
    for coop in profile.coop:
        birds = reasons.birds(profile.flocks_of(coop.id), site.region)
        run = f"{coop.run.type} run" if coop.run else "no run"
        rule = profile.lock_up_rule(coop)
        cap = f", never past {clock(rule.cap, profile.site.region)}" if rule.cap else ""
        rows.append(("House", f"{coop.name}: {birds}, {run}, ranging {coop.ranging}"))
        rows.append(("", f"lock-up by {rule.basis}{cap}"))
    people = ", ".join(map(_with_role, profile.person))
    # What runs does not follow a profile that leaves nobody who could be told.
    people = people or "nobody yet, so reminders already running keep to the profile before"
    return [*rows, ("People", people)]
