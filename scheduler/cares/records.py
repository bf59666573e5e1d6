"""What keepers have reported, as far as it changes the plan."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

ReportKind = Literal["heat", "frost", "snow", "storm", "predator", "order"]
PREDATOR_DAYS = 14  # without free range after a visit, common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """A run of days, both ends included; without a `last` day it goes on."""

    first: date
    last: date | None = None

    def __contains__(self, day: date) -> bool:
        """Whether `day` lies in the spell."""
        return self.first <= day and (self.last is None or day <= self.last)


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """Weather, a predator's visit or a disease order, for the days of its spell.

    `air_c` is the temperature told with heat or frost; `link` and `who` belong to an order.
    """

    kind: ReportKind
    spell: Spell
    air_c: float | None = None
    link: str = ""
    who: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Records:
    """Every report in force, in the order of making."""

    reports: tuple[Report, ...] = ()

    def of(self, kind: ReportKind, day: date) -> Report | None:
        """The last report of that kind whose spell holds `day`."""
        found = [report for report in self.reports if report.kind == kind and day in report.spell]
        return found[-1] if found else None

    def began_within(self, kind: ReportKind, days: int, day: date) -> bool:
        """Whether the spell of such a report began on `day` or less than `days` days before."""
        return any(
            report.kind == kind and 0 <= (day - report.spell.first).days < days
            for report in self.reports
        )

    def predator_near(self, day: date) -> bool:
        """Whether a predator came on `day` or in the thirteen days before."""
        return self.began_within("predator", PREDATOR_DAYS, day)

    def days_into(self, kind: ReportKind, day: date) -> int | None:
        """How many days before `day` the spell that holds it began; None outside a spell."""
        report = self.of(kind, day)
        return (day - report.spell.first).days if report else None


NO_RECORDS = Records()
