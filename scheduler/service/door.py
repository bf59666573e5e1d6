"""What a keeper says of a door: shut, open again, birds found, lost, dead or elsewhere.

A closing is never refused because of its count; what else cannot be is asked about and not kept.
The reminders follow in the same transaction.
"""

import logging
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from sqlalchemy import Connection

from scheduler.alerts.evening import Door as Planned
from scheduler.alerts.pursue import Night, Pursuit, pursue
from scheduler.cares.closing import Closing, ClosingKind, Door, door, most
from scheduler.cares.since import since
from scheduler.journal import closings, deliveries, memos
from scheduler.journal.store import Journal
from scheduler.profile.problem import nearest
from scheduler.service.nights import DAYS_BACK, Almanac, nights, states_of

_log = logging.getLogger(__name__)
EARLY = timedelta(hours=3)
_CLOCKS_APART = timedelta(minutes=5)  # of a phone and this machine
_UNDONE_WITHIN = timedelta(hours=24)
_LONGEST_AGO = timedelta(days=366)  # an evening further back is a slip of the pen
_SET_BACK = timedelta(hours=1)  # further back than the last tick no clock is believed
# How it was said: at the terminal, on the pages signed in, by an evening's link (of whoever is on
# duty, or of somebody else) or its button.
How = Literal["terminal", "signed in", "duty's link", "link", "button"]
_BY_LINK: tuple[How, ...] = ("duty's link", "link")
_FOR_GOOD = ("dead", "given-up")
_WHO_MAY_EMPTY: tuple[How, ...] = ("terminal", "signed in")
_TAKES_AWAY = ("dead", "given-up", "elsewhere")
_WHAT_WAS_SAID: Mapping[ClosingKind, str] = {
    "closed": "shut",
    "reopened": "open again",
    "not-found": "not found",
    "given-up": "given up for lost",
    "elsewhere": "sleeping elsewhere",
    "back": "back home",
}
_OF_BIRDS = ("found", "not-found", *_TAKES_AWAY, "back")


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What was said: of one coop (by id or name), or of all that it fits; see `Closing`.

    `turn` is how much had been said of that evening when the page was made on which a button was
    pressed: with it, what says nothing new or comes too late is not kept a second time. `waited`:
    the press was kept on the phone, and comes later than it was made.
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
    waited: bool = False
    how: How = "terminal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """It was kept: for these coops of that evening; `late` after the next let-out.

    `expected` is from before it, `states` how each door stands after it.
    """

    evening: date
    said: tuple[Closing, ...]
    names: tuple[str, ...]
    expected: tuple[int, ...]
    late: bool
    states: tuple[Door, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """It was not kept, and nothing was changed: what was found, what is accepted, a hint.

    `question` asks in plain words about what cannot be.
    """

    key: str
    found: str
    accepted: str
    hint: str = ""
    question: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskFirst:
    """The door is said to be shut hours before the lock-up: is that meant?"""

    lock_up: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Overtaken:
    """Nothing was kept: it `stands` already, or something else has been said meanwhile.

    `since` is what has been said of later evenings, where that overtook it.
    """

    state: Door
    stands: bool
    since: tuple[Closing, ...] = ()


Result = Kept | Refused | AskFirst | Overtaken


def say(journal: Journal, almanac: Almanac, statement: Statement, now: datetime) -> Result:
    """Keeps the statement and what follows from it, or says why not.

    Raises:
        JournalFault: the journal cannot be written.
    """
    at = statement.at or now
    evening = statement.evening or almanac.evening_of(at, statement.coop)
    if beyond := _beyond(almanac, statement, at, evening, now):
        return beyond
    with journal.writing() as writing:
        connection, site_id = writing.connection, almanac.household.profile.site.id
        said = closings.closings(connection, site_id)
        around = nights_of(almanac, connection, evening, said, now)
        if overtaken := _overtaken(statement, around, said, connection, site_id):
            return overtaken
        chosen = _chosen(around, statement)
        if isinstance(chosen, Refused):
            return chosen
        if not_yet := _ended_since(statement, chosen, said) or _early(statement, chosen, at):
            return not_yet
        new = tuple(
            Closing(
                kind=statement.kind,
                coop_id=coop_id,
                evening=evening,
                at=at,
                who=statement.who,
                flock=planned_of(night, coop_id).profile_birds,
                count=_counted(statement, night, coop_id),
                some_missing=statement.some_missing and statement.count is None,
            )
            for coop_id, night in chosen.items()
        )
        kept = _kept(evening, new, chosen, [*said, *new], now)
        if emptied := _empties(statement, chosen, kept):
            return emptied
        closings.add(connection, site_id, new, now)
        follow(almanac, connection, now)
    return kept


def _early(statement: Statement, chosen: Mapping[str, Night], at: datetime) -> AskFirst | None:
    first = min(night.evening.lock_up for night in chosen.values())
    if statement.kind == "closed" and first - at > EARLY and not statement.sure:
        return AskFirst(lock_up=first)
    return None


def _beyond(
    almanac: Almanac, statement: Statement, at: datetime, evening: date, now: datetime
) -> Refused | None:
    """Why nobody can know that yet, or any more."""
    today = almanac.household.today(now)
    if at > now + _CLOCKS_APART:
        found = f"{at:%Y-%m-%d %H:%M} UTC"
        return Refused(key="--at", found=found, accepted="a time that has come")
    if evening > today:
        accepted = "an evening that has come"
        return Refused(key="--evening", found=evening.isoformat(), accepted=accepted)
    if evening < today - _LONGEST_AGO:
        return Refused(
            key="--evening",
            found=evening.isoformat(),
            accepted="an evening of the last year",
            question="That is too long ago for anybody to know. Which evening do you mean?",
        )
    return _before_the_flock(almanac, statement, evening, today)


def _before_the_flock(
    almanac: Almanac, statement: Statement, evening: date, today: date
) -> Refused | None:
    """Why nothing was shut on an evening that is over: no bird had come yet."""
    profile, coop_id = almanac.household.profile, _coop_id(almanac, statement.coop)
    houses = [one for one in profile.coop if coop_id in {None, one.id}]
    if evening >= today - timedelta(days=DAYS_BACK) or not houses:
        return None
    if any(almanac.birds_in(one.id, evening) for one in houses):
        return None
    came = [one.arrived for house in houses for one in profile.flocks_of(house.id) if one.arrived]
    first = f": the first came on {min(came).day} {min(came):%B %Y}" if came else ""
    names = " and ".join(one.name for one in houses)
    return Refused(
        key="--evening",
        found=evening.isoformat(),
        accepted="an evening on which birds lived there",
        question=f"No bird lived in {names} then{first}. Which evening do you mean?",
    )


def take_back(
    journal: Journal, almanac: Almanac, statement: Statement, now: datetime
) -> Kept | Refused | Overtaken:
    """Takes back what was said last: of the statement's coop and evening, as far as it names them.

    Without an evening nothing that was said more than a day ago: nobody means that.
    What was said of several houses at once is taken back of all of them. Where that opens a door
    again, the reminders go on as a new turn.

    Raises:
        JournalFault: the journal cannot be written.
    """
    site_id = almanac.household.profile.site.id
    with journal.writing() as writing:
        connection = writing.connection
        said = closings.closings(connection, site_id)
        coop_id = _coop_id(almanac, statement.coop)
        ever = _last_said(said, statement, coop_id)
        last = [one for one in ever if statement.evening or one.at >= now - _UNDONE_WITHIN]
        if not last and (ever or _is_long_ago(almanac, statement, now)):
            return _nothing_to_take_back(almanac, ever)
        evening = last[-1].evening if last else (statement.evening or almanac.evening_of(now))
        around = nights_of(almanac, connection, evening, said, now)
        chosen = _chosen(around, statement)
        if isinstance(chosen, Refused):
            return chosen
        if statement.turn is not None and statement.coop is not None:
            [(coop_id, night)] = chosen.items()
            turn = closings.turns(connection, site_id, evening).get((coop_id, evening), 0)
            if turn != statement.turn or not last:
                again = [one for one in said if (one.coop_id, one.evening) == (coop_id, evening)]
                stands = turn == statement.turn + 1 and _is_undone_by(statement.who, again)
                return Overtaken(state=night.states[coop_id], stands=stands)
        if not last:
            return _nothing_to_take_back(almanac, ever)
        named = {one.coop_id: night for night in around for one in night.evening.doors}
        mine = {one.coop_id: named[one.coop_id] for one in last if one.coop_id in named}
        for one in last:
            closings.take_back(connection, site_id, one.coop_id, evening, now, statement.who)
        left = closings.closings(connection, site_id)
        follow(almanac, connection, now)
    told = tuple(one for one in last if one.coop_id in mine)
    return _kept(evening, told, mine, left, now)


def _is_long_ago(almanac: Almanac, statement: Statement, now: datetime) -> bool:
    evening = statement.evening
    return evening is not None and evening < almanac.household.today(now) - _LONGEST_AGO


def _nothing_to_take_back(almanac: Almanac, ever: Sequence[Closing]) -> Refused:
    """Says what a named evening would take back, where only something older was said."""
    if not ever:
        return Refused(key="undo", found="nothing", accepted="something that was said of it")
    named = {one.id: one.name for one in almanac.household.profile.coop}
    names = " and ".join(named.get(one.coop_id, one.coop_id) for one in ever)
    last = ever[-1]
    what = _WHAT_WAS_SAID.get(last.kind, last.kind)
    if last.count is not None:
        what = f"{what}, {last.count} in" if last.kind == "closed" else f"{last.count} {what}"
    return Refused(
        key="undo",
        found="nothing said in the last 24 hours",
        accepted=f"--evening {last.evening.isoformat()}, for what was said last",
        question=f"That would take back: {names}, {what}, said by {last.who}.",
    )


def _coop_id(almanac: Almanac, named: str | None) -> str | None:
    wanted = (named or "").casefold()
    coops = almanac.household.profile.coop
    return next((one.id for one in coops if wanted in {one.id, one.name.casefold()}), named)


def _last_said(said: Iterable[Closing], statement: Statement, coop_id: str | None) -> list[Closing]:
    """The last thing said that fits the statement, of every house that it was said of."""
    fitting = [
        one
        for one in said
        if one.kind != "undone"
        and coop_id in {None, one.coop_id}
        and statement.evening in {None, one.evening}
    ]
    last: list[Closing] = []
    for one in reversed(fitting):
        same = not last or (one.kind, one.at, one.who) == (last[0].kind, last[0].at, last[0].who)
        if not same or one.coop_id in {other.coop_id for other in last}:
            break
        last.insert(0, one)
    return last


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
    said: Sequence[Closing],
    connection: Connection,
    site_id: str,
) -> Overtaken | None:
    """Why a button of a page is of no use any more; a closing only where it says nothing new.

    A tap that was kept out of reception was made before what was said since, whatever the phone's
    clock shows: a door that was found open meanwhile stays open, and a search goes on. A page that
    was shown before birds were missed does not end their search, either.
    """
    night = next((one for one in around if statement.coop in one.states), None)
    if statement.turn is None or statement.coop is None or night is None:
        return None
    place, state = (statement.coop, night.evening.day), night.states[statement.coop]
    turn = closings.turns(connection, site_id, place[1]).get(place, 0)
    if statement.kind != "closed":
        if turn == statement.turn or _was_seen(statement, place, turn, said):
            return None
        stands = turn == statement.turn + 1 and _says_the_same(statement, state.last)
        return Overtaken(state=state, stands=stands)
    if _is_known(statement, state):
        return Overtaken(state=state, stands=True)
    # Where nobody has counted, an earlier count still says something.
    adds = state.state == "shut" and state.counted is None and statement.count is not None
    stale = turn != statement.turn
    if stale and ((statement.waited and not adds) or _ends_a_search(statement, state)):
        return Overtaken(state=state, stands=False)
    return None


def _was_seen(
    statement: Statement, place: tuple[str, date], turn: int, said: Sequence[Closing]
) -> bool:
    """Whether somebody saw the bird, and the others have only said since that they did not.

    Who has found her knows more than who has not, whichever of the two came through first.
    """
    if statement.kind not in {"found", "dead", "elsewhere"} or statement.turn is None:
        return False
    here = [one for one in said if (one.coop_id, one.evening) == place]
    newer = here[-(turn - statement.turn) :] if turn > statement.turn else []
    return bool(newer) and all(one.kind == "not-found" for one in newer)


def _ended_since(
    statement: Statement, chosen: Mapping[str, Night], said: Sequence[Closing]
) -> Overtaken | None:
    """Why an ending comes too late: of that evening's missing fewer are missing now.

    Said of birds that were in it is kept: that a later count contradicts it is asked about.
    """
    if statement.kind not in {"found", "not-found", *_TAKES_AWAY}:
        return None
    for coop_id, night in chosen.items():
        state, later = night.states[coop_id], since(said, coop_id, night.evening.day)
        about = statement.count or state.missing or state.at_large
        if later and not later.allows(min(about, state.at_large)):
            return Overtaken(state=state, stands=False, since=later.said)
    return None


def _ends_a_search(statement: Statement, state: Door) -> bool:
    """Whether it counts birds in that were said to be missing: a page's field is filled with all.

    That fewer are in is taken of every page.
    """
    if not (state.missing or state.lost) or statement.count is None:
        return False
    known = state.expected - 1 if state.counted is None else state.counted
    return statement.count > known


def _is_known(statement: Statement, state: Door) -> bool:
    """Whether a door stands as the closing says."""
    if state.state == "open":
        return False
    if statement.count is not None:
        return statement.count == state.counted
    return state.state == "searching" if statement.some_missing else True


def _says_the_same(statement: Statement, last: Closing | None) -> bool:
    """Whether what was said last is the statement itself, sent once more: no answer came back."""
    if last is None or (last.kind, last.who) != (statement.kind, statement.who):
        return False
    return statement.count in {None, last.count}


def _is_undone_by(who: str, said: Sequence[Closing]) -> bool:
    """Whether the newest thing of these is that somebody has taken one of them back."""
    last = max(said, key=lambda one: (one.at, one.kind == "undone"), default=None)
    return last is not None and (last.kind, last.who) == ("undone", who)


def nights_of(
    almanac: Almanac,
    connection: Connection,
    evening: date,
    said: Sequence[Closing],
    now: datetime,
) -> tuple[Night, ...]:
    """The evenings of that date with everything said of them, of houses without birds as well."""
    found = nights(almanac, connection, now, said)
    here = tuple(night for night in found if night.evening.day == evening)
    # A house without birds, or an evening longer ago: nothing is due, but something may be said.
    covered = {one.coop_id for night in here for one in night.evening.doors}
    return here + tuple(
        Night(
            evening=planned,
            states=states_of(planned, said),
            rows=(),
            noon=almanac.noon(evening),
            zone=almanac.household.profile.site.zone,
            key=almanac.key,
        )
        for planned in almanac.planned(evening, said, covered, empty=True)
    )


def planned_of(night: Night, coop_id: str) -> Planned:
    """The coop's door as the evening has it."""
    return next(one for one in night.evening.doors if one.coop_id == coop_id)


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
    state = night.states[coop_id]
    if kind == "closed":
        return state.waits
    if kind == "reopened":
        return state.state != "open"
    if kind in {"dead", "elsewhere"}:
        return state.at_large > 0
    return most(state, kind) > 0


