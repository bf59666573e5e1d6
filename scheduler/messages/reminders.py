"""The reminders that a door is to be shut, step by step, until somebody says that it is.

And the message that the push server sends by itself while Duskfold is silent.
"""

from collections.abc import Callable, Iterator, Sequence

from scheduler.alerts.decide import LOUDNESS
from scheduler.alerts.delivery import LOUDEST, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import CalledStep, DoorStates, Evening, RemindedDoor
from scheduler.alerts.step import Step
from scheduler.messages.doors import all_birds, local_time, open_doors, stem
from scheduler.messages.missing import missing_since
from scheduler.messages.phrases import TITLE_LENGTH, at_least, fitted, short
from scheduler.profile.quantity import write_quantity
from scheduler.profile.words import capitalized, counted, local_clock, words
from scheduler.wording.messages.reminders import (
    CheckDoor,
    LockUp,
    NextMorning,
    NotConfirmed,
    OfEvening,
    OpenAgain,
    TomorrowBrings,
)
from scheduler.wording.spoken import listed, one_by_one
from scheduler.wording.words import Words, every

_SHORTEST_WHERE = 10  # room for "12 houses"
_IN_TIME = {
    "heads-up": (LockUp.heads_up, CheckDoor.heads_up),
    "now": (LockUp.now, CheckDoor.now),
    "again": (LockUp.again, CheckDoor.again),
}
_LEAVE_BY = LockUp.leave_by, CheckDoor.leave_by
_LEAVE_NOW = LockUp.leave_now, CheckDoor.leave_now
_AHEAD = every(TomorrowBrings)
_BEFORE_DARK = ("heads-up", "now")
_OVERDUE = {"next": NotConfirmed.next, "hourly": NotConfirmed.hourly}


def reminder(night: Night, step: CalledStep, person_id: str) -> Message:
    """One step of the ladder, for the doors that are still open; without buttons."""
    if step.kind == "reopened":
        return _reopened(night, step, person_id)
    doors, states = open_doors(night), night.states
    lines = [*_cloudy(night, step)]
    lines += [_door_line(door, night) for door in doors]
    lines += [
        OfEvening.still_missing(house=door.name, missing=missing_since(states[door.coop_id]))
        for door in doors
        if states[door.coop_id].before
    ]
    wanted = [door.name for door in doors if door.coop_id in night.count_due]
    if wanted and step.kind != "dawn":
        lines.append(OfEvening.full_count(houses=listed(wanted)))
    return Message(
        _title(night, step, doors),
        "\n".join([*lines, _advice(night, step, doors), *_ahead(night, step)]),
        stem=stem(night),
        priority=LOUDNESS[step.kind],
        link=night.link(person_id),
    )


def _cloudy(night: Night, step: CalledStep) -> Iterator[str]:
    """That it gets dark early, while that is ahead."""
    if step.kind in _BEFORE_DARK and night.evening.dark_minutes_early:
        yield OfEvening.cloudy(minutes=night.evening.dark_minutes_early)


def _ahead(night: Night, step: CalledStep) -> Iterator[str]:
    """What a forecast asks for on the next day, once: when the evening is announced."""
    for one in night.ahead if step.kind == "heads-up" else ():
        degrees = "" if one.air_c is None else write_quantity(one.air_c, "temperature", night.units)
        yield _AHEAD[one.kind](degrees=degrees, jobs=one_by_one(one.jobs))


def held(night: Night) -> Message:
    """What the push server says by itself when nobody has taken it back."""
    doors = open_doors(night) or night.evening.doors
    by, birds = local_time(min(door.latest for door in doors), night), all_birds(doors)
    title = fitted(
        lambda where: NotConfirmed.silent(names=where, birds=birds, by=by),
        [door.name for door in doors],
    )
    return Message(title, NotConfirmed.silent_body(), stem=stem(night), priority=LOUDEST)


def _title(night: Night, step: CalledStep, doors: Sequence[RemindedDoor]) -> str:
    names = [door.name for door in doors]
    says, missing = _headline(night, step, doors), _missed(doors, night.states)

    def with_missing(where: str) -> str:
        return NotConfirmed.with_missing(title=says(where), birds=missing)

    told = says
    if missing and len(with_missing(listed(names))) <= TITLE_LENGTH:
        told = with_missing
    least = min(len(listed(names)), _SHORTEST_WHERE)
    if step.kind == "bedtime" and TITLE_LENGTH - len(told("")) < least:
        # A flashlight, a twelve-hour clock and a weekday leave no room for the house.
        return fitted(_overdue(NotConfirmed.bedtime_short, night, doors), names)
    return fitted(told, names)


def _missed(doors: Sequence[RemindedDoor], states: DoorStates) -> str:
    """How many are still missing from evenings before; empty where the title says it already."""
    found = [one for door in doors for one in states[door.coop_id].before]
    if not found or not any(door.birds for door in doors):
        return ""
    birds, more = sum(one.birds for one in found), any(one.at_least for one in found)
    return at_least(birds, more=more)


