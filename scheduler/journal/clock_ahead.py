"""What people said while this machine's clock ran ahead is taken back, in the clock's name."""

from datetime import datetime

from sqlalchemy import Table, Update, update

BY_CLOCK = "the clock"  # who takes back what was said while it ran ahead


def undone_ahead(table: Table, site_id: str, after: datetime, now: datetime) -> Update:
    """Takes back every row of the site that was made later than `after` and still stands."""
    stands = update(table).filter_by(site_id=site_id, undone_at=None)
    return stands.where(table.c.made_at > after).values(undone_at=now, undone_by=BY_CLOCK)
