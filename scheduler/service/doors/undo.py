"""Takes back what was said last of a door."""

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from functools import partial

from sqlalchemy import Connection

from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.diary.of_doors import NumberedClosing, closings_of, with_the_other_house
from scheduler.cares.door_fold import door
from scheduler.cares.door_state import Door
from scheduler.journal import closings
from scheduler.journal.store import Journal
from scheduler.messages.missing import not_all_in
from scheduler.profile.who_may import may
from scheduler.service import diary
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Judged, Refused
from scheduler.service.doors.cannot_be import choose, is_long_ago
from scheduler.service.doors.follow import follow
from scheduler.service.doors.overtaken import is_undone_by
from scheduler.service.doors.say import as_kept, speaker
from scheduler.service.doors.statement import Kept, Overtaken, Statement, matter_of
from scheduler.service.evenings_around import nights_of
from scheduler.wording.service.taking_back import (
    DoorNow,
    NothingToTakeBack,
    SaidLast,
    SaidLastOf,
)
from scheduler.wording.spoken import listed, short_day
from scheduler.wording.words import by_code

Undone = Kept | Refused | Overtaken
_UNDONE_WITHIN = timedelta(hours=24)


def take_back(journal: Journal, almanac: Almanac, statement: Statement, now: datetime) -> Undone:
    """Takes back what was said last: of the statement's coop and evening, as far as it names them.

    Without an evening nothing that was said more than a day ago: nobody means that.
    What was said of several houses at once is taken back of all of them. Where that opens a door
    again, the reminders go on as a new turn.
    """
    site_id, by = almanac.site_id, speaker(almanac, statement, now)

    def judge(connection: Connection) -> Judged[Undone]:
        known = closings.entries_read(connection, site_id, statement.evening or date.max)
        found = closings_of(known)
        said = [one.closing for one in found]
        ever = _last_said(found, statement)
        since = datetime.min.replace(tzinfo=UTC) if statement.evening else now - _UNDONE_WITHIN
        last = [one for one in ever if one.closing.known_at >= since]
        last = with_the_other_house(found, last)
        if not last and (ever or is_long_ago(almanac, statement, now)):
            return Judged(answer=_nothing_to_take_back(almanac, said, ever, statement))
        evening = last[-1].closing.evening if last else _evening_of(almanac, statement, now)
        around = nights_of(almanac, connection, evening, said, now)
        chosen = choose(around, statement)
        if isinstance(chosen, Refused):
            return Judged(answer=chosen)
        if statement.turn is not None and statement.coop is not None:
            [(coop_id, night)] = chosen.items()
            turn = closings.turns(connection, site_id, evening).get((coop_id, evening), 0)
            if turn != statement.turn or not last:
                again = [one for one in said if (one.coop_id, one.evening) == (coop_id, evening)]
                stands = turn == statement.turn + 1 and is_undone_by(statement.who, again)
                return Judged(answer=Overtaken(state=night.states[coop_id], stands=stands))
        if not last:
            return Judged(answer=_nothing_to_take_back(almanac, said, ever, statement))
        for one in last:
            # Who may not say that birds came or were sold does not take it back, either.
            if why := may(by.voice, matter_of(one.closing.kind), evening):
                return Judged(answer=diary.beyond(why))
        named = {one.coop_id: night for night in around for one in night.evening.doors}
        mine = {coop: named[coop] for one in last if (coop := one.closing.coop_id) in named}
        told = tuple(one.closing for one in last if one.closing.coop_id in mine)
        back = [one.number for one in last]
        left = [one.closing for one in closings_of([*known, *map(by.taking_back, back)])]
        kept = as_kept(evening, told, mine, left, now)
        return Judged(answer=kept, back=back, then=partial(follow, almanac, now=now))

    return diary.say(journal, site_id, by, "door", statement.evening, judge)


def _evening_of(almanac: Almanac, statement: Statement, now: datetime) -> date:
    return statement.evening or almanac.evening_of(now)


