"""What a tick tells besides its evenings; whatever is wrong with it, they go on."""

import logging
from collections.abc import Callable, Iterable
from datetime import datetime

from sqlalchemy import Connection

from scheduler.alerts.crew import duty_ids
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.step import Step
from scheduler.alerts.words import own_faults
from scheduler.journal import deliveries
from scheduler.watch import (
    eggs_told,
    emergency_calls,
    morning_brief,
    site_messages,
    unheard_answers,
)
from scheduler.watch.look import Seen
from scheduler.watch.looking_back import look_back
from scheduler.watch.profile_in_force import ProfileInForce
from scheduler.watch.site_note import tell_all
from scheduler.watch.unheard_answers import Deafness

_log = logging.getLogger(__name__)


def tell_besides(  # noqa: PLR0913 - what a tick knows
    connection: Connection,
    in_force: ProfileInForce,
    seen: Seen,
    nights: Iterable[Night],
    now: datetime,
    *,
    is_trusted: bool,
    deaf: Deafness | None,
    doubt_of: Callable[[], str],
) -> bool:
    """Writes down what is to be told now; False when that cannot be worked out."""
    almanac = in_force.almanac
    try:
        if is_trusted and almanac.watched_since:
            deliveries.add(connection, look_back(almanac, connection, seen.said, now))
        today = in_force.household.today(now)
        for coop_id in almanac.quarantined:
            message = own_faults.cannot_plan(in_force.household.profile.coop_of(coop_id).name)
            tell_all(connection, almanac, Step("plan", about=coop_id), today, message, now)
        ended = emergency_calls.overs(almanac, connection, seen.said, now)
        deliveries.add(connection, list(ended))
        deliveries.add(connection, list(eggs_told.follow(almanac, connection, now)))
        for one in site_messages.due_notes(almanac, connection, seen.said, now, doubt_of):
            deliveries.add(connection, [one])
            if one.key.step.kind == "brief":
                to_duty = one.key.person_id in duty_ids(in_force.crew, one.key.day)
                morning_brief.told(connection, in_force.site_id, to_duty=to_duty)
        told = unheard_answers.follow(almanac, connection, nights, deaf, now)
        deliveries.add(connection, list(told))
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
        _log.exception("notes.not_made")
        return False
    return True
