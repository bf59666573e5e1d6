"""The words of every message: read on a lock screen, in the rain.

A title says what, where, how many and by when within 80 characters, whatever the houses are
called. Nothing here holds an address or a secret.
"""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, tzinfo

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
from scheduler.alerts.reminded_evening import CalledStep, Door, Evening
from scheduler.alerts.reopened import OPEN_AGAIN
from scheduler.cares import closing
from scheduler.profile.units import Region
from scheduler.profile.words import counted, day_words, local_clock, noun_for, words
from scheduler.tokens.answer import SignedAnswer, Verb

TITLE_LENGTH = 80
_ENTRY = "Who is let in"
_CHANGE_IT_BACK = "The profile was changed. If that was not meant, change it back."
_DAWN = timedelta(hours=1)  # before the let-out, by whose light birds are seen (common practice)
_SHORTEST_NAME = 6
_SOMEBODY = "somebody"
_SHORT_NAME = 14
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
    "reopened": LOUD,
    "bedtime": LOUDEST,
    "dawn": LOUD,
}
_OF_A_DOOR = frozenset({"closed", "reopened", "back"})
_HARMED = frozenset({"dead", "given-up"})
DoorStates = Mapping[str, closing.Door]
LOOKS_LIKE_ALL = "Shut, looks like all"
UNCOUNTED = "some were missing, and nobody has counted since"
FULL_COUNT = "please count them all tonight, as once a week."


def titled(before: str, names: Sequence[str], after: str, many: str = "houses") -> str:
    """`before` + the names + `after` in at most 80 characters; only the names give way."""
    room = TITLE_LENGTH - len(before) - len(after)
    where = _joined(names)
    if len(where) > room and len(names) > 1:
        where = f"{len(names)} {many}"
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


def reminder(  # noqa: PLR0913 - one step in parts
    evening: Evening,
    step: CalledStep,
    states: DoorStates,
    zone: tzinfo,
    link: str = "",
    *,
    count: Container[str] = (),
) -> Message:
    """One step of the ladder, for the doors that are still open; without buttons.

    `count` are the coops of which a full count is asked for.
    """
    if step.kind == "reopened":
        return _reopened(evening, step, states, zone, link)
    doors = open_doors(evening, states)
    by = _clock(min(door.latest for door in doors), evening, zone)
    before, when = _headline(evening, step, doors, zone)
    opened_again = [bool(states[door.coop_id].opened) for door in doors]
    if step.kind == "dawn" and any(opened_again):
        before = "Never confirmed shut again: " if all(opened_again) else "Not confirmed shut: "
    after = f", {_birds(doors)}, {when}" + ("" if step.kind == "dawn" else f" {by}")
    names = [door.name for door in doors]
    missed = _missed(doors, states)
    if len(before) + len(_joined(names)) + len(after) + len(missed) <= TITLE_LENGTH:
        after += missed
    if TITLE_LENGTH - len(before) - len(after) < min(len(_joined(names)), _SHORTEST_WHERE):
        before = _TERSE.get(step.kind, before)
    lines = [_door_line(door, evening, zone) for door in doors]
    lines += [
        f"{door.name}: {missing_since(states[door.coop_id])}."
        for door in doors
        if states[door.coop_id].before
    ]
    wanted = [door.name for door in doors if door.coop_id in count]
    if wanted and step.kind != "dawn":
        lines.append(f"{_joined(wanted)}: {FULL_COUNT}")
    return Message(
        title=titled(before, names, after),
        body="\n".join([*lines, _advice(evening, step, doors, states)]),
        stem=stem(evening, zone),
        priority=_LOUDNESS[step.kind],
        link=link,
    )


def _missed(doors: Sequence[Door], states: DoorStates) -> str:
    """Who is still missing from evenings before, as the end of a title."""
    found = [one for door in doors for one in states[door.coop_id].before]
    if not found or not any(door.birds for door in doors):
        return ""  # "all still missing" stands there
    birds, more = sum(one.birds for one in found), any(one.at_least for one in found)
    return f"; {at_least(birds, more=more)} still missing"


def at_least(birds: int, *, more: bool) -> str:
    """Says it as "2", or where more of them may be missing as "at least 2"."""
    return f"at least {birds}" if more else str(birds)


def _reopened(
    evening: Evening, step: CalledStep, states: DoorStates, zone: tzinfo, link: str
) -> Message:
    """A door was opened again: in the words of the hour, whatever was due before."""
    doors = [door for door in open_doors(evening, states) if states[door.coop_id].opened]
    doors = doors or list(open_doors(evening, states))
    opened = [said for door in doors if (said := states[door.coop_id].opened)]
    last = max(opened, key=lambda said: said.at)
    at = local_clock(last.at, zone, evening.region)
    again = "Open again at" if step.name in {"reopened", OPEN_AGAIN} else "Still open since"
    who = _short(last.who)
    why = f"{who[:1].upper()}{who[1:]} says that it was opened again at {at}."
    if last.kind == "undone":
        why = f"At {at} {who} took back that it is shut."
    elif last.kind == "back":
        again = "Birds home since"
        why = (
            f"{who[:1].upper()}{who[1:]} said at {at} that they are home. It was shut without them."
        )
    return Message(
        title=titled(
            f"{again} {at}: ",
            [door.name for door in doors],
            f", {_birds(doors)}. Shut it, then say so.",
        ),
        body=f"{why} {_others_wait(evening, doors, states)}{_advice(evening, step, doors, states)}",
        stem=stem(evening, zone),
        priority=_LOUDNESS[step.kind],
        link=link,
    )


