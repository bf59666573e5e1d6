"""`duskfold check`: can the profile be used, is the house large and safe enough, what to buy."""

import sys
from collections.abc import Iterator
from dataclasses import replace

from scheduler.cares import reasons
from scheduler.cli.compose import Session, refuse
from scheduler.cli.faults import CANNOT_USE, FAILED
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import Typed
from scheduler.husbandry.keeper_words import (
    bought,
    criterion_words,
    explanations,
    holds,
    rule_set_name,
    sources,
)
from scheduler.husbandry.needs import RULE_SETS, RuleSet
from scheduler.profile.coop import Coop
from scheduler.profile.load import Problems
from scheduler.profile.person import Person
from scheduler.profile.phrase import plain
from scheduler.profile.problem import dotted, nearest
from scheduler.profile.units import Units
from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.profile.values import Profile
from scheduler.profile.words import clock
from scheduler.service.housing_check import HousingCheck, housing_check
from scheduler.wording.cli.check import (
    CheckCompass,
    CheckPerson,
    CheckRanging,
    CheckRole,
    CheckScreen,
    CheckTable,
)
from scheduler.wording.cli.refusals import Faults
from scheduler.wording.husbandry.housing import HousingCautions
from scheduler.wording.spoken import in_a_row, listed, short_day, weekday_numbered
from scheduler.wording.words import by_code, every

_HEADINGS = (CheckTable.have, CheckTable.need, CheckTable.margin, CheckTable.verdict)
_ROLES = every(CheckRole)
_UNITS = {
    "area": "m²", "length": "m", "volume": "L", "mass": "kg", "percent": "%", "count": "",
    "words": "",
}  # fmt: skip
_NOTHING = HousingCheck(criteria=(), capacities=(), purchases=())


def show(session: Session, rules: str, *, json: bool) -> None:
    """Prints what the profile holds and the housing check, or every problem.

    Ends with status 2 when the profile cannot be used, 1 when something is short.
    """
    typed = Typed("check")
    if rules not in RULE_SETS:
        typed.refuse_word("--rules", rules, in_a_row(RULE_SETS), nearest(rules, RULE_SETS))
        typed.complain()
    chosen: RuleSet = "eu" if rules == "eu" else "backyard"
    path, household = session.judged()
    if isinstance(household, tuple):
        if json:
            print(as_json(_facts(str(path), problems=household)))
            sys.exit(CANNOT_USE)
        refuse(household)
    if typed.is_wrong:
        sys.exit(CANNOT_USE)
    profile, today = household.profile, household.today(session.now)
    found = housing_check(household, session.records(household), chosen, today)
    more = (*session.exposures(household), *session.secrets_not_given(household))
    found = replace(found, notes=(*found.notes, *more, *session.renames(household)))
    if json:
        print(as_json(_facts(str(path), found=found)))
    else:
        print(CheckScreen.can_be_used(file=path))
        print(table(_summary(profile)))
        for coop in profile.coop:
            print("\n" + CheckScreen.house_by_rules(house=coop.name, rules=rule_set_name(chosen)))
            print("\n".join(_lines(found.of(coop.id), profile.units)))
        print()
        for note in found.notes:
            print(wrapped(Faults.note(note=note)))
        print(wrapped(HousingCautions.check()))
    if found.short:
        sys.exit(FAILED)


def _lines(own: HousingCheck, units: Units) -> list[str]:
    rows = [criterion_words(criterion, units) for criterion in own.criteria]
    below = (
        *explanations(own.criteria, units),
        *sources(own.criteria),
        *(holds(each) for each in own.capacities),
        *(CheckScreen.to_buy(what=bought(each, units)) for each in own.purchases),
    )
    shown = [(f"  {row.label}", row.have, row.need, row.margin, row.verdict) for row in rows]
    headings = (f"  {CheckTable.what()}", *(heading() for heading in _HEADINGS))
    return [table(shown, headings), *(wrapped(line, indent=2) for line in below)]


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
    if person.role == "owner":
        return person.name
    who = {"person": person.name, "role": _ROLES[person.role]()}
    if person.first_day and person.last_day:
        first, last = short_day(person.first_day), short_day(person.last_day)
        return CheckPerson.between(**who, first=first, last=last)
    if person.first_day:
        return CheckPerson.since(**who, first=short_day(person.first_day))
    if person.last_day:
        return CheckPerson.until(**who, last=short_day(person.last_day))
    return CheckPerson.always(**who)


def _summary(profile: Profile) -> list[tuple[str, str]]:
    site = profile.site
    place = CheckScreen.place(
        site=site.name,
        latitude=f"{abs(site.latitude_deg):g}",
        north=(CheckCompass.north if site.latitude_deg >= 0 else CheckCompass.south)(),
        longitude=f"{abs(site.longitude_deg):g}",
        east=(CheckCompass.east if site.longitude_deg >= 0 else CheckCompass.west)(),
        zone=site.zone,
    )
    rows = [(CheckScreen.place_label(), place)]
    for coop in profile.coop:
        rows += [(CheckScreen.house_label(), _house(profile, coop)), ("", _rule(profile, coop))]
        if way := coop.getting_there_minutes:
            rows.append(("", CheckScreen.getting_there(minutes=f"{way:g}")))
    people = in_a_row([*map(_with_role, profile.person)])
    # What runs does not follow a profile that leaves nobody who could be told.
    rows.append((CheckScreen.people_label(), people or CheckScreen.nobody()))
    return [*rows, *_usual(profile)]


def _usual(profile: Profile) -> Iterator[tuple[str, str]]:
    """Who usually locks up, where days of the week have people of their own."""
    days: dict[str, list[str]] = {}
    for number, name in enumerate(WEEKDAYS):
        if person_id := profile.duty.by_weekday.get(name):
            days.setdefault(person_id, []).append(weekday_numbered(number))
    label = CheckScreen.duty_label()
    for person_id, theirs in days.items():
        who = profile.person_names[person_id]
        yield label, CheckScreen.duty(who=who, days=listed(theirs))
        label = ""


def _house(profile: Profile, coop: Coop) -> str:
    said = CheckScreen.no_run
    if coop.run:
        said = CheckScreen.secure_run if coop.run.type == "secure" else CheckScreen.open_run
    birds = reasons.birds(profile.flocks_of(coop.id), profile.site.region)
    ranging = by_code(CheckRanging, coop.ranging)
    return said(house=coop.name, birds=birds, ranging=ranging())


def _rule(profile: Profile, coop: Coop) -> str:
    rule = profile.lock_up_rule(coop)
    if not rule.cap:
        return CheckScreen.lock_up(basis=rule.basis)
    return CheckScreen.lock_up_until(basis=rule.basis, time=clock(rule.cap, profile.site.region))
