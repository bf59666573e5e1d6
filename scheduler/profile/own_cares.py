"""The walks to the coop, and what the keeper makes of the jobs on them."""

from typing import Annotated, Literal, Self, get_args

from pydantic import model_validator

from scheduler.profile.field_readers import number
from scheduler.profile.fields import CivilDate, Days, Name, Slug, Switch, Text, Word
from scheduler.profile.frozen_table import Value, agree, key, needed
from scheduler.profile.problem import Problem
from scheduler.wording.profile.job_keys import (
    CareChangeKeys,
    OwnCareKeys,
    OwnJob,
    RoundsKeys,
    WrongOwnJob,
)
from scheduler.wording.profile.problem_words import Explained
from scheduler.wording.profile.shared_keys import SharedKeys

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
WEEKDAYS: tuple[Weekday, ...] = get_args(Weekday)
RoundName = Literal["morning", "midday", "evening"]


class Rounds(Value):
    """The walks to the coop."""

    weekly_day: Word[Weekday] = key("saturday", RoundsKeys.weekly_day)
    lines: Annotated[int, number(1, 20, whole=True)] = key(5, RoundsKeys.lines)
    keen: Switch = key(False, RoundsKeys.keen)


class CareChange(Value):
    """What a profile changes in one job of the catalogue."""

    on: Switch | None = key(None, CareChangeKeys.on)
    every: Days | None = key(None, CareChangeKeys.every)
    minutes: Annotated[int, number(0, 600, whole=True)] | None = key(None, SharedKeys.minutes)
    round: Word[RoundName] | None = key(None, SharedKeys.round)
    text: Text | None = key(None, CareChangeKeys.text)


class OwnCare(Value):
    """A job of the keeper's own."""

    name: Name = needed(OwnCareKeys.name)
    id: Slug = needed(SharedKeys.id)
    every: Days | None = key(None, OwnCareKeys.every)
    on: CivilDate | None = key(None, OwnCareKeys.on)
    first: CivilDate | None = key(None, OwnCareKeys.first, alias="from")
    last: CivilDate | None = key(None, OwnCareKeys.last, alias="until")
    minutes: Annotated[int, number(0, 600, whole=True)] = key(5, SharedKeys.minutes)
    round: Word[RoundName] = key("morning", SharedKeys.round)
    why: Text | None = key(None, OwnCareKeys.why)

    @property
    def reason(self) -> str:
        """Why it is done, which is said in the language of the day where the keeper wrote none."""
        return self.why or OwnJob.its_reason()

    @model_validator(mode="after")
    def _once_or_again(self) -> Self:
        problems = []
        if self.every is None and self.on is None:
            found, accepted = Explained.missing(), WrongOwnJob.once_or_again()
            problems.append(Problem(key=("every",), found=found, accepted=accepted))
        if self.on and (self.every is not None or self.first or self.last):
            found, accepted = WrongOwnJob.on_and_others(), WrongOwnJob.on_or_others()
            problems.append(Problem(key=("on",), found=found, accepted=accepted))
        if self.first and self.last and self.last < self.first:
            accepted = WrongOwnJob.from_first_day(first=self.first)
            problems.append(Problem(key=("until",), found=str(self.last), accepted=accepted))
        agree(problems)
        return self
