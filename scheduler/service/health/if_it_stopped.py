"""What would ring if this machine stopped now, person by person."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from scheduler.alerts.dark_alarm import DarkAlarm, held_at
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import Evening
from scheduler.cares.closing import Closing
from scheduler.feeds.backup_alarm import rings_at
from scheduler.service.almanac import Almanac
from scheduler.service.health.causes import Cause
from scheduler.wording.service.if_it_stopped import Nothing
from scheduler.wording.spoken import listed

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class IfItStopped:
    """The next evening with an open door, and what each person would hear of it.

    `is_tonight`: it is the evening under way or the one to come today; else tonight's doors are
    shut, and it is tomorrow's.
    """

    day: date
    is_tonight: bool
    alarms: tuple[DarkAlarm, ...]

    @property
    def unheard(self) -> tuple[DarkAlarm, ...]:
        """Those whom nothing would ring, and for whom nothing is on its way."""
        return tuple(one for one in self.alarms if one.owner is None and one.held_from is None)


def if_it_stopped(  # noqa: PLR0913 - all that is known of who would be rung
    almanac: Almanac,
    nights: Sequence[Night],
    said: Sequence[Closing],
    now: datetime,
    *,
    files: Mapping[str, date],
    holds: bool | None,
    has_heartbeat: bool,
) -> IfItStopped | None:
    """The same by what is written down; None where no door waits tonight or tomorrow.

    `files` are the last days of the backup alarms that people fetched. `holds`: the push server
    took the last message that it was to hold, None before there was one.
    """
    tonight = almanac.evening_of(now)
    here = [night for night in nights if night.evening.day == tonight and night.is_open]
    day = tonight if here else tonight + _DAY
    evenings = [night.evening for night in here] or list(almanac.planned(day, said))
    if not evenings:
        return None
    is_to_come = now < almanac.noon(day) and holds is not False
    alarms = tuple(
        DarkAlarm(
            person_id=person.id,
            name=person.name,
            held_at=held_at(here, person.id, now),
            held_from=almanac.noon(day) if person.push and is_to_come else None,
            file_at=_file_at(evenings, day, files.get(person.id), now),
            file_until=files.get(person.id),
            has_heartbeat=has_heartbeat,
        )
        for person in almanac.profile.person
        if person.is_there(day)
    )
    return IfItStopped(day=day, is_tonight=bool(here), alarms=alarms)


def _file_at(
    evenings: Sequence[Evening], day: date, last: date | None, now: datetime
) -> datetime | None:
    at = rings_at(evenings)
    return at if at and last and day <= last and at > now else None


def unheard(found: IfItStopped | None) -> tuple[Cause, ...]:
    """The note that nothing would ring somebody.

    It is no reason not to rely on the reminders: they run. So no page but Status says it.
    """
    if found is None or not found.unheard:
        return ()
    says = Nothing.tonight if found.is_tonight else Nothing.tomorrow
    names = listed([one.name for one in found.unheard])
    return (Cause(kind="dark", what=says(names=names), remedy=Nothing.remedy()),)
