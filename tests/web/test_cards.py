"""What a card says of one coop's evening."""

from datetime import UTC, datetime

import pytest

from scheduler.web.evening_cards import left_until

DUE = datetime(2026, 12, 21, 16, 33, 50, tzinfo=UTC)


@pytest.mark.parametrize(
    ("clock", "said"),
    [
        ("14:28:00", "in 2 h 5 min"),
        ("16:31:59", "in 2 min"),
        ("16:33:05", "this minute"),
        ("16:36:05", "3 min ago"),  # beside "by 16:33", on a page that says 16:36
    ],
)
def test_minutes_agree_with_the_clock_beside_them(clock: str, said: str) -> None:
    now = datetime.fromisoformat(f"2026-12-21T{clock}+00:00")
    assert left_until(DUE, now) == said
