"""`duskfold health`: can the reminders be relied on?"""

import sys
from dataclasses import asdict
from datetime import datetime

from scheduler.cli.compose import Session
from scheduler.cli.faults import FAILED
from scheduler.cli.screens.tables import as_json, instant, table
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.report_health import Health

_STATES = {"open": "not confirmed", "shut": "shut", "searching": "shut, birds missing"}


def show(session: Session, *, json: bool) -> None:
    """Prints the state; exit status 1 when the reminders cannot be relied on."""
    health = session.report_health()
    if json:
        print(as_json(_facts(health)))
    else:
        print("\n".join(_lines(health.profile, health)))
    if health.faults:
        sys.exit(FAILED)


def _facts(health: Health) -> dict[str, object]:
    return {
        "ok": not health.faults,
        "faults": list(health.faults),
        "tick_age_s": None if health.tick_age_s is None else round(health.tick_age_s, 1),
        "clock": health.pulse.trust if health.pulse else None,
        "profile": health.pulse.profile_number if health.pulse else None,
        "channels": [
            asdict(one) | {"sent_at": _at(one.sent_at), "failed_at": _at(one.failed_at)}
            for one in health.channels
        ],
        "tonight": [
            {
                "coop": one.coop_id,
                "lockup": instant(one.lock_up),
                "latest": instant(one.latest),
                "state": one.state,
                "counted": one.counted,
                "expected": one.expected,
                "by": one.who or None,
            }
            for one in health.tonight
        ],
        "holds": health.holds,
        "unconfirmed": [day.isoformat() for day in health.unconfirmed],
    }


def _at(when: datetime | None) -> str | None:
    return instant(when) if when else None


def _lines(profile: Profile, health: Health) -> list[str]:
    zone, region = profile.site.zone, profile.site.region
    lines = list(health.faults) or ["The reminders are running."]
    if health.pulse and health.tick_age_s is not None:
        lines.append(
            f"Last look {health.tick_age_s:.0f} s ago; clock {health.pulse.trust}; profile number "
            f"{health.pulse.profile_number}."
        )
    if health.tonight:
        rows = [
            (
                one.name,
                f"lock up {local_clock(one.lock_up, zone, region)}",
                f"latest {local_clock(one.latest, zone, region)}",
                _STATES[one.state],
            )
            for one in health.tonight
        ]
        lines += ["", table(rows)]
    if health.channels:
        rows = [
            (
                one.channel,
                f"last sent {_when(one.sent_at, profile)}",
                f"last failed {_when(one.failed_at, profile)}",
                one.reason,
            )
            for one in health.channels
        ]
        lines += ["", table(rows)]
    if not health.holds:
        lines += ["", "The push server holds no messages: if this machine dies, nobody is rung."]
    if health.unconfirmed:
        days = ", ".join(day.isoformat() for day in health.unconfirmed)
        lines += ["", f"Evenings that nobody confirmed: {days}."]
    return lines


def _when(at: datetime | None, profile: Profile) -> str:
    if at is None:
        return "never"
    local = at.astimezone(profile.site.zone)
    return f"{local:%Y-%m-%d} {local_clock(at, profile.site.zone, profile.site.region)}"
