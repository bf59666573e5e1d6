"""What a tick sees of the site's evenings: what was said of them, and what was written down."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.reminded_evening import Evening
from scheduler.cares.closing import Closing
from scheduler.journal import access, closings, deliveries
from scheduler.service.almanac import DAYS_BACK, Almanac
from scheduler.service.evenings_around import assembled

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What the journal holds of the evenings around today; kept for when it cannot be read."""

    said: tuple[Closing, ...] = ()
    begun: tuple[Evening, ...] = ()
    rows: tuple[Row, ...] = ()
    generations: Mapping[str, int] = field(default_factory=dict)

    def nights(
        self, almanac: Almanac, now: datetime, unwritten: tuple[Row, ...] = ()
    ) -> list[Night]:
        """Each evening as it stands; `unwritten` rows go before what was written of them."""
        today = almanac.household.today(now)
        days = [today - ago * _DAY for ago in range(DAYS_BACK, -1, -1)]
        rows = {row.key: row for row in (*self.rows, *unwritten)}
        known = tuple(rows.values())
        return list(assembled(almanac, self.begun, self.said, known, days, self.generations))


def look(connection: Connection, site_id: str, today: date) -> Seen:
    """Reads it all."""
    since = today - DAYS_BACK * _DAY
    return Seen(
        said=closings.closings(connection, site_id),
        begun=deliveries.evenings(connection, site_id, since),
        rows=deliveries.rows_since(connection, site_id, since),
        generations=access.generations(connection, site_id),
    )
