"""What a forecast asks for on the next day, for whoever shuts the door this evening."""

from collections.abc import Iterator
from typing import NamedTuple

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.decided import DecidedDay
from scheduler.cares.records import ReportKind
from scheduler.cares.triggers import Recorded, WeatherSign

_KINDS: tuple[ReportKind, ...] = ("frost", "heat", "storm", "snow")


class Ahead(NamedTuple):
    """Frost, heat, storm or snow of the next day, and the titles of its jobs.

    `air_c` is the night's low or the day's high, rounded to whole degrees; None for others.
    """

    kind: ReportKind
    air_c: float | None
    jobs: tuple[str, ...]


def ahead(planned: DayPlan, cares: Catalogue, decided: DecidedDay) -> Iterator[Ahead]:
    """What that day's forecast asks for; nothing where the plan goes by the year alone."""
    for kind in _KINDS:
        ids = {care.id for care in cares if _asks(care.due, kind)}
        jobs = dict.fromkeys(task.title for task in planned.tasks if task.care_id in ids)
        if jobs and _is_forecast(decided, kind):
            yield Ahead(kind, _air_c(decided, kind), tuple(jobs))


def _asks(due: object, kind: ReportKind) -> bool:
    return (isinstance(due, WeatherSign) and due.sign == kind) or (
        isinstance(due, Recorded) and due.of == kind
    )


def _is_forecast(decided: DecidedDay, kind: ReportKind) -> bool:
    """Whether a forecast or a warning asks for it, and not the year or somebody's word alone."""
    weather = decided.weather
    if any(one.kind == kind for one in weather.warnings):
        return True
    if not any(sign.startswith(kind) for sign in decided.signs):
        return False
    told = weather.low_c if kind == "frost" else weather.high_c
    return kind in {"storm", "snow"} or told.source != "climate"


def _air_c(decided: DecidedDay, kind: ReportKind) -> float | None:
    if kind == "frost":
        return float(round(decided.weather.low_c.value))
    return float(round(decided.weather.high_c.value)) if kind == "heat" else None
