"""The state of the reminders in one value: for a command, a page, a monitor."""

from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from types import MappingProxyType

from scheduler.alerts.reminded_evening import RemindedDoor
from scheduler.cares.door_state import Door
from scheduler.journal import closings, history, memos
from scheduler.journal.fault import JournalFault
from scheduler.journal.history import ChannelHistory, LastTry
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.messages import ways_out
from scheduler.profile.values import Profile
from scheduler.service.almanac import Almanac
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.data_place import DataPlace
from scheduler.service.evenings_around import nights
from scheduler.service.health.banner import everything
from scheduler.service.health.causes import Cause, at_the_terminal, differs, other_key, unreadable
from scheduler.service.health.if_it_stopped import IfItStopped, if_it_stopped, unheard
from scheduler.service.health.phones_heard import of_phones
from scheduler.service.health.published_calendars import amiss_on_the_shelf
from scheduler.service.health.pulses import every_pulse, last_pulse
from scheduler.service.health.tick_file import READ_AFTER_S, Pulse
from scheduler.service.health.tick_rows import HostPulse
from scheduler.service.household.open_profile import Household
from scheduler.service.household.reload import last_accepted
from scheduler.service.people.phones import read_ringing
from scheduler.service.reachable import Reach, ways_of, who_can_be_told
from scheduler.service.reports.report import records
from scheduler.service.weather_asked import around

_DAY = timedelta(days=1)
_UNCONFIRMED_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """Everything there is to say; `causes` is what is wrong, and what to do about it.

    `reach` says who could be told tonight, and over what. `holds`: the push server takes messages
    that ring when this machine is dead. `undelivered`: what was given up in the last day, by
    person and way. `hosts`: the last tick of each, where several share the journal, and how
    many seconds ago it was. `stopped` is what would ring if nothing more were heard from here, None
    where nothing is known of it.
    """

    profile: Profile
    pulse: Pulse | None
    tick_age_s: float | None
    reach: Reach = field(default_factory=Reach)
    causes: tuple[Cause, ...] = ()
    channels: tuple[ChannelHistory, ...] = ()
    tonight: tuple[tuple[RemindedDoor, Door], ...] = ()
    unconfirmed: tuple[date, ...] = ()
    holds: bool | None = None  # nothing was ever to be held
    undelivered: tuple[str, ...] = ()
    hosts: tuple[tuple[HostPulse, float], ...] = ()
    stopped: IfItStopped | None = None

    @property
    def faults(self) -> tuple[str, ...]:
        """Why the reminders cannot be relied on, as a terminal says it; empty when they can."""
        return tuple(at_the_terminal(one) for one in self.causes if one.counts)

    @property
    def notes(self) -> tuple[str, ...]:
        """What is wrong although they can be relied on."""
        return tuple(at_the_terminal(one) for one in self.causes if not one.counts)


def report_health(
    place: DataPlace,
    household: Household,
    readings: Readings,
    journal: Journal | None = None,
    *,
    key_id: str | None = None,
) -> Health:
    """The health by these clocks; what cannot be read is a cause of its own.

    `key_id` is the public key that phones are to be set up with.

    Without a `journal` that is open already the place's is opened, and closed again. Where the
    journal knows the profile that the reminders go by, that one counts and not `household`.
    """
    try:
        if journal is not None or not place.has_journal:
            return _reported(place, household, readings, journal, key_id)
        with closing(place.open()) as opened:
            in_force = last_accepted(opened, readings.wall)
            known = (in_force or household).as_of(readings.wall)
            return _reported(place, known, readings, opened, key_id)
    except JournalFault as fault:
        pulse = last_pulse(place, None, readings)
        found = _of_the_tick(household.profile, pulse, readings)
        notes = (
            () if place.server else amiss_on_the_shelf(Shelf(place), None, found.profile.site.id)
        )
        return replace(found, causes=(*found.causes, unreadable(fault.reason), *notes))


