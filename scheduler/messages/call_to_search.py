"""The message that birds are missing: how many, where to look, who counted what."""

from collections.abc import Iterable

from scheduler.alerts.delivery import Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import DoorStates, Evening
from scheduler.alerts.search_call import SearchCall, is_dark, newest_said, searched
from scheduler.cares.door_state import Door
from scheduler.messages.doors import local_time, open_doors, stem
from scheduler.messages.missing import missing_since
from scheduler.messages.phrases import begun, by_whom, fitted
from scheduler.messages.who_said import two_counts
from scheduler.profile.units import Region
from scheduler.profile.words import capitalized, local_clock, words
from scheduler.wording.messages.search import Places, Search
from scheduler.wording.spoken import listed, sentence


def call_to_search(night: Night, call: SearchCall) -> Message:
    """Birds are missing: how many, where to look, who counted what; without a link."""
    evening, states = night.evening, night.states
    chicks = not any(door.perched for door in searched(night))
    return Message(
        _search_title(night, call.told),
        " ".join(
            [
                *_clash(night),
                *_lost_too(states),
                *_astray(evening, states),
                search_places(evening.region, is_dark=is_dark(night, call), chicks=chicks),
                Search.by_link() if night.base_url else Search.on_the_page(),
                *_shut_too(night),
            ]
        ),
        stem=stem(night),
        priority=call.priority,
    )


def _search_title(night: Night, told: str) -> str:
    states, searching = night.states, searched(night)
    missing = _missing(states[door.coop_id] for door in searching)
    names = [door.name for door in searching]
    if told == "search-second-look":
        return fitted(lambda where: Search.second_look(missing=missing, names=where), names)
    if told == "search-before-let-out":
        return _before_let_out(night)
    if told == "again" and (undone := newest_said(searching, states)):
        return by_whom(
            lambda who: fitted(
                lambda where: Search.took_it_back(who=begun(who), missing=missing, names=where),
                names,
            ),
            undone.who,
            12,
        )
    shut = [said for door in searching if (said := states[door.coop_id].said)]
    last = max(shut, key=lambda said: said.at)
    at = local_time(last.at, night)
    says = Search.shut_the_door if len(names) == 1 else Search.shut_them
    return by_whom(
        lambda who: fitted(
            lambda where: says(who=begun(who), at=at, missing=missing, names=where), names
        ),
        last.who,
        10,
    )


def _before_let_out(night: Night) -> str:
    states, searching = night.states, searched(night)
    names = [door.name for door in searching]
    let_out = night.evening.let_out_of(searching)
    at = local_clock(let_out, night.zone, night.evening.region) if let_out else ""
    if any(states[door.coop_id].vague for door in searching):
        if at:
            return fitted(lambda where: Search.some_never_in_let_out(names=where, at=at), names)
        return fitted(lambda where: Search.some_never_in(names=where), names)
    missing = _missing((states[door.coop_id] for door in searching), lost=True)
    if at:
        return fitted(
            lambda where: Search.never_in_let_out(missing=missing, names=where, at=at), names
        )
    return fitted(lambda where: Search.never_in(missing=missing, names=where), names)


def _lost_too(states: DoorStates) -> Iterable[str]:
    """Says it as "1 more was not found.", of those whom the title does not count."""
    searching = [state for state in states.values() if state.state == "searching"]
    if lost := sum(state.lost for state in searching):
        yield Search.more_not_found(birds=lost)
    for state in searching:
        if state.before:
            yield Search.too(missing=capitalized(missing_since(state)))


def _clash(night: Night) -> Iterable[str]:
    """Of two counts that differ: "Ana counted 12 at 16:20, Ben 11 at 16:24."."""
    for door in night.evening.doors:
        if said := two_counts(night, night.states[door.coop_id]):
            yield sentence(said)


def _astray(evening: Evening, states: DoorStates) -> Iterable[str]:
    """Where more are in another house than belong there: she may have gone to the wrong one."""
    for door in evening.doors:
        state = states[door.coop_id]
        if state.over:
            yield Search.astray(house=door.name, birds=state.over, expected=state.expected)


def _shut_too(night: Night) -> Iterable[str]:
    """The other doors, once none is open: whoever was rung for them reads here that they are."""
    others = [
        door.name
        for door in night.evening.doors
        if (state := night.states[door.coop_id]).state == "shut" and state.said
    ]
    if others and not open_doors(night):
        yield Search.shut_too(houses=listed(others), count=len(others))


def search_places(
    region: Region, *, is_dark: bool = True, chicks: bool = False, is_shut: bool = False
) -> str:
    """Where missing birds are found, in the order of looking.

    In the dark the door is to be shut first, unless it `is_shut`.
    """
    if chicks:
        return Places.chicks()
    if not is_dark:
        return Places.by_day()
    places = Places.in_the_dark(torch=words(region)["torch"])
    return places if is_shut else f"{Places.shut_first()} {places}"


def _missing(states: Iterable[Door], *, lost: bool = False) -> str:
    of = list(states)
    if any(state.vague for state in of):
        return Search.some()
    missing = sum(state.missing + (state.lost if lost else 0) for state in of)
    return Search.of_all(birds=missing, expected=sum(state.expected for state in of))
