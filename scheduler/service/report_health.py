"""The state of the reminders in one value: for a command, a page, a monitor."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from scheduler.alerts import text
from scheduler.cares.closing import door
from scheduler.journal import closings, history
from scheduler.journal.history import ChannelHistory
from scheduler.journal.store import Journal, JournalFault, open_journal
from scheduler.profile.values import Profile
from scheduler.service.clock import Readings
from scheduler.service.health import Pulse, faults_of, read_pulse
from scheduler.service.nights import Almanac, nights
from scheduler.service.open_profile import Household
from scheduler.service.places import JOURNAL_NAME
from scheduler.service.reach import ways_of
from scheduler.service.report import records

_DAY = timedelta(days=1)
_UNCONFIRMED_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorHealth:
    """One lock-up of tonight: its times and where it stands."""

    coop_id: str
    name: str
    lock_up: datetime
    latest: datetime
    state: str
    counted: int | None
    expected: int
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """Everything there is to say; `faults` is empty when all is well.

    `holds`: the push server takes messages that ring when this machine is dead. `undelivered`:
    what was given up in the last day, by person and way.
    """

    profile: Profile
    faults: tuple[str, ...]
    pulse: Pulse | None
    tick_age_s: float | None
    channels: tuple[ChannelHistory, ...] = ()
    tonight: tuple[DoorHealth, ...] = ()
    unconfirmed: tuple[date, ...] = ()
    holds: bool = True
    undelivered: tuple[str, ...] = ()


def report_health(
    folder: Path, household: Household, readings: Readings, journal: Journal | None = None
) -> Health:
    """The health by these clocks; what cannot be read is a fault of its own.

    Without a `journal` that is open already the folder's is opened, and closed again.
    """
    pulse = read_pulse(folder)
    faults = faults_of(pulse, readings)
    path = folder / JOURNAL_NAME
    if not path.is_file():
        return _without_journal(household, faults, pulse, readings)
    try:
        if journal is not None:
            return _with_journal(journal, household, pulse, readings, faults)
        opened = open_journal(path)
        try:
            return _with_journal(opened, household, pulse, readings, faults)
        finally:
            opened.close()
    except JournalFault as fault:
        faults.append(f"The data file cannot be used: {fault.reason}.")
        return _without_journal(household, faults, pulse, readings)


def _without_journal(
    household: Household, faults: list[str], pulse: Pulse | None, readings: Readings
) -> Health:
    return Health(
        profile=household.profile,
        faults=tuple(faults),
        pulse=pulse,
        tick_age_s=_age_s(pulse, readings),
    )


def _age_s(pulse: Pulse | None, readings: Readings) -> float | None:
    """Seconds since the last complete tick."""
    if pulse is None or pulse.complete_boot_s is None:
        return None
    return readings.boot_s - pulse.complete_boot_s


def _with_journal(
    journal: Journal,
    household: Household,
    pulse: Pulse | None,
    readings: Readings,
    faults: list[str],
) -> Health:
    now, site_id = readings.wall, household.profile.site.id
    almanac = Almanac(
        household=household,
        records=records(journal, site_id),
        ways=ways_of(household.profile),
        key=b"",
    )
    tonight = almanac.evening_of(now)
    with journal.reading() as connection:
        said = closings.closings(connection, site_id)
        channels = tuple(history.channel_history(connection, site_id))
        found = [
            night
            for night in nights(almanac, connection, now, said)
            if night.evening.day == tonight
        ]
        since = tonight - _UNCONFIRMED_DAYS * _DAY
        refused = history.refused(connection, site_id, tonight - 2 * _DAY)
        failed = history.failures(connection, site_id, now - _DAY)
        holds = not history.cannot_hold(connection, site_id)
        called = history.evenings_called(connection, site_id, since)
    faults += [
        f"The last message by {one.channel} did not go out: {one.reason}."
        for one in channels
        if one.failed_at and (one.sent_at is None or one.failed_at > one.sent_at)
    ]
    names = {person.id: person.name for person in household.profile.person}
    faults += [
        f"The {channel} address of {names[person_id]} is refused."
        for person_id, channel in refused
        if person_id in names
    ]
    return Health(
        profile=household.profile,
        faults=tuple(faults),
        pulse=pulse,
        tick_age_s=_age_s(pulse, readings),
        channels=channels,
        tonight=tuple(
            DoorHealth(
                coop_id=one.coop_id,
                name=one.name,
                lock_up=one.lock_up,
                latest=one.latest,
                state=state.state,
                counted=state.counted,
                expected=state.expected,
                who=state.said.who if state.said else "",
            )
            for night in found
            for one in night.evening.doors
            for state in [night.states[one.coop_id]]
        ),
        holds=holds,
        undelivered=tuple(
            text.undelivered(names[one.person_id], one.channel, one.count)
            for one in failed
            if one.person_id in names
        ),
        unconfirmed=tuple(
            day
            for day in called
            if day < tonight
            and any(door(said, coop.id, day, 0).state == "open" for coop in household.profile.coop)
        ),
    )
