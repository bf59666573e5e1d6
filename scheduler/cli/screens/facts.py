"""The JSON of a coop's day and of a round, shared by the commands that show them."""

from datetime import timedelta
from typing import Any

from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Round
from scheduler.cares.free_range import FreeRange
from scheduler.light.sun import Crossing, Never
from scheduler.profile.words import instant

_MINUTE = timedelta(minutes=1)


def coop_facts(coop: CoopDay) -> dict[str, Any]:
    """One coop on one date: instants in UTC, null with `…_never` where there is none."""
    spell = coop.free_range if isinstance(coop.free_range, FreeRange) else None
    return {
        "date": coop.day.isoformat(),
        "coop": coop.coop_id,
        **_crossing("sunrise", coop.sunrise),
        **_crossing("sunset", coop.sunset),
        **_crossing("dawn", coop.dawn),
        **_crossing("dusk", coop.dusk),
        "lockup": instant(coop.lock_up.instant),
        "latest": instant(coop.lock_up.latest),
        "lockup_basis": coop.lock_up.basis,
        "letout": None if coop.kept_in else instant(coop.let_out.instant),
        "letout_basis": None if coop.kept_in else coop.let_out.basis,
        "letout_none": coop.kept_in,
        "range_from": instant(spell.start) if spell else None,
        "range_call_in": instant(spell.call_in) if spell else None,
        "range_to": instant(spell.end) if spell else None,
        "range_none": None if spell else coop.free_range,
        "lamp_on": instant(coop.lamp.on) if coop.lamp else None,
        "lamp_off": instant(coop.lamp.off) if coop.lamp else None,
        "daylight_minutes": round(coop.daylight / _MINUTE, 1),
    }


def _crossing(name: str, crossing: Crossing) -> dict[str, str | None]:
    if isinstance(crossing, Never):
        return {name: None, f"{name}_never": crossing.side}
    return {name: instant(crossing.instant)}


def round_facts(walk: Round) -> dict[str, Any]:
    """One round with its jobs, whichever line they share."""
    return {
        "round": walk.name,
        "start": instant(walk.start),
        "end": instant(walk.end),
        "minutes": walk.minutes,
        "lines": [line.text for line in walk.lines],
        "jobs": [
            {
                "id": task.care_id,
                "subject": task.subject_id,
                "title": task.title,
                "minutes": task.minutes,
                "why": task.why,
                "urgent": task.urgent,
            }
            for task in walk.tasks
        ],
    }
