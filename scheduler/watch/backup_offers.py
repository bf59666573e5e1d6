"""What the morning brief says of backup alarms that end, or have ended."""

from collections.abc import Iterator
from datetime import date

from sqlalchemy import Connection

from scheduler.journal import memos
from scheduler.service.almanac import Almanac
from scheduler.wording.spoken import day_and_month, listed
from scheduler.wording.watch.morning import BriefWorries

# Days left. Once a week in its last three weeks, on the weekday on which it ends, until a newer one
# was fetched: daily it would be a habit to read past. Then once that it has ended.
_OFFERED = {21, 14, 7, 0}
_ENDED = -1


def lines(almanac: Almanac, connection: Connection, day: date) -> Iterator[str]:
    """One line for each last day that is told of today, with those whose alarm it is."""
    names = {one.id: one.name for one in almanac.profile.person if one.is_there(day)}
    ending: dict[date, list[str]] = {}
    for person_id, last in memos.backup_alarms(connection, almanac.site_id).items():
        if name := names.get(person_id):
            ending.setdefault(last, []).append(name)
    for last, whose in sorted(ending.items()):
        left = (last - day).days
        if left in _OFFERED:
            yield BriefWorries.backup_ends(who=listed(whose), day=day_and_month(last))
        elif left == _ENDED:
            yield BriefWorries.backup_ended(who=listed(whose), day=day_and_month(last))