def _others_wait(evening: Evening, doors: Sequence[Door], states: DoorStates) -> str:
    """Names the open doors that a title leaves out, as its buttons shut them, too."""
    named = {door.coop_id for door in doors}
    others = [door.name for door in open_doors(evening, states) if door.coop_id not in named]
    if not others:
        return ""
    verb = "is" if len(others) == 1 else "are"
    whole = "both" if len(others) + len(doors) == 2 else "all of them"  # noqa: PLR2004 - a pair
    answers = f"a button under a message answers for {whole}"
    return f"{_joined(others)} {verb} not confirmed either; {answers}. "


def open_doors(evening: Evening, states: DoorStates) -> tuple[Door, ...]:
    """The evening's doors that nobody has shut, with as many birds as belong in now."""
    return tuple(
        _with_birds(door, states[door.coop_id].expected)
        for door in evening.doors
        if states[door.coop_id].waits
    )


def _with_birds(door: Door, birds: int) -> Door:
    return replace(door, birds=birds, noun=noun_for(birds, door.noun))


def _headline(
    evening: Evening, step: CalledStep, doors: Sequence[Door], zone: tzinfo
) -> tuple[str, str]:
    """What stands before the names, and before the time by which."""
    torch = words(evening.region)["torch"]
    act = "Check the door" if all(door.automatic for door in doors) else "Lock up"
    at = _clock(min(door.lock_up for door in doors), evening, zone)
    let_out = evening.let_out_of(doors)
    return {
        "heads-up": (f"{act} at {at}: ", "by"),
        "now": (f"{act} now: ", "by"),
        "again": (f"{act}, not confirmed yet: ", "by"),
        "next": ("Nobody says it is shut: ", "due"),
        "everybody": ("DOOR NOT CONFIRMED: ", "due"),
        "hourly": ("Still not confirmed: ", "due"),
        "bedtime": (f"NOT CONFIRMED: look with a {torch} before bed. ", "due"),
        "dawn": (
            "Never confirmed shut: ",
            f"let out {local_clock(let_out, zone, evening.region)}" if let_out else "they stay in",
        ),
    }[step.kind]


def _advice(evening: Evening, step: CalledStep, doors: Sequence[Door], states: DoorStates) -> str:
    if step.kind == "dawn":
        opened = any((one := states[door.coop_id].opened) and not one.was for door in doors)
        why = "It was opened again, and nobody said" if opened else "Nobody confirmed"
        what = "that it was shut" if opened else "the door last night"
        return f"{why} {what}. {_count_at_dawn(evening, doors)}"
    if all(door.automatic for door in doors):
        return "Check that the door has closed, and count."
    torch = words(evening.region)["torch"]
    perch = words(evening.region)["perch"]
    where = f" on the {perch}" if all(door.perched for door in doors) else ""
    return f"Count them{where} with a {torch}, shut, latch."


def _count_at_dawn(evening: Evening, doors: Sequence[Door]) -> str:
    opened = evening.opened_of(doors)
    if not opened:
        return "They stay in today: look at the door, and count."
    shut = [door.name for door in doors if door not in opened]
    if not shut:
        return "Count before you let them out."
    stay = "stays" if len(shut) == 1 else "stay"
    return (
        f"Count before you let them out of {_joined([door.name for door in opened])}. "
        f"{_joined(shut)} {stay} shut today: look at the door, and count."
    )


def _door_line(door: Door, evening: Evening, zone: tzinfo) -> str:
    lock_up, latest = (_clock(at, evening, zone) for at in (door.lock_up, door.latest))
    own = " (automatic)" if door.automatic else ""
    return (
        f"{door.name}{own}: {counted(door.birds, door.noun)}, lock up {lock_up}, latest {latest}."
    )


def _birds(doors: Sequence[Door]) -> str:
    total = sum(door.birds for door in doors)
    if not total:
        return "all still missing"  # from an evening before; a house without birds has no lock-up
    nouns = {noun_for(1, door.noun) for door in doors}
    return counted(total, nouns.pop() if len(nouns) == 1 else "bird")


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
    doors = open_doors(evening, states)
    total = sum(door.birds for door in doors)
    said = tuple(states[door.coop_id].expected for door in evening.doors)
    many = any(door.birds >= closing.MANY_BIRDS for door in doors)
    in_now = f"All {total} in" if total > 1 else ("In" if total else "None in")
    labels: tuple[tuple[str, Verb], ...] = (
        (f"{in_now}, shut", "all-in"),
        ("Shut, some missing", "some-missing"),
        (LOOKS_LIKE_ALL if many else "Shut, not counted", "not-counted"),
    )
    return tuple(
        Button(
            label=label,
            answer=SignedAnswer(
                verb=verb,
                site_id=evening.site_id,
                day=evening.day,
                subject_id=evening.subject_id,
                opening=opening,
                person_id=person_id,
                generation=generation,
                birds=said if verb == "all-in" else None,
            ).text(key),
        )
        for label, verb in labels
    )


def with_buttons(message: Message, buttons: tuple[Button, ...]) -> Message:
    """The message with these buttons under it."""
    return replace(message, buttons=buttons)


