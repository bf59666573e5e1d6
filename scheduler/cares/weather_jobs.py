"""Which of a day's jobs the weather brings: of frost, heat, storm and snow, or what is usual."""

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_plan import DayPlan, Task
from scheduler.cares.triggers import Recorded, Trigger, WeatherSign

_KINDS = frozenset({"frost", "heat", "storm", "snow"})


def weather_jobs(planned: DayPlan, cares: Catalogue) -> tuple[Task, ...]:
    """The day's tasks that wait for weather, each title once."""
    ids = {care.id for care in cares if _waits_for_weather(care.due)}
    return tuple({one.title: one for one in planned.tasks if one.care_id in ids}.values())


def _waits_for_weather(due: Trigger) -> bool:
    return isinstance(due, WeatherSign) or (isinstance(due, Recorded) and due.of in _KINDS)
