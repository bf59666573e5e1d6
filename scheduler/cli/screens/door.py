"""What a keeper says of a door: closed, reopened, and the end of a search."""

import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta, tzinfo
from functools import partial
from typing import NoReturn

from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.door_state import Door
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, by_program, complain, go_on_after
from scheduler.cli.screens.tables import as_json
from scheduler.cli.typed import MOST_BIRDS, Typed, refusal
from scheduler.light.sun import HalfDay
from scheduler.light.wall import first_in
from scheduler.messages.missing import missing_since, more_found, said_dead, who_is_missing
from scheduler.messages.who_said import said_since
from scheduler.profile.site import Site
from scheduler.profile.words import capitalized, local_clock
from scheduler.service.diary import Refused
from scheduler.service.doors.statement import AskFirst, Kept, Overtaken, Statement
from scheduler.service.doors.undo import what_was_said
from scheduler.service.household.open_profile import Household
from scheduler.wording.cli.door import (
    AfterShut,
    BirdsDone,
    DoorDone,
    DoorScreen,
    DoorShut,
    DoorStands,
)
from scheduler.wording.cli.refusals import AcceptedThere, FoundThere, RefusalHints
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import by_code

_DAY = timedelta(days=1)
_LONG_AGO = timedelta(hours=18)  # a time of that day before is a slip of the finger
_COMMANDS = {"undone": "undo", "back": "elsewhere --back", "moved-out": "moved"}


def run(  # noqa: PLR0913 - what the command line said
    session: Session,
    kind: ClosingKind,
    *,
    coop: str | None,
    count: str | None = None,
    who: str | None,
    at: str | None = None,
    evening: str | None = None,
    sure: bool = False,
    to: str | None = None,
    json: bool = False,
) -> None:
    """Keeps it and says what was kept; asks before a closing hours ahead of the lock-up."""
    household = session.household_in_force
    profile = household.profile
    typed = Typed(_COMMANDS.get(kind, kind))
    house = typed.one_of("--coop", coop, profile.coop)
    other = typed.one_of("--to", to, profile.coop)
    if kind == "moved-out" and to is None:
        others = [one.name for one in profile.coop if one is not house]
        one_of = in_a_row(others) if len(profile.coop) > 1 else AcceptedThere.another_house()
        typed.refuse("--to", FoundThere.no_house(), one_of)
    said_at, day = typed.wall_time("--at", at), typed.day("--evening", evening)
    moment = None if said_at is None else _moment(said_at, day, profile.site.zone, session.now)
    if said_at is not None and moment is None:
        typed.refuse_word("--at", at or "", AcceptedThere.until_now())
    elif moment and day is None and session.now - moment > _LONG_AGO:
        found, has_come = FoundThere.not_yet_today(time=at), AcceptedThere.until_now()
        typed.refuse("--at", found, has_come, RefusalHints.yesterday())
    statement = Statement(
        kind=kind,
        coop=house.id if house else None,
        count=typed.whole("--count", count, 0, MOST_BIRDS),
        who=typed.speaker(profile, who),
        at=moment,
        evening=day,
        sure=sure,
        to=other.id if other else None,
    )
    typed.end_if_wrong()
    result = session.say(statement)
    if isinstance(result, AskFirst):
        site = profile.site
        lock_up = local_clock(result.lock_up, site.zone, site.region)
        go_on_after(DoorScreen.lock_up_later(time=lock_up))
        result = session.say(replace(statement, sure=True))
    if isinstance(result, Refused):
        _refuse(kind, result)
    if isinstance(result, Kept):
        _show(household, result, undone=kind == "undone", json=json)
        _take_back(session, household)
    elif isinstance(result, Overtaken):
        _nothing_changed(kind, result)


def _nothing_changed(kind: ClosingKind, result: Overtaken) -> None:
    """Says so; where later evenings have ended it already, that is no use of the command."""
    said = DoorScreen.nothing_changed()
    if result.since:
        said = DoorScreen.overtaken(said=said_since(result.since))
    complain(by_program(said, _COMMANDS.get(kind, kind)))
    if not result.stands:
        sys.exit(CANNOT_USE)


def _take_back(session: Session, household: Household) -> None:
    """While the reminders are not running, what a push server holds is taken back from here."""
    told = session.take_back(household)
    if told is None:
        return
    profile = household.profile
    names = profile.person_names
    if told.gone:
        gone = in_a_row([names.get(one, one) for one in told.gone])
        complain(DoorScreen.alarm_cancelled(people=gone))
    if told.rings:
        whose = in_a_row([*dict.fromkeys(names.get(one, one) for one, _ in told.rings)])
        at = local_clock(min(at for _, at in told.rings), profile.site.zone, profile.site.region)
        complain(DoorScreen.alarm_rings(people=whose, time=at))


def _moment(said: time, evening: date | None, zone: tzinfo, now: datetime) -> datetime | None:
    """The last time before now that the clock showed it; with an evening, that evening's."""
    if evening is None:
        return first_in(HalfDay(now - _DAY, now), said, zone)
    noon = datetime(evening.year, evening.month, evening.day, 12, tzinfo=zone)
    noon = noon.astimezone(now.tzinfo)
    return first_in(HalfDay(noon, noon + _DAY), said, zone)


