"""Plans for the pages, each computed once for the same profile, reports and first day."""

from datetime import date, timedelta

from scheduler.cares.day_plan import Plan
from scheduler.cares.done_and_waiting import LOOKED_BACK_DAYS
from scheduler.cares.plan import plan
from scheduler.web.household_now import Standing
from scheduler.web.last_results import LastResults

_DAY = timedelta(days=1)


class Plans:
    """The last few plans that were asked for."""

    def __init__(self, most: int = 8) -> None:
        """Plans nothing yet."""
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