def all_clear(evening: Evening, states: DoorStates, zone: tzinfo, *, how: bool = True) -> Message:
    """Every door is shut: when, by whom, how many; nothing to do only when none is missing.

    `how`: and who said since then what became of birds, or took it back.
    """
    doors = [door for door in evening.doors if states[door.coop_id].said]
    last = max((said for d in doors if (said := states[d.coop_id].said)), key=lambda one: one.at)
    at, newest = _clock(last.at, evening, zone), _newest(doors, states)
    late = _said_since(evening, newest, zone) if how else []
    harmed = any((one := states[door.coop_id].last) and one.kind in _HARMED for door in doors)
    is_well = not harmed and all(_is_well(states[door.coop_id]) for door in doors)
    rest = " Nothing to do." if is_well else ""
    if len(doors) == 1:
        state = states[doors[0].coop_id]
        what = f", {_count_in(state)}{_became(state)}."
        rest = rest or _not_all_in(state)
    else:
        named = (
            f"{door.name} {_count_in(state)}{_became(state)}"
            for door in doors
            for state in [states[door.coop_id]]
        )
        what = f": {', '.join(named)}."
        rest = rest or _at_large([states[door.coop_id] for door in doors])
    title = f"Shut {at} by {_short(last.who)}{what}{rest}"
    if newest and _is_next_morning(newest, evening, zone):
        title = _next_morning(evening, states[newest.coop_id], newest, rest)
    elif len(title) > TITLE_LENGTH and len(doors) > 1:
        title = f"Shut {at} by {_short(last.who)}: {len(doors)} houses.{rest}"
    if len(title) > TITLE_LENGTH:
        who = _short(last.who, max(24 - (len(title) - TITLE_LENGTH), _SHORTEST_NAME))
        title = title.replace(_short(last.who), who, 1)
    if len(title) > TITLE_LENGTH:
        title = title.replace(_became(states[doors[0].coop_id]), "", 1)  # the body says it
    title = title[:TITLE_LENGTH]
    lines = [
        f"{door.name}: {_count_in(state)}{_became(state)}.{_not_all_in(state)}{_over(state)}"
        for door in doors
        if not _is_well(state := states[door.coop_id])
    ]
    return Message(
        title=title,
        body="\n".join([*late, *lines]) or title,
        stem=stem(evening, zone),
        priority=QUIET,
    )


def _is_next_morning(last: closing.Closing, evening: Evening, zone: tzinfo) -> bool:
    """Whether something was said of the evening's birds when its date was over."""
    of_birds = bool(_ended(last.kind, last.count)) and last.evening == evening.day
    return of_birds and last.at.astimezone(zone).date() > evening.day


def _next_morning(evening: Evening, state: closing.Door, last: closing.Closing, rest: str) -> str:
    """Says it as "Ben: 1 was found. Walnut, Mon 21 Dec: 12 in. Nothing to do."."""
    house = next(door.name for door in evening.doors if door.coop_id == last.coop_id)
    ended = _ended(last.kind, last.count)
    after = f", {day_words(evening.day)}: {_count_in(state)}.{rest}"
    return titled(f"{_short(last.who)}: {ended}. ", [house], after)[:TITLE_LENGTH]


def _said_since(evening: Evening, last: closing.Closing | None, zone: tzinfo) -> list[str]:
    """What the house's own line does not say: who took an ending back, or said one late."""
    if last is None:
        return []
    at = _clock(last.at, evening, zone)
    if before := _of_a_door_before(last, evening, zone):
        return [f"{before}."]
    if last.took_back_an_ending:
        return [f"{_took_back(last, at)}."]
    if last.was == "closed":
        return [f"{_took_back_a_count(last, at)}."]
    if ended := _ended(last.kind, last.count):
        return [f"{_short(last.who)} said at {at} that {ended}."]
    return []


def _took_back(last: closing.Closing, at: str) -> str:
    what = "that birds came home" if last.was == "back" else "what was said of the missing"
    if last.was and last.count is not None and last.was != "back":
        what = f"that {_ended(last.was, last.count)}"
    return f"{_short(last.who)} took back at {at} {what}"


def _took_back_a_count(last: closing.Closing, at: str) -> str:
    return f"{_short(last.who)} took back at {at} that {_was_in(last)}"


def _is_well(state: closing.Door) -> bool:
    """Whether all that belong there are in, and none came to harm tonight."""
    return state.is_all_in and not any(one.kind in _HARMED for one in state.endings)


def _became(state: closing.Door) -> str:
    """What became of birds since the count: ", 1 dead", or ", 1 of them found since"."""
    words = {
        "found": "of them found since" if state.counted is not None else "found since",
        "dead": "dead",
        "given-up": "given up for lost",
        "elsewhere": "elsewhere",
    }
    told = {kind: sum(one.birds for one in state.endings if one.kind == kind) for kind in words}
    told["elsewhere"] = min(told["elsewhere"], state.away)  # some may have come home since
    return "".join(f", {told[kind]} {said}" for kind, said in words.items() if told[kind])


def _at_large(states: Sequence[closing.Door]) -> str:
    birds = sum(state.at_large for state in states)
    more = any(state.is_at_least for state in states)
    return f" {at_least(birds, more=more).capitalize()} missing." if birds else ""


def news(evening: Evening, states: DoorStates, zone: tzinfo, *, by_link: bool = False) -> Message:
    """What was said of an evening before, of its door or its birds: who said what, what stands.

    For whoever was told how it stood, and where birds are missed by it for whoever is on duty.
    """
    doors = [
        door
        for door in evening.doors
        if states[door.coop_id].news and states[door.coop_id].state == "open"
    ]
    told = max(doors, key=lambda door: _said_at(states[door.coop_id]))
    state = states[told.coop_id]
    if _misses_late(state):
        return _missed_late(evening, told, state, zone, by_link=by_link)
    # Who died or sleeps elsewhere may not have been missing.
    found = state.last is not None and state.last.kind in {"found", "given-up"}
    left = "None is missing any more" if found else "None is missing"
    if state.last is not None and state.last.is_of_shutting:
        left = "None is known to be missing"
    if state.unsure:
        left = "None is known to be missing, but nobody has counted since"
    if state.before:
        since = missing_since(state)
        left = f"{since[0].upper()}{since[1:]}"
    title = f"{told.name}: {said_last(evening, state, zone)}. {left}."
    if len(title) > TITLE_LENGTH:
        title = f"{told.name}: {said_last(evening, state, zone)}"[:TITLE_LENGTH]
    return Message(
        title=title,
        body=f"{left}. {state.expected} {_is(state.expected)} expected tonight.",
        stem=stem(evening, zone),
        priority=QUIET,
    )


def is_missed_late(states: DoorStates) -> bool:
    """Whether what was said last of a house is that birds were not in on an evening before."""
    return any(_misses_late(state) for state in states.values())


