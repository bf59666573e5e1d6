"""A keeper says something of a door: shut, open again, birds found, lost, dead or elsewhere.

A closing is never refused because of its count; what else cannot be is asked about and not kept.
The reminders follow in the same transaction.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from scheduler.alerts.evening_so_far import Night
from scheduler.cares.closing import Closing
from scheduler.cares.door_fold import door
from scheduler.journal import closings
from scheduler.journal.store import Journal
from scheduler.service.almanac import Almanac
from scheduler.service.doors.cannot_be import TAKES_AWAY, choose, out_of_time, would_empty
from scheduler.service.doors.follow import follow
from scheduler.service.doors.overtaken import ended_since, overtaken_by
from scheduler.service.doors.statement import AskFirst, Kept, Refused, Result, Statement
from scheduler.service.evenings_around import nights_of, planned_of

EARLY = timedelta(hours=3)


def say(journal: Journal, almanac: Almanac, statement: Statement, now: datetime) -> Result:
    """Keeps the statement and what follows from it, or says why not."""
    at = statement.at or now
    evening = statement.evening or almanac.evening_of(at, statement.coop)
    if beyond := out_of_time(almanac, statement, at, evening, now):
        return beyond
    with journal.writing() as writing:
        connection, site_id = writing.connection, almanac.site_id
        said = closings.closings(connection, site_id)
        around = nights_of(almanac, connection, evening, said, now)
        if overtaken := overtaken_by(statement, around, said, connection, site_id):
            return overtaken
        chosen = choose(around, statement)
        if isinstance(chosen, Refused):
            return chosen
        if not_yet := ended_since(statement, chosen, said) or _early(statement, chosen, at):
            return not_yet
        new = tuple(
            Closing(
                kind=statement.kind,
                coop_id=coop_id,
                evening=evening,
                at=at,
                who=statement.who,
                flock=planned_of(night, coop_id).profile_birds,
                count=_counted(statement, night, coop_id),
                some_missing=statement.some_missing and statement.count is None,
            )
            for coop_id, night in chosen.items()
        )
        kept = as_kept(evening, new, chosen, [*said, *new], now)
        if emptied := would_empty(statement, chosen, kept):
            return emptied
        closings.add(connection, site_id, new, now)
        follow(almanac, connection, now)
    return kept


def _early(statement: Statement, chosen: Mapping[str, Night], at: datetime) -> AskFirst | None:
    first = min(night.evening.lock_up for night in chosen.values())
    if statement.kind == "closed" and first - at > EARLY and not statement.sure:
        return AskFirst(lock_up=first)
    return None


def _counted(statement: Statement, night: Night, coop_id: str) -> int | None:
    if statement.kind in TAKES_AWAY and statement.count is None:
        state = night.states[coop_id]
        return state.missing or state.at_large
    return statement.count


def as_kept(
    evening: date,
    new: tuple[Closing, ...],
    chosen: Mapping[str, Night],
    said: Sequence[Closing],
    now: datetime,
) -> Kept:
    """The answer that it was kept, with each door as it stands after it."""
    planned = {one.coop_id: planned_of(chosen[one.coop_id], one.coop_id) for one in new}
    return Kept(
        evening=evening,
        said=new,
        names=tuple(planned[one.coop_id].name for one in new),
        expected=tuple(chosen[one.coop_id].states[one.coop_id].expected for one in new),
        late=all(now >= night.evening.let_out for night in chosen.values()),
        states=tuple(
            door(said, one.coop_id, evening, planned[one.coop_id].profile_birds) for one in new
        ),
    )