def _show(household: Household, kept: Kept, *, undone: bool, json: bool) -> None:
    if json:
        print(as_json(_facts(kept)))
        return
    for one, name, state in zip(kept.said, kept.names, kept.states, strict=True):
        say = _taken_back if undone else _kept
        said = say(household.profile.site, one, state, late=kept.late)
        print(DoorScreen.of_house(house=name, said=said))
    if any(one.kind == "arrived" for one in kept.said) and not undone:
        print(DoorScreen.live_apart())
    if kept.late:
        done = DoorScreen.taken_back_late if undone else DoorScreen.noted_late
        print(done(day=kept.evening))


def _facts(kept: Kept) -> dict[str, object]:
    return {
        "evening": kept.evening,
        "late": kept.late,
        "said": [
            {
                "coop": one.coop_id,
                "kind": one.kind,
                "at": one.at,
                "by": one.who,
                "count": one.count,
                "expected": expected,
                "missing": state.at_large,
                "at_least": state.may_miss_more,
            }
            for one, expected, state in zip(kept.said, kept.expected, kept.states, strict=True)
        ],
    }


def _kept(site: Site, one: Closing, state: Door, *, late: bool) -> str:
    if one.kind == "closed":
        return " ".join(_shut(site, one, state, late=late))
    if one.kind == "reopened":
        return DoorDone.reopened_late() if late else DoorDone.reopened()
    code: str = one.kind
    if one.kind == "not-found" and state.state == "searching":
        code = "keep-looking"
    if one.count is None:
        done = by_code(DoorDone, code)()
    else:
        done = by_code(BirdsDone, code)(birds=one.count)
    if one.kind == "found" and state.are_all_in and not late:
        return f"{done} {DoorStands.all_in(birds=state.expected)}"
    return f"{done} {_now(state, late=late)}"


def _taken_back(site: Site, one: Closing, state: Door, *, late: bool) -> str:
    said = [DoorStands.taken_back(said=what_was_said(one.kind, one.count))]
    if one.kind == "closed" and state.state != "open":  # another word that it is shut stands
        said.append(_left(site, state.said))
    return " ".join([*said, _now(state, late=late)])


def _left(site: Site, said: Closing | None) -> str:
    """Says it as "It still stands that Ana shut the door at 16:21, 11 in."."""
    if said is None:
        return DoorStands.still_shut()
    at = local_clock(said.at, site.zone, site.region, said.evening)
    if said.count is None:
        return DoorStands.still_shut_by(who=said.who, time=at)
    return DoorStands.still_shut_in(who=said.who, time=at, birds=said.count)


def _now(state: Door, *, late: bool) -> str:
    """How the house stands, or stood that evening: how many belong in, who is missing or away."""
    parts = [DoorStands.expected(birds=state.expected), *who_is_missing(state)]
    if state.away:
        parts.append(DoorStands.away(birds=state.away))
    now = (DoorStands.that_evening if late else DoorStands.now)(birds=in_a_row(parts))
    return " ".join(filter(None, (now, more_found(state))))


def _shut(site: Site, one: Closing, state: Door, *, late: bool) -> Iterator[str]:
    """Who shut it, how many are in, and what is to be done about the others."""
    said = partial(_how_many(one, state), who=one.who)
    yield said(time=local_clock(one.at, site.zone, site.region, one.evening))
    if state.state == "searching":
        # By day nobody shuts the door on the others, and no search of a night ends.
        yield (AfterShut.search_by_day if late else AfterShut.search)()
        return
    if one.count is not None and state.over:
        yield from _too_many(one, state)
    elif state.before:
        yield AfterShut.missing(missing=capitalized(missing_since(state)))
    if state.state == "open" and not late:
        yield AfterShut.opened_since()


def _how_many(one: Closing, state: Door) -> Callable[..., str]:
    """What is said of the count: where some are missing, where too many are in, else."""
    if one.count is None:
        if state.state != "searching":
            return DoorShut.not_counted if state.at_large else DoorShut.looks_like_all
        return (
            DoorShut.some_missing if state.vague else partial(DoorShut.missing, birds=state.missing)
        )
    if state.state == "searching":
        return partial(DoorShut.some_of, birds=one.count, expected=state.expected)
    if state.over:
        return partial(DoorShut.too_many, birds=one.count, expected=state.expected)
    is_whole = state.are_all_in and one.count == state.expected
    return partial(DoorShut.all_in if is_whole else DoorShut.counted, birds=one.count)


def _too_many(one: Closing, state: Door) -> Iterator[str]:
    """Who sleeps elsewhere or may not be dead, and how to put it right."""
    if state.away:
        yield AfterShut.away(birds=state.away)
    if dead := said_dead(state):
        yield AfterShut.dead(said=dead)
        if state.died_on and state.died_on < one.evening:
            yield AfterShut.not_dead(day=state.died_on)
    yield AfterShut.count_again()


def _refuse(kind: str, refused: Refused) -> NoReturn:
    command = _COMMANDS.get(kind, kind)
    where = "" if refused.key in {command, kind} else refused.key
    found = ""
    if refused.accepted:
        found = refusal(where, refused.found, refused.accepted, is_typed=refused.is_typed)
    told = " ".join(filter(None, (found, refused.question, refused.hint)))
    complain(by_program(told, command))
    sys.exit(CANNOT_USE)
