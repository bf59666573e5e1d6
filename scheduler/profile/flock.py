"""Birds that are kept together."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, ValidationInfo, model_validator

from scheduler.profile.field_readers import one_of
from scheduler.profile.fields import CivilDate, Count, Kind, Mass, Name, Slug
from scheduler.profile.frozen_table import Value, agree
from scheduler.profile.problem import Problem

AgeClass = Literal["chick", "pullet", "adult"]
RaisedBy = Literal["brooder", "hen", "bought"]
# Longer than any hen lives (the oldest known were about twenty, from memory).
OLDEST_DAYS = 25 * 365


class Flock(Value):
    """Birds that are kept together, counted apart by kind."""

    name: Name = Field(description="what you call the flock")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    coop: Slug = Field(description="id of its coop; may be left out when there is only one")
    hens: Count = Field(default=0, description="laying hens")
    roosters: Count = Field(default=0, description="roosters (cockerels, cocks)")
    young: Count = Field(default=0, description="chicks, pullets and cockerels not yet grown")
    others: Count = Field(default=0, description="ducks and other birds, counted on their own line")
    kind: Annotated[Kind, one_of(Kind)] = Field(
        default="medium", description="bantam, light, medium or heavy"
    )
    mass_kg: Mass | None = Field(default=None, description="mass of one grown hen, if you know it")
    hatched: CivilDate | None = Field(default=None, description="hatch date")
    age: Annotated[AgeClass, one_of(AgeClass)] | None = Field(
        default=None, description="chick, pullet or adult, when the hatch date is not known"
    )
    raised_by: Annotated[RaisedBy, one_of(RaisedBy)] | None = Field(
        default=None, description="brooder, hen or bought"
    )
    arrived: CivilDate | None = Field(default=None, description="the day they came to you")
    joined: CivilDate | None = Field(
        default=None, description="the day they moved in with others of their house"
    )

    @property
    def birds(self) -> int:
        """Every bird of the flock, whatever its kind."""
        return self.hens + self.roosters + self.young + self.others

    def is_there(self, day: date) -> bool:
        """Whether it has arrived and hatched by `day`; beside young the hatch date is theirs."""
        grown = self.young and self.birds > self.young
        hatched = grown or self.hatched is None or self.hatched <= day
        return hatched and (self.arrived is None or self.arrived <= day)

    @model_validator(mode="after")
    def _birds_and_dates_agree(self, info: ValidationInfo) -> Self:
        problems = []
        if not self.birds:
            accepted = "at least one bird in each flock"
            problems.append(Problem(key=("hens",), found="0 birds", accepted=accepted))
        today: date | None = (info.context or {}).get("today")
        if self.hatched and today and self.hatched > today:
            accepted = "a date that has come"
            hint = "Eggs under a hen or a heat lamp become a flock when they hatch."
            problems.append(
                Problem(key=("hatched",), found=str(self.hatched), accepted=accepted, hint=hint)
            )
        came = self.arrived or self.hatched
        if self.joined and (today or self.joined) < self.joined:
            accepted = "a day that has come"
            hint = "Change coop and write joined on the day itself."
            problems.append(
                Problem(key=("joined",), found=str(self.joined), accepted=accepted, hint=hint)
            )
        if self.joined and came and self.joined < came:
            accepted = "a day on or after they came to you"
            problems.append(Problem(key=("joined",), found=str(self.joined), accepted=accepted))
        for key, day in (("hatched", self.hatched), ("arrived", self.arrived)):
            if day and today and abs((day - today).days) > OLDEST_DAYS:
                accepted = f"a date after {today.year - OLDEST_DAYS // 365}"
                hint = 'If nobody knows when, leave it out and write age = "adult".'
                problems.append(Problem(key=(key,), found=str(day), accepted=accepted, hint=hint))
        if self.hatched and self.arrived and self.arrived < self.hatched:
            accepted = "a day on or after the hatch date"
            problems.append(Problem(key=("arrived",), found=str(self.arrived), accepted=accepted))
        if self.hatched and self.age:
            accepted = "either hatched or age"
            problems.append(Problem(key=("age",), found="both hatched and age", accepted=accepted))
        agree(problems)
        return self