def _reopened(night: Night, step: CalledStep, person_id: str) -> Message:
    """A door was opened again: in the words of the hour, whatever was due before."""
    waiting = open_doors(night)
    doors = [door for door in waiting if night.states[door.coop_id].opened] or waiting
    opened = [said for door in doors if (said := night.states[door.coop_id].opened)]
    last = max(opened, key=lambda said: said.at)
    at = local_clock(last.at, night.zone, night.evening.region)
    is_first = step.name in {Step("reopened"), Step("open-again")}
    says = OpenAgain.open_again if is_first else OpenAgain.still_open
    who = short(last.who)
    why = OpenAgain.says_opened(who=capitalized(who), at=at)
    if last.kind == "undone":
        why = OpenAgain.took_back(at=at, who=who)
    elif last.kind == "back":
        says = OpenAgain.home_since
        why = OpenAgain.says_home(who=capitalized(who), at=at)
    birds = all_birds(doors)
    return Message(
        fitted(lambda where: says(at=at, names=where, birds=birds), [door.name for door in doors]),
        " ".join([why, *_others_wait(night, doors), _advice(night, step, doors)]),
        stem=stem(night),
        priority=LOUDNESS[step.kind],
        link=night.link(person_id),
    )


def _others_wait(night: Night, doors: Sequence[RemindedDoor]) -> Iterator[str]:
    """Names the open doors that a title leaves out, as its buttons shut them, too."""
    named = {door.coop_id for door in doors}
    others = [door.name for door in open_doors(night) if door.coop_id not in named]
    if others:
        both = len(others) + len(doors) == 2  # noqa: PLR2004 - a pair
        says = OpenAgain.other_waits if both else OpenAgain.others_wait
        yield says(others=listed(others), houses=len(others))


def _headline(
    night: Night, step: CalledStep, doors: Sequence[RemindedDoor]
) -> Callable[[str], str]:
    """The title of these names."""
    if step.kind == "dawn":
        return _at_dawn(night, doors)
    if step.kind in _IN_TIME:
        lock_up, check = _IN_TIME[step.kind]
        due = min(door.lock_up for door in doors)
        leave = night.evening.leave_by(doors) if step.kind == "heads-up" else None
        if leave:
            due = night.evening.called_in_of(doors)
            lock_up, check = _LEAVE_NOW if leave < step.at else _LEAVE_BY
        says = check if all(door.automatic for door in doors) else lock_up
        at = local_time(due, night)
        by, birds = local_time(min(door.latest for door in doors), night), all_birds(doors)
        leave_at = local_time(leave, night) if leave else ""
        return lambda where: says(at=at, names=where, birds=birds, by=by, leave=leave_at)
    if step.kind == "bedtime":
        return _overdue(NotConfirmed.bedtime, night, doors)
    if step.kind == "everybody":
        first = step.name.number in {None, 1}
        says = NotConfirmed.everybody if first else NotConfirmed.everybody_again
        return _overdue(says, night, doors)
    return _overdue(_OVERDUE[step.kind], night, doors)


def _overdue(says: Words, night: Night, doors: Sequence[RemindedDoor]) -> Callable[[str], str]:
    by, birds = local_time(min(door.latest for door in doors), night), all_birds(doors)
    torch = words(night.evening.region)["torch"]
    return lambda where: says(names=where, birds=birds, by=by, torch=torch)


def _at_dawn(night: Night, doors: Sequence[RemindedDoor]) -> Callable[[str], str]:
    again = [bool(night.states[door.coop_id].opened) for door in doors]
    says = NextMorning.never
    if any(again):
        says = NextMorning.never_again if all(again) else NextMorning.not_shut
    let_out = night.evening.let_out_of(doors)
    then = NextMorning.stay_in()
    if let_out:
        then = NextMorning.let_out(at=local_clock(let_out, night.zone, night.evening.region))
    birds = all_birds(doors)
    return lambda where: says(names=where, birds=birds, then=then)


def _advice(night: Night, step: CalledStep, doors: Sequence[RemindedDoor]) -> str:
    if step.kind == "dawn":
        opened = any((one := night.states[door.coop_id].opened) and not one.was for door in doors)
        count_them = _count_at_dawn(night.evening, doors)
        says = NextMorning.nobody_said if opened else NextMorning.nobody_confirmed
        return says(count_them=count_them)
    if all(door.automatic for door in doors):
        return OfEvening.check()
    said = words(night.evening.region)
    if all(door.perched for door in doors):
        return OfEvening.count_on_perch(perch=said["perch"], torch=said["torch"])
    return OfEvening.count(torch=said["torch"])


def _count_at_dawn(evening: Evening, doors: Sequence[RemindedDoor]) -> str:
    opened = evening.opened_of(doors)
    if not opened:
        return NextMorning.count_inside()
    shut = [door.name for door in doors if door not in opened]
    if not shut:
        return NextMorning.count()
    open_ones = listed([door.name for door in opened])
    return NextMorning.count_some(open=open_ones, shut=listed(shut), houses=len(shut))


def _door_line(door: RemindedDoor, night: Night) -> str:
    lock_up, latest = (local_time(at, night) for at in (door.lock_up, door.latest))
    says = OfEvening.automatic_door if door.automatic else OfEvening.door
    birds = counted(door.birds, door.noun)
    return says(house=door.name, birds=birds, lock_up=lock_up, latest=latest)
