"""What a keeper says of a door: shut, open again, birds found, lost, dead or elsewhere.

A closing is never refused because of its count. The reminders follow in the same transaction.
"""

import logging
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.answer import Answer
from scheduler.alerts.decide import opening
from scheduler.alerts.pursue import Night, Pursuit, pursue
from scheduler.cares.closing import Closing, ClosingKind, Door, door
from scheduler.journal import closings, deliveries, memos
from scheduler.journal.store import Journal
from scheduler.profile.problem import nearest
from scheduler.service.nights import Almanac, nights

_log = logging.getLogger(__name__)
EARLY = timedelta(hours=3)
_CLOCKS_APART = timedelta(minutes=5)  # of a phone and this machine
_ANSWERED_WITHIN = timedelta(hours=48)
_SET_BACK = timedelta(hours=1)  # further back than the last tick no clock is believed
_SEARCH_KINDS = ("found", "not-found", "dead", "elsewhere")


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What was said: of one coop (by id or name), or of all that it fits; see `Closing`.

    `turn` is how much had been said of that evening when the page was made on which a button was
    pressed: with it, what says nothing new or comes too late is not kept a second time.
    """

    kind: ClosingKind
    coop: str | None = None
    count: int | None = None
    some_missing: bool = False
    who: str
    at: datetime | None = None
    evening: date | None = None
    sure: bool = False
    turn: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """It was kept: for these coops of that evening; `late` after the next let-out."""

    evening: date
    said: tuple[Closing, ...]
    names: tuple[str, ...]
    expected: tuple[int, ...]
    late: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """It was not kept, and nothing was changed: what was found, what is accepted, a hint."""

    key: str
    found: str
    accepted: str
    hint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskFirst:
    """The door is said to be shut hours before the lock-up: is that meant?"""

    lock_up: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Overtaken:
    """Nothing was kept: it was said before, or something else has been said meanwhile."""

    state: Door


Result = Kept | Refused | AskFirst | Overtaken


def say(journal: Journal, almanac: Almanac, statement: Statement, now: datetime) -> Result:
    """Keeps the statement and what follows from it, or says why not.

    Raises:
        JournalFault: the journal cannot be written.
    """
    at = statement.at or now
    if at > now + _CLOCKS_APART:
        found = f"{at:%Y-%m-%d %H:%M} UTC"
        return Refused(key="--at", found=found, accepted="a time that has come")
    evening = statement.evening or almanac.evening_of(at, statement.coop)
    if evening > almanac.household.today(now):
        accepted = "an evening that has come"
        return Refused(key="--evening", found=evening.isoformat(), accepted=accepted)
    with journal.writing() as writing:
        connection, site_id = writing.connection, almanac.household.profile.site.id
        said = closings.closings(connection, site_id)
        around = _around(almanac, connection, evening, said, now)
        if overtaken := _overtaken(statement, around, connection, site_id, said):
            return overtaken
        chosen = _chosen(around, statement)
        if isinstance(chosen, Refused):
            return chosen
        first = min(night.evening.lock_up for night in chosen.values())
        if statement.kind == "closed" and first - at > EARLY and not statement.sure:
            return AskFirst(lock_up=first)
        new = tuple(
            Closing(
                kind=statement.kind,
                coop_id=coop_id,
                evening=evening,
                at=at,
                who=statement.who,
                flock=almanac.birds_in(coop_id, evening),
                count=_counted(statement, night, coop_id),
                some_missing=statement.some_missing and statement.count is None,
            )
            for coop_id, night in chosen.items()
        )
        closings.add(connection, site_id, new, now)
        follow(almanac, connection, now)
    return _kept(evening, new, chosen, late=all(now >= n.evening.let_out for n in chosen.values()))


def take_back(
    journal: Journal, almanac: Almanac, statement: Statement, now: datetime
) -> Kept | Refused | Overtaken:
    """Takes back what was said last of the statement's coop and evening.

    A closing is taken back by saying that the door is open: the reminders go on as a new turn.

    Raises:
        JournalFault: the journal cannot be written.
    """
    site_id = almanac.household.profile.site.id
    evening = statement.evening or almanac.evening_of(now, statement.coop)
    with journal.writing() as writing:
        connection = writing.connection
        said = closings.closings(connection, site_id)
        around = _around(almanac, connection, evening, said, now)
        chosen = _chosen(around, statement)
        if isinstance(chosen, Refused):
            return chosen
        [(coop_id, night)] = chosen.items()
        turn = closings.turns(connection, site_id, evening).get((coop_id, evening), 0)
        last = _said_of(said, (coop_id, evening))
        if turn != statement.turn or not last or last[-1].kind == "reopened":
            # A door said to be open is shut by shutting it: its reminders are under way.
            return Overtaken(state=night.states[coop_id])
        if last[-1].kind == "closed":
            undone = replace(last[-1], kind="reopened", at=now, who=statement.who, count=None)
            closings.add(connection, site_id, [undone], now)
        else:
            closings.take_back(connection, site_id, coop_id, evening, now)
        follow(almanac, connection, now)
    return _kept(evening, (last[-1],), chosen, late=now >= night.evening.let_out)


def answer(journal: Journal, almanac: Almanac, given: Answer, now: datetime) -> bool:
    """Keeps what a button said; False when it is late, spent, of another turn, or says nothing new.

    Raises:
        JournalFault: the journal cannot be written.
    """
    site_id = almanac.household.profile.site.id
    if given.site_id != site_id:
        return False
    with journal.writing() as writing:
        connection = writing.connection
        said = closings.closings(connection, site_id)
        around = _around(almanac, connection, given.day, said, now)
        night = next((one for one in around if one.evening.subject_id == given.subject_id), None)
        if night is None or now > night.evening.lock_up + _ANSWERED_WITHIN:
            return False
        if given.opening != opening(night.states):
            return False
        if not closings.spend(connection, site_id, given.token(almanac.key), given.day):
            return False
        names = {contact.person_id: contact.name for contact in night.evening.crew}
        new = [
            Closing(
                kind="closed",
                coop_id=coop_id,
                evening=given.day,
                at=now,
                who=names.get(given.person_id, given.person_id),
                flock=almanac.birds_in(coop_id, given.day),
                count=state.expected if given.verb == "all-in" else None,
                some_missing=given.verb == "some-missing",
            )
            for coop_id, state in night.states.items()
            if state.state == "open" or _says_more(given, night.states)
        ]
        closings.add(connection, site_id, new, now)
        follow(almanac, connection, now)
    return bool(new)


def _says_more(given: Answer, states: Mapping[str, Door]) -> bool:
    """Whether a button that is pressed after the door was shut adds something to know.

    That some are missing does, whoever said "all in" before; a count where there was none does.
    Of several doors nobody can know which the button was for.
    """
    if len(states) != 1 or given.verb == "not-counted":
        return False
    [state] = states.values()
    return state.counted is None or (given.verb == "some-missing" and state.state == "shut")


def follow(almanac: Almanac, connection: Connection, now: datetime) -> None:
    """Writes down what every evening around `now` needs after something was said.

    Nothing by a clock that is behind: the tick follows once it has been set.
    """
    last = memos.recall(connection, almanac.household.profile.site.id, memos.LAST_TICK)
    if last and now < datetime.fromisoformat(last) - _SET_BACK:
        return
    for night in nights(almanac, connection, now):
        try:
            found = pursue(night, now)
        except Exception:  # noqa: BLE001 - nothing must keep a closing from being kept
            _log.exception("evening.not_followed")
            continue
        carry_out(connection, night, found)


def carry_out(connection: Connection, night: Night, pursuit: Pursuit) -> None:
    """Writes a pursuit down; the evening's snapshot is kept from its first step on."""
    if any(one.operation == "send" for one in pursuit.add):
        deliveries.open_evening(connection, night.evening)
    deliveries.drop(connection, pursuit.drop)
    for key, message in pursuit.reword:
        deliveries.reword(connection, key, message)
    deliveries.add(connection, pursuit.add)


