"""The words of every message: read on a lock screen, in the rain.

A title says what, where, how many and by when within 80 characters, whatever the houses are
called. Nothing here holds an address or a secret.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, tzinfo

from scheduler.alerts.answer import Answer, Verb
from scheduler.alerts.delivery import (
    LOUD,
    LOUDEST,
    QUIET,
    USUAL,
    Button,
    ChannelName,
    Message,
    Priority,
)
from scheduler.alerts.evening import CalledStep, Door, Evening
from scheduler.cares import closing
from scheduler.profile.units import Region
from scheduler.profile.words import local_clock, words

TITLE_LENGTH = 80
_SHORTEST_NAME = 6
_SHORTEST_WHERE = 10  # room for "12 houses"
# Where a flashlight, a twelve-hour clock and a weekday leave no room for the house.
_TERSE = {"bedtime": "NOT CONFIRMED: look before bed. "}
_LOUDNESS: dict[str, Priority] = {
    "heads-up": USUAL,
    "now": LOUD,
    "again": LOUDEST,
    "next": LOUDEST,
    "everybody": LOUDEST,
    "hourly": LOUD,
    "bedtime": LOUDEST,
    "dawn": LOUD,
}
DoorStates = Mapping[str, closing.Door]


def titled(before: str, names: Sequence[str], after: str) -> str:
    """`before` + the names + `after` in at most 80 characters; only the names give way."""
    room = TITLE_LENGTH - len(before) - len(after)
    where = _joined(names)
    if len(where) > room and len(names) > 1:
        where = f"{len(names)} houses"
    if len(where) > room:
        where = where[: max(room, _SHORTEST_NAME) - 1].rstrip() + "…"
    return f"{before}{where}{after}"


def _joined(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def stem(evening: Evening, zone: tzinfo) -> str:
    """The subject that all mails of the evening share."""
    by = _clock(evening.latest, evening, zone)
    names = [door.name for door in evening.doors]
    return titled("Lock up ", names, f": {_birds(evening.doors)} by {by}")


def reminder(
    evening: Evening, step: CalledStep, states: DoorStates, zone: tzinfo, link: str = ""
) -> Message:
    """One step of the ladder, for the doors that are still open; without buttons."""
    doors = open_doors(evening, states)
    by = _clock(min(door.latest for door in doors), evening, zone)
    before, when = _headline(evening, step, doors, zone)
    after = f", {_birds(doors)}, {when}" + ("" if step.kind == "dawn" else f" {by}")
    names = [door.name for door in doors]
    if TITLE_LENGTH - len(before) - len(after) < min(len(_joined(names)), _SHORTEST_WHERE):
        before = _TERSE.get(step.kind, before)
    lines = [_door_line(door, evening, zone) for door in doors]
    return Message(
        title=titled(before, names, after),
        body="\n".join([*lines, _advice(evening, step, doors)]),
        stem=stem(evening, zone),
        priority=_LOUDNESS[step.kind],
        link=link,
    )


def open_doors(evening: Evening, states: DoorStates) -> tuple[Door, ...]:
    """The evening's doors that nobody has shut, with as many birds as belong in now."""
    return tuple(
        _with_birds(door, states[door.coop_id].expected)
        for door in evening.doors
        if states[door.coop_id].waits
    )


def _with_birds(door: Door, birds: int) -> Door:
    noun = door.noun.removesuffix("s")
    return replace(door, birds=birds, noun=noun if birds == 1 else f"{noun}s")


def _headline(
    evening: Evening, step: CalledStep, doors: Sequence[Door], zone: tzinfo
) -> tuple[str, str]:
    """What stands before the names, and before the time by which."""
    torch = words(evening.region)["torch"]
    act = "Check the door" if all(door.automatic for door in doors) else "Lock up"
    at = _clock(min(door.lock_up for door in doors), evening, zone)
    let_out = local_clock(evening.let_out, zone, evening.region)
    return {
        "heads-up": (f"{act} at {at}: ", "by"),
        "now": (f"{act} now: ", "by"),
        "again": (f"{act}, not confirmed yet: ", "by"),
        "next": ("Nobody says it is shut: ", "due"),
        "everybody": ("DOOR NOT CONFIRMED: ", "due"),
        "hourly": ("Still not confirmed: ", "due"),
        "bedtime": (f"NOT CONFIRMED: look with a {torch} before bed. ", "due"),
        "dawn": ("Never confirmed shut: ", f"let out {let_out}"),
    }[step.kind]


