"""Who looks for the missing birds of a card, as the page says it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from scheduler.cares.looking import Looker, who_looks
from scheduler.profile.person import Person
from scheduler.service.evenings_around import planned_of
from scheduler.web.evening_card import Card
from scheduler.web.request_and_answer import Visit
from scheduler.wording.spoken import listed
from scheduler.wording.web.looking import WhoLooks


@dataclass(frozen=True, slots=True, kw_only=True)
class Looking:
    """Who looks for a house's birds; `am_i`: whoever reads the page is one of them."""

    names: tuple[str, ...]
    am_i: bool

    @property
    def said(self) -> str:
        """Them in a sentence without its full stop, whoever reads it first; empty for nobody."""
        if not (self.names or self.am_i):
            return ""
        if self.am_i:
            return WhoLooks.several(who=listed([WhoLooks.you(), *self.names]))
        who = listed(self.names)
        return (WhoLooks.one if len(self.names) == 1 else WhoLooks.several)(who=who)


def looking_for(
    visit: Visit, cards: Iterable[Card], reader: Person | None
) -> Mapping[str, Looking]:
    """Who looks for the birds of each card on which some are looked for, by the card's key.

    Not once that evening is over, nor anybody who has left the household.
    """
    return {
        card.key: _as_read(visit, card, _lookers(visit, card), reader)
        for card in cards
        if card.mood == "searching" and not card.is_over
    }


def _lookers(visit: Visit, card: Card) -> tuple[Looker, ...]:
    standing = visit.standing
    night = next(
        one for one in standing.nights if one.evening.day == card.day and card.coop_id in one.states
    )
    birds = planned_of(night, card.coop_id).profile_birds
    return who_looks(standing.lookers, standing.said, card.coop_id, card.day, birds)


def _as_read(visit: Visit, card: Card, lookers: Iterable[Looker], reader: Person | None) -> Looking:
    people = {one.id: one.name for one in visit.profile.person if one.is_there(card.day)}
    here = {
        one.whose: people.get(one.whose, one.who)
        for one in lookers
        if one.person_id is None or one.person_id in people
    }
    mine = {reader.id, reader.name} if reader else set()
    return Looking(
        names=tuple(name for whose, name in here.items() if whose not in mine),
        am_i=bool(mine & here.keys()),
    )
