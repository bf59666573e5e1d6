"""`duskfold check`: can the profile be used, and what should the keeper know about it."""

import sys

from scheduler.cares import reasons
from scheduler.cares.plan import ESTIMATED
from scheduler.cli.compose import Session, refuse
from scheduler.cli.faults import CANNOT_USE
from scheduler.cli.screens.tables import as_json, table
from scheduler.climate.curve import averages
from scheduler.profile.load import Problems
from scheduler.profile.problem import dotted
from scheduler.profile.units import write_quantity
from scheduler.profile.values import Profile


def show(session: Session, *, json: bool) -> None:
    """Prints what the profile holds, or every problem; status 2 when it cannot be used."""
    path, household = session.judged()
    if isinstance(household, tuple):
        if json:
            print(as_json({"file": str(path), "usable": False, "problems": _facts(household)}))
            sys.exit(CANNOT_USE)
        refuse(household)
    profile = household.profile
    notes = _notes(profile)
    if json:
        print(as_json({"file": str(path), "usable": True, "problems": [], "notes": notes}))
        return
    print(f"{path} can be used.")
    print(table(_summary(profile)))
    for note in notes:
        print(f"Note: {note}")


def _facts(problems: Problems) -> list[dict[str, object]]:
    return [
        {
            "line": problem.line,
            "key": dotted(problem.key),
            "found": problem.found,
            "accepted": problem.accepted,
            "hint": problem.hint,
        }
        for problem in problems
    ]


def _summary(profile: Profile) -> list[tuple[str, str]]:
    site = profile.site
    north = "N" if site.latitude_deg >= 0 else "S"
    east = "E" if site.longitude_deg >= 0 else "W"
    place = f"{abs(site.latitude_deg):g}° {north}, {abs(site.longitude_deg):g}° {east}, {site.zone}"
    rows = [("Place", f"{site.name} ({place})")]
    for coop in profile.coop:
        size = (
            f", {write_quantity(coop.floor.area_m2, 'area', profile.units)}" if coop.floor else ""
        )
        birds = reasons.birds(profile.flocks_of(coop.id))
        run = f"{coop.run.type} run" if coop.run else "no run given"
        rows.append(("House", f"{coop.name}: {birds}{size}, {run}, ranging {coop.ranging}"))
    people = ", ".join(person.name for person in profile.person) or "nobody yet"
    return [*rows, ("People", people)]


def _notes(profile: Profile) -> list[str]:
    notes = []
    if averages(profile).estimated:
        notes.append(f"{ESTIMATED} Give your own under [climate].")
    notes.extend(
        f"{person.name} can be reached by nobody: give mail or push."
        for person in profile.person
        if not (person.mail or person.push)
    )
    others = sum(flock.others for flock in profile.flock)
    if others:
        notes.append(
            f"{others} other birds are counted on a line of their own. Ducks do not put themselves "
            "in: walk them in at sunset."
        )
    return notes
