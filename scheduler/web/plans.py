"""Plans for the pages, each computed once for the same profile, reports and first day."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from scheduler.cares.doing import LOOKED_BACK_DAYS
from scheduler.cares.plan import Plan, plan
from scheduler.service.lookout import Standing

_DAY = timedelta(days=1)


@dataclass(slots=True)
class Plans:
    """The last few plans that were asked for, replaced as a whole: several threads may ask."""

    most: int = 8
    _kept: dict[tuple[str, object, date, int], Plan] = field(default_factory=dict)

    def days(self, standing: Standing, first: date, count: int) -> Plan:
        """The plan of that many days."""
        key = (standing.household.text, standing.records, first, count)
        found = self._kept.get(key)
        if found is None:
            household = standing.household
            last = first + (count - 1) * _DAY
            found = plan(household.profile, standing.records, first, last, household.catalogue)
            room = max(len(self._kept) + 1 - self.most, 0)
            self._kept = {**dict(list(self._kept.items())[room:]), key: found}
        return found

    def up_to(self, standing: Standing, today: date) -> Plan:
        """Today, and the days before it whose jobs may still wait."""
        return self.days(standing, today - LOOKED_BACK_DAYS * _DAY, LOOKED_BACK_DAYS + 1)
