"""The state of the reminders in one value: for a command, a page, a monitor."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path

from scheduler.alerts import text
from scheduler.alerts.text import not_all_in
from scheduler.cares.closing import door
from scheduler.journal import closings, history
from scheduler.journal.history import ChannelHistory
from scheduler.journal.store import Journal, JournalFault, open_journal
from scheduler.profile.values import Profile
from scheduler.service.banner import everything
from scheduler.service.clock import Readings
from scheduler.service.health import Cause, Pulse, at_the_terminal, read_pulse
from scheduler.service.lookout import TRIES_DAYS
from scheduler.service.nights import Almanac, nights
from scheduler.service.open_profile import Household
from scheduler.service.places import JOURNAL_NAME
from scheduler.service.reach import Reach, ways_of, who_can_be_told
from scheduler.service.reload import last_accepted
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
    missing: int
    amiss: str  # what keeps it from being all in, in words; empty when nothing does


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """Everything there is to say; `faults` is empty when all is well.

    `reach` says who could be told tonight, and over what; `causes` are the faults with what to do.
    `holds`: the push server takes messages that ring when this machine is dead. `undelivered`:
    what was given up in the last day, by person and way.
    """

    profile: Profile
    faults: tuple[str, ...]
    pulse: Pulse | None
    tick_age_s: float | None
    reach: Reach = field(default_factory=Reach)
    causes: tuple[Cause, ...] = ()
    channels: tuple[ChannelHistory, ...] = ()
    tonight: tuple[DoorHealth, ...] = ()
    unconfirmed: tuple[date, ...] = ()
    holds: bool = True
    undelivered: tuple[str, ...] = ()


def report_health(
    folder: Path, household: Household, readings: Readings, journal: Journal | None = None
) -> Health:
    """The health by these clocks; what cannot be read is a fault of its own.

    Without a `journal` that is open already the folder's is opened, and closed again. Where the
    journal knows the profile that the reminders go by, that one counts and not `household`.
    """
    pulse = read_pulse(folder)
    path = folder / JOURNAL_NAME
    if not path.is_file():
        return _without_journal(household, pulse, readings)
    try:
        if journal is not None:
            return _with_journal(journal, household, pulse, readings)
        opened = open_journal(path)
        try:
            in_force = last_accepted(opened, readings.wall)
            return _with_journal(opened, in_force or household, pulse, readings)
        finally:
            opened.close()
    except JournalFault as fault:
        why = f"The data file cannot be used: {fault.reason}."
        return _without_journal(household, pulse, readings, why)


def _without_journal(
    household: Household, pulse: Pulse | None, readings: Readings, *faults: str
) -> Health:
    profile = household.profile
    reach = who_can_be_told(profile, ways_of(profile), {})
    causes = everything(pulse, profile, reach, readings)
    return Health(
        profile=profile,
        faults=(*map(at_the_terminal, causes), *faults),
        pulse=pulse,
        tick_age_s=_age_s(pulse, readings),
        reach=reach,
        causes=tuple(causes),
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
) -> Health:
    now, site_id = readings.wall, household.profile.site.id
    almanac = Almanac(
        household=household,
        records=records(journal, household),
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
        failed = history.failures(connection, site_id, now - _DAY)
        tries = history.last_tries(connection, site_id, tonight - TRIES_DAYS * _DAY)
        holds = not history.cannot_hold(connection, site_id)
        called = history.evenings_called(connection, site_id, since)
    reach = who_can_be_told(household.profile, almanac.ways, tries)
    causes = everything(pulse, household.profile, reach, readings)
    faults = [at_the_terminal(one) for one in causes]
    faults += [
        f"The last message by {one.channel} did not go out: {one.reason}."
        for one in channels
        if one.failed_at and (one.sent_at is None or one.failed_at > one.sent_at)
    ]
    names = {person.id: person.name for person in household.profile.person}
    faults += [
        f"Nothing reaches {way.said}: {way.broken}."
        for way in reach.ways
        if way.broken and reach.working and way.name not in reach.cut_off
    ]
    return Health(
        profile=household.profile,
        faults=tuple(faults),
        pulse=pulse,
        tick_age_s=_age_s(pulse, readings),
        reach=reach,
        causes=tuple(causes),
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
                missing=state.at_large,
                amiss=not_all_in(state),
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
            and any(
                door(said, coop.id, day, almanac.birds_in(coop.id, day)).waits
                for coop in household.profile.coop
            )
        ),
    )
