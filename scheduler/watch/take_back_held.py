"""Takes back what a push server holds when the reminders that would do it are not running."""

import threading
import time
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

from scheduler.alerts.delivery import Outcome
from scheduler.alerts.evening_so_far import Row
from scheduler.alerts.held_messages import RINGS_AGAIN_AFTER
from scheduler.alerts.outcome import Next
from scheduler.channels.deadline import Limits
from scheduler.channels.port import Channel
from scheduler.journal import claims, deliveries, outcomes
from scheduler.journal.claims import Claimed
from scheduler.journal.outcomes import CameOf
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.machine.secrets import SecretFault, secret
from scheduler.machine.signing_key import signing_key
from scheduler.service.data_place import DataPlace
from scheduler.service.health.pulses import last_pulse
from scheduler.service.health.tick_file import is_beating
from scheduler.service.household.open_profile import Household
from scheduler.service.people.open_channels import for_cancels
from scheduler.watch.parcel import delivered, outgoing

PATIENCE_S = 5.0  # somebody waits at the terminal
_DAYS = timedelta(days=2)
_MOST = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenBack:
    """Whose held message was taken back, and whose rings, and when, although it should not."""

    gone: tuple[str, ...] = ()
    rings: tuple[tuple[str, datetime], ...] = ()


def instead_of_the_reminders(
    journal: Journal,
    household: Household,
    place: DataPlace,
    environment: Mapping[str, str],
    readings: Readings,
) -> TakenBack | None:
    """As `take_back`, over the profile's own push servers; None while the reminders do that.

    Raises:
        JournalFault: the journal cannot be read or written.
        OSError: the key cannot be read.
    """
    if is_beating(last_pulse(place, journal, readings), readings):
        return None
    limits = Limits(total_s=PATIENCE_S, connect_s=PATIENCE_S, reply_s=PATIENCE_S)
    secret_of = partial(secret, environment=environment)
    key = signing_key(place.folder, environment)
    try:
        channel = for_cancels(
            "push", household.profile, secret_of, key, lambda: readings.wall, limits
        )
    except SecretFault:
        channel = None
    return take_back(journal, household.profile.site.id, channel, lambda: readings.wall)


def take_back(
    journal: Journal,
    site_id: str,
    channel: Channel | None,
    now: Callable[[], datetime],
    *,
    wait_s: float = PATIENCE_S,
) -> TakenBack:
    """Asks the push servers for everything that is to be taken back, for `wait_s` at most.

    People are named by their ids. What does not come back in time is left to the reminders.

    Raises:
        JournalFault: the journal cannot be written.
    """
    ends, since = time.monotonic() + wait_s, now().date() - _DAYS
    with journal.reading() as connection:
        if not any(map(_is_due_back, deliveries.rows_since(connection, site_id, since))):
            return TakenBack()  # a write would only keep others waiting
    with journal.writing() as writing:
        claimed = claims.claim(writing.connection, site_id, "push", now(), _MOST, pick=_only_held)
    answers = _asked(channel, claimed, ends) if channel else {}
    gone, came = [], []
    for one in claimed:
        outcome, follows = answers.get(one.row_id, Outcome("unknown")), Next(state="sent")
        if outcome.kind == "sent":
            gone.append(one.key.person_id)
        else:
            follows = Next(state="pending", at=now())
        came.append(CameOf(one, outcome, follows, now()))
    with journal.writing() as writing:
        outcomes.settle(writing.connection, came)
        rows = deliveries.rows_since(writing.connection, site_id, since)
    return TakenBack(gone=tuple(dict.fromkeys(gone)), rings=_still_to_ring(rows, now()))


def _only_held(one: Claimed) -> Claimed | None:
    wanted = one.operation == "cancel" and one.key.step.kind == "hold" and one.address
    return one if wanted else None


def _asked(channel: Channel, claimed: Sequence[Claimed], ends: float) -> dict[int, Outcome]:
    by_server: dict[str, list[Claimed]] = defaultdict(list)
    for one in claimed:
        by_server[channel.destination(one.address or "")].append(one)
    answers: dict[int, Outcome] = {}
    threads = [
        threading.Thread(target=_ask, args=(channel, those, answers, ends), daemon=True)
        for those in by_server.values()
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(max(0.0, ends - time.monotonic()))
    return answers


def _ask(
    channel: Channel, those: Sequence[Claimed], answers: dict[int, Outcome], ends: float
) -> None:
    for one in those:
        if time.monotonic() < ends:
            answers[one.row_id] = delivered(channel, outgoing(one))


def _still_to_ring(rows: Sequence[Row], now: datetime) -> tuple[tuple[str, datetime], ...]:
    return tuple(
        (row.key.person_id, at)
        for row in rows
        if _is_due_back(row) and row.rings_at and (at := _next_of(row.rings_at, now))
    )


def _next_of(rings_at: datetime, now: datetime) -> datetime | None:
    """When it rings next, which it does twice."""
    return next((at for at in (rings_at, rings_at + RINGS_AGAIN_AFTER) if at > now), None)


def _is_due_back(row: Row) -> bool:
    cancels = row.operation == "cancel" and row.key.step.kind == "hold"
    return cancels and row.state in {"pending", "sending", "dead"}
