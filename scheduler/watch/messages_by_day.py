"""What is told by day: a let-out, free-range time, the heat for birds that an order keeps in."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from functools import partial

from scheduler.alerts.crew import duty_ids
from scheduler.alerts.delivery import Matter
from scheduler.alerts.reminded_evening import in_one_walk
from scheduler.alerts.step import Step
from scheduler.cares.closing import Closing
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.free_range import FreeRange
from scheduler.cares.records import Report
from scheduler.cares.told_heat import high_c
from scheduler.climate.curve import averages
from scheduler.messages import by_day
from scheduler.messages.site_news import news
from scheduler.service.almanac import Almanac
from scheduler.watch.site_note import Note

HOT_C = 27.0  # from here on a shut house can kill (common practice, no source)
USEFUL = timedelta(hours=1)
_DAY = timedelta(days=1)


def let_outs(almanac: Almanac, day: date, said: Sequence[Closing]) -> Iterator[Note]:
    """The let-outs that the profile wants told, one for houses within a quarter of an hour."""
    wanted = almanac.profile.reminders.letout
    if wanted == "none" or (wanted == "heat" and not is_hot(almanac, day)):
        return
    for group in in_one_walk(_opened(almanac, day, said), lambda coop: coop.let_out.instant):
        at = group[0].let_out.instant
        yield Note(
            step=Step("let-out", about=group[0].coop_id),
            at=at,
            useful_until=at + USEFUL,
            people=duty_ids(almanac.crew(day), day),
            tells=partial(_let_out, almanac, day, group),
        )
    if is_hot(almanac, day):
        yield from _kept_in_the_heat(almanac, day, said)


def _let_out(almanac: Almanac, day: date, group: Sequence[CoopDay], *_: object) -> Matter:
    profile = almanac.profile
    return news(
        by_day.let_out,
        [profile.coop_of(coop.coop_id).name for coop in group],
        almanac.clock(group[0].let_out.instant),
        hot=is_hot(almanac, day),
        loud=profile.reminders.letout == "loud",
    )


def _airing(coop_name: str, *_: object) -> Matter:
    return news(by_day.kept_in_the_heat, coop_name)


def _kept_in_the_heat(almanac: Almanac, day: date, said: Sequence[Closing]) -> Iterator[Note]:
    """At the hour of the let-out; where the heat or the order was only known later, from then."""
    known = _hot_in_since(almanac, day)
    empty = almanac.emptied(day, said)
    for coop in almanac.coops(day):
        at = max(coop.let_out.instant, known) if known else coop.let_out.instant
        has_birds = coop.coop_id not in empty and almanac.birds_in(coop.coop_id, day)
        # Chicks on heat are kept in as well, and no vent is opened on them.
        by_order = coop.kept_in == "housing order"
        if by_order and has_birds and at < coop.lock_up.instant:
            yield Note(
                step=Step("heat-in", about=coop.coop_id),
                at=at,
                useful_until=at + USEFUL,
                people=duty_ids(almanac.crew(day), day),
                tells=partial(_airing, almanac.profile.coop_of(coop.coop_id).name),
            )


def _hot_in_since(almanac: Almanac, day: date) -> datetime | None:
    """Since when reports have said that it is hot that day, and that birds stay in."""
    orders = almanac.records.of("order", day)
    hot: tuple[Report, ...] = ()
    if not _is_taken_for_hot(almanac, day):
        hot = tuple(filter(_says_hot, almanac.records.of("heat", day)))
    made = ((one.stands_since for one in those if one.stands_since) for those in (orders, hot))
    first = (min(instants, default=None) for instants in made)
    return max((at for at in first if at), default=None)


def _opened(almanac: Almanac, day: date, said: Sequence[Closing]) -> list[CoopDay]:
    """The coops that are opened that morning, because birds slept there and may come out."""
    slept_elsewhere = almanac.emptied(day - _DAY, said)
    return [
        coop
        for coop in almanac.coops(day)
        if not coop.kept_in
        and coop.coop_id not in slept_elsewhere
        and almanac.birds_in(coop.coop_id, day)
    ]


def is_hot(almanac: Almanac, day: date) -> bool:
    """Whether 27 °C is to be expected: told or forecast for that day, else usual."""
    return _is_taken_for_hot(almanac, day) or any(map(_says_hot, almanac.records.of("heat", day)))


def _is_taken_for_hot(almanac: Almanac, day: date) -> bool:
    return high_c(averages(almanac.profile.on(day)), almanac.records, day) >= HOT_C


def _says_hot(heat: Report) -> bool:
    return heat.air_c is None or heat.air_c >= HOT_C


def free_ranges(almanac: Almanac, day: date, said: Sequence[Closing]) -> Iterator[Note]:
    """The free-range time of each house with birds, until they are called in."""
    wanting = {person.id for person in almanac.profile.person if person.range_reminder}
    people = tuple(one.person_id for one in almanac.crew(day) if one.person_id in wanting)
    if not people:
        return
    empty = almanac.emptied(day, said)
    for coop in almanac.coops(day):
        spell = coop.free_range
        if isinstance(spell, FreeRange) and coop.coop_id not in empty:
            yield Note(
                step=Step("range", about=coop.coop_id),
                at=spell.start,
                useful_until=spell.call_in,
                people=people,
                tells=partial(_call_in, almanac, coop, spell.call_in),
            )


def _call_in(almanac: Almanac, coop: CoopDay, call_in: datetime, *_: object) -> Matter:
    name = almanac.profile.coop_of(coop.coop_id).name
    lock_up = almanac.clock(coop.lock_up.instant, coop.day)
    return news(by_day.free_range, [name], almanac.clock(call_in), lock_up)
