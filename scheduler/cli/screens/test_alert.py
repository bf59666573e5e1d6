"""`duskfold test-alert NAME`: a real message, and what came of it."""

import sys

from scheduler.alerts.delivery import Outcome
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, FAILED, by_program, complain
from scheduler.cli.screens.tables import as_json, table
from scheduler.cli.typed import only_person
from scheduler.service.people.test_message import Tried
from scheduler.service.reachable import unreachable, what_would_do
from scheduler.wording.channels.ways import channel_words
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.household import AlertOutcome, AlertScreen
from scheduler.wording.service.devices import device_words
from scheduler.wording.told_later import told
from scheduler.wording.words import by_code


def run(session: Session, name: str, *, json: bool) -> None:
    """Sends the test; exit status 1 when a channel did not take it, 2 for an unknown name."""
    profile = session.household().profile
    person = only_person("test-alert", Metavar.name(), name, profile)
    found = session.send_test(person.id)
    if not found and person in unreachable(profile):
        would_do = what_would_do(profile, person).text
        said = AlertScreen.unreachable(person=person.name, what_would_do=would_do)
        complain(by_program(said, "test-alert"))
        sys.exit(CANNOT_USE)
    if json:
        rows = [
            {
                "channel": one.channel,
                "outcome": one.outcome.kind,
                "reason": one.outcome.reason,
                **({"phone": one.phone} if one.phone else {}),
            }
            for one in found
        ]
        print(as_json({"person": person.id, "channels": rows}))
    else:
        print(table((_way(one), _said(one.outcome), told(one.outcome.reason)) for one in found))
    for one in found:
        if one.how:
            complain(by_program(AlertScreen.how(how=one.how), "test-alert"))
    if any(one.outcome.kind != "sent" for one in found):
        sys.exit(FAILED)


def _way(one: Tried) -> str:
    way = channel_words(one.channel)
    if not one.phone:
        return way
    return AlertScreen.phone(way=way, phone=device_words(one.phone))


def _said(outcome: Outcome) -> str:
    return by_code(AlertOutcome, outcome.kind)()