def _advice(evening: Evening, step: CalledStep, doors: Sequence[Door]) -> str:
    if step.kind == "dawn":
        return "Nobody confirmed the door last night. Count before you let them out."
    if all(door.automatic for door in doors):
        return "Check that the door has closed, and count."
    torch = words(evening.region)["torch"]
    return f"Count them on the {words(evening.region)['perch']} with a {torch}, shut, latch."


def _door_line(door: Door, evening: Evening, zone: tzinfo) -> str:
    lock_up, latest = (_clock(at, evening, zone) for at in (door.lock_up, door.latest))
    own = " (automatic)" if door.automatic else ""
    return f"{door.name}{own}: {door.birds} {door.noun}, lock up {lock_up}, latest {latest}."


def _birds(doors: Sequence[Door]) -> str:
    total = sum(door.birds for door in doors)
    nouns = {door.noun.removesuffix("s") for door in doors}
    noun = nouns.pop() if len(nouns) == 1 else "bird"
    return f"{total} {noun}" if total == 1 else f"{total} {noun}s"


def _clock(at: datetime, evening: Evening, zone: tzinfo) -> str:
    return local_clock(at, zone, evening.region, evening.day)


def buttons(  # noqa: PLR0913, PLR0917 - all that an answer stands for
    evening: Evening,
    states: DoorStates,
    opening: int,
    person_id: str,
    key: bytes,
    generation: int = 0,
) -> tuple[Button, ...]:
    """The three answers that shut the evening's open doors."""
    total = sum(door.birds for door in open_doors(evening, states))
    labels: tuple[tuple[str, Verb], ...] = (
        (f"All {total} in, shut" if total > 1 else "In, shut", "all-in"),
        ("Shut, some missing", "some-missing"),
        ("Shut, not counted", "not-counted"),
    )
    return tuple(
        Button(
            label=label,
            answer=Answer(
                verb=verb,
                site_id=evening.site_id,
                day=evening.day,
                subject_id=evening.subject_id,
                opening=opening,
                person_id=person_id,
                generation=generation,
            ).text(key),
        )
        for label, verb in labels
    )


def with_buttons(message: Message, buttons: tuple[Button, ...]) -> Message:
    """The message with these buttons under it."""
    return replace(message, buttons=buttons)


def all_clear(evening: Evening, states: DoorStates, zone: tzinfo) -> Message:
    """Every door is shut: when, by whom, how many; nothing to do."""
    said = [state.said for state in states.values() if state.said]
    last = max(said, key=lambda closing: closing.at)
    at = _clock(last.at, evening, zone)
    counts = [_count_in(states[door.coop_id]) for door in evening.doors]
    if len(counts) == 1:
        what = f", {counts[0]}"
    else:
        named = (f"{door.name} {count}" for door, count in zip(evening.doors, counts, strict=True))
        what = ": " + ", ".join(named)
    title = f"Shut {at} by {_short(last.who)}{what}. Nothing to do."
    if len(title) > TITLE_LENGTH:
        title = f"Shut {at} by {_short(last.who)}: {len(counts)} houses. Nothing to do."
    over = [
        f"{state.counted} counted in {door.name}, {state.expected} expected."
        for door in evening.doors
        if (state := states[door.coop_id]).over
    ]
    return Message(
        title=title, body=" ".join(over) or title, stem=stem(evening, zone), priority=QUIET
    )


def missing_since(state: closing.Door) -> str:
    """Says it as "1 still missing since Mon 21 Dec", the evening on which the first was missed."""
    first = min(one.since for one in state.before)
    when = f"{first:%a} {first.day} {first:%b}"
    return f"{state.missing_before} still missing since {when}"


