"""The state of the reminders in sentences and rows, for a terminal and a page."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from scheduler.alerts.dark_alarm import DarkAlarm
from scheduler.alerts.held_messages import RINGS_AGAIN_AFTER
from scheduler.cares.door_state import Door
from scheduler.messages.missing import amiss
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.health.causes import Cause, minutes_apart
from scheduler.service.health.if_it_stopped import IfItStopped
from scheduler.service.health.report_health import Health
from scheduler.service.health.tick_file import Pulse
from scheduler.wording.channels.ways import channel_words
from scheduler.wording.service.health import (
    Ages,
    AtTime,
    ChannelFares,
    DoorsTonight,
    HostFares,
    LastLook,
    LookingBack,
    WhoIsTold,
)
from scheduler.wording.service.if_it_stopped import Stopped, StoppedTomorrow, StoppedTonight
from scheduler.wording.service.outlook import WeatherGaps
from scheduler.wording.sources.question import ForecastServices
from scheduler.wording.spoken import (
    day_month_year,
    in_a_row,
    listed,
    long_day,
    one_by_one,
    short_day,
)
from scheduler.wording.told_later import told
from scheduler.wording.words import Words, every

_OF_SERVICES = {"warnings": WeatherGaps.warnings, "ending": WeatherGaps.ending}
_SILENT = {"not-running", "silent", "clock-behind"}
_LONG_S = 120.0
_HOURS_S = 7200.0
_STATES = {
    "open": DoorsTonight.open,
    "shut": DoorsTonight.shut,
    "searching": DoorsTonight.shut,
}
_CLOCK = {
    "trusted": LastLook.trusted,
    "untrusted": LastLook.untrusted,
    "doubtful": LastLook.doubtful,
}


def who_could_be_told(health: Health) -> str:
    """Whether somebody could be told tonight, and over what, in one sentence."""
    ways: dict[str, list[str]] = {}
    for way in health.reach.working:
        ways.setdefault(way.name, []).append(channel_words(way.channel))
    if not ways:
        return WhoIsTold.nobody()
    who = one_by_one([WhoIsTold.by(name=name, ways=listed(over)) for name, over in ways.items()])
    stands = any(cause.kind in _SILENT for cause in health.causes)
    return (WhoIsTold.if_running if stands else WhoIsTold.tonight)(who=who)


def how_it_runs(health: Health) -> tuple[str, ...]:
    """Every fault, or that the reminders are running; then what the last look was like."""
    return (*(health.faults or (WhoIsTold.runs(),)), *last_look(health), *hosts(health))


def on_a_page(health: Health, warnings: Sequence[Cause]) -> tuple[str, ...]:
    """What is wrong first, each with what to do instead of commands; then who could be told.

    `warnings` is what counts, as on every page.
    """
    faults = tuple(f"{one.what} {one.remedy}" for one in warnings)
    looked = _looked_on_a_page(health)
    reached = who_could_be_told(health)
    return (*(faults or (WhoIsTold.runs(),)), reached, *looked, *hosts(health))


def last_look(health: Health) -> tuple[str, ...]:
    """What the last look was like, when there was one."""
    if health.pulse is None or health.pulse.complete_boot_s is None:
        return ()
    age_s = health.tick_age_s
    looked = LastLook.before()
    if age_s is not None:
        looked = LastLook.ago(seconds=f"{age_s:.0f}")
    number = LastLook.profile(number=health.pulse.profile_number)
    return (f"{looked} {_clock_words(health.pulse)} {number}",)


def _looked_on_a_page(health: Health) -> tuple[str, ...]:
    """The same without what only whoever looks after the machine asks for."""
    if health.pulse is None or health.pulse.complete_boot_s is None:
        return ()
    age_s = health.tick_age_s
    if age_s is None:
        looked = LastLook.before()
    elif age_s < _LONG_S:
        looked = LastLook.just_now()
    elif age_s < _HOURS_S:
        looked = LastLook.minutes_ago(minutes=f"{age_s / 60:.0f}")
    else:
        looked = LastLook.hours_ago(hours=f"{age_s / 3600:.0f}")
    return (f"{looked} {_clock_words(health.pulse)}",)


def _clock_words(pulse: Pulse) -> str:
    return _CLOCK.get(pulse.trust, LastLook.doubtful)()


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
    age = Ages.seconds(seconds=f"{age_s:.0f}")
    if age_s >= _LONG_S:
        age = Ages.minutes(minutes=f"{age_s / 60:.0f}")
    if pulse.stopped:
        return HostFares.stopped(name=name, age=age)
    if age_s > pulse.oldest_tick_s:
        return HostFares.silent(name=name, age=age)
    if pulse.ahead_s:
        clock = HostFares.ahead if pulse.ahead_s > 0 else HostFares.behind
        return clock(name=name, minutes=minutes_apart(pulse))
    if pulse.fault:
        return HostFares.unwritten(name=name, age=age, why=told(pulse.fault))
    return HostFares.well(name=name, age=age)


def doors(health: Health) -> list[tuple[str, str, str, str]]:
    """Each house tonight: its name, lock-up, by when it must be shut, and where it stands."""
    zone, region = health.profile.site.zone, health.profile.site.region
    return [
        (
            one.name,
            DoorsTonight.lock_up(time=local_clock(one.lock_up, zone, region)),
            DoorsTonight.shut_by(time=local_clock(one.latest, zone, region)),
            _where_it_stands(state),
        )
        for one, state in health.tonight
    ]


def _where_it_stands(state: Door) -> str:
    if state.state == "open" and not state.expected and not state.at_large:
        return DoorsTonight.no_birds()
    # "only 12 expected" says nothing without it
    counted = DoorsTonight.counted(birds=state.counted) if state.over else ""
    return in_a_row([*filter(None, (_STATES[state.state](), counted, amiss(state)))])


def if_stopped(health: Health) -> tuple[str, tuple[str, ...]]:
    """A heading, and what would ring each person if nothing more were heard from here."""
    found = health.stopped
    if found is None or not found.alarms:
        return "", ()
    heading = Stopped.all_of_them if len(health.hosts) > 1 else Stopped.heading
    return heading(), tuple(_rings(one, found, health.profile) for one in found.alarms)


def _rings(one: DarkAlarm, found: IfItStopped, profile: Profile) -> str:
    site = profile.on(found.day).site

    def clock(at: datetime) -> str:
        return local_clock(at, site.zone, site.region, found.day)

    name, tonight, until = one.name, found.is_tonight, one.file_until
    if one.held_at:  # nothing is held of an evening before it begins, so it is tonight's
        again = clock(one.held_at + RINGS_AGAIN_AFTER)
        held = StoppedTonight.held_and_file if one.file_at else StoppedTonight.held
        return held(name=name, time=clock(one.held_at), again=again)
    if one.file_at:
        file = StoppedTonight.file if tonight else StoppedTomorrow.file
        return file(name=name, time=clock(one.file_at))
    if one.owner == "heartbeat":
        heartbeat = StoppedTonight.heartbeat if tonight else StoppedTomorrow.heartbeat
        return heartbeat(name=name)
    if one.held_from:
        later = StoppedTonight.later if tonight else StoppedTomorrow.later
        return later(name=name, time=clock(one.held_from))
    if until and until < found.day:
        ended = StoppedTonight.ended if tonight else StoppedTomorrow.ended
        return ended(name=name, day=day_month_year(until))
    nothing = StoppedTonight.nothing if tonight else StoppedTomorrow.nothing
    return nothing(name=name)


def channels(health: Health) -> list[tuple[str, str, str, str]]:
    """Each channel: its name, when it last sent, when it last failed, and why."""
    return [
        (
            channel_words(one.channel),
            _when(ChannelFares.sent, ChannelFares.never_sent, one.sent_at, health.profile),
            _when(ChannelFares.failed, ChannelFares.never_failed, one.failed_at, health.profile),
            told(one.reason),
        )
        for one in health.channels
    ]


def channels_on_a_page(health: Health) -> list[tuple[str, str, str]]:
    """The same with the dates in words.

    Without why it failed: a message is somebody's, and with the name stands why it did not arrive.
    """
    last, never = ChannelFares.sent, ChannelFares.never_sent
    failed, never_failed = ChannelFares.failed, ChannelFares.never_failed
    return [
        (
            channel_words(one.channel),
            _when_in_words(last, never, one.sent_at, health.profile),
            _when_in_words(failed, never_failed, one.failed_at, health.profile),
        )
        for one in health.channels
    ]


def _when_in_words(last: Words, never: Words, at: datetime | None, profile: Profile) -> str:
    if at is None:
        return never()
    day = short_day(at.astimezone(profile.site.zone).date())
    clock = local_clock(at, profile.site.zone, profile.site.region)
    return last(at=AtTime.day_and_time(day=day, time=clock))


def _when(last: Words, never: Words, at: datetime | None, profile: Profile) -> str:
    if at is None:
        return never()
    local = at.astimezone(profile.site.zone)
    clock = local_clock(at, profile.site.zone, profile.site.region)
    return last(at=f"{local.date().isoformat()} {clock}")


def cautions(health: Health) -> tuple[str, ...]:
    """What is no fault and should still be known, as a terminal says it."""
    days = [day.isoformat() for day in health.unconfirmed]
    return (*health.notes, *_gaps(health), *_looking_back(health, days))


def cautions_on_a_page(health: Health) -> tuple[str, ...]:
    """The same with what to do instead of commands."""
    notes = (f"{one.what} {one.remedy}" for one in health.causes if not one.counts)
    days = [long_day(day) for day in health.unconfirmed]
    return (*notes, *_gaps(health), *_looking_back(health, days))


def _gaps(health: Health) -> Iterator[str]:
    """Which weather service tells nothing new, which thermometer is not used, and why."""
    for one in health.pulse.gaps if health.pulse else ():
        why = told(one.why)
        if one.of == "sensor":
            yield WeatherGaps.sensor(sensor=one.name, why=why)
        elif name := every(ForecastServices).get(one.name.replace("-", "_")):
            yield _OF_SERVICES.get(one.of, WeatherGaps.service)(service=name(), why=why)


def _looking_back(health: Health, days: Sequence[str]) -> Iterator[str]:
    if health.holds is False:
        yield LookingBack.holds_nothing()
    yield from (LookingBack.since_yesterday(what=one) for one in health.undelivered)
    if days:
        yield LookingBack.unconfirmed(days=in_a_row(days))
