"""The one clock: nothing else of ours reads the time of day."""

from datetime import UTC, datetime


def now() -> datetime:
    """This instant, aware UTC."""
    return datetime.now(UTC)
