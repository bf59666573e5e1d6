"""Writes down what the evenings need after something was said."""

import logging
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.decide import Pursuit
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.pursue import pursue
from scheduler.journal import deliveries, memos
from scheduler.service.almanac import Almanac
from scheduler.service.evenings_around import nights

_log = logging.getLogger(__name__)
_SET_BACK = timedelta(hours=1)  # further back than the last tick no clock is believed


def follow(almanac: Almanac, connection: Connection, now: datetime) -> None:
    """Writes down what every evening around `now` needs after something was said.

    Nothing by a clock that is behind: the tick follows once it has been set.
    """
    last = memos.recall_instant(connection, almanac.site_id, memos.LAST_TICK)
    if last and now < last - _SET_BACK:
        return
    for night in nights(almanac, connection, now):
        try:
            found = pursue(night, now)
        except Exception:  # noqa: BLE001 - nothing must keep a closing from being kept
            _log.exception("evening.not_followed")
            continue
        carry_out(connection, night, found)


def carry_out(connection: Connection, night: Night, pursuit: Pursuit) -> None:
    """Writes a pursuit down; the evening's snapshot is kept from its first step on."""
    if any(one.operation == "send" for one in pursuit.add):
        deliveries.open_evening(connection, night.evening)
    deliveries.drop(connection, pursuit.drop)
    deliveries.add(connection, pursuit.add)
