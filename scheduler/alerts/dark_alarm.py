"""What rings one person on one evening if nothing more is heard from us, and whose alarm that is.

Of several that would, one owns the evening: the held message before the backup alarm before the
heartbeat. So each fault has one alarm that is meant to ring, and whatever rings besides it is said
to be one too many. It is derived whenever it is asked, and kept nowhere.
"""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from scheduler.alerts.evening_so_far import Night

DarkWay = Literal["held", "file", "heartbeat"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DarkAlarm:
    """What one person would hear of one evening.

    `held_at` is when the message rings that the push server took for them; `file_at` when the
    backup alarm that they fetched does, which lasts, or lasted, to `file_until`. `has_heartbeat`:
    somebody is told that this machine is silent, whoever set that up. `held_from` is when the push
    server is to get the message of an evening that has not begun; None where nothing is to come.
    """

    person_id: str
    name: str
    held_at: datetime | None = None
    held_from: datetime | None = None
    file_at: datetime | None = None
    file_until: date | None = None
    has_heartbeat: bool = False

    @property
    def owner(self) -> DarkWay | None:
        """Which of them is the evening's alarm for that person; None: nothing would ring."""
        if self.held_at:
            return "held"
        if self.file_at:
            return "file"
        return "heartbeat" if self.has_heartbeat else None

    @property
    def rings_at(self) -> datetime | None:
        """When that alarm rings; None where nothing does, or nobody knows when."""
        return self.held_at or self.file_at


def held_at(nights: list[Night], person_id: str, now: datetime) -> datetime | None:
    """When the person is first rung for those evenings by what push servers said they hold.

    None where one of the evenings that are still open has nothing lying there: then the server
    does not speak for all of them.
    """
    found = [_held_at(night, person_id, now) for night in nights if night.is_open]
    times = [at for at in found if at]
    return min(times) if times and len(times) == len(found) else None


def _held_at(night: Night, person_id: str, now: datetime) -> datetime | None:
    topic = night.topics_now().get(person_id)
    lies_until: datetime | None = None
    for row in night.rows:
        key = row.key
        if key.step.kind != "hold" or key.person_id != person_id:
            continue
        if (row.address or topic) != topic:
            continue
        # What nobody answered is not counted on; what it was to replace still lies there, if it is
        # not gone, and rings no later.
        if row.operation == "hold" and row.state == "sent":
            lies_until = row.rings_at
        elif row.operation == "cancel" and row.state in {"sent", "perhaps sent"}:
            lies_until = None
    return lies_until if topic and lies_until and lies_until > now else None
