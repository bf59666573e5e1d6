"""What Today shows first: which part of the day it is, which door is the most urgent."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from scheduler.web.evening_card import Card

PartOfDay = Literal["morning", "afternoon", "dusk", "night"]
NEAR = timedelta(minutes=30)  # before its lock-up a door's form comes to the thumb
_BY_URGENCY = (
    *("overdue", "searching", "now", "unsaid", "near", "part", "uncounted"),
    *("early", "empty", "shut"),
)
_TO_BE_SHUT = ("early", "now", "overdue")
_CAN_WAIT = ("early", "empty", "shut")


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedCard:
    """Houses whose evening reads the same: one card, and one button that shuts them all."""

    cards: tuple[Card, ...]
    is_near: bool

    @property
    def first(self) -> Card:
        """The one that speaks for all of them."""
        return self.cards[0]

    @property
    def can_wait(self) -> bool:
        """Whether in the morning the jobs come before it."""
        return self.first.mood in _CAN_WAIT and not self.is_near

    @property
    def is_docked(self) -> bool:
        """Whether its form belongs at the thumb."""
        return self.is_near and self.first.mood in _TO_BE_SHUT


def is_near(card: Card, now: datetime) -> bool:
    """Whether the door is to be shut within half an hour by the clock, or should have been."""
    at = card.lock_up_at.replace(second=0, microsecond=0)
    return card.state.waits and not card.is_over and at - now <= NEAR


def part_of_day(cards: Sequence[Card], noon: datetime, now: datetime) -> PartOfDay:
    """Dusk from half an hour before the first open door's time, night once every door is shut."""
    if any(is_near(card, now) or card.mood == "searching" for card in cards):
        return "dusk"
    if cards and all(card.state.state == "shut" for card in cards):
        return "night"
    return "morning" if now < noon else "afternoon"


def by_urgency(cards: Iterable[Card], now: datetime) -> tuple[SharedCard, ...]:
    """The most urgent first, in the profile's order where none is; the same evenings as one."""

    def rank(card: Card) -> tuple[int, datetime]:
        mood = "near" if card.mood == "early" and is_near(card, now) else card.mood
        return _BY_URGENCY.index(mood), card.lock_up_at

    alike: dict[object, list[Card]] = {}
    for card in sorted(cards, key=rank):
        alike.setdefault(_alike(card), []).append(card)
    return tuple(
        SharedCard(cards=tuple(same), is_near=is_near(same[0], now)) for same in alike.values()
    )


def _alike(card: Card) -> object:
    """What houses that share a card have in common; of any other mood each stands alone."""
    if card.mood == "shut" and not card.is_over:
        return "shut"
    if card.mood not in _TO_BE_SHUT or card.state.before or card.is_count_due:
        return card.key
    words = (card.lock_up, card.latest, card.leave_by, card.cloudy, card.duty, card.automatic)
    return (card.mood, card.day, *words)


def still_open(cards: Sequence[Card]) -> int:
    """How many doors somebody still has to shut tonight."""
    return sum(card.state.waits and not card.is_over for card in cards)
