"""The state of the reminders in sentences and rows, for a terminal and a page."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from scheduler.cares.door_state import Door
from scheduler.messages.missing import amiss
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.health.causes import Cause, how_far_apart
from scheduler.service.health.report_health import Health
from scheduler.service.health.tick_file import Pulse

_RUNNING = "The reminders are running."
_SILENT = {"not-running", "silent", "clock-behind"}
_LONG_S = 120.0
_STATES = {"open": "not confirmed", "shut": "shut", "searching": "shut"}


def who_could_be_told(health: Health) -> str:
    """Whether somebody could be told tonight, and over what, in one sentence."""
    ways: dict[str, list[str]] = {}
    for way in health.reach.working:
        ways.setdefault(way.name, []).append(way.channel)
    if not ways:
        return "Nobody can be told tonight."
    told = "; ".join(f"{name} by {' and '.join(over)}" for name, over in ways.items())
    stands = any(cause.kind in _SILENT for cause in health.causes)
    if stands:
        return f"Who could be told if the reminders were running: {told}."
    return f"Who can be told tonight: {told}."


def how_it_runs(health: Health) -> tuple[str, ...]:
    """Every fault, or that the reminders are running; then what the last look was like."""
    return (*(health.faults or (_RUNNING,)), *last_look(health), *hosts(health))


def on_a_page(health: Health, warnings: Sequence[Cause]) -> tuple[str, ...]:
    """The same with what to do instead of commands; `warnings` is what counts, as on every page."""
    faults = tuple(f"{one.what} {one.remedy}" for one in warnings)
    return (*(faults or (_RUNNING,)), *last_look(health), *hosts(health))


def last_look(health: Health) -> tuple[str, ...]:
    """What the last look was like, when there was one."""
    if health.pulse is None or health.pulse.complete_boot_s is None:
        return ()
    age_s = health.tick_age_s
    looked = "The last look was before this machine was started"
    if age_s is not None:
        looked = f"The last look was {age_s:.0f} s ago"
    number = f"Profile number {health.pulse.profile_number} is in force"
    return (f"{looked}. The clock is {health.pulse.trust}. {number}.",)


def hosts(health: Health) -> tuple[str, ...]:
    """How each host fares, one sentence each; nothing where there is but one."""
    if len(health.hosts) <= 1:
        return ()
    machines = [one.machine for one, _ in health.hosts]
    is_clear = len(set(machines)) == len(machines)  # else two folders of one machine
    return tuple(
        _host(machine if is_clear else one.name, one.pulse, age_s)
        for machine, (one, age_s) in zip(machines, health.hosts, strict=True)
    )


def _host(name: str, pulse: Pulse, age_s: float) -> str:
    age = f"{age_s:.0f} s" if age_s < _LONG_S else f"{age_s / 60:.0f} min"
    if pulse.stopped:
        return f"{name}: stopped {age} ago."
    if age_s > pulse.oldest_tick_s:
        return f"{name}: not heard from for {age}. The others carry on without it."
    if pulse.ahead_s:
        clock = how_far_apart(pulse)
        return f"{name}: its clock is {clock}, so it leaves the reminders to the others."
    if pulse.fault:
        return f"{name}: last look {age} ago, which could not be written down: {pulse.fault}."
    return f"{name}: last look {age} ago."


def doors(health: Health) -> list[tuple[str, str, str, str]]:
    """Each house tonight: its name, lock-up, by when it must be shut, and where it stands."""
    zone, region = health.profile.site.zone, health.profile.site.region
    return [
        (
            one.name,
            f"lock up {local_clock(one.lock_up, zone, region)}",
            f"shut by {local_clock(one.latest, zone, region)}",
            _where_it_stands(state),
        )
        for one, state in health.tonight
    ]


def _where_it_stands(state: Door) -> str:
    if state.state == "open" and not state.expected and not state.at_large:
        return "no birds"
    # "only 12 expected" says nothing without it
    counted = f"{state.counted} in" if state.over else ""
    return ", ".join(filter(None, (_STATES[state.state], counted, amiss(state))))


def channels(health: Health) -> list[tuple[str, str, str, str]]:
    """Each channel: its name, when it last sent, when it last failed, and why."""
    return [
        (
            one.channel,
            _when("sent", one.sent_at, health.profile),
            _when("failed", one.failed_at, health.profile),
            one.reason,
        )
        for one in health.channels
    ]


def _when(what: str, at: datetime | None, profile: Profile) -> str:
    if at is None:
        return f"never {what}"
    local = at.astimezone(profile.site.zone)
    return f"last {what} {local:%Y-%m-%d} {local_clock(at, profile.site.zone, profile.site.region)}"


def cautions(health: Health) -> tuple[str, ...]:
    """What is no fault and should still be known, as a terminal says it."""
    return (*health.notes, *_looking_back(health))


def cautions_on_a_page(health: Health) -> tuple[str, ...]:
    """The same with what to do instead of commands."""
    notes = (f"{one.what} {one.remedy}" for one in health.causes if not one.counts)
    return (*notes, *_looking_back(health))


def _looking_back(health: Health) -> Iterator[str]:
    if health.holds is False:
        yield "The push server holds no messages, so nobody is alerted if this machine dies."
    yield from (f"Since yesterday: {one}" for one in health.undelivered)
    if health.unconfirmed:
        days = ", ".join(day.isoformat() for day in health.unconfirmed)
        yield f"Evenings that nobody confirmed: {days}."