def _misses_late(state: closing.Door) -> bool:
    last = state.last
    if last is None or last.kind != "closed":
        return False
    return last.evening < state.evening and any(one.since == last.evening for one in state.before)


def _missed_late(
    evening: Evening, door: Door, state: closing.Door, zone: tzinfo, *, by_link: bool
) -> Message:
    """Says it as "1 missing since Sun 20 Dec, Walnut: search now"."""
    how = "open this message" if by_link else "answer on the page"
    since = missing_since(state)
    return Message(
        title=titled(f"{since[0].upper()}{since[1:]}, ", [door.name], ": search now"),
        body=(
            f"{said_last(evening, state, zone)}. "
            f"{search_places(evening.region, is_dark=False, chicks=not door.perched)} "
            f"Then {how} and say how it ended."
        ),
        stem=stem(evening, zone),
        priority=LOUD,
    )


def _said_at(state: closing.Door) -> datetime:
    return state.last.known_at if state.last else datetime.min.replace(tzinfo=UTC)


def not_all_in(state: closing.Door) -> str:
    """What keeps the house from being all in, besides an open door; empty when nothing does."""
    parts = []
    if state.missing:
        parts.append("some missing" if state.vague else f"{state.missing} missing")
    if state.lost:
        parts.append(f"{at_least(state.lost, more=state.vague)} not found yet")
    if state.before:
        parts.append(missing_since(state))
    if state.over:
        parts.append(f"only {state.expected} expected")
    return ", ".join(parts)


def amiss(state: closing.Door) -> str:
    """The same, and that nobody has counted since some were missing; empty when all is well."""
    return not_all_in(state) or (UNCOUNTED if state.unsure else "")


def _not_all_in(state: closing.Door) -> str:
    text = not_all_in(state)
    return f" {text[0].upper()}{text[1:]}." if text else ""


def _over(state: closing.Door) -> str:
    if not state.over:
        return ""
    away = f" {state.away} should sleep elsewhere." if state.away else ""
    lost = f" {state.given_up} {_was(state.given_up)} given up for lost." if state.given_up else ""
    back = " Or are they back home?" if state.may_come_home else ""
    dead = f" {told}." if (told := said_dead(state)) else ""
    return f"{away}{lost}{dead} Which number is right?{back}"


def said_dead(state: closing.Door) -> str:
    """Who may live all the same, where more are in than belong there; empty for nobody.

    Says it as "1 was said to be dead on Mon 21 Dec".
    """
    dead = state.gone - state.given_up
    if not state.over or dead <= 0 or state.died_on is None:
        return ""
    last = ", the last" if dead > 1 else ""
    return f"{dead} {_was(dead)} said to be dead{last} on {day_words(state.died_on)}"


def more_found(state: closing.Door) -> str:
    """Asks who was found, where one may be among them who is thought lost or elsewhere, or ""."""
    if not state.is_surplus_asked:
        return ""
    birds, one = state.surplus, state.surplus == 1
    were = _was(birds)
    where = [f"{were} given up for lost"] if state.gone else []
    where += [f"{'sleeps' if one else 'sleep'} elsewhere"] if state.away else []
    which = "Is it one that" if one else "Are some of them those that"
    so = "say that she is back home" if one else "say that they are back home"
    answer = f"If so, {so}; else count them." if state.may_come_home else "Count them."
    return (
        f"{birds} more {were} found than {were} known to be missing. "
        f"{which} {' or '.join(where)}? {answer}"
    )


def missing_since(state: closing.Door) -> str:
    """Says it as "1 still missing since Mon 21 Dec", or "2 still missing, the first since" then.

    With the year, where the evening that is told of is in another.
    """
    evenings = {one.since for one in state.before}
    first = min(evenings)
    year = "" if first.year == state.evening.year else f" {first.year}"
    when = f"{day_words(first)}{year}"
    more = any(one.at_least for one in state.before)
    since = " since" if len(evenings) == 1 else ", the first since"
    return f"{at_least(state.missing_before, more=more)} still missing{since} {when}"


def _short(who: str, room: int = 24) -> str:
    if len(who) <= room:
        return who
    if who.startswith(f"{_SOMEBODY} "):  # "at the terminal": no name that could be known by half
        return _SOMEBODY
    return who[: room - 1].rstrip() + "…"


def _count_in(state: closing.Door) -> str:
    if state.counted is not None:
        return f"{state.counted} in"
    many = state.expected >= closing.MANY_BIRDS
    return "looks like all" if many and not state.at_large and not state.unsure else "not counted"


def emptied(doors: Sequence[Door], *, by_link: bool = False) -> Message:
    """Nobody sleeps in these houses, as somebody said: is that so?

    `by_link`: the message leads to a page on which the door can be said to be shut.
    """
    how = "open this message and say so" if by_link else "say so at Duskfold's own machine"
    one = len(doors) == 1
    asked = "Is it empty?" if one else "Are they empty?"
    title = titled("No lock-up tonight: ", [door.name for door in doors], f". {asked}")
    which, what = ("its", "this door") if one else ("their", "these doors")
    return Message(
        title=title,
        body=(
            f"It was said that all {which} birds are dead or sleep elsewhere, so nobody will be "
            f"reminded of {what}. If birds sleep there, shut the door, then {how}."
        ),
        stem=f"No birds at {doors[0].name}"[:TITLE_LENGTH],
        priority=LOUD,
    )


def not_taken(evening: Evening, state: closing.Door, zone: tzinfo) -> Message:
    """Why a pressed answer counts no more: what was said of the door meanwhile, and by whom."""
    last = state.last
    if last is None or (state.state == "open" and not {last.kind, last.was} & _OF_A_DOOR):
        title = "Not taken: that message was of an earlier turn. Look at the page"
        return Message(title=title, body=title, stem=stem(evening, zone), priority=QUIET)
    newer = said_last(evening, state, zone)
    if len(evening.doors) > 1:
        name = next(door.name for door in evening.doors if door.coop_id == last.coop_id)
        newer = f"{_short(name, _SHORT_NAME)}: {newer}"
    return Message(
        title=f"Not taken: {newer}"[:TITLE_LENGTH],
        body=f"Not taken: {newer}. If that is wrong, say so on the page.",
        stem=stem(evening, zone),
        priority=QUIET,
    )