def _short(who: str) -> str:
    return who if len(who) <= 24 else who[:23].rstrip() + "…"  # noqa: PLR2004 - fits a title


def _count_in(state: closing.Door) -> str:
    return "not counted" if state.counted is None else f"{state.counted} in"


def search(
    evening: Evening, states: DoorStates, zone: tzinfo, which: str, *, by_link: bool = False
) -> Message:
    """Birds are missing: `which` is "first", "second look" or "before let-out".

    `by_link`: the message leads to a page with a button for each ending.
    """
    short = [door for door in evening.doors if states[door.coop_id].state == "searching"]
    missing = _missing(states[door.coop_id] for door in short)
    names = [door.name for door in short]
    let_out = local_clock(evening.let_out, zone, evening.region)
    title = {
        "first": titled(f"{missing} missing, ", names, ": shut the others in, then search"),
        "second look": titled(f"Second look: {missing} missing, ", names, ""),
        "before let-out": titled(f"{missing} never came in, ", names, f", let out {let_out}"),
    }[which]
    how = "say: duskfold found, not-found, dead or elsewhere"
    if by_link:
        how = "open this message and say how it ended"
    return Message(
        title=title,
        body=f"{search_places(evening.region)} Then {how}.",
        stem=stem(evening, zone),
        priority=LOUD if which == "first" else USUAL,
    )


def search_places(region: Region) -> str:
    """Where missing birds are found, in the order of looking (common practice, no source)."""
    return (
        "Shut the door on those that are in, then search. Look: on roof, nests and rafters; under "
        "and behind the house; hedges and low branches; sheds and feed store; along the fence, "
        f"both sides. A {words(region)['torch']} finds eyes; a still hen makes no sound."
    )


def _missing(states: Iterable[closing.Door]) -> str:
    listed = list(states)
    if any(state.counted is None for state in listed):
        return "Some"
    missing = sum(state.missing for state in listed)
    return f"{missing} of {sum(state.expected for state in listed)}"


def held(evening: Evening, zone: tzinfo) -> Message:
    """What the push server says by itself when nobody has taken it back."""
    names = [door.name for door in evening.doors]
    by = _clock(evening.latest, evening, zone)
    return Message(
        title=titled("Is the door shut? ", names, f", {_birds(evening.doors)}, due {by}"),
        body="Duskfold has not been heard from. Is the door shut? Go and look.",
        stem=stem(evening, zone),
        priority=LOUDEST,
    )


def relayed(message: Message, person_name: str) -> Message:
    """A reminder for somebody else, because its person could not be reached."""
    who = _short(person_name)
    body = f"{who} could not be reached, so this comes to you.\n{message.body}"
    return replace(message, body=body, buttons=())


def trouble(person_name: str | None, channel: str, reason: str) -> Message:
    """A way out is broken: whose address, or all of a channel."""
    what = f"{channel} to {_short(person_name)}" if person_name else f"all {channel}"
    title = f"Reminders by {what} do not arrive"[:TITLE_LENGTH]
    return Message(
        title=title,
        body=f"{title}: {reason}. Look at the profile, then run: duskfold test-alert",
        stem=title,
        priority=LOUD,
    )


def undelivered(person_name: str, channel: ChannelName, count: int) -> str:
    """So many messages to a person did not arrive by that way: "2 mails to Kim did not arrive"."""
    what, by = {
        "mail": ("mail", ""),
        "push": ("push message", ""),
        "service": ("message", " by their other service"),
    }[channel]
    return f"{count} {what}{'' if count == 1 else 's'} to {person_name}{by} did not arrive."


def deaf(since: str, reason: str, link: str) -> Message:
    """Buttons under messages are not heard; the pages still are."""
    way = "Say it on the page: this link opens it." if link else "Say it on Duskfold's own machine."
    title = f"Buttons on messages have not worked since {since}"
    return Message(
        title=title,
        body=f"{way} Answers from phones cannot be heard ({reason}).",
        stem="Buttons on messages",
        priority=USUAL,
        link=link,
    )


