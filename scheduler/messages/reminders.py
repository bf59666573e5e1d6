"""The reminders that a door is to be shut, step by step, until somebody says that it is.

And the message that the push server sends by itself while Duskfold is silent.
"""

from collections.abc import Sequence

from scheduler.alerts.decide import LOUDNESS
from scheduler.alerts.delivery import LOUDEST, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import CalledStep, DoorStates, Evening, RemindedDoor
from scheduler.alerts.step import Step
from scheduler.messages.doors import all_birds, local_time, open_doors, stem
from scheduler.messages.missing import missing_since
from scheduler.messages.phrases import (
    TITLE_LENGTH,
    at_least,
    is_are,
    joined,
    short,
    titled,
)
from scheduler.profile.words import capitalized, counted, local_clock, words

_SHORTEST_WHERE = 10  # room for "12 houses"
# Where a flashlight, a twelve-hour clock and a weekday leave no room for the house.
_TERSE = {"bedtime": "NOT CONFIRMED: look before bed. "}
_SILENT = "Is the door shut? No word from Duskfold: "
FULL_COUNT = "please count them all tonight. It has been a week."


def reminder(night: Night, step: CalledStep, person_id: str) -> Message:
    """One step of the ladder, for the doors that are still open; without buttons."""
    if step.kind == "reopened":
        return _reopened(night, step, person_id)
    doors, states = open_doors(night), night.states
    lines = [_door_line(door, night) for door in doors]
    lines += [
        f"{door.name}: {missing_since(states[door.coop_id])}."
        for door in doors
        if states[door.coop_id].before
    ]
    wanted = [door.name for door in doors if door.coop_id in night.count_due]
    if wanted and step.kind != "dawn":
        lines.append(f"{joined(wanted)}: {FULL_COUNT}")
    return Message(
        _title(night, step, doors),
        "\n".join([*lines, _advice(night, step, doors)]),
        stem=stem(night),
        priority=LOUDNESS[step.kind],
        link=night.link(person_id),
    )


def held(night: Night) -> Message:
    """What the push server says by itself when nobody has taken it back."""
    doors = open_doors(night) or night.evening.doors
    names = [door.name for door in doors]
    by = local_time(min(door.latest for door in doors), night)
    title = titled(_SILENT, names, f", {all_birds(doors)}, due {by}")
    body = "Nothing has been heard from Duskfold for a while. Go and look at the door."
    return Message(title, body, stem=stem(night), priority=LOUDEST)


def _title(night: Night, step: CalledStep, doors: Sequence[RemindedDoor]) -> str:
    by = local_time(min(door.latest for door in doors), night)
    before, when = _headline(night, step, doors)
    opened_again = [bool(night.states[door.coop_id].opened) for door in doors]
    if step.kind == "dawn" and any(opened_again):
        before = "Never confirmed shut again: " if all(opened_again) else "Not confirmed shut: "
    after = f", {all_birds(doors)}, {when}" + ("" if step.kind == "dawn" else f" {by}")
    names = [door.name for door in doors]
    missed = _missed(doors, night.states)
    if len(before) + len(joined(names)) + len(after) + len(missed) <= TITLE_LENGTH:
        after += missed
    if TITLE_LENGTH - len(before) - len(after) < min(len(joined(names)), _SHORTEST_WHERE):
        before = _TERSE.get(step.kind, before)
    return titled(before, names, after)


def _missed(doors: Sequence[RemindedDoor], states: DoorStates) -> str:
    """Who is still missing from evenings before, as the end of a title."""
    found = [one for door in doors for one in states[door.coop_id].before]
    if not found or not any(door.birds for door in doors):
        return ""  # "all still missing" stands there
    birds, more = sum(one.birds for one in found), any(one.at_least for one in found)
    return f"; {at_least(birds, more=more)} still missing"


