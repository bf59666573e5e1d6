"""What an outcome means for a delivery: done, once more, or given up."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduler.alerts.delivery import Outcome, State

LEASE = timedelta(seconds=120)
_FIRST_RETRY_S = 15.0
_LONGEST_RETRY_S = 300.0
_JITTER = 0.2
# Copies of one message when no answer comes back although it was handed over. With a server that
# takes each and drops the line they would go on all night; the next step of the evening comes
# anyhow, with an id of its own. Spread out, so that one of them finds the line mended.
MOST_COPIES = 4
_COPIES_APART_S = (15.0, 120.0, 960.0)
# A wrong password is not tried every few minutes: some servers lock the account.
_MISCONFIGURED_RETRY_S = 900.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """The state a delivery goes to, and when it is tried again."""

    state: State
    at: datetime | None = None


def after(  # noqa: PLR0913 - one attempt in parts
    outcome: Outcome,
    *,
    attempt: int,
    message_id: str,
    maybe_before: bool,
    now: datetime,
    useful_until: datetime,
    copies: int = 1,
) -> Next:
    """What follows from the outcome of attempt number `attempt`.

    Retries wait 15, 30, 60 … at most 300 seconds, spread by a fifth so that many do not come at
    once, and end when the message is of no use any more. What an earlier attempt may have handed
    over (`maybe_before`) ends as perhaps sent, never as dead. `copies` is how many attempts, with
    this one, nobody knows the outcome of: they come further and further apart, and no more than
    four.
    """
    lost: State = "perhaps sent" if maybe_before or outcome.kind == "unknown" else "dead"
    if outcome.kind == "sent":
        return Next(state="sent")
    if outcome.kind in {"bad address", "permanent"}:
        return Next(state=lost)
    wait_s = min(_FIRST_RETRY_S * 2 ** min(attempt - 1, 10), _LONGEST_RETRY_S)
    if outcome.kind == "unknown":
        if copies >= MOST_COPIES:
            return Next(state="perhaps sent")
        wait_s = _COPIES_APART_S[max(copies, 1) - 1]
    wait_s *= 1 - _JITTER * int(message_id[:4], 16) / 0xFFFF
    if outcome.kind == "misconfigured":
        wait_s = _MISCONFIGURED_RETRY_S
    wait_s = max(wait_s, outcome.retry_after_s or 0)
    again = now + timedelta(seconds=wait_s)
    return Next(state="pending", at=again) if again < useful_until else Next(state=lost)
