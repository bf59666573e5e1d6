"""What an outcome means (RFC 5321 reply codes): done, once more, or given up."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.delivery import Outcome, OutcomeKind, State
from scheduler.alerts.outcome import MOST_COPIES, Next, after

NOW = datetime(2026, 12, 21, 16, 18, tzinfo=UTC)
DAY = timedelta(days=1)
SECOND = timedelta(seconds=1)
LATEST_SPREAD, NO_SPREAD = "ffff" + "0" * 28, "0" * 32


def follows(  # noqa: PLR0913 - one attempt in parts
    kind: OutcomeKind,
    attempt: int = 1,
    *,
    message_id: str = NO_SPREAD,
    maybe_before: bool = False,
    useful: timedelta = DAY,
    retry_after_s: float | None = None,
    copies: int = 1,
) -> Next:
    return after(
        Outcome(kind=kind, retry_after_s=retry_after_s),
        attempt=attempt,
        message_id=message_id,
        maybe_before=maybe_before,
        now=NOW,
        useful_until=NOW + useful,
        copies=copies,
    )


def waits_s(found: Next) -> float:
    assert found.at is not None
    return (found.at - NOW) / SECOND


@pytest.mark.parametrize(
    ("kind", "maybe_before", "state", "wait_s"),
    [
        ("sent", False, "sent", None),
        ("sent", True, "sent", None),
        ("transient", False, "pending", 15),
        ("unknown", False, "pending", 15),
        ("misconfigured", False, "pending", 900),
        ("bad address", False, "dead", None),
        ("permanent", False, "dead", None),
        ("bad address", True, "perhaps sent", None),
        ("permanent", True, "perhaps sent", None),
    ],
)
def test_what_follows(
    kind: OutcomeKind, state: State, wait_s: float | None, *, maybe_before: bool
) -> None:
    found = follows(kind, maybe_before=maybe_before)
    assert found.state == state
    assert (found.at is None) == (wait_s is None)
    assert wait_s is None or waits_s(found) == wait_s


def test_the_waits_double_up_to_five_minutes() -> None:
    waits = [waits_s(follows("transient", attempt)) for attempt in range(1, 9)]
    assert waits == [15, 30, 60, 120, 240, 300, 300, 300]
    assert waits_s(follows("transient", 10_000)) == 300


def test_a8_copies_that_nobody_answers_for_come_further_apart_and_end() -> None:
    waits = [waits_s(follows("unknown", copies=number)) for number in range(1, MOST_COPIES)]
    assert waits == [15, 120, 960]
    assert follows("unknown", copies=MOST_COPIES) == Next(state="perhaps sent")


@given(st.integers(1, 50), st.text("0123456789abcdef", min_size=32, max_size=32))
def test_waits_are_spread_by_at_most_a_fifth(attempt: int, message_id: str) -> None:
    longest = waits_s(follows("transient", attempt))
    spread = waits_s(follows("transient", attempt, message_id=message_id))
    assert 0.8 * longest - 0.001 <= spread <= longest
    assert spread == waits_s(follows("transient", attempt, message_id=message_id))
    least = waits_s(follows("transient", attempt, message_id=LATEST_SPREAD))
    assert least == pytest.approx(0.8 * longest, abs=0.001)


@pytest.mark.parametrize(
    ("asked_s", "wait_s"), [(None, 15), (0.0, 15), (5.0, 15), (90.0, 90), (600.0, 600)]
)
def test_whoever_asks_for_patience_gets_it(asked_s: float | None, wait_s: float) -> None:
    assert waits_s(follows("transient", retry_after_s=asked_s)) == wait_s


def test_a_wrong_password_is_not_tried_every_few_minutes() -> None:
    assert [waits_s(follows("misconfigured", n)) for n in (1, 2, 7)] == [900, 900, 900]


@pytest.mark.parametrize(
    ("kind", "maybe_before", "state"),
    [
        ("transient", False, "dead"),
        ("transient", True, "perhaps sent"),
        ("unknown", False, "perhaps sent"),
        ("misconfigured", False, "dead"),
        ("misconfigured", True, "perhaps sent"),
    ],
)
def test_what_comes_too_late_is_given_up(
    kind: OutcomeKind, state: State, *, maybe_before: bool
) -> None:
    found = follows(kind, maybe_before=maybe_before, useful=15 * SECOND)
    assert found == Next(state=state)


@given(
    st.sampled_from(["sent", "transient", "unknown", "bad address", "misconfigured", "permanent"]),
    st.integers(1, 20),
    st.booleans(),
    st.integers(-600, 5000),
    st.none() | st.floats(0, 600),
)
def test_nothing_is_tried_after_its_use(
    kind: OutcomeKind, attempt: int, maybe: bool, useful_s: int, asked_s: float | None
) -> None:  # fmt: skip
    useful = useful_s * SECOND
    found = follows(
        kind, attempt, maybe_before=maybe, useful=useful, retry_after_s=asked_s
    )  # fmt: skip
    assert (found.at is not None) == (found.state == "pending")
    assert found.at is None or NOW < found.at < NOW + useful
    assert not (maybe and found.state == "dead"), "it may have arrived"
