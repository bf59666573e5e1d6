"""The evenings around an instant, with everything said and written down of them."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from types import MappingProxyType

from sqlalchemy import Connection

from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.reminded_evening import Evening, RemindedDoor, among
from scheduler.cares.closing import Closing, found_when_said, is_count_due
from scheduler.cares.door_fold import door
from scheduler.cares.door_state import Door
from scheduler.journal import access, closings, deliveries
from scheduler.service.almanac import DAYS_BACK, Almanac

_DAY = timedelta(days=1)
_FIRST_OF_ALL: Mapping[str, int] = MappingProxyType({})
_NEWS_OF = frozenset({"closed", "found", "dead", "given-up", "elsewhere"})


def nights(
    almanac: Almanac, connection: Connection, now: datetime, said: Sequence[Closing] | None = None
) -> tuple[Night, ...]:
    """The evenings of today and the two days before, as they stand in the journal."""
    site_id = almanac.site_id
    today = almanac.household.today(now)
    since = today - DAYS_BACK * _DAY
    said = closings.closings(connection, site_id) if said is None else said
    begun = deliveries.evenings(connection, site_id, since)
    rows = deliveries.rows_since(connection, site_id, since)
    generations = access.generations(connection, site_id)
    days = [since, since + _DAY, today]
    return tuple(assembled(almanac, begun, said, rows, days, generations))


def assembled(  # noqa: PLR0913, PLR0917 - everything that is known of evenings
    almanac: Almanac,
    begun: Sequence[Evening],
    said: Sequence[Closing],
    rows: Sequence[Row],
    days: Sequence[date],
    generations: Mapping[str, int] = _FIRST_OF_ALL,
) -> Iterator[Night]:
    """Each evening of the days: as it was when its first step was due, else as planned now.

    Whoever has left the profile since is not told of it.
    """
    for day in days:
        crew = almanac.crew(day)
        topics = {one.person_id: to for one in crew if (to := one.address("push"))}
        evenings = [among(_numbered(one, almanac), crew) for one in begun if one.day == day]
        covered = {one.coop_id for evening in evenings for one in evening.doors}
        evenings += almanac.planned(day, said, covered)
        for evening in evenings:
            states = states_of(evening, said)
            late = _said_late(almanac, evening, said)
            place = (day, evening.subject_id)
            uncounted = (
                coop_id
                for coop_id, state in states.items()
                if is_count_due(said, coop_id, day, state.expected)
            )
            yield Night(
                evening=evening,
                states=states,
                rows=tuple(one for one in rows if (one.key.day, one.key.subject_id) == place),
                noon=almanac.noon(day),
                zone=almanac.profile.on(day).site.zone,
                key=almanac.key,
                base_url=almanac.profile.web.base_url or "",
                watched_since=almanac.watched_since,
                count_due=frozenset(uncounted),
                said_late=late,
                told_before=_told_before(evening, states, said, rows, late),
                topics=topics,
                generations=generations,
                units=almanac.profile.units,
                ahead=almanac.ahead(day),
            )


def _said_late(almanac: Almanac, evening: Evening, said: Sequence[Closing]) -> tuple[Closing, ...]:
    """What was said, while this evening was the one under way, of doors and birds before it."""
    houses = {one.coop_id for one in evening.doors}
    soonest = almanac.noon(evening.day) - _DAY

    def is_late(one: Closing) -> bool:
        return (
            one.known_at > soonest
            and one.evening < evening.day
            and one.coop_id in houses
            and (one.was or one.kind) in _NEWS_OF
            and almanac.evening_of(one.known_at, one.coop_id) == evening.day
        )

    if not any(map(is_late, said)):
        return ()  # as on most days
    return tuple(sorted(filter(is_late, found_when_said(said)), key=lambda one: one.known_at))


def _told_before(
    evening: Evening,
    states: Mapping[str, Door],
    said: Iterable[Closing],
    rows: Iterable[Row],
    late: Sequence[Closing],
) -> frozenset[str]:
    """Who may have read of the door or the missing that were spoken of late; asked only for news.

    That birds are missing every message of the evenings after it says.
    """
    if not (late or any(state.news for state in states.values())):
        return frozenset()
    earlier = [one for one in said if one.evening < evening.day and one not in late]
    missed = [one.since for state in states_of(evening, earlier).values() for one in state.before]
    first = min(missed, default=evening.day)
    doors = {one.evening for one in late if one.is_of_shutting}
    return frozenset(
        row.key.person_id
        for row in rows
        if row.operation == "send"
        and row.may_have_arrived
        and (
            (row.key.subject_id == evening.subject_id and row.key.day > first)
            or (missed and row.key.step.is_search and row.key.day < evening.day)
            or (row.key.day in doors and row.key.step.is_of_a_door)
        )
    )


def _numbered(evening: Evening, almanac: Almanac) -> Evening:
    """One that an older program began knows its birds less those away, not the profile's."""
    doors = (
        one
        if one.flock is not None
        else replace(one, flock=almanac.birds_in(one.coop_id, evening.day))
        for one in evening.doors
    )
    return replace(evening, doors=tuple(doors))


def states_of(evening: Evening, said: Sequence[Closing]) -> dict[str, Door]:
    """Where each of the evening's doors stands."""
    return {
        one.coop_id: door(said, one.coop_id, evening.day, one.profile_birds)
        for one in evening.doors
    }


def nights_of(
    almanac: Almanac, connection: Connection, evening: date, said: Sequence[Closing], now: datetime
) -> tuple[Night, ...]:
    """The evenings of that date with everything said of them, of houses without birds as well."""
    found = nights(almanac, connection, now, said)
    here = tuple(night for night in found if night.evening.day == evening)
    # A house without birds, or an evening longer ago: nothing is due, but something may be said.
    covered = {one.coop_id for night in here for one in night.evening.doors}
    return here + tuple(
        Night(
            evening=planned,
            states=states_of(planned, said),
            rows=(),
            noon=almanac.noon(evening),
            zone=almanac.profile.on(evening).site.zone,
            key=almanac.key,
        )
        for planned in almanac.planned(evening, said, covered, empty=True)
    )


def planned_of(night: Night, coop_id: str) -> RemindedDoor:
    """The coop's door as the evening has it."""
    return next(one for one in night.evening.doors if one.coop_id == coop_id)


def tonight(
    almanac: Almanac, found: Sequence[Night], said: Sequence[Closing], coop_id: str, now: datetime
) -> Door:
    """How the coop stands on the evening that something said now would be for."""
    day = almanac.evening_of(now, coop_id)
    for night in found:
        if night.evening.day == day and coop_id in night.states:
            return night.states[coop_id]
    return almanac.house(coop_id, day, said)
