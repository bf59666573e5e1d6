"""`duskfold test-alert NAME`: a real message, and what came of it."""

import sys

from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, FAILED, complain
from scheduler.cli.screens.tables import as_json, table
from scheduler.cli.typed import only_person
from scheduler.service.reachable import unreachable, what_would_do
from scheduler.wording.told_later import told

_SAID = {
    "sent": "sent: look at the phone or the mailbox",
    "unknown": "perhaps sent: no answer came back",
    "transient": "not sent for now",
    "bad address": "the address was refused",
    "misconfigured": "something is set up wrongly on our side",
    "permanent": "the message was refused",
}


def run(session: Session, name: str, *, json: bool) -> None:
    """Sends the test; exit status 1 when a channel did not take it, 2 for an unknown name."""
    profile = session.household().profile
    person = only_person("test-alert", "NAME", name, profile)
    if person in unreachable(profile):
        complain(
            f"duskfold test-alert: no message can reach {person.name}. "
            f"{what_would_do(profile, person).text}"
        )
        sys.exit(CANNOT_USE)
    found = session.send_test(person.id)
    if json:
        rows = [
            {"channel": one.channel, "outcome": one.outcome.kind, "reason": one.outcome.reason}
            for one in found
        ]
        print(as_json({"person": person.id, "channels": rows}))
    else:
        print(
            table((one.channel, _SAID[one.outcome.kind], told(one.outcome.reason)) for one in found)
        )
    for one in found:
        if one.how:
            complain(f"duskfold test-alert: {one.how}.")
    if any(one.outcome.kind != "sent" for one in found):
        sys.exit(FAILED)
