"""What every message of an evening says alike: the subject, open doors, their birds, the clock."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import RemindedDoor
from scheduler.messages.phrases import fitted
from scheduler.profile.words import counted, local_clock, noun_for
from scheduler.wording.messages.reminders import OfEvening


def stem(night: Night) -> str:
    """The subject that all mails of the evening share."""
    doors, by = night.evening.doors, local_time(night.evening.latest, night)
    birds = all_birds(doors)
    names = [door.name for door in doors]
    return fitted(lambda where: OfEvening.stem(names=where, birds=birds, by=by), names)


def open_doors(night: Night) -> tuple[RemindedDoor, ...]:
    """The evening's doors that nobody has shut, with as many birds as belong in now."""
    return tuple(
        replace(door, birds=state.expected, noun=noun_for(state.expected, door.noun))
        for door in night.evening.doors
        if (state := night.states[door.coop_id]).waits
    )


def all_birds(doors: Sequence[RemindedDoor]) -> str:
    total = sum(door.birds for door in doors)
    if not total:
        # From an evening before; a house without birds has no lock-up.
        return OfEvening.all_missing()
    nouns = {noun_for(1, door.noun) for door in doors}
    return counted(total, nouns.pop() if len(nouns) == 1 else "bird")


def local_time(at: datetime, night: Night) -> str:
    return local_clock(at, night.zone, night.evening.region, night.evening.day)
