"""What every message of an evening says alike: the subject, open doors, their birds, the clock."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, tzinfo

from scheduler.alerts.reminded_evening import DoorStates, Evening, RemindedDoor
from scheduler.alerts.words.phrases import titled
from scheduler.profile.words import counted, local_clock, noun_for


def stem(evening: Evening, zone: tzinfo) -> str:
    """The subject that all mails of the evening share."""
    by = local_time(evening.latest, evening, zone)
    names = [door.name for door in evening.doors]
    return titled("Lock up ", names, f": {all_birds(evening.doors)} by {by}")


def open_doors(evening: Evening, states: DoorStates) -> tuple[RemindedDoor, ...]:
    """The evening's doors that nobody has shut, with as many birds as belong in now."""
    return tuple(
        replace(door, birds=state.expected, noun=noun_for(state.expected, door.noun))
        for door in evening.doors
        if (state := states[door.coop_id]).waits
    )


def all_birds(doors: Sequence[RemindedDoor]) -> str:
    total = sum(door.birds for door in doors)
    if not total:
        return "all still missing"  # from an evening before; a house without birds has no lock-up
    nouns = {noun_for(1, door.noun) for door in doors}
    return counted(total, nouns.pop() if len(nouns) == 1 else "bird")


def local_time(at: datetime, evening: Evening, zone: tzinfo) -> str:
    return local_clock(at, zone, evening.region, evening.day)
