"""Who can be told, and how reminders reach and pester them."""

from datetime import time
from typing import Annotated, Literal

from pydantic import Field

from scheduler.profile.field_readers import quantity, several_minutes, steps_from
from scheduler.profile.fields import (
    Mail,
    Name,
    OptionalWallTime,
    Push,
    Slug,
    Switch,
    WallTime,
    Word,
)
from scheduler.profile.frozen_table import Value, key

ReminderStyle = Literal["gentle", "standard", "all night"]
ReminderStep = Literal["heads-up", "now", "again", "next", "everybody", "hourly", "bedtime", "dawn"]
LetOutReminder = Literal["heat", "gentle", "loud", "none"]


class Person(Value):
    """Somebody who can be told. The first one is on duty."""

    name: Name = Field(description="what you call each other")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    mail: Mail | None = key(None, "mail address")
    push: Push | None = key(None, "push topic address")
    service: Slug | None = key(
        None, "name of another service's address, which is kept as a secret of that name"
    )
    brief: Switch | None = key(None, "true for the morning brief; by default the first person only")
    range_reminder: Switch = key(False, "true to be told when free-range time begins")


class Reminders(Value):
    """How the evening's reminders go on until somebody says that the door is shut."""

    style: Word[ReminderStyle] = key("standard", "gentle, standard or all night")
    steps: Annotated[tuple[ReminderStep, ...], steps_from(ReminderStep)] | None = key(
        None,
        "which reminders, of heads-up, now, again, next, everybody, hourly, bedtime, dawn; "
        "by default those of the style",
    )
    heads_up_minutes: Annotated[float, quantity("duration", 0, 240)] = key(
        30.0, "first reminder, before the lock-up"
    )
    everybody: Annotated[tuple[float, ...], several_minutes(0, 240)] | None = key(
        None,
        'when everybody is told, after the latest: ["10 min", "25 min", "40 min"], or of the style',
    )
    bedtime: WallTime = key(time(23), "the last reminder of the evening, unless all night")
    letout: Word[LetOutReminder] = key(
        "heat",
        "reminder to let out: heat (on hot days only; the brief has the time of every day), "
        "gentle or loud (every day), or none",
    )
    brief: OptionalWallTime = key(time(7), 'time of the morning brief, or "none"')
