"""What is said of a job of a date."""

from dataclasses import dataclass
from typing import ClassVar

from scheduler.cares.diary.entry import Family, Said


@dataclass(frozen=True, slots=True, kw_only=True)
class OfAJob(Said):
    """Of one task: its care and ordinal; its subject and date are the entry's."""

    FAMILY: ClassVar[Family] = "job"
    care_id: str
    ordinal: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class JobDone(OfAJob):
    """Somebody has done it."""

    KIND: ClassVar[str] = "job-done"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSkipped(OfAJob):
    """Nobody will do it this time, and nobody need be asked again."""

    KIND: ClassVar[str] = "job-skipped"


JOB_KINDS = (JobDone, JobSkipped)