def heard_again() -> Message:
    """Buttons under messages are heard again."""
    title = "Buttons on messages work again"
    body = "Answers from phones are heard again. Nothing to do."
    return Message(title=title, body=body, stem="Buttons on messages", priority=QUIET)


def cannot_plan(coop_name: str) -> Message:
    """One house's evening cannot be worked out."""
    title = titled("Watch the door yourself: ", [coop_name], ", no reminders for it")
    body = "Duskfold cannot work out this house's evening. That is a fault of the program."
    return Message(title=title, body=body, stem=title, priority=LOUDEST)


def profile_refused(problems: int) -> Message:
    """The changed profile cannot be used."""
    count = f"{problems} problem{'' if problems == 1 else 's'}"
    title = f"The changed profile has {count}; the old one is in force"
    return Message(title=title, body="Run: duskfold check", stem=title, priority=USUAL)


def profile_not_followed(why: str) -> Message:
    """The changed profile is right in itself, but cannot take over."""
    title = "The changed profile is not in force; the old one is"
    return Message(title=title, body=f"Because: {why}.", stem=title, priority=USUAL)


def recovered(how: str) -> Message:
    """The journal was damaged: what is known now, from a "copy" or "empty"."""
    title = "Duskfold's records were damaged; open evenings are told again"
    body = {
        "copy": "The last nightly copy is in use: what was said since then is not known.",
        "empty": "There was no copy: nothing said so far is known.",
    }[how]
    return Message(title=title, body=body, stem=title, priority=LOUD)


def unknown_time() -> Message:
    """The clock cannot be right."""
    title = "Duskfold does not know what time it is: watch the door yourself"
    return Message(
        title=title,
        body=(
            "The clock of its machine stands before a time it has already seen. No reminders go "
            "out until it is set. You can still confirm a door."
        ),
        stem=title,
        priority=LOUDEST,
    )


def clock_ahead(day: date, clock: str) -> Message:
    """The clock shows a time far ahead of what it showed before, and nobody has agreed to it."""
    title = f"Is it {clock} on {day:%A} {day.day} {day:%B %Y}? Duskfold's clock says so"
    return Message(
        title=title,
        body=(
            "It is far ahead of what it showed when Duskfold last ran. Reminders go by it. If it "
            "is right, say so on the Status page; if not, set the clock of Duskfold's machine."
        ),
        stem=title,
        priority=USUAL,
    )


def missed_evenings(first: date, count: int) -> Message:
    """So many evenings had no reminder, whatever the reason."""
    when = f"{first:%a} {first.day} {first:%b}"
    title = (
        f"No reminder went out on the evening of {when}"
        if count == 1
        else f"No reminders went out on {count:,} evenings since {when}"
    )
    return Message(
        title=title,
        body="Duskfold was off, or could reach nobody. Look whether all is in order, and count.",
        stem=title,
        priority=LOUD,
    )


def test(person_name: str) -> Message:
    """Sent by `test-alert`."""
    title = "Duskfold test: this is how a reminder reaches you"
    return Message(
        title=title,
        body=f"For {_short(person_name)}. Nothing to do.",
        stem=title,
        priority=USUAL,
    )


def let_out(names: Sequence[str], at: str, *, hot: bool, loud: bool) -> Message:
    """The door is to be opened; on a hot day a shut house can kill."""
    title = titled("Let out ", names, f" at {at}" + (": heat today" if hot else ""))
    body = "A shut house in the sun can kill: open it now." if hot else "Good morning."
    priority = LOUD if loud else (USUAL if hot else QUIET)
    return Message(title=title, body=body, stem=title, priority=priority)


def free_range(names: Sequence[str], call_in: str, lock_up: str) -> Message:
    """Free-range time begins."""
    title = titled("Free range now: ", names, f", call in {call_in}")
    return Message(
        title=title,
        body=f"Stay in sight. Call them in at {call_in}, lock up at {lock_up}.",
        stem=title,
        priority=USUAL,
    )