def _fitting(statement: Statement, chosen: dict[str, Night]) -> dict[str, Night] | Refused:
    """Refuses what has no meaning: opening an open door, birds found where none are missing."""
    states = [night.states[coop_id] for coop_id, night in chosen.items()]
    if statement.kind == "reopened" and all(state.state == "open" for state in states):
        return Refused(
            key="reopened", found="a door that nobody has shut", accepted="a door said to be shut"
        )
    if statement.kind not in _OF_BIRDS:
        return chosen
    at_large = any(state.at_large for state in states)
    if not any(most(state, statement.kind) for state in states):
        return _none_there(statement.kind, chosen)
    if statement.count is None and (
        statement.kind == "back" or (statement.kind in {"dead", "elsewhere"} and not at_large)
    ):
        return Refused(key="--count", found="none", accepted="how many birds it is about")
    for coop_id, night in chosen.items():
        greatest = most(night.states[coop_id], statement.kind)
        if statement.count is not None and not 1 <= statement.count <= greatest:
            return _too_many(statement, planned_of(night, coop_id), greatest)
    return _beyond_a_link(statement, chosen) or chosen


def _none_there(kind: ClosingKind, chosen: Mapping[str, Night]) -> Refused:
    names = " and ".join(planned_of(night, coop_id).name for coop_id, night in chosen.items())
    if kind == "back":
        return Refused(
            key=kind,
            found="no bird elsewhere",
            accepted="birds that were said to sleep elsewhere",
            question=f"No bird of {names} is said to sleep elsewhere. Which house is it?",
        )
    if kind in {"dead", "elsewhere"}:
        return Refused(
            key=kind,
            found="no bird there",
            accepted="a house with birds",
            question=f"No bird lives in {names}. Which house is it?",
        )
    return Refused(
        key=kind,
        found="no bird missing",
        accepted="birds that were said to be missing",
        question=f"No bird of {names} is missing. Which house is it?",
    )