def _nothing_to_take_back(
    almanac: Almanac,
    said: Sequence[Closing],
    found: Sequence[NumberedClosing],
    statement: Statement,
) -> Refused:
    """Says what a named evening would take back, or what was taken back already and holds now."""
    ever = [one.closing for one in found]
    if not ever:
        why = _taken_back_already(almanac, said, statement)
        return Refused(
            key="undo", found=NothingToTakeBack.found_nothing(), accepted="", question=why
        )
    last = ever[-1]
    names = almanac.profile.house_names
    told = [
        (names.get(one.coop_id, one.coop_id), what_was_said(one.kind, one.count)) for one in ever
    ]
    return Refused(
        key="undo",
        found=NothingToTakeBack.found_nothing_new(),
        accepted=NothingToTakeBack.accepted(day=last.evening.isoformat()),
        question=NothingToTakeBack.would(who=last.who, what=_of_houses(told)),
    )


def _of_houses(told: Sequence[tuple[str, str]]) -> str:
    """What was said of these houses: once for all of them where it is the same."""
    names, (_, first) = [name for name, _ in told], told[0]
    if len({one for _, one in told}) == 1:
        return NothingToTakeBack.of_houses(houses=listed(names), said=first)
    what = NothingToTakeBack.of_houses(houses=names[0], said=first)
    for name, one in told[1:]:
        what = NothingToTakeBack.of_another(before=what, house=name, said=one)
    return what


def _taken_back_already(almanac: Almanac, said: Sequence[Closing], statement: Statement) -> str:
    undone = (one for one in said if one.kind == "undone" and _is_meant(one, statement))
    last = max(undone, key=lambda one: one.at, default=None)
    if last is None or last.was is None:
        return NothingToTakeBack.none()
    name = almanac.profile.house_names.get(last.coop_id, last.coop_id)
    birds = almanac.birds_in(last.coop_id, last.evening)
    already = NothingToTakeBack.already(
        who=last.who,
        house=name,
        said=what_was_said(last.was, last.count),
        day=short_day(almanac.household.today(last.at)),
        time=almanac.clock(last.at),
    )
    return f"{already} {_now(door(said, last.coop_id, last.evening, birds))}"


def _now(state: Door) -> str:
    """How a door stands, in a sentence; of an open one nobody has counted."""
    missing = not_all_in(state)
    if state.state == "open":
        return DoorNow.open_amiss(missing=missing) if missing else DoorNow.open()
    if state.counted is None:
        return DoorNow.shut_amiss(missing=missing) if missing else DoorNow.shut()
    if missing:
        return DoorNow.shut_in_amiss(birds=state.counted, missing=missing)
    return DoorNow.shut_in(birds=state.counted)


def what_was_said(kind: ClosingKind, count: int | None) -> str:
    """What was said: "shut, 11 in", "2 dead"."""
    if count is None or kind == "reopened":  # a door is opened again, whatever the count
        return by_code(SaidLast, kind)()
    return by_code(SaidLastOf, kind)(birds=count)


def _last_said(said: Iterable[NumberedClosing], statement: Statement) -> list[NumberedClosing]:
    """The last thing said that fits the statement, of every house that it was said of."""
    last: list[NumberedClosing] = []
    for one in reversed([*said]):
        known = one.closing
        if known.kind == "undone" or not _is_meant(known, statement):
            continue
        first = last[0].closing if last else known
        same = (_act(known), known.at, known.who) == (_act(first), first.at, first.who)
        if not same or known.coop_id in {other.closing.coop_id for other in last}:
            break
        last.insert(0, one)
    return last


def _act(one: Closing) -> str:
    """What was said; that birds moved is said of two houses at once."""
    return "moved" if one.other_coop else one.kind


def _is_meant(one: Closing, statement: Statement) -> bool:
    of_coop = statement.coop in {None, one.coop_id}
    return of_coop and statement.evening in {None, one.evening}
