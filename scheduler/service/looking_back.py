"""Looks back on evenings that are over: of those that nobody was told of, people hear afterwards.

It does not matter why: the machine was off or asleep, its clock was wrong, no message got through.
"""

import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts import text
from scheduler.alerts.decide import Row, kind_of
from scheduler.alerts.delivery import Delivery
from scheduler.alerts.pursue import Night
from scheduler.cares.closing import Closing
from scheduler.journal import deliveries, history, memos
from scheduler.service.nights import Almanac, assembled
from scheduler.service.notes import told_to_all

_DAY = timedelta(days=1)
_CLOSELY = 30  # days; who looks back further was off, and nothing is written down of it
_JUDGED, _REPORTED, _STEP = "judged", "reported-missed", "missed"
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Silence:
    """So many evenings from `first` to `last` of which nobody was told."""

    first: date
    last: date
    count: int


def look_back(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], now: datetime
) -> Iterator[Delivery]:
    """One report of the evenings that ended since the last look, to everybody.

    A report that has not reached anybody yet is taken into the new one. An evening waits for its
    last message. Nothing is said of evenings before the first look.
    """
    site_id = almanac.household.profile.site.id
    current = almanac.evening_of(now)
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
    if silent:
        yield from _report(almanac, connection, silent, now)


def _judged(
    almanac: Almanac,
    connection: Connection,
    said: Sequence[Closing],
    first: date,
    current: date,
) -> Iterator[tuple[date, bool]]:
    """Each evening that is over, and whether nobody was told of it."""
    if first >= current:
        return
    shut = {one.evening for one in said if one.kind == "closed"}
    closely = max(first, current - _CLOSELY * _DAY)
    for number in range((closely - first).days):
        day = first + number * _DAY
        yield day, day not in shut
    site_id = almanac.household.profile.site.id
    begun = deliveries.evenings(connection, site_id, closely)
    rows = deliveries.rows_since(connection, site_id, closely)
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
    return row.state in {"pending", "sending"} and bool(kind_of(row.key.step))


def _is_silent(night: Night) -> bool:
    """Whether a door was left to itself: nobody shut it, and nothing but a heads-up arrived."""
    told = any(
        row.operation == "send"
        and row.state in {"sent", "perhaps sent"}
        and kind_of(row.key.step) not in {"", "heads-up"}
        for row in night.rows
    )
    return not told and any(state.state == "open" for state in night.states.values())


def _report(
    almanac: Almanac, connection: Connection, silent: Sequence[date], now: datetime
) -> Iterator[Delivery]:
    site_id = almanac.household.profile.site.id
    silence = Silence(first=silent[0], last=silent[-1], count=len(silent))
    before = _read(memos.recall(connection, site_id, _REPORTED))
    newer = before is not None and before.last < silence.first  # not so after a clock set back
    if before and newer and not history.has_arrived(connection, site_id, before.last, _STEP):
        deliveries.drop(connection, [one.key for one in _told(almanac, before, now)])
        silence = Silence(first=before.first, last=silence.last, count=before.count + silence.count)
    kept = f"{silence.first} {silence.last} {silence.count}"
    memos.note(connection, site_id, _REPORTED, kept)
    yield from _told(almanac, silence, now)


def _told(almanac: Almanac, silence: Silence, now: datetime) -> Iterator[Delivery]:
    message = text.missed_evenings(silence.first, silence.count)
    return told_to_all(almanac, _STEP, silence.last, message, now)


def _read(kept: str | None) -> Silence | None:
    if kept is None:
        return None
    first, last, count = kept.split()
    return Silence(first=date.fromisoformat(first), last=date.fromisoformat(last), count=int(count))
