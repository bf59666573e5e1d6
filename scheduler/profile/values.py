"""Everything that a keeper declares, as one frozen value."""

from datetime import date, datetime, time
from typing import Self

from pydantic import PrivateAttr, ValidationInfo, model_validator

from scheduler.profile.coop import Coop
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.fields import Word
from scheduler.profile.flock import Flock
from scheduler.profile.forecast import Forecasts
from scheduler.profile.frozen_table import Value, key, needed
from scheduler.profile.move import Move
from scheduler.profile.own_cares import CareChange, OwnCare, Rounds
from scheduler.profile.person import Person, Reminders
from scheduler.profile.ringing_phone import RingingPhone
from scheduler.profile.sensor import Sensor
from scheduler.profile.servers import MailServer, Web
from scheduler.profile.site import Climate, Site
from scheduler.profile.units import Units
from scheduler.profile.usual_duty import UsualDuty
from scheduler.wording.profile.table_keys import ProfileKeys


class _BothPlaces:
    """The same profile at the old place and at the new one, each made once.

    Each refers to this, so equality asks for the old place alone, or it would go round and round.
    """

    __slots__ = ("after", "before")

    def __init__(self, before: "Profile", move: Move) -> None:
        climate = before.climate if move.same_climate else None
        self.before = before
        self.after = before.model_copy(update={"site": move.place(before.site), "climate": climate})

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, _BothPlaces):
            return NotImplemented
        ours, theirs = self.before, other.before
        return (ours.site, ours.climate) == (theirs.site, theirs.climate)

    __hash__ = None  # type: ignore[assignment]  # as of whatever can be compared by value alone


class Profile(Value):
    """Everything a keeper declares."""

    units: Word[Units] = needed(ProfileKeys.units)
    site: Site = needed(ProfileKeys.site)
    move: Move | None = key(None, ProfileKeys.move)
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
    _places: _BothPlaces | None = PrivateAttr(default=None)
    _phones: tuple[RingingPhone, ...] = PrivateAttr(default=())

    @model_validator(mode="after")
    def _on_the_map(self, info: ValidationInfo) -> Self:
        if info.context:
            self._climate_map = info.context.get("climate_map", b"")
        if self.move:
            self._both_places(self.move)
        return self

    def on(self, day: date) -> "Profile":
        """The profile as it is on that date: at the old place before a move, then at the new one.

        Always the same two, and itself where nobody moves. Averages that were written for the old
        place do not count at the new one, unless the move says so.
        """
        if self.move is None:
            return self
        places = self._both_places(self.move)
        return places.before if day < self.move.on else places.after

    def date_at(self, instant: datetime) -> date:
        """The civil date where the birds live then; it never goes back, also not by a move.

        The old place's until its midnight. Where the new one's clock is more than half a day ahead,
        until noon there: the evening of the first date must not be over before that date begins.
        """
        if self.move is None:
            return instant.astimezone(self.site.zone).date()
        old = self._both_places(self.move).before.site.zone
        first, here = self.move.on, instant.astimezone(old).date()
        there = instant.astimezone(self.move.zone)
        is_noon = (there.date(), there.time()) >= (first, time(12))
        return here if here < first and not is_noon else max(first, there.date())

    def at(self, instant: datetime) -> "Profile":
        """The profile as it is where the birds live then."""
        return self if self.move is None else self.on(self.date_at(instant))

    def _both_places(self, move: Move) -> _BothPlaces:
        places = self._places
        if places is None or (self is not places.before and self is not places.after):
            # A profile that was copied with other values is the old place's.
            places = self._places = _BothPlaces(self, move)
            places.after._places = places  # noqa: SLF001 - of the same class
        return places

    @property
    def climate_map(self) -> bytes:
        """The package's climate map, which `load` hands on; empty where nobody did."""
        return self._climate_map

    @property
    def phones(self) -> tuple[RingingPhone, ...]:
        """The people's own phones that ring; none in a profile as it was read."""
        return self._phones

    def with_phones(self, phones: tuple[RingingPhone, ...]) -> "Profile":
        """The same with these phones, where it lives before any move; itself where they are its."""
        if phones == self._phones:
            return self
        read = self._both_places(self.move).before if self.move else self
        found = read.model_copy()
        found._phones = phones  # noqa: SLF001 - of the same class
        found._places = None  # noqa: SLF001 - as above: both places have them
        return found

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
