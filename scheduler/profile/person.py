"""Who can be told, and how reminders reach and pester them."""

from collections.abc import Iterator
from datetime import date, time
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from scheduler.profile.field_readers import quantity, several_minutes, steps_from
from scheduler.profile.fields import (
    CivilDate,
    Mail,
    Name,
    OptionalWallTime,
    Push,
    Slug,
    Switch,
    WallTime,
    Word,
)
from scheduler.profile.frozen_table import Value, agree, key
from scheduler.profile.problem import Problem

ReminderStyle = Literal["gentle", "standard", "all night"]
ReminderStep = Literal["heads-up", "now", "again", "next", "everybody", "hourly", "bedtime", "dawn"]
Role = Literal["owner", "member", "sitter"]
LetOutReminder = Literal["heat", "gentle", "loud", "none"]


class Person(Value):
    """Somebody who can be told. The first one is on duty; a sitter on the days invited for."""

    name: Name = Field(description="what you call each other")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    mail: Mail | None = key(None, "mail address")
    push: Push | None = key(None, "push topic address")
    service: Slug | None = key(
        None, "name of another service's address, which is kept as a secret of that name"
    )
    brief: Switch | None = key(None, "true for the morning brief; by default the first person only")
    range_reminder: Switch = key(False, "true to be told when free-range time begins")
    role: Word[Role] = key(
        "owner",
        "owner (may change everything), member (birds, jobs, evenings, reports) or sitter "
        "(evenings and jobs on the days they are invited for)",
    )
    first_day: CivilDate | None = key(None, "the first day that a sitter is invited for")
    last_day: CivilDate | None = key(None, "the last day that a sitter is invited for")

    def is_there(self, day: date) -> bool:
        """Whether they look after the birds on `day`: a sitter only when invited, others always."""
        too_early = self.first_day is not None and day < self.first_day
        return not too_early and (self.last_day is None or day <= self.last_day)

    @model_validator(mode="after")
    def _role_and_days_agree(self) -> Self:
        agree(self._disagreements())
        return self

    def _disagreements(self) -> Iterator[Problem]:
        if self.role == "sitter" and self.last_day is None:
            accepted = "the last day that a sitter is invited for, such as last_day = 2027-08-14"
            yield Problem(key=("last_day",), found="nothing", accepted=accepted)
        for name, day in (("first_day", self.first_day), ("last_day", self.last_day)):
            if day and self.role != "sitter":
                accepted = "days only for a sitter"
                hint = 'Write role = "sitter" if they are invited for some days.'
                yield Problem(key=(name,), found=str(day), accepted=accepted, hint=hint)
        if self.first_day and self.last_day and self.last_day < self.first_day:
            accepted = "a day on or after the first"
            yield Problem(key=("last_day",), found=str(self.last_day), accepted=accepted)


class Reminders(Value):
    """How the evening's reminders go on until somebody says that the door is shut."""

    style: Word[ReminderStyle] = key("standard", "gentle, standard or all night")
    steps: Annotated[tuple[ReminderStep, ...], steps_from(ReminderStep)] | None = key(
        None,
        "which reminders to send: heads-up, now, again, next, everybody, hourly, bedtime, dawn; "
        "by default those of the style",
    )
    heads_up_minutes: Annotated[float, quantity("duration", 0, 240)] = key(
        30.0, "how long before lock-up the first reminder comes"
    )
    everybody: Annotated[tuple[float, ...], several_minutes(0, 240)] | None = key(
        None,
        'when everybody is told, counted from when the door must be shut: ["10 min", "25 min", '
        '"40 min"]; by default those of the style',
    )
    bedtime: WallTime = key(time(23), "the last reminder of the evening, unless all night")
    letout: Word[LetOutReminder] = key(
        "heat",
        "reminder to let out: heat (on hot days only; the brief has the time of every day), "
        "gentle or loud (every day), or none",
    )
    brief: OptionalWallTime = key(time(7), 'time of the morning brief, or "none"')
