"""What is reported of weather, predators, orders and birds, and said of a report since."""

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from scheduler.cares.diary.entry import Family, Said
from scheduler.cares.records import PredatorGrade, ReportKind, Sign


@dataclass(frozen=True, slots=True, kw_only=True)
class OfAReport(Said):
    """Of the report of that number; a site's reports count from 1."""

    FAMILY: ClassVar[Family] = "report"
    report: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportMade(OfAReport):
    """A report as it was made, see `Report`; its first day is the entry's.

    `of_house`: it is about the birds of the house that the entry is about.
    """

    KIND: ClassVar[str] = "report-made"
    kind: ReportKind
    last: date | None = None
    air_c: float | None = None
    link: str = ""
    binds: str = ""
    grade: PredatorGrade | None = None
    birds: int | None = None
    words: str = ""
    signs: tuple[Sign, ...] = ()
    egg_days: int | None = None
    meat_days: int | None = None
    confirmed_on: date | None = None
    of_house: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportEnded(OfAReport):
    """Its last day is another one."""

    KIND: ClassVar[str] = "report-ended"
    last: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportConfirmed(OfAReport):
    """It still held on that day."""

    KIND: ClassVar[str] = "report-confirmed"
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelRead(OfAReport):
    """So many days eggs are withheld, as the label or the vet says; None: that is lost.

    A journal of before the diary did not keep what was read and then taken back.
    """

    KIND: ClassVar[str] = "label-read"
    egg_days: int | None


REPORT_KINDS = (ReportMade, ReportEnded, ReportConfirmed, LabelRead)
