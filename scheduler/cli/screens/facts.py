"""The JSON of a coop's day and of a round, shared by the commands that show them."""

from typing import Any

from scheduler.cares.due import daylight
from scheduler.cares.evening import CoopDay, FreeRange
from scheduler.cares.plan import Round
from scheduler.cli.screens.tables import instant
from scheduler.light.sun import Crossing, Never, Sky


def coop_facts(coop: CoopDay, sky: Sky) -> dict[str, Any]:
    """One coop on one date: instants in UTC, null with `…_never` where there is none."""
    facts: dict[str, Any] = {"date": coop.day.isoformat(), "coop": coop.coop_id}
    for name, crossing in (
        ("sunrise", coop.sunrise),
        ("sunset", coop.sunset),
        ("dawn", coop.dawn),
        ("dusk", coop.dusk),
    ):
        facts |= _crossing(name, crossing)
    spell = coop.free_range
    ranges = isinstance(spell, FreeRange)
    return facts | {
        "lockup": instant(coop.lock_up.instant),
        "latest": instant(coop.lock_up.latest),
        "lockup_basis": coop.lock_up.basis,
        "letout": instant(coop.let_out.instant),
        "letout_basis": coop.let_out.basis,
        "range_from": instant(spell.start) if isinstance(spell, FreeRange) else None,
        "range_call_in": instant(spell.call_in) if isinstance(spell, FreeRange) else None,
        "range_to": instant(spell.end) if isinstance(spell, FreeRange) else None,
        "range_none": None if ranges else spell,
        "daylight_minutes": round(daylight(sky, coop.day).total_seconds() / 60, 1),
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
            }
            for line in walk.lines
            for task in line.tasks
        ],
    }
