"""`duskfold health`: can the reminders be relied on?"""

import sys
from collections.abc import Iterator
from dataclasses import asdict

from scheduler.cli.compose import Session
from scheduler.cli.faults import FAILED, go_on_after
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.machine.clock_trust import BUILT
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.health.forecast_request import forecast_requests, sent_to
from scheduler.service.health.health_words import (
    cautions,
    channels,
    doors,
    how_it_runs,
    if_stopped,
    who_could_be_told,
)
from scheduler.service.health.report_health import Health
from scheduler.service.weather.agreed import attributions
from scheduler.wording.cli.household import HealthScreen
from scheduler.wording.spoken import long_day_with_year


def show(session: Session, *, json: bool) -> None:
    """Prints the state; exit status 1 when the reminders cannot be relied on."""
    health = session.report_health()
    if json:
        print(as_json(_facts(health)))
    else:
        print("\n".join(_lines(health)))
        # Those that run may have what this terminal has not.
        if any(cause.kind == "not-running" for cause in health.causes):
            for missing in session.secrets_not_given(session.household_in_force):
                print("\n" + wrapped(missing))
    if health.faults:
        sys.exit(FAILED)


def agree(session: Session, *, yes: bool, json: bool) -> None:
    """Keeps that the clock is right, and says which time that is."""
    site = session.household_in_force.profile.site
    clock = local_clock(session.now, site.zone, site.region)
    day = long_day_with_year(session.now.astimezone(site.zone).date())
    if not yes:
        go_on_after(HealthScreen.asked(time=clock, day=day, site=site.name))
    session.agree_clock()
    if json:
        print(as_json({"agreed": session.now}))
        return
    print(HealthScreen.noted(time=clock, day=day, site=site.name))
    if session.now < BUILT:
        print(HealthScreen.before_release())
    else:
        print(HealthScreen.from_next_look())
        print(HealthScreen.if_wrong())


def _facts(health: Health) -> dict[str, object]:
    return {
        "ok": not health.faults,
        "told": [
            {"person": way.person_id, "channel": way.channel, "broken": way.broken or None}
            for way in health.reach.ways
        ],
        "faults": list(health.faults),
        "notes": list(health.notes),
        "tick_age_s": None if health.tick_age_s is None else round(health.tick_age_s, 1),
        "clock": health.pulse.trust if health.pulse else None,
        "profile": health.pulse.profile_number if health.pulse else None,
        "channels": [asdict(one) for one in health.channels],
        "tonight": [
            {
                "coop": door.coop_id,
                "lockup": door.lock_up,
                "latest": door.latest,
                "state": state.state,
                "counted": state.counted,
                "expected": state.expected,
                "by": (state.said.who if state.said else "") or None,
                "missing": state.at_large,
                "at_least": state.may_miss_more,  # nobody has counted
            }
            for door, state in health.tonight
        ],
        "hosts": [
            {
                "host": one.name,
                "look_age_s": round(age_s, 1),
                "stopped": one.pulse.stopped,
                "ahead_s": round(one.pulse.ahead_s),
                "differs": one.pulse.differs,
                "fault": one.pulse.fault or None,
            }
            for one, age_s in health.hosts
        ],
        "holds": health.holds,
        "stopped": _if_stopped(health),
        "unconfirmed": health.unconfirmed,
        "weather": [asdict(one) for one in health.pulse.gaps] if health.pulse else [],
        "forecast": [
            {
                "source": asked.source,
                "requests": [
                    {"method": one.method, "url": one.url, "headers": dict(one.headers)}
                    for one in asked.requests
                ],
            }
            for asked in forecast_requests(health.profile)
        ],
    }


def _if_stopped(health: Health) -> dict[str, object] | None:
    """What would ring each person, and by what; None where nothing is known of it."""
    if health.stopped is None:
        return None
    return {
        "evening": health.stopped.day,
        "people": [
            {
                "person": one.person_id,
                "by": one.owner,
                "at": one.rings_at,
                "backup_alarm_until": one.file_until,
            }
            for one in health.stopped.alarms
        ],
    }


def _lines(health: Health) -> list[str]:
    heading, each = if_stopped(health)
    lines = [wrapped(line) for line in (who_could_be_told(health), *how_it_runs(health))]
    for rows in (doors(health), channels(health)):
        if rows:
            lines += ["", table(rows)]
    if heading:
        lines += ["", f"{heading}:", *(wrapped(one) for one in each)]
    for caution in cautions(health):
        lines += ["", wrapped(caution)]
    return [*lines, *_forecast(health.profile)]


def _forecast(profile: Profile) -> Iterator[str]:
    """What goes to each service that may be asked, unbroken, and whose data they are."""
    agreed = forecast_requests(profile)
    for asked in agreed:
        for said, request in sent_to(asked):
            yield "\n" + wrapped(said)
            yield from (f"  {line}" for line in request)
    if agreed:
        yield ""
        yield from (wrapped(said) for said, _ in attributions(profile))
