"""Birds that are kept together."""

from collections.abc import Iterator
from datetime import date
from typing import Literal, Self

from pydantic import ValidationInfo, model_validator

from scheduler.profile.fields import CivilDate, Count, Kind, Mass, Name, Slug, Word
from scheduler.profile.frozen_table import Value, agree, key, needed
from scheduler.profile.problem import Problem
from scheduler.wording.profile.flock_keys import FlockKeys, WrongFlock
from scheduler.wording.profile.shared_keys import SharedKeys

AgeClass = Literal["chick", "pullet", "adult"]
RaisedBy = Literal["brooder", "hen", "bought"]
# Longer than any hen lives (the oldest known were about twenty, from memory).
OLDEST_DAYS = 25 * 365


class Flock(Value):
    """Birds that are kept together, counted apart by kind."""

    name: Name = needed(FlockKeys.name)
    id: Slug = needed(SharedKeys.id)
    coop: Slug = needed(FlockKeys.coop)
    hens: Count = key(0, FlockKeys.hens)
    roosters: Count = key(0, FlockKeys.roosters)
    young: Count = key(0, FlockKeys.young)
    others: Count = key(0, FlockKeys.others)
    kind: Word[Kind] = key("medium", FlockKeys.kind)
    mass_kg: Mass | None = key(None, FlockKeys.mass)
    hatched: CivilDate | None = key(None, FlockKeys.hatched)
    age: Word[AgeClass] | None = key(None, FlockKeys.age)
    raised_by: Word[RaisedBy] | None = key(None, FlockKeys.raised_by)
    arrived: CivilDate | None = key(None, FlockKeys.arrived)
    joined: CivilDate | None = key(None, FlockKeys.joined)

    @property
    def birds(self) -> int:
        """Every bird of the flock, whatever its kind."""
        return self.hens + self.roosters + self.young + self.others

    @property
    def chickens(self) -> int:
        """Every bird of the flock but ducks and others."""
        return self.hens + self.roosters + self.young

    def is_there(self, day: date) -> bool:
        """Whether it has arrived and hatched by `day`; beside young the hatch date is theirs."""
        grown = self.young and self.birds > self.young
        hatched = grown or self.hatched is None or self.hatched <= day
        return hatched and (self.arrived is None or self.arrived <= day)

    @model_validator(mode="after")
    def _birds_and_dates_agree(self, info: ValidationInfo) -> Self:
        agree(self._disagreements((info.context or {}).get("today")))
        return self

    def _disagreements(self, today: date | None) -> Iterator[Problem]:
        if not self.birds:
            found, accepted = WrongFlock.no_birds(), WrongFlock.some_birds()
            yield Problem(key=("hens",), found=found, accepted=accepted)
        if self.hatched and today and self.hatched > today:
            found, accepted = str(self.hatched), WrongFlock.hatched_by_now()
            hint = WrongFlock.eggs()
            yield Problem(key=("hatched",), found=found, accepted=accepted, hint=hint)
        came = self.arrived or self.hatched
        if self.joined and (today or self.joined) < self.joined:
            found, accepted = str(self.joined), WrongFlock.joined_by_now()
            hint = WrongFlock.write_joined()
            yield Problem(key=("joined",), found=found, accepted=accepted, hint=hint)
        if self.joined and came and self.joined < came:
            accepted = WrongFlock.after_they_came()
            yield Problem(key=("joined",), found=str(self.joined), accepted=accepted)
        for name, day in (("hatched", self.hatched), ("arrived", self.arrived)):
            if day and today and abs((day - today).days) > OLDEST_DAYS:
                accepted = WrongFlock.after_a_year(year=today.year - OLDEST_DAYS // 365)
                hint = WrongFlock.age_unknown()
                yield Problem(key=(name,), found=str(day), accepted=accepted, hint=hint)
        if self.hatched and self.arrived and self.arrived < self.hatched:
            accepted = WrongFlock.after_hatching()
            yield Problem(key=("arrived",), found=str(self.arrived), accepted=accepted)
        if self.hatched and self.age:
            found, accepted = WrongFlock.both(), WrongFlock.one_of_both()
            yield Problem(key=("age",), found=found, accepted=accepted)
