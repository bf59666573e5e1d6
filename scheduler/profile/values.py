"""Everything that a keeper declares, as one frozen value."""

from datetime import date
from typing import Self

from pydantic import PrivateAttr, ValidationInfo, model_validator

from scheduler.profile.coop import Coop
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.fields import Word
from scheduler.profile.flock import Flock
from scheduler.profile.forecast import Forecasts
from scheduler.profile.frozen_table import Value, key, needed
from scheduler.profile.own_cares import CareChange, OwnCare, Rounds
from scheduler.profile.person import Person, Reminders
from scheduler.profile.sensor import Sensor
from scheduler.profile.servers import MailServer, Web
from scheduler.profile.site import Climate, Site
from scheduler.profile.units import Units
from scheduler.profile.usual_duty import UsualDuty
from scheduler.wording.profile.table_keys import ProfileKeys


class Profile(Value):
    """Everything a keeper declares."""

    units: Word[Units] = needed(ProfileKeys.units)
    site: Site = needed(ProfileKeys.site)
    climate: Climate | None = key(None, ProfileKeys.climate)
    forecast: Forecasts | None = key(None, ProfileKeys.forecast)
    sensor: tuple[Sensor, ...] = key((), ProfileKeys.sensor)
    lockup: LockUpRule = key(LockUpRule(), ProfileKeys.lockup)
    letout: LetOutRule = key(LetOutRule(), ProfileKeys.letout)
    rounds: Rounds = key(Rounds(), ProfileKeys.rounds)
    coop: tuple[Coop, ...] = needed(ProfileKeys.coop)
    flock: tuple[Flock, ...] = needed(ProfileKeys.flock)
    person: tuple[Person, ...] = key((), ProfileKeys.person)
    duty: UsualDuty = key(UsualDuty(), ProfileKeys.duty)
    reminders: Reminders = key(Reminders(), ProfileKeys.reminders)
    mail: MailServer | None = key(None, ProfileKeys.mail)
    web: Web = key(Web(), ProfileKeys.web)
    cares: dict[str, CareChange] = key({}, ProfileKeys.cares)
    care: tuple[OwnCare, ...] = key((), ProfileKeys.care)
    _climate_map: bytes = PrivateAttr(default=b"")

    @model_validator(mode="after")
    def _on_the_map(self, info: ValidationInfo) -> Self:
        if info.context:
            self._climate_map = info.context.get("climate_map", b"")
        return self

    @property
    def climate_map(self) -> bytes:
        """The package's climate map, which `load` hands on; empty where nobody did."""
        return self._climate_map

    def coop_of(self, coop_id: str) -> Coop:
        """The coop with that id.

        Raises:
            KeyError: there is none.
        """
        return {coop.id: coop for coop in self.coop}[coop_id]

    @property
    def house_names(self) -> dict[str, str]:
        """What each coop is called, by its id."""
        return {coop.id: coop.name for coop in self.coop}

    @property
    def person_names(self) -> dict[str, str]:
        """What each person is called, by their id."""
        return {person.id: person.name for person in self.person}

    def lock_up_rule(self, coop: Coop) -> LockUpRule:
        """The rule that holds for the coop: its own, else the site's."""
        return coop.lockup or self.lockup

    def let_out_rule(self, coop: Coop) -> LetOutRule:
        """The rule that holds for the coop: its own, else the site's."""
        return coop.letout or self.letout

    def flocks_of(self, coop_id: str) -> tuple[Flock, ...]:
        """The flocks that live in the coop, in the profile's order."""
        return tuple(flock for flock in self.flock if flock.coop == coop_id)

    def flocks_on(self, coop_id: str, day: date) -> tuple[Flock, ...]:
        """Those of them that live there on `day`: whoever arrives or hatches later does not yet."""
        return tuple([one for one in self.flock if one.coop == coop_id and one.is_there(day)])
