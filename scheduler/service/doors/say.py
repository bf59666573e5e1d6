"""A keeper says something of a door: shut, open again, birds found, lost, dead or elsewhere.

A closing is never refused because of its count; what else cannot be is asked about and not kept.
The reminders follow in the same transaction.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import partial

from sqlalchemy import Connection

from scheduler.alerts.evening_so_far import Night
from scheduler.cares.closing import Closing
from scheduler.cares.diary.entry import Entry
from scheduler.cares.diary.of_doors import said_in
from scheduler.cares.door_fold import door
from scheduler.journal import closings
from scheduler.journal.store import Journal
from scheduler.service import diary
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Judged, Refused, Speaker
from scheduler.service.doors.cannot_be import TAKES_AWAY, choose, out_of_time, would_empty
from scheduler.service.doors.follow import follow
from scheduler.service.doors.overtaken import ended_since, overtaken_by
from scheduler.service.doors.statement import (
    AskFirst,
    Kept,
    Result,
    Statement,
    Together,
    matter_of,
)
from scheduler.service.evenings_around import nights_of, planned_of
from scheduler.wording.service.doors import DoorAccepted, DoorAsked

EARLY = timedelta(hours=3)


def say(journal: Journal, almanac: Almanac, statement: Statement, now: datetime) -> Result:
    """Keeps the statement and what follows from it, or says why not."""
    at = statement.at or now
    evening = statement.evening or almanac.evening_of(at, statement.coop)
    if beyond := out_of_time(almanac, statement, at, evening, now):
        return beyond
    by = speaker(almanac, statement, now)

    def judge(connection: Connection) -> Judged[Result]:
        judged = _judge(almanac, connection, statement, by, evening)
        return replace(judged, then=_follow(almanac, now)) if judged.said else judged

    return diary.say(journal, almanac.site_id, by, matter_of(statement.kind), evening, judge)


def say_together(
    journal: Journal, almanac: Almanac, together: Together, now: datetime
) -> Mapping[str, Result] | Refused | AskFirst:
    """Keeps of each house that it is shut with so many birds, and tells of them all at once.

    A house of which that cannot be kept keeps no other from it: each has its own answer, by its id.
    Where one is hours ahead of its lock-up nothing is kept until somebody is sure.
    """
    evening, said = together.evening, together.statements
    for one in said:
        if beyond := out_of_time(almanac, one, one.at or now, evening, now):
            return beyond
    by = speaker(almanac, said[0], now)

    def judge(connection: Connection) -> Judged[Mapping[str, Result] | AskFirst]:
        judged = {
            coop_id: _judge(almanac, connection, one, by, evening)
            for one in said
            if (coop_id := one.coop)
        }
        answers = {coop_id: one.answer for coop_id, one in judged.items()}
        if first := [one for one in answers.values() if isinstance(one, AskFirst)]:
            return Judged(answer=min(first, key=lambda one: one.lock_up))
        new = [each for one in judged.values() for each in one.said]
        return Judged(answer=answers, said=new, then=_follow(almanac, now) if new else None)

    return diary.say(journal, almanac.site_id, by, "door", evening, judge)


def _follow(almanac: Almanac, now: datetime) -> Callable[[Connection], None]:
    return partial(follow, almanac, now=now)


def _judge(
    almanac: Almanac, connection: Connection, statement: Statement, by: Speaker, evening: date
) -> Judged[Result]:
    """What of the statement is kept, as everything stands."""
    now, site_id = by.now, almanac.site_id
    at = statement.at or now
    said = closings.closings(connection, site_id, evening)
    around = nights_of(almanac, connection, evening, said, now)
    if overtaken := overtaken_by(statement, around, said, connection, site_id):
        return Judged(answer=overtaken)
    chosen = choose(around, statement)
    if isinstance(chosen, Refused):
        return Judged(answer=chosen)
    if not_yet := ended_since(statement, chosen, said) or _early(statement, chosen, at):
        return Judged(answer=not_yet)
    others = _moved_to(statement, around, chosen)
    if isinstance(others, Refused):
        return Judged(answer=others)
    elsewhere = dict(zip((*chosen, *others), (*others, *chosen), strict=False))
    chosen |= others
    new = tuple(
        Closing(
            kind="moved-in" if coop_id in others else statement.kind,
            coop_id=coop_id,
            evening=evening,
            at=at,
            who=statement.who,
            flock=planned_of(night, coop_id).profile_birds,
            count=_counted(statement, night, coop_id),
            some_missing=statement.some_missing and statement.count is None,
            other_coop=elsewhere[coop_id] if others else "",
        )
        for coop_id, night in chosen.items()
    )
    kept = as_kept(evening, new, chosen, [*said, *new], now)
    if emptied := would_empty(statement, chosen, kept):
        return Judged(answer=emptied)
    return Judged(answer=kept, said=as_entries(by, new))


def _moved_to(
    statement: Statement, around: Sequence[Night], left: Collection[str]
) -> Mapping[str, Night] | Refused:
    """The house that birds moved to out of one; none where they did not move."""
    if statement.to is None:
        return {}
    if statement.to in left:
        return Refused(
            key="--to",
            found=statement.to,
            accepted=DoorAccepted.another_house(),
            question=DoorAsked.already_there(),
            is_typed=True,
        )
    arrival = replace(statement, kind="moved-in", coop=statement.to, to=None)
    return choose(around, arrival)


def speaker(almanac: Almanac, statement: Statement, now: datetime) -> Speaker:
    """Whoever makes the statement."""
    today = almanac.household.today(now)
    return Speaker.called(statement.who, almanac.profile, now, today, statement.voice)


def as_entries(by: Speaker, closings: Iterable[Closing]) -> list[Entry]:
    """What these say of doors, to be kept."""
    return [by.entry(said_in(one), one.coop_id, one.evening, one.at) for one in closings]


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
