"""Who can be told, and how reminders reach and pester them."""

from collections.abc import Iterator
from datetime import date, time
from typing import Annotated, Literal, Self

from pydantic import model_validator

from scheduler.profile.field_readers import quantity, several_minutes, steps_from
from scheduler.profile.fields import (
    CivilDate,
    Mail,
    Name,
    OptionalWallTime,
    Push,
    Slug,
    Switch,
    Telephone,
    WallTime,
    Word,
)
from scheduler.profile.frozen_table import Value, agree, key, needed
from scheduler.profile.problem import Problem
from scheduler.wording.profile.person_keys import PersonKeys, RemindersKeys, WrongPerson
from scheduler.wording.profile.problem_words import Explained
from scheduler.wording.profile.shared_keys import SharedKeys

ReminderStyle = Literal["gentle", "standard", "all night"]
ReminderStep = Literal["heads-up", "now", "again", "next", "everybody", "hourly", "bedtime", "dawn"]
Role = Literal["owner", "member", "sitter"]
LetOutReminder = Literal["heat", "gentle", "loud", "none"]


class Person(Value):
    """Somebody who can be told. The first is on duty, or whoever has that day of the week."""

    name: Name = needed(PersonKeys.name)
    id: Slug = needed(SharedKeys.id)
    mail: Mail | None = key(None, PersonKeys.mail)
    telephone: Telephone | None = key(None, PersonKeys.telephone)
    push: Push | None = key(None, PersonKeys.push)
    service: Slug | None = key(None, PersonKeys.service)
    brief: Switch | None = key(None, PersonKeys.brief)
    range_reminder: Switch = key(False, PersonKeys.range_reminder)
    role: Word[Role] = key("owner", PersonKeys.role)
    first_day: CivilDate | None = key(None, PersonKeys.first_day)
    last_day: CivilDate | None = key(None, PersonKeys.last_day)

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
            found, accepted = Explained.missing(), WrongPerson.last_day()
            yield Problem(key=("last_day",), found=found, accepted=accepted)
        for name, day in (("first_day", self.first_day), ("last_day", self.last_day)):
            if day and self.role != "sitter":
                accepted, hint = WrongPerson.only_sitters(), WrongPerson.write_sitter()
                yield Problem(key=(name,), found=str(day), accepted=accepted, hint=hint)
        if self.first_day and self.last_day and self.last_day < self.first_day:
            accepted = WrongPerson.after_the_first()
            yield Problem(key=("last_day",), found=str(self.last_day), accepted=accepted)


class Reminders(Value):
    """How the evening's reminders go on until somebody says that the door is shut."""

    style: Word[ReminderStyle] = key("standard", RemindersKeys.style)
    steps: Annotated[tuple[ReminderStep, ...], steps_from(ReminderStep)] | None = key(
        None, RemindersKeys.steps
    )
    heads_up_minutes: Annotated[float, quantity("duration", 0, 240)] = key(
        30.0, RemindersKeys.heads_up
    )
    everybody: Annotated[tuple[float, ...], several_minutes(0, 240)] | None = key(
        None, RemindersKeys.everybody
    )
    bedtime: WallTime = key(time(23), RemindersKeys.bedtime)
    letout: Word[LetOutReminder] = key("heat", RemindersKeys.letout)
    brief: OptionalWallTime = key(time(7), RemindersKeys.brief)
