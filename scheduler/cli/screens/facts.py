"""The JSON of a coop's day and of a round, shared by the commands that show them."""

from datetime import timedelta
from typing import Any, Literal

from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Round
from scheduler.cares.free_range import FreeRange
from scheduler.climate.curve import ClimateSource
from scheduler.light.sun import Crossing, Never

Done = Literal[
    "noted",
    "ended",
    "over",
    "taken back",
    "still in force",
    "as it was before",
    "nothing was changed",
]
_MINUTE = timedelta(minutes=1)


def coop_facts(coop: CoopDay) -> dict[str, Any]:
    """One coop on one date: null with `…_never` where there is none."""
    spell = coop.free_range if isinstance(coop.free_range, FreeRange) else None
    return {
        "date": coop.day,
        "coop": coop.coop_id,
        **_crossing("sunrise", coop.sunrise),
        **_crossing("sunset", coop.sunset),
        **_crossing("dawn", coop.dawn),
        **_crossing("dusk", coop.dusk),
        "lockup": coop.lock_up.instant,
        "latest": coop.lock_up.latest,
        "lockup_basis": coop.lock_up.basis,
        "letout": None if coop.kept_in else coop.let_out.instant,
        "letout_basis": None if coop.kept_in else coop.let_out.basis,
        "letout_none": coop.kept_in,
        "range_from": spell.start if spell else None,
        "range_call_in": spell.call_in if spell else None,
        "range_to": spell.end if spell else None,
        "range_none": None if spell else coop.free_range,
        "lamp_on": coop.lamp.on if coop.lamp else None,
        "lamp_off": coop.lamp.off if coop.lamp else None,
        "daylight_minutes": round(coop.daylight / _MINUTE, 1),
    }


def _crossing(name: str, crossing: Crossing) -> dict[str, object]:
    if isinstance(crossing, Never):
        return {name: None, f"{name}_never": crossing.side}
    return {name: crossing.instant}


def round_facts(walk: Round) -> dict[str, Any]:
    """One round with its jobs, whichever line they share."""
    return {
        "round": walk.name,
        "start": walk.start,
        "end": walk.end,
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


def climate_facts(source: ClimateSource) -> dict[str, ClimateSource]:
    """Where the temperatures are from that a plan goes by."""
    return {"climate": source}


def done_facts(done: Done) -> dict[str, Done]:
    """What was done to a report or a job."""
    return {"done": done}
