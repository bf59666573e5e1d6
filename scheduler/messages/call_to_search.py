"""The message that birds are missing: how many, where to look, who counted what."""

from collections.abc import Iterable

from scheduler.alerts.delivery import Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import DoorStates, Evening
from scheduler.alerts.search_call import SearchCall, is_dark, newest_said, searched
from scheduler.cares.door_state import Door
from scheduler.messages.doors import local_time, open_doors, stem
from scheduler.messages.missing import missing_since
from scheduler.messages.phrases import begun, is_are, joined, short, titled, was_were
from scheduler.messages.who_said import two_counts
from scheduler.profile.units import Region
from scheduler.profile.words import capitalized, local_clock, words


def call_to_search(night: Night, call: SearchCall) -> Message:
    """Birds are missing: how many, where to look, who counted what; without a link."""
    evening, states = night.evening, night.states
    how = "open this message" if night.base_url else "answer on the page"
    chicks = not any(door.perched for door in searched(night))
    places = search_places(evening.region, is_dark=is_dark(night, call), chicks=chicks)
    return Message(
        _search_title(night, call.told),
        f"{_clash(night)}{_lost_too(states)}{_astray(evening, states)}{places} "
        f"Then {how} and say how it ended.{_shut_too(night)}",
        stem=stem(night),
        priority=call.priority,
    )


def _search_title(night: Night, told: str) -> str:
    evening, states = night.evening, night.states
    searching = searched(night)
    missing = _missing(states[door.coop_id] for door in searching)
    names = [door.name for door in searching]
    if told == "search-second-look":
        return titled(f"Second look: {missing} missing, ", names, "")
    if told == "search-before-let-out":
        let_out = evening.let_out_of(searching)
        after = f", let out {local_clock(let_out, night.zone, evening.region)}" if let_out else ""
        out = _missing((states[door.coop_id] for door in searching), lost=True)
        return titled(f"{out.capitalize()} never came in, ", names, after)
    if told == "again" and (undone := newest_said(searching, states)):
        who = short(undone.who, 12)
        return titled(f"{begun(who)} took it back: {missing} missing, ", names, ". Search again")
    shut = [said for door in searching if (said := states[door.coop_id].said)]
    last = max(shut, key=lambda said: said.at)
    at, who = local_time(last.at, night), begun(short(last.who, 10))
    what = "the door" if len(names) == 1 else "them"
    return titled(f"{who} shut {what} at {at}, {missing} missing: ", names, ". Search now")


def _lost_too(states: DoorStates) -> str:
    """Says it as "1 more was not found. ", of those whom the title does not count."""
    searching = [state for state in states.values() if state.state == "searching"]
    lost = sum(state.lost for state in searching)
    told = f"{lost} more {was_were(lost)} not found. " if lost else ""
    before = (missing_since(state) for state in searching if state.before)
    return told + "".join(f"{capitalized(one)}, too. " for one in before)


def _clash(night: Night) -> str:
    """Of two counts that differ: "Ana counted 12 at 16:20, Ben 11 at 16:24. "."""
    states = (night.states[door.coop_id] for door in night.evening.doors)
    return "".join(f"{said}. " for state in states if (said := two_counts(night, state)))


def _astray(evening: Evening, states: DoorStates) -> str:
    """Where more are in another house than belong there: she may have gone to the wrong one."""
    return "".join(
        f"In {door.name} {over} more {is_are(over)} in than "
        f"{'belongs' if state.expected == 1 else 'belong'} there: look there first. "
        for door in evening.doors
        if (over := (state := states[door.coop_id]).over)
    )


def _shut_too(night: Night) -> str:
    """The other doors, once none is open: whoever was rung for them reads here that they are."""
    others = [
        door.name
        for door in night.evening.doors
        if (state := night.states[door.coop_id]).state == "shut" and state.said
    ]
    if not others or open_doors(night):
        return ""
    return f" {joined(others)} {is_are(len(others))} shut, too."


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


def _missing(states: Iterable[Door], *, lost: bool = False) -> str:
    listed = list(states)
    if any(state.vague for state in listed):
        return "some"
    missing = sum(state.missing + (state.lost if lost else 0) for state in listed)
    return f"{missing} of {sum(state.expected for state in listed)}"
