"""What cannot be said of a door, and is asked about: of when, of which house, of how many."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import RemindedDoor
from scheduler.cares.birds_of_a_door import most
from scheduler.cares.closing import COMES, LEAVES, ClosingKind
from scheduler.cares.door_state import Door
from scheduler.messages.missing import not_all_in
from scheduler.profile.problem import nearest
from scheduler.profile.who_may import Voice, may
from scheduler.service.almanac import DAYS_BACK, Almanac
from scheduler.service.diary import Refused
from scheduler.service.doors.statement import Kept, Statement
from scheduler.service.evenings_around import planned_of
from scheduler.service.too_late import cannot_be_of, is_too_late
from scheduler.wording.service.doors import (
    BeyondTheMissing,
    DoorAccepted,
    DoorAsked,
    DoorFound,
    OnlySoMany,
)
from scheduler.wording.spoken import day_month_year, in_a_row, listed, listed_or

_CLOCKS_APART = timedelta(minutes=5)  # of a phone and this machine
_FOR_GOOD = ("dead", "given-up")
TAKES_AWAY = ("dead", "given-up", "elsewhere")
_OF_BIRDS = ("found", "not-found", *TAKES_AWAY, "back")


def out_of_time(
    almanac: Almanac, statement: Statement, at: datetime, evening: date, now: datetime
) -> Refused | None:
    """Why nobody can know that yet, or any more."""
    today = almanac.household.today(now)
    if at > now + _CLOCKS_APART:
        found = DoorFound.instant(time=f"{at:%Y-%m-%d %H:%M}")
        return Refused(key="--at", found=found, accepted=DoorAccepted.until_now())
    beyond = cannot_be_of(evening, today, "--evening", "evening")
    return beyond or _before_the_flock(almanac, statement, evening, today)


def _before_the_flock(
    almanac: Almanac, statement: Statement, evening: date, today: date
) -> Refused | None:
    """Why nothing was shut on an evening that is over: no bird had come yet."""
    profile = almanac.household.profile
    houses = [one for one in profile.coop if statement.coop in {None, one.id}]
    if evening >= today - timedelta(days=DAYS_BACK) or not houses:
        return None
    if any(almanac.birds_in(one.id, evening) for one in houses):
        return None
    came = [one.arrived for house in houses for one in profile.flocks_of(house.id) if one.arrived]
    first = [DoorAsked.first_came(day=day_month_year(min(came)))] if came else []
    none = DoorAsked.no_birds_then(houses=listed_or([one.name for one in houses]))
    return Refused(
        key="--evening",
        found=evening.isoformat(),
        accepted=DoorAccepted.evening_with_birds(),
        question=" ".join([none, *first, DoorAsked.which_evening()]),
        is_typed=True,
    )


def is_long_ago(almanac: Almanac, statement: Statement, now: datetime) -> bool:
    """Whether the evening that it names is too long ago for anybody to know."""
    evening = statement.evening
    return evening is not None and is_too_late(evening, almanac.household.today(now))


def choose(around: Sequence[Night], statement: Statement) -> dict[str, Night] | Refused:
    """The coops that the statement is about, each with its evening."""
    doors = {one.coop_id: night for night in around for one in night.evening.doors}
    if statement.coop is not None:
        if statement.coop in doors:
            return _fitting(statement, {statement.coop: doors[statement.coop]}, len(doors))
        names = [one.name for night in around for one in night.evening.doors]
        hint, accepted = nearest(statement.coop, [*doors, *names]), in_a_row([*doors])
        return Refused(
            key="--coop", found=statement.coop, accepted=accepted, hint=hint, is_typed=True
        )
    fitting = {one: night for one, night in doors.items() if _fits(statement.kind, night, one)}
    if len(doors) > 1 and len(fitting) != 1 and statement.count is not None:
        return Refused(
            key="--count",
            found=DoorFound.count_for_houses(birds=statement.count, houses=len(doors)),
            accepted=DoorAccepted.count_of_one(houses=in_a_row([*doors])),
        )
    return _fitting(statement, fitting or doors, len(doors))


def _fits(kind: ClosingKind, night: Night, coop_id: str) -> bool:
    state = night.states[coop_id]
    if kind == "closed":
        return state.waits
    if kind == "reopened":
        return state.state != "open"
    if kind in {"dead", "elsewhere"}:
        return state.at_large > 0
    return most(state, kind) > 0


def _fitting(
    statement: Statement, chosen: dict[str, Night], houses: int
) -> dict[str, Night] | Refused:
    """Refuses what has no meaning: opening an open door, birds found where none are missing."""
    states = [night.states[coop_id] for coop_id, night in chosen.items()]
    if statement.kind == "reopened" and all(state.state == "open" for state in states):
        return Refused(
            key="reopened",
            found=DoorFound.open_door(),
            accepted=DoorAccepted.shut_door(),
        )
    if statement.kind not in _OF_BIRDS:
        return _changing_hands(statement, chosen) or chosen
    at_large = any(state.at_large for state in states)
    if not any(most(state, statement.kind) for state in states):
        return _none_there(statement.kind, chosen, houses)
    if statement.count is None and (
        statement.kind == "back" or (statement.kind in {"dead", "elsewhere"} and not at_large)
    ):
        return Refused(key="--count", found=DoorFound.no_number(), accepted=DoorAccepted.number())
    for coop_id, night in chosen.items():
        greatest = most(night.states[coop_id], statement.kind)
        if statement.count is not None and not 1 <= statement.count <= greatest:
            state = night.states[coop_id]
            return _too_many(statement, planned_of(night, coop_id), state, greatest)
    return _beyond_the_missing(statement, chosen) or chosen


def _changing_hands(statement: Statement, chosen: Mapping[str, Night]) -> Refused | None:
    """Why so many birds cannot come to that house, or leave it."""
    if statement.kind not in COMES | LEAVES:
        return None
    if len(chosen) != 1:
        accepted = DoorAccepted.one_house(houses=in_a_row([*chosen]))
        found = DoorFound.houses(houses=len(chosen))
        return Refused(key="--coop", found=found, accepted=accepted)
    [(coop_id, night)] = chosen.items()
    planned, state = planned_of(night, coop_id), night.states[coop_id]
    if not planned.profile_birds and statement.kind in COMES:
        return Refused(
            key=statement.kind,
            found=DoorFound.no_flock(house=planned.name),
            accepted=DoorAccepted.house_with_flock(),
            question=DoorAsked.no_flock(house=planned.name),
        )
    greatest = most(state, statement.kind)
    if statement.count is None or not 1 <= statement.count <= greatest:
        asked = ""
        if statement.kind in LEAVES:
            asked = DoorAsked.can_leave(birds=greatest, house=planned.name)
        up_to = DoorAccepted.up_to if greatest > 1 else DoorAccepted.at_most
        return _of_number(statement, up_to(most=greatest), asked)
    return None


def _of_number(statement: Statement, accepted: str, question: str) -> Refused:
    """Refuses the number of birds that was said, or that none was."""
    if statement.count is None:
        found = DoorFound.no_number()
        return Refused(key="--count", found=found, accepted=accepted, question=question)
    return Refused(
        key="--count",
        found=str(statement.count),
        accepted=accepted,
        question=question,
        is_typed=True,
    )


def _none_there(kind: ClosingKind, chosen: Mapping[str, Night], houses: int) -> Refused:
    states = (night.states[coop_id] for coop_id, night in chosen.items())
    amiss = [not_all_in(state) for state in states if state.at_large]
    names = listed_or(_names(chosen))
    if kind == "back":
        found, accepted = DoorFound.none_elsewhere, DoorAccepted.birds_elsewhere
        question = DoorAsked.none_elsewhere(houses=names)
    elif kind in {"dead", "elsewhere"}:
        found, accepted = DoorFound.none_there, DoorAccepted.house_with_birds
        question = DoorAsked.none_there(houses=names)
    elif kind == "not-found" and amiss:  # they are missing, but nobody looks for them now
        found, accepted = DoorFound.no_search, DoorAccepted.birds_looked_for
        question = DoorAsked.no_search(houses=names, missing=in_a_row(amiss))
    else:
        found, accepted = DoorFound.none_missing, DoorAccepted.missing_birds
        question = DoorAsked.none_missing(houses=names)
    if houses > 1:
        question = f"{question} {DoorAsked.which_house()}"
    return Refused(key=kind, found=found(), accepted=accepted(), question=question)


def _names(chosen: Mapping[str, Night]) -> list[str]:
    return [planned_of(night, coop_id).name for coop_id, night in chosen.items()]


def _too_many(statement: Statement, planned: RemindedDoor, state: Door, greatest: int) -> Refused:
    only = OnlySoMany.left
    if statement.kind == "back":
        only = OnlySoMany.elsewhere_or_lost if state.given_up else OnlySoMany.elsewhere
    elif statement.kind in {"found", "not-found", "given-up"}:
        # Where some were missing and never counted, nobody knows how many.
        only = OnlySoMany.may_be_missing if state.is_at_least else OnlySoMany.missing
    accepted = DoorAccepted.up_to(most=greatest) if greatest > 1 else "1"
    known = only(birds=greatest, house=planned.name)
    return _of_number(statement, accepted, f"{known} {DoorAsked.how_many()}")


def _beyond_the_missing(statement: Statement, chosen: Mapping[str, Night]) -> Refused | None:
    """Why that voice may not say so much: links are forwarded, and lie in mailboxes.

    By a link birds leave the flock only out of those that are missing, and for good only on the
    word of whoever is on duty.
    """
    voice = statement.voice
    if statement.kind not in TAKES_AWAY or may(voice, "birds") is None:
        return None
    missing = sum(night.states[coop_id].at_large for coop_id, night in chosen.items())
    if not missing or (statement.count or 0) > missing:
        accepted = DoorAccepted.missing_bird()
        if missing:
            accepted = DoorAccepted.up_to_missing(birds=missing)
        more = BeyondTheMissing.more_signed_in
        if _is_on_the_pages(voice):
            more = BeyondTheMissing.more_by_owner
        return _of_number(statement, accepted, f"{_known_missing(chosen, missing)} {more()}")
    if statement.kind in _FOR_GOOD and (why := may(voice, "deaths")):
        return Refused(
            key=statement.kind,
            found=DoorFound.not_on_duty(),
            accepted=DoorAccepted.on_duty(),
            question=why.sentence,
        )
    return None


def _known_missing(chosen: Mapping[str, Night], missing: int) -> str:
    """How many are missing, in a sentence."""
    more = any(night.states[coop_id].is_at_least for coop_id, night in chosen.items())
    if not missing:
        none = BeyondTheMissing.none_known if more else BeyondTheMissing.none
        return none(houses=listed_or(_names(chosen)))
    only = BeyondTheMissing.only_known if more else BeyondTheMissing.only
    return only(birds=missing, houses=listed(_names(chosen)))


def _is_on_the_pages(voice: Voice) -> bool:
    """Whether to sign in is not enough, because somebody else's word is needed."""
    return voice.kind in {"sitter", "screen"}


def would_empty(statement: Statement, chosen: Mapping[str, Night], kept: Kept) -> Refused | None:
    """Why that voice says too much: nobody would be reminded of that door any more."""
    if statement.kind not in TAKES_AWAY or may(statement.voice, "birds") is None:
        return None
    for one, name, state in zip(kept.said, kept.names, kept.states, strict=True):
        if state.is_empty and not chosen[one.coop_id].states[one.coop_id].is_empty:
            right = BeyondTheMissing.right_signed_in
            if _is_on_the_pages(statement.voice):
                right = BeyondTheMissing.right_by_owner
            return Refused(
                key="--count",
                found=DoorFound.every_bird(house=name),
                accepted=DoorAccepted.fewer(),
                question=f"{DoorAsked.would_empty(house=name)} {right()}",
            )
    return None
