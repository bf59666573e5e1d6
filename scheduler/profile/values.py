"""Everything that a keeper declares, as one frozen value."""

from datetime import date

from pydantic import Field

from scheduler.profile.coop import Coop
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.fields import Word
from scheduler.profile.flock import Flock
from scheduler.profile.frozen_table import Value, key
from scheduler.profile.own_cares import CareChange, OwnCare, Rounds
from scheduler.profile.person import Person, Reminders
from scheduler.profile.servers import MailServer, Web
from scheduler.profile.site import Climate, Site
from scheduler.profile.units import Units


class Profile(Value):
    """Everything a keeper declares."""

    units: Word[Units] = Field(description="metric, us or uk; by default from the region")
    site: Site = Field(description="where the birds live")
    climate: Climate | None = key(None, "the year's averages at the site")
    lockup: LockUpRule = key(LockUpRule(), "when the door is shut in the evening")
    letout: LetOutRule = key(LetOutRule(), "when the door is opened in the morning")
    rounds: Rounds = key(Rounds(), "the walks to the coop")
    coop: tuple[Coop, ...] = Field(description="the houses")
    flock: tuple[Flock, ...] = Field(description="the birds")
    person: tuple[Person, ...] = key((), "who can be told")
    reminders: Reminders = key(Reminders(), "the evening's reminders and the morning brief")
    mail: MailServer | None = key(None, "the server that sends our mail")
    web: Web = key(Web(), "the pages and calendars over HTTP")
    cares: dict[str, CareChange] = key({}, "changes to jobs of the catalogue, by id")
    care: tuple[OwnCare, ...] = key((), "jobs of your own")

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
