"""The eggs on Today: one form a house, with the likely number in it, and what it answers."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.husbandry.age import lays
from scheduler.service.diary import Refused
from scheduler.service.egg_counts import MOST_EGGS, ManyEggs, count_eggs, take_back_eggs
from scheduler.web.request_and_answer import Answer, Visit, ask, go
from scheduler.wording.web.eggs import EggsPressed, EggsTold, ManyEggsAsked

# On how many of her days a hen lays, where nobody has counted yet; common practice, no source.
_SHARE = 5 / 7
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class EggForm:
    """One house's form: the number it begins at, what was counted today, what was wrong."""

    house_id: str
    name: str
    likely: int
    known: int
    so_far: str
    undo: str
    typed: str = ""
    wrong: str = ""

    @property
    def key(self) -> str:
        """Where the form stands on the page."""
        return anchor_of(self.house_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongEggs:
    """What cannot be used of a form: the house, what was typed, a sentence."""

    house_id: str
    typed: str
    text: str


def anchor_of(house_id: str) -> str:
    """Where a house's form stands on the page."""
    return f"egg-form-{house_id}"


def egg_forms(visit: Visit, wrong: WrongEggs | None = None) -> tuple[EggForm, ...]:
    """A form for each house in which hens of an age to lay live."""
    return tuple(_forms(visit, wrong))


def _forms(visit: Visit, wrong: WrongEggs | None) -> Iterator[EggForm]:
    counted = visit.standing.eggs
    for coop in visit.profile.coop:
        flocks = visit.profile.flocks_on(coop.id, visit.today)
        hens = sum(flock.hens for flock in flocks if lays(flock, visit.today))
        known, last = (counted.get((coop.id, day)) for day in (visit.today, visit.today - _DAY))
        if not hens and not known:
            continue
        mine = wrong if wrong and wrong.house_id == coop.id else None
        yield EggForm(
            house_id=coop.id,
            name=coop.name,
            # What was counted once today is not added again by a second tap.
            likely=0 if known else last or round(hens * _SHARE),
            known=known or 0,
            so_far=EggsTold.so_far(eggs=known) if known else "",
            undo=_undo(visit, coop.id),
            typed=mine.typed if mine else "",
            wrong=mine.text if mine else "",
        )


def _undo(visit: Visit, house_id: str) -> str:
    last = visit.standing.last_eggs.get((house_id, visit.today))
    return EggsTold.undo(eggs=last) if last else ""


def pressed(count: int | None = None) -> str:
    """What the button says of that many; without a number as the page's script fills it in."""
    if count == 1:
        return EggsPressed.one()
    return EggsPressed.eggs(count="{count}" if count is None else count)


def collected(visit: Visit) -> Answer | WrongEggs:
    """Keeps what the form says, or takes the last count back.

    Raises:
        JournalFault: it cannot be kept.
    """
    house_id = visit.said("coop")
    if house_id not in visit.profile.house_names:
        return WrongEggs(house_id="", typed="", text=EggsTold.no_house(house=house_id[:80]))
    if visit.said("do") == "undo":
        # Whatever was pressed twice, or has been taken back meanwhile, changes nothing.
        take_back_eggs(visit.journal, visit.profile, house_id, _day(visit), visit.speaker)
        return go(_back_to(house_id))
    count = _count(visit, house_id)
    if isinstance(count, WrongEggs):
        return count
    return _kept(visit, house_id, count) if count else go(_back_to(house_id))


def _kept(visit: Visit, house_id: str, count: int) -> Answer | WrongEggs:
    sure = visit.said("sure") == "1"
    of = (visit.journal, visit.profile, house_id, _day(visit), count, visit.speaker)
    result = count_eggs(*of, sure=sure)
    if isinstance(result, Refused):
        text = result.question or result.accepted
        return WrongEggs(house_id=house_id, typed=str(count), text=text)
    if isinstance(result, ManyEggs):
        return ask(
            ManyEggsAsked.title(),
            ManyEggsAsked.text(eggs=result.eggs, birds=result.birds),
            yes=ManyEggsAsked.yes(eggs=result.eggs),
            action="/eggs",
            sent={**visit.typed, "sure": "1"},
            back="/",
        )
    return go(_back_to(house_id))


def _count(visit: Visit, house_id: str) -> int | WrongEggs:
    typed = visit.said("count")
    is_number = typed.isascii() and typed.isdecimal() and len(typed) <= len(str(MOST_EGGS))
    if not is_number or int(typed) > MOST_EGGS:
        return WrongEggs(house_id=house_id, typed=typed, text=EggsTold.no_number())
    known = visit.standing.eggs.get((house_id, _day(visit)), 0)
    if "known" in visit.form and visit.number("known") != known:
        house = visit.profile.house_names[house_id]
        told = EggsTold.counted_meanwhile(eggs=known, house=house)
        return WrongEggs(house_id=house_id, typed=typed, text=told)
    return int(typed)


def _back_to(house_id: str) -> str:
    return f"/#{anchor_of(house_id)}"


def _day(visit: Visit) -> date:
    """The day that it was pressed: a tap that waited for reception counts for its own day."""
    return visit.standing.household.today(visit.tapped_at() or visit.now)