def _overtaken(
    statement: Statement,
    around: Sequence[Night],
    connection: Connection,
    site_id: str,
    said: Sequence[Closing],
) -> Overtaken | None:
    """Why a button of a page is of no use any more; a closing only where it says nothing new.

    A tap that comes late, because it was kept out of reception, was made before what was said
    since: a door that was found open meanwhile stays open.
    """
    night = next((one for one in around if statement.coop in one.states), None)
    if statement.turn is None or statement.coop is None or night is None:
        return None
    place, state = (statement.coop, night.evening.day), night.states[statement.coop]
    if statement.kind != "closed":
        turn = closings.turns(connection, site_id, place[1]).get(place, 0)
        return Overtaken(state=state) if turn != statement.turn else None
    known = state.state != "open" and (
        (state.state == "searching" and statement.some_missing and statement.count is None)
        or (statement.count is None and not statement.some_missing)
        or (statement.count is not None and statement.count == state.counted)
    )
    since = _said_of(said, place)
    newer = bool(since) and statement.at is not None and statement.at <= since[-1].at
    # Where nobody has counted, an earlier count still says something.
    adds = state.state == "shut" and state.counted is None and statement.count is not None
    return Overtaken(state=state) if known or (newer and not adds) else None


def _said_of(said: Iterable[Closing], place: tuple[str, date]) -> list[Closing]:
    return [one for one in said if (one.coop_id, one.evening) == place]


