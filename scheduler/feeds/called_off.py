"""What an event says that was published and does not happen."""

from collections.abc import Mapping
from dataclasses import replace

from scheduler.cares.day_plan import DayPlan
from scheduler.cares.free_range import FreeRange, NoRange
from scheduler.feeds.event import LONGEST_HOUSES, FeedEvent, cut_to, joined_title
from scheduler.profile.values import Profile
from scheduler.wording.feeds.called_off import (
    CalledOffReasons,
    CalledOffText,
    CalledOffTitle,
    CalledOffTitles,
    Instead,
)
from scheduler.wording.words import Words, every

_TITLES = every(CalledOffTitles)
_PARTS = {"lockup": 3, "letout": 2, "range": 2}  # of a title that names no house
# What to do on a day without it, if birds are there.
_INSTEAD: Mapping[str, Words] = {"letout": Instead.in_house, "range": Instead.in_run}
_WHY_NO_RANGE: Mapping[NoRange, Words | None] = {
    "no birds": None,
    "no sunset": None,
    "too late": None,
    "housing order": CalledOffReasons.housing_order,
    "on heat": CalledOffReasons.on_heat,
    "quarantine": CalledOffReasons.quarantine,
    "run only": CalledOffReasons.run_only,
    "predator": CalledOffReasons.predator,
    "ill birds": CalledOffReasons.ill_birds,
    "storm": CalledOffReasons.storm,
    "too young": CalledOffReasons.too_young,
    "age unknown": CalledOffReasons.age_unknown,
    "newly moved": CalledOffReasons.newly_moved,
    "moved here": CalledOffReasons.moved_here,
    "behind wire": CalledOffReasons.behind_wire,
}


def called_off(event: FeedEvent, profile: Profile, day: DayPlan | None) -> FeedEvent:
    """The event with a title and a text that say so: some programs show it as going ahead."""
    title = joined_title(_what(event), _called_off_at(event, profile))
    spell = _spell(event, day)
    why = _WHY_NO_RANGE[spell] if isinstance(spell, str) else None
    instead = _instead(event, day)()
    if why is None:
        text = CalledOffText.plain(instead=instead)
    else:
        title = CalledOffTitle.because(title=title, reason=why())
        text = CalledOffText.because(reason=why(), instead=instead)
    return replace(event, title=title, description=text, rings=False)


def _what(event: FeedEvent) -> str:
    if event.part != "seasons" and (told := _TITLES.get(event.kind)):
        return told()
    # A season's row has nothing but its title: what the care said of its own birds and vents.
    name = event.title.partition(" · ")[0]
    return CalledOffTitle.titled(title=f"{name[:1].lower()}{name[1:]}")


def _called_off_at(event: FeedEvent, profile: Profile) -> str:
    """The houses by name; its count and clock time would read as something to be done."""
    # Its title names houses where not all of them had that job; the row has only their ids.
    if event.part == "seasons":
        return event.title.partition(" · ")[2]
    if not event.houses or event.part != "lockup":
        return ""
    names = [coop.name for coop in profile.coop if coop.id in event.houses]
    if names:
        return "" if len(profile.coop) == 1 else cut_to(names, LONGEST_HOUSES, " + ")
    # The profile has no name any more for a house that is not kept; no row has one but its title.
    parts = event.title.split(" · ")
    return parts[1] if len(parts) > _PARTS[event.kind] else ""


def _instead(event: FeedEvent, day: DayPlan | None) -> Words:
    """What is to be done in its place: birds that stay in are fed all the same."""
    with_birds = {coop.coop_id for coop in day.coops} - set(day.empty) if day else set()
    if event.houses.isdisjoint(with_birds):
        return Instead.nothing
    if event.kind == "range" and _spell(event, day) == "housing order":
        return Instead.under_a_roof
    return _INSTEAD.get(event.kind, Instead.nothing)


def _spell(event: FeedEvent, day: DayPlan | None) -> FreeRange | NoRange | None:
    """The free-range time of the first of its houses, or why there is none."""
    for coop in day.coops if day else ():
        if coop.coop_id in event.houses and event.kind in {"range", "letout"}:
            return coop.free_range
    return None
