"""Who can be told, and how reminders reach and pester them."""

from datetime import time
from typing import Annotated, Literal

from pydantic import Field

from scheduler.profile.field_readers import minutes_from, one_of, several_minutes, steps_from
from scheduler.profile.fields import Mail, Name, OptionalWallTime, Push, Slug, Switch, WallTime
from scheduler.profile.frozen_table import Value

ReminderStyle = Literal["gentle", "standard", "all night"]
ReminderStep = Literal["heads-up", "now", "again", "next", "everybody", "hourly", "bedtime", "dawn"]
LetOutReminder = Literal["heat", "gentle", "loud", "none"]


class Person(Value):
    """Somebody who can be told. The first one is on duty."""

    name: Name = Field(description="what you call each other")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    mail: Mail | None = Field(default=None, description="mail address")
    push: Push | None = Field(default=None, description="push topic address")
    service: Slug | None = Field(
        default=None,
        description="name of another service's address, which is kept as a secret of that name",
    )
    brief: Switch | None = Field(
        default=None, description="true for the morning brief; by default the first person only"
    )
    range_reminder: Switch = Field(
        default=False, description="true to be told when free-range time begins"
    )


class Reminders(Value):
    """How the evening's reminders go on until somebody says that the door is shut."""

    style: Annotated[ReminderStyle, one_of(ReminderStyle)] = Field(
        default="standard", description="gentle, standard or all night"
    )
    steps: Annotated[tuple[ReminderStep, ...], steps_from(ReminderStep)] | None = Field(
        default=None,
        description=(
            "which reminders, of heads-up, now, again, next, everybody, hourly, bedtime, dawn; "
            "by default those of the style"
        ),
    )
    heads_up_minutes: Annotated[float, minutes_from(0, 240)] = Field(
        default=30.0, description="first reminder, before the lock-up"
    )
    everybody: Annotated[tuple[float, ...], several_minutes(0, 240)] | None = Field(
        default=None,
        description=(
            'when everybody is told, after the latest: ["10 min", "25 min", "40 min"], or of the '
            "style"
        ),
    )
    bedtime: WallTime = Field(
        default=time(23), description="the last reminder of the evening, unless all night"
    )
    letout: Annotated[LetOutReminder, one_of(LetOutReminder)] = Field(
        default="heat",
        description=(
            "reminder to let out: heat (on hot days only; the brief has the time of every day), "
            "gentle or loud (every day), or none"
        ),
    )
    brief: OptionalWallTime = Field(
        default=time(7), description='time of the morning brief, or "none"'
    )
