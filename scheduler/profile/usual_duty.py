"""Who usually locks up on which day of the week."""

from datetime import date

from scheduler.profile.fields import Name
from scheduler.profile.frozen_table import Value, key
from scheduler.wording.profile.person_keys import DutyKeys

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


class UsualDuty(Value):
    """Who usually locks up, by weekday; on a day without a name the first person does."""

    monday: Name | None = key(None, DutyKeys.monday)
    tuesday: Name | None = key(None, DutyKeys.tuesday)
    wednesday: Name | None = key(None, DutyKeys.wednesday)
    thursday: Name | None = key(None, DutyKeys.thursday)
    friday: Name | None = key(None, DutyKeys.friday)
    saturday: Name | None = key(None, DutyKeys.saturday)
    sunday: Name | None = key(None, DutyKeys.sunday)

    @property
    def by_weekday(self) -> dict[str, str]:
        """The id of each day's person, Monday first, without the days that have none."""
        found = {day: getattr(self, day) for day in WEEKDAYS}
        return {day: person_id for day, person_id in found.items() if person_id}

    def of(self, day: date) -> str | None:
        """The id of whoever that date's weekday names; None where it names nobody."""
        return self.by_weekday.get(WEEKDAYS[day.weekday()])