def renewed_since(link: str) -> Message:
    """Why a button is dead whose person is here: they were put back, or their links renewed."""
    title = "Not taken: your buttons are newer now. Use the newest message, or the page"
    return Message(
        title=title,
        body="You were put back into the profile, or your links were renewed, since that message.",
        stem=title,
        priority=USUAL,
        link=link,
    )


def of_another_evening(evening: Evening, *, taken: bool, waits: bool, link: str = "") -> Message:
    """What a pressed answer came to whose evening is over.

    `waits`: tonight's door does, so it may have been meant for that; `link` leads to its page.
    """
    day = day_words(evening.day)
    tonight = "Is it tonight's door that is shut? Then say so on the page." if waits else ""
    kept = (
        f"What was kept for {day} can be undone on the page." if taken else "Nothing was changed."
    )
    title = f"Not taken: that message is of {day}, which is over"
    if taken:
        title = f"Taken for {day}" + (": it says nothing of tonight's door" if waits else "")
    return Message(
        title=title,
        body=f"{tonight} {kept}".lstrip(),
        stem=f"{'Taken' if taken else 'Not taken'}: a message of {day}",
        priority=QUIET,
        link=link,
    )


def said_last(evening: Evening, state: closing.Door, zone: tzinfo) -> str:
    """Says it as "Kim said at 16:30 that 2 are missing"; empty when nothing was said.

    Of a door of an evening before as "Kim said at 09:10 that 11 were in on Sun 20 Dec".
    """
    last = state.last
    if last is None:
        return ""
    who, at = _short(last.who), _clock(last.at, evening, zone)
    if before := _of_a_door_before(last, evening, zone):
        return before
    if last.took_back_an_ending:
        return _took_back(last, at)
    if last.was == "closed" and state.state != "open":  # another count stands before it
        return f"{_took_back_a_count(last, at)}; {_stands(state, last)}"
    if last.was == "closed":
        return f"{who} took back at {at} that it is shut"
    birds = last.count
    if birds is None and state.endings and state.endings[-1].kind == last.kind:
        birds = state.endings[-1].birds
    return f"{who} said at {at} that {_ended(last.kind, birds) or _stands(state, last)}"


def _of_a_door_before(last: closing.Closing, evening: Evening, zone: tzinfo) -> str:
    """What was said, or taken back, of a door of an evening before; empty for anything else."""
    if not last.is_of_shutting or last.evening >= evening.day:
        return ""
    who, day = _short(last.who), day_words(last.evening)
    at = _clock(last.known_at, evening, zone)
    if last.was:
        return f"{who} took back at {at} what was said of {day}"
    return f"{who} said at {at} that {_was_in(last)} on {day}"


def said_since(said: Iterable[closing.Closing]) -> str:
    """Says it as "Kim said on Tue 22 Dec that 1 was found", of later evenings; the last three."""
    return "; ".join(
        f"{_short(one.who)} said on {day_words(one.evening)} that "
        + (_ended(one.kind, one.count) or _was_in(one))
        for one in list(said)[-3:]
    )


def _was_in(said: closing.Closing) -> str:
    """What was said of a door that was shut: "11 were in"."""
    if said.count is not None:
        return f"{said.count} {_was(said.count)} in"
    return "some were missing" if said.some_missing else "it was shut"


def _stands(state: closing.Door, last: closing.Closing) -> str:
    if state.state == "open":
        return "the door is open again"
    if state.state == "searching":
        missing = "some are" if state.vague else f"{state.missing} {_is(state.missing)}"
        return f"{missing} missing"
    if last.kind == "closed" and state.counted is not None:
        return f"{state.counted} {_is(state.counted)} in"
    return "it is still shut" if last.was == "closed" else "it is shut"


def _ended(kind: closing.ClosingKind, count: int | None) -> str:
    """What became of birds: "1 was found"; empty for what is said of a door."""
    birds = "the missing" if count is None else str(count)
    was, sleeps = ("was", "sleeps") if count == 1 else ("were", "sleep")
    return {
        "found": f"{birds} {was} found",
        "not-found": f"{birds} {was} not found",
        "dead": f"{birds} died",
        "given-up": f"{birds} {was} given up for lost",
        "elsewhere": f"{birds} {sleeps} elsewhere",
        "back": f"{birds} came back home",
    }.get(kind, "")


def _was(count: int) -> str:
    return "was" if count == 1 else "were"


def _is(count: int) -> str:
    return "is" if count == 1 else "are"


def search(  # noqa: PLR0913 - one step in parts
    evening: Evening,
    states: DoorStates,
    zone: tzinfo,
    which: str,
    *,
    by_link: bool = False,
    unheard: bool = False,
    again: bool = False,
) -> Message:
    """Birds are missing: `which` is "first", "second look" or "before let-out".

    `by_link`: the message leads to a page with a button for each ending. `unheard`: nobody has
    told them that the door is shut, so this does. `again`: it goes out because somebody took back
    how the search had ended.
    """
    told = "first" if unheard else "again" if again else which
    how = "open this message" if by_link else "answer on the page"
    last = _newest(evening.doors, states)
    is_dark = which != "before let-out" and not (last and last.at >= evening.let_out - _DAWN)
    short = [door for door in evening.doors if states[door.coop_id].state == "searching"]
    chicks = not any(door.perched for door in short)
    return Message(
        title=_search_title(evening, states, zone, told),
        body=(
            f"{_clash(evening, states, zone)}{_lost_too(states)}{_astray(evening, states)}"
            f"{search_places(evening.region, is_dark=is_dark, chicks=chicks)} "
            f"Then {how} and say how it ended."
            f"{_shut_too(evening, states)}"
        ),
        stem=stem(evening, zone),
        priority=LOUD if which == "first" or unheard or again else USUAL,
    )


