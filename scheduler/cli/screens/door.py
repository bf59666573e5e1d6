"""What a keeper says of a door: closed, reopened, and the end of a search."""

import sys
from dataclasses import replace
from datetime import date, datetime, time, timedelta, tzinfo
from typing import NoReturn

from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.door_state import Door
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, complain, go_on_after
from scheduler.cli.screens.tables import as_json
from scheduler.cli.typed import MOST_BIRDS, Typed
from scheduler.light.sun import HalfDay
from scheduler.light.wall import first_in
from scheduler.messages.missing import missing_since, more_found, said_dead, who_is_missing
from scheduler.messages.who_said import said_since
from scheduler.profile.site import Site
from scheduler.profile.words import capitalized, local_clock
from scheduler.service.diary import Refused
from scheduler.service.doors.statement import AskFirst, Kept, Overtaken, Statement
from scheduler.service.household.open_profile import Household
from scheduler.wording.cli.refusals import AcceptedThere, FoundThere, RefusalHints
from scheduler.wording.spoken import in_a_row

_DAY = timedelta(days=1)
_LONG_AGO = timedelta(hours=18)  # a time of that day before is a slip of the finger
_DONE: dict[ClosingKind, str] = {
    "reopened": "the door is open again. The reminders go on",
    "found": "found",
    "not-found": "not found. Stop looking for tonight",
    "dead": "dead. {They_are} no longer expected",
    "given-up": "given up for lost. {They_are} no longer expected",
    "elsewhere": "sleeping elsewhere. {They_are} not expected until {they_are} back",
    "back": "back. {They_are} expected again",
    "arrived": "arrived. {They_are} expected from now on",
    "hatched": "hatched. {They_are} expected from now on",
    "sold": "sold. {They_are} no longer expected",
    "moved-out": "moved out. {They_are} no longer expected here",
    "moved-in": "moved in. {They_are} expected here from now on",
}
_COMMANDS = {"undone": "undo", "back": "elsewhere --back", "moved-out": "moved"}
_APART = (
    "Birds you have bought should live apart from yours for 30 days. Give them a flock of their "
    "own in the profile, and Duskfold plans their quarantine."
)


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
        go_on_after(f"Lock-up is not until {lock_up}. Are they already in for the night?")
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
    why = f" Since then: {said_since(result.since)}." if result.since else ""
    complain(f"duskfold {_COMMANDS.get(kind, kind)}: nothing was changed.{why}")
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
        gone = ", ".join(names.get(one, one) for one in told.gone)
        complain(
            f"The reminders are not running, so the alarm that the push server held for {gone} was "
            "cancelled from here."
        )
    if told.rings:
        whose = ", ".join(dict.fromkeys(names.get(one, one) for one, _ in told.rings))
        at = local_clock(min(at for _, at in told.rings), profile.site.zone, profile.site.region)
        complain(
            "The reminders are not running and the push server could not be told, so it will alert "
            f"{whose} at {at} although the door is shut."
        )


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
        said = _taken_back if undone else _kept
        print(f"{name}: {said(household.profile.site, one, state, late=kept.late)}")
    if any(one.kind == "arrived" for one in kept.said) and not undone:
        print(_APART)
    if kept.late:
        done = "Taken back" if undone else "Noted"
        print(f"{done} for the evening of {kept.evening}, though they were let out since.")


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
        at = local_clock(one.at, site.zone, site.region, one.evening)
        since = (
            ""
            if state.state != "open" or late
            else " It has been opened again since, so it is open."
        )
        return f"{one.who} shut the door at {at}, {_counted(one, state, late=late)}{since}"
    if one.kind == "reopened":
        return f"{'the door was opened again' if late else _DONE[one.kind]}."
    count = "" if one.count is None else f"{one.count} "
    alone = one.count == 1
    done = _DONE[one.kind].format(
        They_are="It is" if alone else "They are", they_are="it is" if alone else "they are"
    )
    if one.kind == "not-found" and state.state == "searching":
        done = "not found. Keep looking for the others"
    are_all_in = one.kind == "found" and state.is_all_in and not late
    now = f"All {state.expected} in." if are_all_in else _now(state, late=late)
    return f"{count}{done}. {now}"


def _taken_back(site: Site, one: Closing, state: Door, *, late: bool) -> str:
    left = ""
    if one.kind == "closed" and state.state != "open":  # another word that it is shut stands
        left = f"{_left(site, state.said)} "
    return f'"{_was(one)}" is taken back. {left}{_now(state, late=late)}'


def _left(site: Site, said: Closing | None) -> str:
    """Says it as "It still stands that Ana shut the door at 16:21, 11 in."."""
    if said is None:
        return "It still stands that the door is shut."
    at = local_clock(said.at, site.zone, site.region, said.evening)
    return f"It still stands that {said.who} shut the door at {at}{_with_count(said)}."


def _was(one: Closing) -> str:
    if one.kind == "closed":
        return f"shut{_with_count(one)}"
    words = one.kind.replace("-", " ")
    return words if one.count is None else f"{one.count} {words}"


def _with_count(shut: Closing) -> str:
    return "" if shut.count is None else f", {shut.count} in"


def _now(state: Door, *, late: bool) -> str:
    """How the house stands, or stood that evening: how many belong in, who is missing or away."""
    parts = [f"{state.expected} expected", *who_is_missing(state)]
    if state.away:
        parts.append(f"{state.away} sleeping elsewhere")
    when = "That evening:" if late else "Now"
    return f"{when} {', '.join(parts)}. {more_found(state)}".rstrip()


def _counted(one: Closing, state: Door, *, late: bool) -> str:
    if state.state == "searching":
        in_now = f"{one.count} of {state.expected} in"
        if one.count is None:
            in_now = f"not counted, {'some' if state.vague else state.missing} missing"
        if late:  # by day nobody shuts the door on the others, and no search of a night ends
            return f"{in_now}. Look for them, then say found, dead, given-up or elsewhere."
        return (
            f"{in_now}. Make sure the door is shut on those that are in, then look for the rest. "
            "Say afterwards: found, not-found, dead, given-up or elsewhere."
        )
    still = ""
    if state.before:
        since = missing_since(state)
        still = f" {capitalized(since)}."
    if one.count is None:
        return f"not counted.{still}" if state.at_large else "not counted, but it looks like all."
    if state.over:
        away = f" {state.away} should be sleeping elsewhere." if state.away else ""
        dead = f" {told}." if (told := said_dead(state)) else ""
        if dead and state.died_on and state.died_on < one.evening:
            dead = f"{dead} If that is wrong: duskfold undo --evening {state.died_on}."
        return (
            f"{one.count} in, but only {state.expected} belong there.{away}{dead} Count again? "
            "To put right what was wrong: duskfold undo, duskfold elsewhere --back, or the number "
            "in the profile."
        )
    is_whole = state.is_all_in and one.count == state.expected > 1
    all_of = "all " if is_whole else ""
    return f"{all_of}{one.count} in.{still}"


def _refuse(kind: str, refused: Refused) -> NoReturn:
    command = _COMMANDS.get(kind, kind)
    key = "" if refused.key in {command, kind} else f"{refused.key}: "
    found = f'"{refused.found}"' if refused.is_typed else refused.found
    found = f"found {found}; accepted: {refused.accepted}." if refused.accepted else ""
    said = " ".join(filter(None, (found, refused.question, refused.hint)))
    complain(f"duskfold {command}: {key}{said}")
    sys.exit(CANNOT_USE)
