"""Looks back on evenings that are over: of those that nobody was told of, people hear afterwards.

It does not matter why: the machine was off or asleep, its clock was wrong, no message got through.
"""

import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from hashlib import sha256

from sqlalchemy import Connection

from scheduler.alerts.delivery import Delivery
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.step import Step, nth
from scheduler.cares.closing import Closing
from scheduler.journal import deliveries, history, memos
from scheduler.messages import own_faults
from scheduler.messages.site_news import news
from scheduler.service.almanac import Almanac
from scheduler.service.evenings_around import assembled
from scheduler.watch.site_note import told_to_all

_DAY = timedelta(days=1)
_CLOSELY = 30  # days; who looks back further was off, and nothing is written down of it
_JUDGED, _REPORTED = "judged", "reported-missed"
_LONG_AGO = "1970-01-01T00:00:00+00:00"
_AGAIN_AFTER = _DAY  # a message that reached nobody is of no use any more by then
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Silence:
    """So many evenings from `first` to `last` of which nobody was told, and the report of it.

    The report was tried `number` times, the last time at `since`, at addresses that `tried` is a
    mark of.
    """

    first: date
    last: date
    count: int
    number: int
    since: datetime
    tried: str

    @property
    def steps(self) -> tuple[Step, ...]:
        """The step of each try, the last one last."""
        return tuple(nth("missed", number) for number in range(1, self.number + 1))


def look_back(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], now: datetime
) -> Iterator[Delivery]:
    """One report of the evenings that ended since the last look, to everybody.

    It is told until it has reached somebody: again a day later, or once there is another address
    to try. One that has not reached anybody yet is taken into the next. An evening waits for its
    last message. Nothing is said of evenings before the first look.
    """
    site_id, current = almanac.site_id, almanac.evening_of(now)
    known = memos.recall(connection, site_id, _JUDGED)
    last = date.fromisoformat(known) if known else current
    if last >= current:  # the first look, or the clock was set back
        last = current - _DAY
    silent: list[date] = []
    for day, is_silent in _judged(almanac, connection, said, last + _DAY, current):
        last = day
        silent += [day] if is_silent else []
    if last.isoformat() != known:
        memos.note(connection, site_id, _JUDGED, last.isoformat())
    waiting = _untold(almanac, connection, current)
    silence = _reported(almanac, silent, waiting, now)
    if silence is None:
        return
    if silence != waiting:
        if waiting:
            steps = set(waiting.steps)
            deliveries.drop(connection, history.keys_of(connection, site_id, waiting.last, steps))
        memos.note(connection, site_id, _REPORTED, _kept(silence))
    matter = news(own_faults.missed_evenings, silence.first, silence.count)
    yield from told_to_all(almanac, silence.steps[-1], silence.last, matter, now)


def _untold(almanac: Almanac, connection: Connection, current: date) -> Silence | None:
    """The report that has not reached anybody yet; one that has is forgotten."""
    site_id = almanac.site_id
    found = _read(memos.recall(connection, site_id, _REPORTED))
    if found is None:
        return None
    arrived = any(
        history.has_arrived(connection, site_id, found.last, step) for step in found.steps
    )
    known = found.tried or history.is_told(connection, site_id, found.last, Step("missed"))
    if arrived or not known or found.last >= current:  # the last after a clock set back
        memos.forget(connection, site_id, _REPORTED)
        return None
    return found


def _reported(
    almanac: Almanac, silent: Sequence[date], waiting: Silence | None, now: datetime
) -> Silence | None:
    """What is to be told: what waits, once more when that has any hope, with what is new."""
    tried = _mark(almanac)
    if silent:
        return Silence(
            first=min(waiting.first, silent[0]) if waiting else silent[0],
            last=silent[-1],
            count=len(silent) + (waiting.count if waiting else 0),
            number=1,
            since=now,
            tried=tried,
        )
    if waiting and (waiting.tried != tried or abs(now - waiting.since) >= _AGAIN_AFTER):
        return replace(waiting, number=waiting.number + 1, since=now, tried=tried)
    return waiting


def _mark(almanac: Almanac) -> str:
    """Differs when anybody's address does; no address can be read from it."""
    return sha256(repr([one.addresses for one in almanac.everybody]).encode()).hexdigest()[:16]


def _judged(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], first: date, current: date
) -> Iterator[tuple[date, bool]]:
    """Each evening that is over, and whether nobody was told of it."""
    if first >= current:
        return
    shut = {one.evening for one in said if one.kind == "closed"}
    closely = max(first, current - _CLOSELY * _DAY)
    for number in range((closely - first).days):
        day = first + number * _DAY
        somebody = any(almanac.birds_in(coop.id, day) for coop in almanac.profile.coop)
        yield day, somebody and day not in shut
    begun = deliveries.evenings(connection, almanac.site_id, closely)
    rows = deliveries.rows_since(connection, almanac.site_id, closely)
    for number in range((current - closely).days):
        day = closely + number * _DAY
        try:
            nights = list(assembled(almanac, begun, said, rows, [day]))
        except Exception:  # noqa: BLE001 - an evening that cannot be worked out was told to nobody
            _log.exception("evening.not_judged")
            yield day, True
            continue
        if any(_is_waiting(row) for night in nights for row in night.rows):
            return
        yield day, any(_is_silent(night) for night in nights)


def _is_waiting(row: Row) -> bool:
    return row.state in {"pending", "sending"} and row.key.step.is_reminder


def _is_silent(night: Night) -> bool:
    """Whether a door was left to itself: nobody shut it, and nothing but a heads-up arrived."""
    told = any(
        row.operation == "send" and row.state in {"sent", "perhaps sent"} and row.key.step.calls
        for row in night.rows
    )
    return not told and night.is_open


def _kept(silence: Silence) -> str:
    tries = f"{silence.number} {silence.since.isoformat()} {silence.tried}"
    return f"{silence.first} {silence.last} {silence.count} {tries}"


def _read(kept: str | None) -> Silence | None:
    if kept is None:
        return None
    first, last, count, *tries = kept.split()
    number, since, tried = tries or ["1", _LONG_AGO, ""]  # nothing of it by an earlier version
    return Silence(
        first=date.fromisoformat(first),
        last=date.fromisoformat(last),
        count=int(count),
        number=int(number),
        since=datetime.fromisoformat(since),
        tried=tried,
    )