def _too_many(statement: Statement, planned: Planned, greatest: int) -> Refused:
    are = "is" if greatest == 1 else "are"
    sleep = "sleeps" if greatest == 1 else "sleep"
    of_missing = f"Only {greatest} of {planned.name} {are} missing."
    what = {
        "found": of_missing,
        "not-found": of_missing,
        "given-up": of_missing,
        "back": f"Only {greatest} of {planned.name} {sleep} elsewhere.",
    }.get(statement.kind, f"Only {greatest} {are} left in {planned.name}.")
    return Refused(
        key="--count",
        found=str(statement.count),
        accepted=f"1 to {greatest}" if greatest > 1 else "1",
        question=f"{what} How many do you mean?",
    )


def _beyond_a_link(statement: Statement, chosen: Mapping[str, Night]) -> Refused | None:
    """Why an evening's link may not say that: links are forwarded, and lie in mailboxes.

    By a link birds leave the flock only out of those that are missing, and for good only on the
    word of whoever is on duty.
    """
    if statement.how not in _BY_LINK or statement.kind not in _TAKES_AWAY:
        return None
    missing = sum(night.states[coop_id].at_large for coop_id, night in chosen.items())
    names = " and ".join(planned_of(night, coop_id).name for coop_id, night in chosen.items())
    if not missing or (statement.count or 0) > missing:
        are = "is" if missing == 1 else "are"
        known = f"Only {missing} of {names} {are}" if missing else f"None of {names} is"
        return Refused(
            key="--count",
            found="none" if statement.count is None else str(statement.count),
            accepted=f"at most the {missing} missing" if missing else "a bird that is missing",
            question=f"{known} missing. If it is more, sign in and say it there.",
        )
    if statement.kind in _FOR_GOOD and statement.how != "duty's link":
        return Refused(
            key=statement.kind,
            found="somebody who is not on duty",
            accepted="whoever is on duty, or somebody who is signed in",
            question="Only whoever is on duty, or somebody signed in, can say that.",
        )
    return None