def _search_title(evening: Evening, states: DoorStates, zone: tzinfo, told: str) -> str:
    short = [door for door in evening.doors if states[door.coop_id].state == "searching"]
    missing = _missing(states[door.coop_id] for door in short)
    names = [door.name for door in short]
    if told == "second look":
        return titled(f"Second look: {missing} missing, ", names, "")
    if told == "before let-out":
        let_out = evening.let_out_of(short)
        after = f", let out {local_clock(let_out, zone, evening.region)}" if let_out else ""
        out = _missing((states[door.coop_id] for door in short), lost=True)
        return titled(f"{out.capitalize()} never came in, ", names, after)
    if told == "again" and (undone := _newest(short, states)):
        who = _short(undone.who, 12)
        return titled(f"{who} took it back: {missing} missing, ", names, ". Search again")
    shut = [said for door in short if (said := states[door.coop_id].said)]
    last = max(shut, key=lambda said: said.at)
    at, who = _clock(last.at, evening, zone), _short(last.who, 12)
    return titled(f"Shut {at} by {who}, {missing} missing: ", names, ". Search now")


def _lost_too(states: DoorStates) -> str:
    """Says it as "1 more was not found. ", of those whom the title does not count."""
    short = [state for state in states.values() if state.state == "searching"]
    lost = sum(state.lost for state in short)
    told = f"{lost} more {_was(lost)} not found. " if lost else ""
    before = (missing_since(state) for state in short if state.before)
    return told + "".join(f"{one[0].upper()}{one[1:]}, too. " for one in before)


def _clash(evening: Evening, states: DoorStates, zone: tzinfo) -> str:
    """Of two counts that differ: "Ana counted 12 at 16:20, Ben 11 at 16:24. "."""
    return "".join(
        f"{said}. "
        for door in evening.doors
        if (said := two_counts(evening, states[door.coop_id], zone))
    )


def two_counts(evening: Evening, state: closing.Door, zone: tzinfo) -> str:
    """Says it as "Ana counted 12 at 16:20, Ben 11 at 16:24"; empty where no other count stands."""
    first, second = state.other, state.said
    if state.state != "searching" or first is None or second is None:
        return ""
    then, now = (_clock(one.at, evening, zone) for one in (first, second))
    return (
        f"{_short(first.who)} counted {first.count} at {then}, "
        f"{_short(second.who)} {second.count} at {now}"
    )


def _newest(doors: Sequence[Door], states: DoorStates) -> closing.Closing | None:
    """What was said last of these doors."""
    found = [last for door in doors if (last := states[door.coop_id].last)]
    return max(found, key=lambda one: one.at, default=None)


def _astray(evening: Evening, states: DoorStates) -> str:
    """Where more are in another house than belong there: she may have gone to the wrong one."""
    return "".join(
        f"In {door.name} {over} more {_is(over)} in than "
        f"{'belongs' if state.expected == 1 else 'belong'} there: look there first. "
        for door in evening.doors
        if (over := (state := states[door.coop_id]).over)
    )


def _shut_too(evening: Evening, states: DoorStates) -> str:
    """The other doors, once none is open: whoever was rung for them reads here that they are."""
    others = [
        door
        for door in evening.doors
        if states[door.coop_id].state == "shut" and states[door.coop_id].said
    ]
    if not others or open_doors(evening, states):
        return ""
    are = "is" if len(others) == 1 else "are"
    return f" {_joined([door.name for door in others])} {are} shut, too."


def search_places(region: Region, *, is_dark: bool = True, chicks: bool = False) -> str:
    """Where missing birds are found, in the order of looking (common practice, no source)."""
    if chicks:
        return (
            "Look: in the corners and under the bedding; behind feeder, drinker and heat; under "
            "the hen, where there is one; then the whole room. A lost chick peeps, and is soon "
            "cold: warm it first."
        )
    torch = f"A {words(region)['torch']} finds eyes; a still hen makes no sound."
    return (
        f"{'Shut the door on those that are in, then search. ' if is_dark else ''}Look: on roof, "
        "nests and rafters; under and behind the house; hedges and low branches; sheds and feed "
        "store; along the fence, both sides. "
        f"{torch if is_dark else 'A hen that is hurt or broody sits still and makes no sound.'}"
    )


def _missing(states: Iterable[closing.Door], *, lost: bool = False) -> str:
    listed = list(states)
    if any(state.vague for state in listed):
        return "some"
    missing = sum(state.missing + (state.lost if lost else 0) for state in listed)
    return f"{missing} of {sum(state.expected for state in listed)}"


def held(evening: Evening, states: DoorStates, zone: tzinfo) -> Message:
    """What the push server says by itself when nobody has taken it back."""
    doors = open_doors(evening, states) or evening.doors
    names = [door.name for door in doors]
    by = _clock(min(door.latest for door in doors), evening, zone)
    return Message(
        title=titled("Is the door shut? ", names, f", {_birds(doors)}, due {by}"),
        body="Duskfold has not been heard from. Is the door shut? Go and look.",
        stem=stem(evening, zone),
        priority=LOUDEST,
    )


def relayed(message: Message, person_name: str, way: ChannelName) -> Message:
    """A reminder for somebody else, because it did not get to its person by that way."""
    who = _short(person_name)
    body = f"It did not get through to {who} by {way}, so it comes to you too.\n{message.body}"
    return replace(message, body=body, buttons=())


