"""A host's clock beside the journal's: too far apart, or only looked at across a sleep."""

from datetime import UTC, datetime, timedelta

import pytest

from scheduler.journal.kept_in import Changes, Look
from scheduler.watch.beside_others import APART, ClockBesideOthers

NOW = datetime(2026, 12, 21, 16, 20, tzinfo=UTC)
NONE, SECOND, HOUR = timedelta(), timedelta(seconds=1), timedelta(hours=1)


@pytest.mark.parametrize(
    ("before", "after", "ahead"),
    [
        (NONE, SECOND, NONE),
        (APART, APART + SECOND, NONE),
        (APART + SECOND, APART + 2 * SECOND, APART + SECOND),
        (-HOUR, SECOND - HOUR, SECOND - HOUR),
        (-HOUR, SECOND, NONE),  # it slept before the server was asked
        (-SECOND, HOUR, NONE),  # and after that
    ],
)
def test_a_clock_is_apart_that_is_far_from_the_journals_before_and_after(
    before: timedelta, after: timedelta, ahead: timedelta
) -> None:
    look = Look(Changes(1, 1), NOW)
    beside = ClockBesideOthers()
    assert beside.ahead(look, NOW + before, NOW + after) == ahead
    assert beside.is_apart == bool(ahead)


@pytest.mark.parametrize("look", [None, Look(Changes(1, 1), None)])
def test_where_no_time_can_be_had_a_host_goes_by_its_own(look: Look | None) -> None:
    assert ClockBesideOthers().ahead(look, NOW, NOW) == NONE
