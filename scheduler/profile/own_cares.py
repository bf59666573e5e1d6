"""The walks to the coop, and what the keeper makes of the jobs on them."""

from typing import Annotated, Literal, Self, get_args

from pydantic import Field, model_validator

from scheduler.profile.field_readers import number
from scheduler.profile.fields import CivilDate, Days, Name, Slug, Switch, Text, Word
from scheduler.profile.frozen_table import Value, agree, key
from scheduler.profile.problem import Problem

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
WEEKDAYS: tuple[Weekday, ...] = get_args(Weekday)
RoundName = Literal["morning", "midday", "evening"]


class Rounds(Value):
    """The walks to the coop."""

    weekly_day: Word[Weekday] = key("saturday", "the day for weekly jobs")
    lines: Annotated[int, number(1, 20, whole=True)] = key(
        5, "most lines of a round; more jobs share the last line"
    )
    keen: Switch = key(False, "true to add the jobs for the keen")


class CareChange(Value):
    """What a profile changes in one job of the catalogue."""

    on: Switch | None = key(None, "false to switch the job off, true to switch it on")
    every: Days | None = key(None, 'how often, "5 days"')
    minutes: Annotated[int, number(0, 600, whole=True)] | None = key(
        None, "how many minutes it takes you"
    )
    round: Word[RoundName] | None = key(None, "morning, midday or evening")
    text: Text | None = key(None, "your own words for the job")


class OwnCare(Value):
    """A job of the keeper's own."""

    name: Name = Field(description="the job in a few words")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    every: Days | None = key(
        None,
        'how often, "10 days": counted from `from`, otherwise from the day on which the '
        "reminders first read of it, and then from the day it was last done",
    )
    on: CivilDate | None = key(None, "once, on that date, instead of every")
    first: CivilDate | None = Field(
        default=None, alias="from", description="the first day on which it is due"
    )
    last: CivilDate | None = Field(
        default=None, alias="until", description="the last day on which it may be due"
    )
    minutes: Annotated[int, number(0, 600, whole=True)] = key(5, "how many minutes it takes you")
    round: Word[RoundName] = key("morning", "morning, midday or evening")
    why: Text = key("Your own job.", "the reason, shown with the job")

    @model_validator(mode="after")
    def _once_or_again(self) -> Self:
        problems = []
        if self.every is None and self.on is None:
            accepted = "every (how often) or on (a date, for once)"
            problems.append(Problem(key=("every",), found="nothing", accepted=accepted))
        if self.on and (self.every is not None or self.first or self.last):
            accepted = "on by itself, or every with from and until if you like"
            problems.append(
                Problem(key=("on",), found="on together with the others", accepted=accepted)
            )
        if self.first and self.last and self.last < self.first:
            accepted = f"a day on or after {self.first}"
            problems.append(Problem(key=("until",), found=str(self.last), accepted=accepted))
        agree(problems)
        return self
