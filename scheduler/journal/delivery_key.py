"""What a delivery is known by, as the journal's table has it."""

from typing import Any

from sqlalchemy import Row

from scheduler.alerts.delivery import Key
from scheduler.alerts.step import decode
from scheduler.journal.tables import delivery

_AS_THEY_ARE = ("site_id", "subject_id", "day", "opening", "person_id", "channel")
KEY = [delivery.c[name] for name in (*_AS_THEY_ARE, "step", "key_address")]


def columns_of(key: Key) -> dict[str, Any]:
    """The columns that a row of that key has."""
    known = {name: getattr(key, name) for name in _AS_THEY_ARE}
    return known | {"step": str(key.step), "key_address": key.address}


def key_of(row: Row[Any]) -> Key:
    """The key that a row has, by the columns in `KEY`."""
    known = {name: getattr(row, name) for name in _AS_THEY_ARE}
    return Key(**known, step=decode(row.step), address=row.key_address)
