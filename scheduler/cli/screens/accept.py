"""`duskfold accept`: the profile here becomes the one that every host goes by."""

from scheduler.cli.compose import Session
from scheduler.cli.faults import go_on_after
from scheduler.cli.screens.tables import as_json


def accept(session: Session, *, yes: bool, json: bool) -> None:
    """Accepts the profile, once it was asked for; a host that runs goes by it at its next look."""
    path, household = session.profile_path(), session.household()
    name = household.profile.site.name
    if not yes:
        go_on_after(f"Do you want every host to go by {path} for {name}?")
    number = session.accept(household)
    if json:
        print(as_json({"accepted": number, "site": household.profile.site.id}))
        return
    print(f"Accepted as profile number {number} of {name}. Every host goes by it within a minute.")
