"""The last few things that were worked out, by what they were worked out from."""

from collections.abc import Callable, Hashable
from datetime import date, timedelta
from typing import Generic, TypeVar

from scheduler.cares.day_plan import Plan
from scheduler.cares.done_and_waiting import LOOKED_BACK_DAYS
from scheduler.cares.plan import plan
from scheduler.web.household_now import Standing

_DAY = timedelta(days=1)
T = TypeVar("T")


class LastResults(Generic[T]):
    """At most so many; replaced as a whole, because several threads may ask."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._found: dict[Hashable, T] = {}

    def get(self, key: Hashable, work_out: Callable[[], T]) -> T:
        """What belongs to the key; worked out when it is not kept any more."""
        found = self._found.get(key)
        if found is None:
            found = work_out()
            room = max(len(self._found) + 1 - self._most, 0)
            self._found = {**dict(list(self._found.items())[room:]), key: found}
        return found


class Plans:
    """The last few plans for the pages, by profile, reports and first day."""

    def __init__(self, most: int = 8) -> None:
        self._kept = LastResults[Plan](most)

    def days(self, standing: Standing, first: date, count: int) -> Plan:
        """The plan of that many days."""
        household, last = standing.household, first + (count - 1) * _DAY
        empty = standing.empty(first, count)

        def planned() -> Plan:
            return plan(
                household.profile, standing.records, first, last, household.catalogue, empty
            )

        return self._kept.get((household.text, standing.records, first, count, empty), planned)

    def up_to(self, standing: Standing, today: date) -> Plan:
        """Today, and the days before it whose jobs may still wait."""
        return self.days(standing, today - LOOKED_BACK_DAYS * _DAY, LOOKED_BACK_DAYS + 1)