def _reopened(night: Night, step: CalledStep, person_id: str) -> Message:
    """A door was opened again: in the words of the hour, whatever was due before."""
    waiting = open_doors(night)
    doors = [door for door in waiting if night.states[door.coop_id].opened] or waiting
    opened = [said for door in doors if (said := night.states[door.coop_id].opened)]
    last = max(opened, key=lambda said: said.at)
    at = local_clock(last.at, night.zone, night.evening.region)
    is_first = step.name in {Step("reopened"), Step("open-again")}
    again = "Open again at" if is_first else "Still open since"
    who = short(last.who)
    why = f"{capitalized(who)} says that it was opened again at {at}."
    if last.kind == "undone":
        why = f"At {at} {who} took back that it is shut."
    elif last.kind == "back":
        again = "Birds home since"
        why = f"{capitalized(who)} said at {at} that they are home. It was shut without them."
    names, after = [door.name for door in doors], f", {all_birds(doors)}. Shut it, then say so."
    return Message(
        titled(f"{again} {at}: ", names, after),
        f"{why} {_others_wait(night, doors)}{_advice(night, step, doors)}",
        stem=stem(night),
        priority=LOUDNESS[step.kind],
        link=night.link(person_id),
    )


def _others_wait(night: Night, doors: Sequence[RemindedDoor]) -> str:
    """Names the open doors that a title leaves out, as its buttons shut them, too."""
    named = {door.coop_id for door in doors}
    others = [door.name for door in open_doors(night) if door.coop_id not in named]
    if not others:
        return ""
    whole = "both" if len(others) + len(doors) == 2 else "all of them"  # noqa: PLR2004 - a pair
    answers = f"a button under a message answers for {whole}"
    return f"{joined(others)} {is_are(len(others))} not confirmed either; {answers}. "


def _headline(night: Night, step: CalledStep, doors: Sequence[RemindedDoor]) -> tuple[str, str]:
    """What stands before the names, and before the time by which."""
    evening, torch = night.evening, words(night.evening.region)["torch"]
    act = "Check the door" if all(door.automatic for door in doors) else "Lock up"
    at = local_time(min(door.lock_up for door in doors), night)
    let_out = evening.let_out_of(doors)
    return {
        "heads-up": (f"{act} at {at}: ", "by"),
        "now": (f"{act} now: ", "by"),
        "again": (f"{act}, not confirmed yet: ", "by"),
        "next": ("Nobody has said it is shut: ", "due"),
        "everybody": (_alarm(step), "due"),
        "hourly": ("Still not confirmed: ", "due"),
        "bedtime": (f"NOT CONFIRMED: look with a {torch} before bed. ", "due"),
        "dawn": (
            "Never confirmed shut: ",
            f"let out {local_clock(let_out, night.zone, evening.region)}"
            if let_out
            else "they stay in",
        ),
    }[step.kind]


def _alarm(step: CalledStep) -> str:
    """The question to everybody; in capitals from the second time on."""
    asked = "Is the door shut? "
    return asked if step.name.number in {None, 1} else asked.upper()


def _advice(night: Night, step: CalledStep, doors: Sequence[RemindedDoor]) -> str:
    if step.kind == "dawn":
        opened = any((one := night.states[door.coop_id].opened) and not one.was for door in doors)
        why = "It was opened again, and nobody said" if opened else "Nobody confirmed"
        what = "that it was shut" if opened else "the door last night"
        return f"{why} {what}. {_count_at_dawn(night.evening, doors)}"
    if all(door.automatic for door in doors):
        return "Check that the door has closed, and count."
    said = words(night.evening.region)
    where = f" on the {said['perch']}" if all(door.perched for door in doors) else ""
    return f"Count them{where} with a {said['torch']}, then shut and latch the door."


def _count_at_dawn(evening: Evening, doors: Sequence[RemindedDoor]) -> str:
    opened = evening.opened_of(doors)
    if not opened:
        return "They stay in today: look at the door, and count."
    shut = [door.name for door in doors if door not in opened]
    if not shut:
        return "Count before you let them out."
    stay = "stays" if len(shut) == 1 else "stay"
    return (
        f"Count before you let them out of {joined([door.name for door in opened])}. "
        f"{joined(shut)} {stay} shut today: look at the door, and count."
    )


def _door_line(door: RemindedDoor, night: Night) -> str:
    lock_up, latest = (local_time(at, night) for at in (door.lock_up, door.latest))
    own = " (automatic)" if door.automatic else ""
    return (
        f"{door.name}{own}: {counted(door.birds, door.noun)}. "
        f"Lock up at {lock_up}, shut by {latest}."
    )
