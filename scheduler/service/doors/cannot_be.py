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
from scheduler.profile.words import counted
from scheduler.service.almanac import DAYS_BACK, Almanac
from scheduler.service.diary import Refused
from scheduler.service.doors.statement import Kept, Statement
from scheduler.service.evenings_around import planned_of
from scheduler.service.too_late import cannot_be_of, is_too_late

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
        found = f"{at:%Y-%m-%d %H:%M} UTC"
        return Refused(key="--at", found=found, accepted="a time up to now")
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
    first = f" The first came on {min(came).day} {min(came):%B %Y}." if came else ""
    names = " or ".join(one.name for one in houses)
    return Refused(
        key="--evening",
        found=evening.isoformat(),
        accepted="an evening on which birds lived there",
        question=f"No birds lived in {names} then.{first} Which evening do you mean?",
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
        hint, accepted = nearest(statement.coop, [*doors, *names]), ", ".join(doors)
        return Refused(key="--coop", found=statement.coop, accepted=accepted, hint=hint)
    fitting = {one: night for one, night in doors.items() if _fits(statement.kind, night, one)}
    if len(doors) > 1 and len(fitting) != 1 and statement.count is not None:
        return Refused(
            key="--count",
            found=f"{statement.count} for {len(doors)} houses",
            accepted="a count for one of them, with --coop: " + ", ".join(doors),
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
            found="a door that nobody has shut",
            accepted="a door that somebody said was shut",
        )
    if statement.kind not in _OF_BIRDS:
        return _changing_hands(statement, chosen) or chosen
    at_large = any(state.at_large for state in states)
    if not any(most(state, statement.kind) for state in states):
        return _none_there(statement.kind, chosen, houses)
    if statement.count is None and (
        statement.kind == "back" or (statement.kind in {"dead", "elsewhere"} and not at_large)
    ):
        return Refused(key="--count", found="no number", accepted="a number of birds, 1 or more")
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
        accepted = "one house: " + ", ".join(chosen)
        return Refused(key="--coop", found=f"{len(chosen)} houses", accepted=accepted)
    [(coop_id, night)] = chosen.items()
    planned, state = planned_of(night, coop_id), night.states[coop_id]
    if not planned.profile_birds and statement.kind in COMES:
        return Refused(
            key=statement.kind,
            found=f"no flock in {planned.name}",
            accepted="a house that has a flock in the profile",
            question=f"No flock lives in {planned.name} yet. Add one to the profile first, because "
            "its age, feed and quarantine come from there.",
        )
    greatest = most(state, statement.kind)
    if statement.count is None or not 1 <= statement.count <= greatest:
        found = "no number" if statement.count is None else str(statement.count)
        asked = f"Only {greatest} can leave {planned.name}." if statement.kind in LEAVES else ""
        accepted = f"1 to {greatest}" if greatest > 1 else f"at most {greatest}"
        return Refused(key="--count", found=found, accepted=accepted, question=asked)
    return None


def _none_there(kind: ClosingKind, chosen: Mapping[str, Night], houses: int) -> Refused:
    states = (night.states[coop_id] for coop_id, night in chosen.items())
    amiss = [not_all_in(state) for state in states if state.at_large]
    names = " or ".join(_names(chosen))
    found, accepted = "no birds missing", "birds that were said to be missing"
    question = f"No birds are missing from {names}."
    if kind == "back":
        found = "no birds elsewhere"
        accepted = "birds that sleep elsewhere or were given up for lost"
        question = f"No birds from {names} sleep elsewhere or were given up for lost."
    elif kind in {"dead", "elsewhere"}:
        found, accepted = "no birds there", "a house with birds"
        question = f"No birds live in {names}."
    elif kind == "not-found" and amiss:  # they are missing, but nobody looks for them now
        found, accepted = "no search tonight", "birds that are being looked for tonight"
        question = f"Nobody is searching for birds from {names} now: {', '.join(amiss)}."
    which = " Which house do you mean?" if houses > 1 else ""
    return Refused(key=kind, found=found, accepted=accepted, question=f"{question}{which}")


def _names(chosen: Mapping[str, Night]) -> list[str]:
    return [planned_of(night, coop_id).name for coop_id, night in chosen.items()]


def _too_many(statement: Statement, planned: RemindedDoor, state: Door, greatest: int) -> Refused:
    are, sleep, were = ("is", "sleeps", "was") if greatest == 1 else ("are", "sleep", "were")
    birds = f"{counted(greatest, 'birds')} from {planned.name}"
    what = f"Only {greatest} {are} left in {planned.name}."
    if statement.kind == "back":
        lost = f" or {were} given up for lost" if state.given_up else ""
        what = f"Only {birds} {sleep} elsewhere{lost}."
    elif statement.kind in {"found", "not-found", "given-up"}:
        what = f"Only {birds} {are} missing."
        if state.is_at_least:  # nobody knows how many
            what = f"At most {birds} can be missing."
    return Refused(
        key="--count",
        found=str(statement.count),
        accepted=f"1 to {greatest}" if greatest > 1 else "1",
        question=f"{what} How many do you mean?",
    )


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
        are = "is" if missing == 1 else "are"
        if any(night.states[coop_id].is_at_least for coop_id, night in chosen.items()):
            are += " known to be"
        known = f"No birds from {' or '.join(_names(chosen))} {are} missing."
        if missing:
            birds = f"{counted(missing, 'birds')} from {' and '.join(_names(chosen))}"
            known = f"Only {birds} {are} missing."
        return Refused(
            key="--count",
            found="no number" if statement.count is None else str(statement.count),
            accepted=f"up to the {missing} missing" if missing else "a bird that is missing",
            question=f"{known} If there are more, {_who_can(voice)}.",
        )
    if statement.kind in _FOR_GOOD and (why := may(voice, "deaths")):
        return Refused(
            key=statement.kind,
            found="somebody who is not on duty",
            accepted="whoever is on duty, or somebody who is signed in",
            question=why.sentence,
        )
    return None


def _who_can(voice: Voice) -> str:
    """Whose word it takes instead, where somebody on the pages already is not enough."""
    if voice.kind in {"sitter", "screen"}:
        return "an owner or a member has to say so"
    return "sign in and say so there"


def would_empty(statement: Statement, chosen: Mapping[str, Night], kept: Kept) -> Refused | None:
    """Why that voice says too much: nobody would be reminded of that door any more."""
    if statement.kind not in TAKES_AWAY or may(statement.voice, "birds") is None:
        return None
    for one, name, state in zip(kept.said, kept.names, kept.states, strict=True):
        if state.is_empty and not chosen[one.coop_id].states[one.coop_id].is_empty:
            return Refused(
                key="--count",
                found=f"every bird of {name}",
                accepted="fewer, or all of them from somebody who is signed in",
                question=(
                    f"That would leave no birds in {name}, and nobody would be reminded of its "
                    f"door. If that is right, {_who_can(statement.voice)}."
                ),
            )
    return None
