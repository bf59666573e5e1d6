"""Who said what of a door and its birds, and when."""

from collections.abc import Iterable, Mapping

from scheduler.alerts.evening_so_far import Night
from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.door_state import Door
from scheduler.messages.doors import local_time
from scheduler.messages.phrases import short
from scheduler.wording.messages.who_said import Became, TheMissing, WasSaid, WhoSaid
from scheduler.wording.spoken import one_by_one, short_day
from scheduler.wording.words import Words

_BECAME: Mapping[ClosingKind, tuple[Words, Words]] = {
    "found": (Became.found, TheMissing.found),
    "not-found": (Became.not_found, TheMissing.not_found),
    "dead": (Became.dead, TheMissing.dead),
    "given-up": (Became.given_up, TheMissing.given_up),
    "elsewhere": (Became.elsewhere, TheMissing.elsewhere),
    "back": (Became.back, TheMissing.back),
}


def said_last(night: Night, state: Door) -> str:
    """Says it as "Kim said at 16:30 that 2 are missing"; empty when nothing was said.

    Of a door of an evening before as "Kim said at 09:10 that 11 were in on Sun 20 Dec".
    """
    last = state.last
    if last is None:
        return ""
    who, at = short(last.who), local_time(last.at, night)
    if before := of_a_door_before(last, night):
        return before
    if last.took_back_an_ending:
        return took_back(last, at)
    if last.was == "closed" and state.state != "open":  # another count stands before it
        taken_back, stands = took_back_a_count(last, at), _stands(state, last)
        return WhoSaid.took_back_count(taken_back=taken_back, stands=stands)
    if last.was == "closed":
        return WhoSaid.took_back_shut(who=who, at=at)
    birds = last.count
    if birds is None and state.endings and state.endings[-1].kind == last.kind:
        birds = state.endings[-1].birds
    what = what_became(last.kind, birds) or _stands(state, last)
    return WhoSaid.said(who=who, at=at, what=what)


def said_since(said: Iterable[Closing]) -> str:
    """Says it as "Kim said on Tue 22 Dec that 1 was found", of later evenings; the last three."""
    return one_by_one(
        [
            WhoSaid.said_on(
                who=short(one.who),
                day=short_day(one.evening),
                what=what_became(one.kind, one.count) or was_in(one),
            )
            for one in list(said)[-3:]
        ]
    )


def two_counts(night: Night, state: Door) -> str:
    """Says it as "Ana counted 12 at 16:20, Ben 11 at 16:24"; empty where no other count stands."""
    first, second = state.other, state.said
    if state.state != "searching" or first is None or second is None:
        return ""
    then, now = (local_time(one.at, night) for one in (first, second))
    return WhoSaid.two_counts(
        first=short(first.who),
        birds_then=first.count,
        then=then,
        second=short(second.who),
        birds_now=second.count,
        now=now,
    )


def of_a_door_before(last: Closing, night: Night) -> str:
    """What was said, or taken back, of a door of an evening before; empty for anything else."""
    if not last.is_of_shutting or last.evening >= night.evening.day:
        return ""
    who, day = short(last.who), short_day(last.evening)
    at = local_time(last.known_at, night)
    if last.was:
        return WhoSaid.took_back_of(who=who, at=at, day=day)
    return WhoSaid.said_of(who=who, at=at, what=was_in(last), day=day)


def was_in(said: Closing) -> str:
    """What was said of a door that was shut: "11 were in"."""
    if said.count is not None:
        return WasSaid.were_in(birds=said.count)
    return WasSaid.some_missing() if said.some_missing else WasSaid.was_shut()


def _stands(state: Door, last: Closing) -> str:
    if state.state == "open":
        return WasSaid.open_again()
    if state.state == "searching":
        if state.vague:
            return WasSaid.some_are_missing()
        return WasSaid.are_missing(birds=state.missing)
    if last.kind == "closed" and state.counted is not None:
        return WasSaid.are_in(birds=state.counted)
    return WasSaid.still_shut() if last.was == "closed" else WasSaid.shut()


def what_became(kind: ClosingKind, count: int | None) -> str:
    """What became of birds: "1 was found"; empty for what is said of a door."""
    if kind not in _BECAME:
        return ""
    so_many, all_of_them = _BECAME[kind]
    return all_of_them() if count is None else so_many(birds=count)


def took_back(last: Closing, at: str) -> str:
    """Who took back what became of birds, and when."""
    who = short(last.who)
    if last.was == "back":
        return WhoSaid.took_back_home(who=who, at=at)
    if last.was and last.count is not None:
        return WhoSaid.took_back_that(who=who, at=at, what=what_became(last.was, last.count))
    return WhoSaid.took_back_missing(who=who, at=at)


def took_back_a_count(last: Closing, at: str) -> str:
    """Who took back how many were in, and when."""
    return WhoSaid.took_back_that(who=short(last.who), at=at, what=was_in(last))
