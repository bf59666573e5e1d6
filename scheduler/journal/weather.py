"""What is kept of the weather: what was decided of each day, and what thermometers showed."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta

from sqlalchemy import Connection, Row, bindparam, delete, func, select

from scheduler.cares.decided import DecidedDay
from scheduler.cares.decided_codec import decode, encode
from scheduler.climate.forecast import Measured
from scheduler.journal.rows import insert_or_replace, insert_unknown
from scheduler.journal.weather_tables import weather_decided, weather_measured

_WRONG_CLOCK = timedelta(hours=1)  # hosts that share a journal differ by a minute at most
_KEPT = (
    select(weather_decided)
    .filter_by(site_id=bindparam("site"))
    .where(weather_decided.c.day.between(bindparam("first"), bindparam("last")))
    .order_by(weather_decided.c.day)
)


def decided(
    connection: Connection, site_id: str, first: date, last: date
) -> tuple[DecidedDay, ...]:
    """What was decided of the days from `first` to `last`, by day; none of what cannot be read."""
    asked = {"site": site_id, "first": first, "last": last}
    found = (_read(row) for row in connection.execute(_KEPT, asked))
    return tuple(one for one in found if one)


def _read(row: Row[tuple[str, date, datetime, str]]) -> DecidedDay | None:
    found = decode(row.value)
    return found if found and found.day == row.day else None


def decide(connection: Connection, site_id: str, days: Iterable[DecidedDay]) -> None:
    """Keeps each unless the same day was decided later, or the same was decided of it.

    Of what was decided in one second the first stays. What was decided hours later was decided by
    a clock that was wrong, and does not count.
    """
    newest = {one.day: one for one in sorted(days, key=lambda one: one.decided_at)}
    if not newest:
        return
    asked = {"site": site_id, "first": min(newest), "last": max(newest)}
    for row in connection.execute(_KEPT, asked):
        new = newest.get(row.day)
        if new and (_is_later(row.decided_at, new.decided_at) or _says(new, row)):
            del newest[row.day]
    rows = [
        {"site_id": site_id, "day": day, "decided_at": one.decided_at, "value": encode(one)}
        for day, one in newest.items()
    ]
    if rows:
        insert_or_replace(connection, weather_decided, rows)


def _is_later(kept_at: datetime, at: datetime) -> bool:
    return at.replace(microsecond=0) <= kept_at < at + _WRONG_CLOCK


def _says(new: DecidedDay, row: Row[tuple[str, date, datetime, str]]) -> bool:
    """Whether the row says the same, but for when it was decided."""
    old = _read(row)
    return old is not None and encode(replace(old, decided_at=new.decided_at)) == encode(new)


def measured_since(
    connection: Connection, site_id: str, at: datetime
) -> tuple[tuple[str, Measured], ...]:
    """What was measured at `at` and later, each with its sensor's id, the newest last."""
    table = weather_measured
    mine = select(table).filter_by(site_id=site_id).where(table.c.at >= at)
    rows = connection.execute(mine.order_by(table.c.at, table.c.sensor_id))
    return tuple(
        (row.sensor_id, Measured(at=row.at, air_c=row.air_c, humidity=row.humidity)) for row in rows
    )


def last_measured(
    connection: Connection, site_id: str, since: datetime, until: datetime
) -> dict[str, Measured]:
    """The newest that each sensor showed from `since` to `until`, by its id."""
    table = weather_measured
    newest = (
        select(table.c.sensor_id, func.max(table.c.at).label("at"))
        .filter_by(site_id=site_id)
        .where(table.c.at.between(since, until))
        .group_by(table.c.sensor_id)
        .subquery()
    )
    both = (table.c.sensor_id == newest.c.sensor_id) & (table.c.at == newest.c.at)
    rows = connection.execute(select(table).join(newest, both).where(table.c.site_id == site_id))
    return {
        row.sensor_id: Measured(at=row.at, air_c=row.air_c, humidity=row.humidity) for row in rows
    }


def keep_measured(connection: Connection, site_id: str, sensor_id: str, measured: Measured) -> None:
    """Keeps what the sensor showed; of one second the first stays."""
    row = {
        "site_id": site_id,
        "sensor_id": sensor_id,
        "at": measured.at,
        "air_c": measured.air_c,
        "humidity": measured.humidity,
    }
    insert_unknown(connection, weather_measured, row)


def prune(
    connection: Connection, site_id: str, decided_before: date, measured_before: datetime
) -> None:
    """Forgets the days and the measurements before these."""
    of_days, of_sensors = weather_decided, weather_measured
    days = delete(of_days).filter_by(site_id=site_id).where(of_days.c.day < decided_before)
    connection.execute(days)
    shown = delete(of_sensors).filter_by(site_id=site_id)
    connection.execute(shown.where(of_sensors.c.at < measured_before))
