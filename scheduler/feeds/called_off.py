"""What an event says that was published and does not happen."""

from collections.abc import Mapping
from dataclasses import replace

from scheduler.cares.day_plan import DayPlan
from scheduler.cares.free_range import FreeRange, NoRange
from scheduler.feeds.event import LONGEST_HOUSES, FeedEvent, cut_to, joined_title
from scheduler.profile.values import Profile

_PARTS = {"lockup": 3, "letout": 2, "range": 2}  # of a title that names no house
_NOTHING = "there is nothing to do."
# What to do instead on a day without it, if birds are there.
_INSTEAD = {
    "letout": "keep them in the house. Feed and water them there, and look at every bird.",
    "range": "keep them in the run or the house.",
}
_UNDER_A_ROOF = "keep them in the covered run, or in the house if the run has no roof."
# Why there is no free range, where the plan's own word is not enough.
_WHY_NO_RANGE: Mapping[NoRange, str] = {
    "no birds": "",
    "no sunset": "",
    "too late": "",
    "predator": "a predator got at them",
    "storm": "a storm is on its way",
    "age unknown": "nobody knows how old the young ones are",
    "newly moved": "they have just moved in",
    "behind wire": "they are still getting to know the others through wire",
    "on heat": "the chicks still need a heat source",
}


def called_off(event: FeedEvent, profile: Profile, day: DayPlan | None) -> FeedEvent:
    """The event with a title and a text that say so: some programs show it as going ahead."""
    name = event.title.partition(" · ")[0]
    what = joined_title(f"Called off: {name[:1].lower()}{name[1:]}", _called_off_at(event, profile))
    spell = _spell(event, day)
    reason = _WHY_NO_RANGE.get(spell, spell) if isinstance(spell, str) else ""
    because = f" ({reason})" if reason else ""
    return replace(
        event,
        title=f"{what}{because}",
        description=f"Called off{because}: {_instead(event, day)}",
        rings=False,
    )


def _called_off_at(event: FeedEvent, profile: Profile) -> str:
    """The houses by name; its count and clock time would read as something to be done."""
    if event.part == "seasons":  # its title names houses where not all of them have that job
        return event.title.partition(" · ")[2]
    if not event.houses or event.part != "lockup":
        return ""
    names = [coop.name for coop in profile.coop if coop.id in event.houses]
    if names:
        return "" if len(profile.coop) == 1 else cut_to(names, LONGEST_HOUSES, " + ")
    parts = event.title.split(" · ")  # of a house that is not kept any more, the title knows it
    return parts[1] if len(parts) > _PARTS[event.kind] else ""


def _instead(event: FeedEvent, day: DayPlan | None) -> str:
    """What is to be done in its place: birds that stay in are fed all the same."""
    with_birds = {coop.coop_id for coop in day.coops} - set(day.empty) if day else set()
    if event.houses.isdisjoint(with_birds):
        return _NOTHING
    if event.kind == "range" and _spell(event, day) == "housing order":
        return _UNDER_A_ROOF
    return _INSTEAD.get(event.kind, _NOTHING)


def _spell(event: FeedEvent, day: DayPlan | None) -> FreeRange | NoRange | None:
    """The free-range time of the first of its houses, or why there is none."""
    for coop in day.coops if day else ():
        if coop.coop_id in event.houses and event.kind in {"range", "letout"}:
            return coop.free_range
    return None
