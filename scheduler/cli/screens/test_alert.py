"""`duskfold test-alert NAME`: a real message, and what came of it."""

import sys

from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, FAILED, complain
from scheduler.cli.screens.tables import as_json, table
from scheduler.profile.called import NOBODY, called, not_called
from scheduler.service.reach import unreachable, what_would_do

_SAID = {
    "sent": "handed over: look at the phone or the mailbox",
    "unknown": "perhaps handed over: no answer came back",
    "transient": "not handed over for now",
    "bad address": "the address is refused",
    "misconfigured": "our side is set up wrongly",
    "permanent": "the message is refused",
}


def run(session: Session, name: str, *, json: bool) -> None:
    """Sends the test; exit status 1 when a channel did not take it, 2 for an unknown name."""
    from scheduler.service.secrets import SecretFault  # noqa: PLC0415 - as every screen's own

    profile = session.household().profile
    person = called(name, profile.person)
    if person is None:
        complain(f"duskfold test-alert: NAME: {not_called(name, profile.person, NOBODY)}")
        sys.exit(CANNOT_USE)
    if person in unreachable(profile):
        complain(
            f"duskfold test-alert: no message can reach {person.name}. "
            f"{what_would_do(profile, person)}"
        )
        sys.exit(CANNOT_USE)
    try:
        found = session.send_test(person.id)
    except SecretFault as fault:
        complain(f"duskfold test-alert: {fault}")
        sys.exit(CANNOT_USE)
    if json:
        rows = [{"channel": c, "outcome": o.kind, "reason": o.reason} for c, o in found]
        print(as_json({"person": person.id, "channels": rows}))
    else:
        print(table([(channel, _SAID[one.kind], one.reason) for channel, one in found]))
    if any(outcome.kind != "sent" for _, outcome in found):
        sys.exit(FAILED)
