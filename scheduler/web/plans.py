"""Plans for the pages, each computed once for the same profile, reports and first day."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from scheduler.cares.doing import LOOKED_BACK_DAYS
from scheduler.cares.plan import Plan, plan
from scheduler.service.lookout import Standing

_DAY = timedelta(days=1)
_KEPT = 8


@dataclass(slots=True)
class Plans:
    """The last few plans that were asked for."""

    _kept: dict[tuple[int, object, date, int], Plan] = field(default_factory=dict)

    def days(self, standing: Standing, first: date, count: int) -> Plan:
        """The plan of that many days."""
        key = (id(standing.household), standing.records, first, count)
        if key not in self._kept:
            while len(self._kept) >= _KEPT:
                self._kept.pop(next(iter(self._kept)))
            household = standing.household
            self._kept[key] = plan(
                household.profile,
                standing.records,
                first,
                first + (count - 1) * _DAY,
                household.catalogue,
            )
        return self._kept[key]

    def up_to(self, standing: Standing, today: date) -> Plan:
        """Today, and the days before it whose jobs may still wait."""
        return self.days(standing, today - LOOKED_BACK_DAYS * _DAY, LOOKED_BACK_DAYS + 1)