def _empties(statement: Statement, chosen: Mapping[str, Night], kept: Kept) -> Refused | None:
    """Why a link or a button says too much: nobody would be reminded of that door any more."""
    if statement.how in _WHO_MAY_EMPTY or statement.kind not in _TAKES_AWAY:
        return None
    for one, name, state in zip(kept.said, kept.names, kept.states, strict=True):
        if state.is_empty and not chosen[one.coop_id].states[one.coop_id].is_empty:
            return Refused(
                key="--count",
                found=f"every bird of {name}",
                accepted="fewer; all of them only from somebody who is signed in",
                question=(
                    f"Then no bird is left in {name}, and nobody is reminded of its door. If that "
                    "is so, sign in and say it there."
                ),
            )
    return None


def _counted(statement: Statement, night: Night, coop_id: str) -> int | None:
    if statement.kind in _TAKES_AWAY and statement.count is None:
        state = night.states[coop_id]
        return state.missing or state.at_large
    return statement.count


def _kept(
    evening: date,
    new: tuple[Closing, ...],
    chosen: Mapping[str, Night],
    said: Sequence[Closing],
    now: datetime,
) -> Kept:
    planned = {one.coop_id: planned_of(chosen[one.coop_id], one.coop_id) for one in new}
    return Kept(
        evening=evening,
        said=new,
        names=tuple(planned[one.coop_id].name for one in new),
        expected=tuple(chosen[one.coop_id].states[one.coop_id].expected for one in new),
        late=all(now >= night.evening.let_out for night in chosen.values()),
        states=tuple(
            door(said, one.coop_id, evening, planned[one.coop_id].profile_birds) for one in new
        ),
    )
