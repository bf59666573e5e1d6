"""The card for the inside of a coop door: a year of its times, its birds, whom to call."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta

from scheduler.cares.door_card import CardRow, CardTable, card_table, clock_changes, door_times
from scheduler.cares.months import year_from
from scheduler.profile.coop import Coop
from scheduler.profile.person import Person
from scheduler.profile.units import Region
from scheduler.profile.words import clock, counted
from scheduler.web.last_results import LastResults
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.views.subscribe import qr
from scheduler.wording.spoken import day_and_month, listed, short_month
from scheduler.wording.web.door_card import DoorCardDates, DoorCardNotes

# Of two columns, on a sheet of A4 or Letter, as large as they can be read by a dim light.
MOST_ROWS = 76
_MANY_ROWS, _SOME_ROWS = 62, 48
_MOST_CALLED = 4
_MOST_HOUSES = 4
_MOST_NAMED = 2  # in the title; below, each stands beside its number
_DAY_MINUTES = 24 * 60


@dataclass(frozen=True, slots=True, kw_only=True)
class _OneCard:
    """What holds for these houses, whose times are the same the whole year."""

    coops: tuple[Coop, ...]
    table: CardTable
    changes: tuple[tuple[date, timedelta], ...]


class DoorCards:
    """The page; a year of times is worked out once for the same profile and reports."""

    def __init__(self) -> None:
        self._kept = LastResults[tuple[_OneCard, ...]](1)

    def show(self, visit: Visit) -> Answer:
        """The card of the house that was asked for, or of the first."""
        standing, (first, last) = visit.standing, year_from(visit.today)
        key = (standing.household.text, standing.records, first)
        cards = self._kept.get(key, lambda: _cards(visit, first, last))
        wanted = visit.query.get("house")
        chosen = next((one for one in cards if wanted in {coop.id for coop in one.coops}), cards[0])
        region, rows = visit.profile.site.region, chosen.table.rows
        half = (len(rows) + 1) // 2
        base_url = visit.profile.web.base_url
        address = f"{base_url}/" if base_url else ""
        facts = {
            "first": first,
            "last": last,
            "cards": [(one.coops[0].id, _named(one.coops), one is chosen) for one in cards],
            "title": _title(visit, chosen),
            "columns": [
                [_row(row, region) for row in part] for part in (rows[:half], rows[half:]) if part
            ],
            "size": _size(len(rows)),
            "step": chosen.table.step_minutes,
            "changes": [_change(day, by) for day, by in chosen.changes],
            "birds": _birds(visit, chosen.coops),
            "people": [(one.name, one.telephone or "") for one in _called(visit)],
            "address": address,
            "qr": qr(address) if address else "",
        }
        return Answer(template="door-card.html", facts=facts)


def _cards(visit: Visit, first: date, last: date) -> tuple[_OneCard, ...]:
    cards: list[_OneCard] = []
    for coop in visit.profile.coop:
        days = door_times(visit.profile, coop, visit.standing.records, first, last)
        table, changes = card_table(days, MOST_ROWS), clock_changes(days)
        place = next((n for n, one in enumerate(cards) if _has_room(one, table)), None)
        if place is None:
            cards.append(_OneCard(coops=(coop,), table=table, changes=changes))
        else:
            cards[place] = replace(cards[place], coops=(*cards[place].coops, coop))
    return tuple(cards)


def _has_room(card: _OneCard, table: CardTable) -> bool:
    return card.table == table and len(card.coops) < _MOST_HOUSES


def _title(visit: Visit, card: _OneCard) -> str:
    is_all = len(visit.profile.coop) == 1
    return (
        visit.profile.site.name if is_all or len(card.coops) > _MOST_NAMED else _named(card.coops)
    )


def _named(coops: Sequence[Coop]) -> str:
    return listed([coop.name for coop in coops])


def _size(rows: int) -> str:
    if rows > _MANY_ROWS:
        return "dense"
    return "usual" if rows > _SOME_ROWS else "roomy"


def _row(row: CardRow, region: Region) -> dict[str, object]:
    return {
        "dates": _dates(row.first, row.last),
        "let_out": DoorCardNotes.stay_in() if row.let_out is None else _clock(row.let_out, region),
        "lock_up": _clock(row.lock_up, region),
        "shut_by": _clock(row.shut_by, region),
    }


def _clock(minutes: int, region: Region) -> str:
    hour, minute = divmod(minutes % _DAY_MINUTES, 60)
    return clock(time(hour, minute), region)


def _dates(first: date, last: date) -> str:
    if first == last:
        return DoorCardDates.one(day=first.day, month=short_month(first))
    if (first.year, first.month) == (last.year, last.month):
        return DoorCardDates.within(first=first.day, last=last.day, month=short_month(first))
    return DoorCardDates.over(
        first=first.day,
        first_month=short_month(first),
        last=last.day,
        last_month=short_month(last),
    )


def _change(day: date, by: timedelta) -> str:
    said = DoorCardNotes.forward if by > timedelta() else DoorCardNotes.back
    return said(day=day_and_month(day))


def _birds(visit: Visit, coops: Sequence[Coop]) -> list[str]:
    """How many belong into each of the houses tonight."""
    told = []
    for coop in coops:
        expected = visit.standing.houses[coop.id].expected
        flocks = visit.profile.flocks_on(coop.id, visit.today)
        only_hens = all(flock.hens == flock.birds for flock in flocks)
        birds = counted(expected, "hen" if only_hens else "bird")
        told.append(
            DoorCardNotes.of_house(house=coop.name, birds=birds) if len(coops) > 1 else birds
        )
    return told


def _called(visit: Visit) -> tuple[Person, ...]:
    """Whom to call, in the order in which they are reminded: no sitter, who is gone tomorrow."""
    lasting = [person for person in visit.profile.person if person.role != "sitter"]
    return tuple(lasting[:_MOST_CALLED])