def trouble(person_name: str | None, channel: str, reason: str) -> Message:
    """A way out is broken: whose address, or all of a channel."""
    what = f"{channel} to {_short(person_name)}" if person_name else f"all {channel}"
    title = f"Reminders by {what} do not arrive"[:TITLE_LENGTH]
    return Message(
        title=title,
        body=f"{title}: {reason}. Look at the address, then send a test from the page Status.",
        stem=title,
        priority=LOUD,
    )


def give_it(*, in_file: bool) -> str:
    """What to do about a missing secret; `in_file` where Duskfold knows a file to read it from."""
    if in_file:
        return (
            "See that its file on Duskfold's machine holds it and can be read; it is looked at "
            "again within a minute"
        )
    return "Give it to Duskfold on its machine, and start Duskfold again"


def lacks_secret(
    names: Sequence[str], channel: ChannelName, why: str, *, in_file: bool = False
) -> Message:
    """A way out cannot be used, because a secret is missing: whom it does not reach meanwhile."""
    title = f"Nothing goes out by {channel}: {why}"[:TITLE_LENGTH]
    return Message(
        title=title,
        body=(
            f"{_joined(names)} {_is_or_are(names)} not reached in that way until it is there. "
            f"{give_it(in_file=in_file)}."
        ),
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


def not_written() -> Message:
    """The journal cannot be written, and that will not mend itself."""
    title = "Duskfold cannot write to its disk; reminders go on from memory"
    return Message(
        title=title,
        body=(
            "Until it can, nothing you say of a door is kept, and the reminders do not stop. Look "
            "at the disk of Duskfold's machine: it may be full, or may not be written."
        ),
        stem=title,
        priority=USUAL,
    )


def cannot_plan(coop_name: str) -> Message:
    """One house's evening cannot be worked out."""
    title = titled("Watch the door yourself: ", [coop_name], ", no reminders for it")
    body = "Duskfold cannot work out this house's evening. That is a fault of the program."
    return Message(title=title, body=body, stem=title, priority=LOUDEST)


def profile_refused(problems: int) -> Message:
    """The changed profile cannot be used."""
    count = f"{problems} problem{'' if problems == 1 else 's'}"
    title = f"The changed profile has {count}; the old one is in force"
    return Message(
        title=title,
        body="Look at the machine that runs Duskfold: its check says what is wrong, and where.",
        stem=title,
        priority=USUAL,
    )


def profile_not_followed(why: str, remedy: str) -> Message:
    """The changed profile is right in itself, but cannot take over."""
    title = "The changed profile is not in force; the old one is"
    return Message(title=title, body=f"The reason: {why}. {remedy}", stem=title, priority=USUAL)


def no_more_reminders(names: Sequence[str]) -> Message:
    """The changed profile has no birds in these houses any more."""
    title = titled("No more reminders for ", names, ": the profile has no birds there")
    return Message(
        title=title,
        body="If birds sleep there tonight, shut the door, and put them back into the profile.",
        stem=title,
        priority=USUAL,
    )


def left(
    names: Sequence[str],
    duty: str,
    then: str,
    *,
    had_them: bool,
    tonight: tuple[str, str] | None = None,
) -> Message:
    """Who is not told any more, and who has the evenings now, if they have not `had_them`.

    `then` is called when they do not answer; empty where nobody is. `tonight` is who has, and who
    is called in, an evening that has begun: it goes on without whoever is new.
    """
    first, second = _short(duty, _SHORT_NAME), _short(then, _SHORT_NAME) or "nobody"
    what = f"{second} is called after {first}" if had_them else f"{first} has the evenings"
    has_tonight, called_tonight = tonight or (duty, then)
    is_other = (has_tonight, called_tonight) != (duty, then)
    is_later = called_tonight != then if had_them else has_tonight != duty
    until_then = ""
    if is_later and not had_them:
        until_then = f"Tonight {has_tonight} is on duty. "
    elif is_later and called_tonight:
        until_then = f"Tonight {called_tonight} is called after {has_tonight}. "
    then_called = f"{then} is called" if then else "nobody else is called"
    body = f"If {duty} does not answer, {then_called}" + (", from tomorrow on" if is_other else "")
    body += "." if then else ": give somebody else a push topic or a mail address in the profile."
    after = f": {what} {'from tomorrow' if is_later else 'now'}"
    return Message(
        title=titled("", names, f" {_is_or_are(names)} no longer told{after}", "people"),
        body=f"{until_then}{body} {_CHANGE_IT_BACK}",
        stem=_ENTRY,
        priority=QUIET,
    )


def duty_moved(had: str, duty: str, then: str, tonight: tuple[str, str]) -> Message:
    """Another person stands first in the profile: who has the evenings now, or from tomorrow.

    `tonight`: who had the evening under way, or the next, before that and who has it now.
    """
    first, before = _short(duty, _SHORT_NAME), _short(had, _SHORT_NAME)
    had_tonight, has_tonight = tonight
    when = "From now on" if has_tonight == duty else "From tomorrow"
    title = f"{when} {first} has the evenings, {'no longer' if had_tonight == had else 'not'} "
    title += before
    if had_tonight == has_tonight == duty:  # the other one was to have them, and never had
        title = f"{first} keeps the evenings: they do not pass to {before} tomorrow"
    return Message(
        title=title,
        body=f"If {duty} does not answer, {then} is called. {_CHANGE_IT_BACK}",
        stem=_ENTRY,
        priority=QUIET,
    )


def duty_is_back(had: str, has: str, then: str, duty: str) -> Message:
    """Who has the evening under way again, from whom, and who has the evenings after it."""
    first, before = _short(has, _SHORT_NAME), _short(had, _SHORT_NAME)
    called = f"{then} is called" if then else "everybody is called"
    after = f"From tomorrow {duty} has the evenings. " if duty != has else ""
    return Message(
        title=f"Tonight {first} is on duty again, no longer {before}",
        body=f"If {has} does not answer, {called}. {after}{_CHANGE_IT_BACK}",
        stem=_ENTRY,
        priority=QUIET,
    )


def second_is_back(duty: str, then: str) -> Message:
    """Who is called again, in the evening under way, when whoever is on duty does not answer."""
    first, second = _short(duty, _SHORT_NAME), _short(then, _SHORT_NAME)
    return Message(
        title=f"Tonight {second} is called after {first} again",
        body=_CHANGE_IT_BACK,
        stem=_ENTRY,
        priority=QUIET,
    )


def not_relied_on(what: str) -> str:
    """In the brief, why nobody can count on being reminded; `what` is a whole sentence."""
    return f"Do not rely on the reminders now. {what}"


def left_line(names: Sequence[str]) -> str:
    """The same in the brief, of people who were not called before others."""
    return f"{_joined(names)} {_is_or_are(names)} no longer told when a door stays open."


def _is_or_are(names: Sequence[str]) -> str:
    return "is" if len(names) == 1 else "are"


def renamed(asked: Sequence[str]) -> Message:
    """The changed profile has new ids where there may only be new names."""
    title = "Is it only a new name? The profile calls something by another id"
    return Message(title=title, body=" ".join(asked), stem=title, priority=USUAL)


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


def said_ahead(*, is_sure: bool) -> Message:
    """The clock ran ahead: what was said by it would silence an evening that is to come.

    Unless that `is_sure`, only what was said of doors to be shut was taken back.
    """
    title = "Nothing said while Duskfold's clock was wrong counts: look at the doors"
    body = (
        "Its clock ran ahead and has been set back. Whatever was said in that time, of doors "
        "and jobs or of weather, predators and orders, is taken back, and the reminders go on: "
        "say it again where it is true."
    )
    if not is_sure:
        title = "Duskfold's clock was set back: say again which doors are shut"
        body = (
            "By what it shows now, a door was said to be shut on an evening that is still to come. "
            "That does not count, and the reminders go on. Everything else that was said stands."
        )
    return Message(
        title=title,
        body=body,
        stem=title,
        priority=LOUD,
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
    when = day_words(first)
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


def signed_in(name: str, device: str, by: str) -> Message:
    """Somebody has used a sign-in link that `by` had made; empty: made at the terminal."""
    title = f"{_short(name)} is signed in on another device: {device}"[:TITLE_LENGTH]
    made = f"{_short(by)} had made the link. " if by else ""
    body = f"{made}If that was not meant, end it on the page People."
    return Message(title=title, body=body, stem=_ENTRY, priority=QUIET)


def signed_out(names: Sequence[str], by: Sequence[str]) -> Message:
    """Who is signed out because those who had let them in have left the profile."""
    who = _joined(by)
    after = f" {_is_or_are(names)} signed out where {_short(who)} had let them in"
    body = (
        f"{who} {_is_or_are(by)} no longer in the profile, and every device they let in is signed "
        "out. Links and buttons in messages work as before. To get in again, ask for a sign-in "
        "link: it is made on the page People, or on Duskfold's machine."
    )
    title = titled("", names, after, "people")
    return Message(title=title, body=body, stem=_ENTRY, priority=QUIET)


def invited(name: str, by: str) -> Message:
    """Somebody signed in has made a sign-in link."""
    title = f"{_short(by)} has made a sign-in link for {_short(name)}"[:TITLE_LENGTH]
    body = (
        "It signs one device in, within 15 minutes. If that was not meant, take it back on the "
        "page People; once somebody has used it, sign that device out there."
    )
    return Message(title=title, body=body, stem=_ENTRY, priority=QUIET)


def renewed(name: str) -> Message:
    """All that lets somebody in has ended and begun anew."""
    who = _short(name)
    title = f"The addresses and links of {who} are new"[:TITLE_LENGTH]
    body = (
        f"The old ones have ended, with the buttons of earlier messages to {who}, and {who} is "
        "signed out everywhere. The new ones are on the page Subscribe."
    )
    return Message(title=title, body=body, stem=_ENTRY, priority=QUIET)


def answers_renewed() -> Message:
    """The buttons of every earlier message lead nowhere."""
    title = "The buttons of earlier messages count no more"
    body = "Use those of the next message, its link, or the pages."
    return Message(title=title, body=body, stem=_ENTRY, priority=QUIET)


def let_out(names: Sequence[str], at: str, *, hot: bool, loud: bool) -> Message:
    """The door is to be opened; on a hot day a shut house can kill."""
    title = titled("Let out ", names, f" at {at}" + (": heat today" if hot else ""))
    body = "A shut house in the sun can kill: open it now." if hot else "Good morning."
    priority = LOUD if loud else (USUAL if hot else QUIET)
    return Message(title=title, body=body, stem=title, priority=priority)


def kept_in_the_heat(name: str) -> Message:
    """A housing order keeps them in on a hot day, when a shut house can kill."""
    title = titled("Heat today, and they stay in: open every vent of ", [name], "")
    body = (
        "A shut house in the sun can kill. Open every vent, shade the roof, give cool water, and "
        "look again at midday. If it cannot be kept cool, ask a vet or whoever gave the order."
    )
    return Message(title=title, body=body, stem=title, priority=USUAL)


def free_range(names: Sequence[str], call_in: str, lock_up: str) -> Message:
    """Free-range time begins."""
    title = titled("Free range now: ", names, f", call in {call_in}")
    return Message(
        title=title,
        body=f"Stay in sight. Call them in at {call_in}, lock up at {lock_up}.",
        stem=title,
        priority=USUAL,
    )


def eggs(title: str, body: str, link: str) -> Message:
    """Whether eggs may be eaten, for everybody of the household."""
    return Message(
        title=title[:TITLE_LENGTH],
        body=body if len(title) <= TITLE_LENGTH else f"{title}. {body}",
        stem="Eggs",
        priority=USUAL,
        link=link,
    )