def _reported(
    place: DataPlace,
    household: Household,
    readings: Readings,
    journal: Journal | None,
    key_id: str | None,
) -> Health:
    pulse, of_their_phones = last_pulse(place, journal, readings), list[Cause]()
    hosts = tuple(
        (one, max(0.0, readings.boot_s - one.pulse.boot_s))
        for one in every_pulse(place, journal, readings)
    )
    if journal is None:
        health = _of_the_tick(household.profile, pulse, readings)
    else:
        now = readings.wall
        with journal.reading() as connection:
            site_id, is_shared = household.profile.site.id, bool(place.server)
            ring = read_ringing(connection, site_id, now, key_id, is_shared=is_shared)
            household = household.with_phones(ring, household.today(now))
            of_their_phones = of_phones(connection, household.profile, now)
        pulses = [*filter(None, [pulse]), *(one.pulse for one, _ in hosts)]
        has_heartbeat = any(one.heartbeat for one in pulses)
        health = _with_journal(journal, household, pulse, readings, has_heartbeat=has_heartbeat)
    shelf = amiss_on_the_shelf(Shelf(place), journal, health.profile.site.id)
    notes = (*shelf, *unheard(health.stopped))
    others = [differs(one.machine) for one, _ in hosts if one.pulse.differs]
    others += [other_key(one.machine) for one, _ in hosts if one.pulse.other_key]
    return replace(health, causes=(*health.causes, *of_their_phones, *notes, *others), hosts=hosts)


def _of_the_tick(
    profile: Profile,
    pulse: Pulse | None,
    readings: Readings,
    tries: Mapping[tuple[str, str, str], LastTry] = MappingProxyType({}),
) -> Health:
    """What the last tick shows, and the last tries at everybody, where they are known."""
    lacks = pulse.lacks if pulse else ()
    today = profile.date_at(readings.wall)
    reach = who_can_be_told(profile, ways_of(profile), tries, today).lacking(lacks)
    return Health(
        profile=profile,
        pulse=pulse,
        tick_age_s=_age_s(pulse, readings),
        reach=reach,
        causes=tuple(everything(pulse, profile, reach, readings)),
    )


def _age_s(pulse: Pulse | None, readings: Readings) -> float | None:
    """Seconds since the last complete tick; None where it was before the machine was started."""
    if pulse is None or pulse.complete_boot_s is None:
        return None
    age_s = readings.boot_s - pulse.complete_boot_s
    return max(age_s, 0.0) if age_s >= -READ_AFTER_S else None


def _with_journal(
    journal: Journal,
    household: Household,
    pulse: Pulse | None,
    readings: Readings,
    *,
    has_heartbeat: bool,
) -> Health:
    now, profile = readings.wall, household.profile
    site_id, days = profile.site.id, around(household.today(now))
    known = records(journal, household, days)
    almanac = Almanac(household=household, records=known, ways=ways_of(profile), key=b"")
    tonight = almanac.evening_of(now)
    with journal.reading() as connection:
        said = closings.closings(connection, site_id)
        found = nights(almanac, connection, now, said)
        channels = tuple(history.channel_history(connection, site_id))
        failed = history.failures(connection, site_id, now - _DAY)
        tries = history.last_tries(connection, site_id)
        holds = history.holds(connection, site_id)
        files = memos.backup_alarms(connection, site_id)
        since = tonight - _UNCONFIRMED_DAYS * _DAY
        called = history.evenings_called(connection, site_id, since)
    return replace(
        _of_the_tick(profile, pulse, readings, tries),
        channels=channels,
        tonight=tuple(
            (one, night.states[one.coop_id])
            for night in found
            if night.evening.day == tonight
            for one in night.evening.doors
        ),
        holds=holds,
        stopped=if_it_stopped(
            almanac, found, said, now, files=files, holds=holds, has_heartbeat=has_heartbeat
        ),
        undelivered=tuple(
            ways_out.undelivered(name, one.channel, one.count)
            for one in failed
            if (name := profile.person_names.get(one.person_id)) is not None
        ),
        unconfirmed=tuple(
            day
            for day in called
            if day < tonight and any(almanac.house(one.id, day, said).waits for one in profile.coop)
        ),
    )