def _around(
    almanac: Almanac,
    connection: Connection,
    evening: date,
    said: Sequence[Closing],
    now: datetime,
) -> tuple[Night, ...]:
    found = nights(almanac, connection, now, said)
    here = tuple(night for night in found if night.evening.day == evening)
    if here:
        return here
    # An evening longer ago: nothing is due of it any more, but it may be written up.
    return tuple(
        Night(
            evening=planned,
            states={
                one.coop_id: door(said, one.coop_id, evening, one.birds) for one in planned.doors
            },
            rows=(),
            noon=almanac.noon(evening),
            zone=almanac.household.profile.site.zone,
            key=almanac.key,
        )
        for planned in almanac.planned(evening, said)
    )


def _chosen(around: Sequence[Night], statement: Statement) -> dict[str, Night] | Refused:
    """The coops that the statement is about, each with its evening."""
    doors = {one.coop_id: (one.name, night) for night in around for one in night.evening.doors}
    if statement.coop is not None:
        wanted = statement.coop.casefold()
        for coop_id, (name, night) in doors.items():
            if wanted in {coop_id, name.casefold()}:
                return _fitting(statement, {coop_id: night})
        ids = list(doors)
        return Refused(
            key="--coop",
            found=statement.coop,
            accepted=", ".join(ids),
            hint=nearest(statement.coop, [*ids, *(name for name, _ in doors.values())]),
        )
    fitting = {
        coop_id: night
        for coop_id, (_, night) in doors.items()
        if _fits(statement.kind, night, coop_id)
    }
    if len(doors) > 1 and len(fitting) != 1 and statement.count is not None:
        return Refused(
            key="--count",
            found=f"{statement.count}, and {len(doors)} houses",
            accepted="a count together with --coop: " + ", ".join(doors),
        )
    return _fitting(statement, fitting or {coop_id: night for coop_id, (_, night) in doors.items()})


def _fits(kind: ClosingKind, night: Night, coop_id: str) -> bool:
    state = night.states[coop_id].state
    if kind == "closed":
        return state == "open"
    return state == "searching" if kind in _SEARCH_KINDS else state != "open"


def _fitting(statement: Statement, chosen: dict[str, Night]) -> dict[str, Night] | Refused:
    """Refuses what has no meaning: opening an open door, birds found where none are missing."""
    states = [night.states[coop_id] for coop_id, night in chosen.items()]
    if statement.kind == "reopened" and all(state.state == "open" for state in states):
        return Refused(
            key="reopened", found="a door that nobody has shut", accepted="a door said to be shut"
        )
    missing = any(state.state == "searching" for state in states)
    if statement.kind in {"found", "not-found"} and not missing:
        return Refused(
            key=statement.kind,
            found="an evening on which no bird is missing",
            accepted="an evening with a short count (duskfold closed --count N)",
        )
    uncounted = statement.count is None and (statement.kind == "back" or not missing)
    if statement.kind in {"dead", "elsewhere", "back"} and uncounted:
        return Refused(key="--count", found="none", accepted="how many birds it is about")
    return chosen


def _counted(statement: Statement, night: Night, coop_id: str) -> int | None:
    if statement.kind in {"dead", "elsewhere"} and statement.count is None:
        return night.states[coop_id].missing
    return statement.count


def _kept(evening: date, new: tuple[Closing, ...], chosen: dict[str, Night], *, late: bool) -> Kept:
    named = {one.coop_id: one.name for night in chosen.values() for one in night.evening.doors}
    return Kept(
        evening=evening,
        said=new,
        names=tuple(named[one.coop_id] for one in new),
        expected=tuple(chosen[one.coop_id].states[one.coop_id].expected for one in new),
        late=late,
    )
