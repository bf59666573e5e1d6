"""`duskfold accept`: the profile here becomes the one that every host goes by."""

from scheduler.cli.compose import Session
from scheduler.cli.faults import go_on_after
from scheduler.cli.screens.tables import as_json
from scheduler.wording.cli.household import AcceptScreen


def accept(session: Session, *, yes: bool, json: bool) -> None:
    """Accepts the profile, once it was asked for; a host that runs goes by it at its next look."""
    path, household = session.profile_path(), session.household()
    name = household.profile.site.name
    if not yes:
        go_on_after(AcceptScreen.asked(profile=path, site=name))
    number = session.accept(household)
    if json:
        print(as_json({"accepted": number, "site": household.profile.site.id}))
        return
    print(AcceptScreen.accepted(number=number, site=name))
