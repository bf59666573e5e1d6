"""A day's plan as values: tasks, the lines that show them, the rounds that gather them."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from scheduler.cares.bird_line import BirdLine
from scheduler.cares.coop_day import CoopDay
from scheduler.climate.curve import ClimateSource
from scheduler.profile.own_cares import RoundName
from scheduler.profile.values import Profile

Subject = Literal["coop", "flock", "site"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One care, due on one date for one coop, flock or site; known by these and an ordinal."""

    care_id: str
    subject: Subject
    subject_id: str
    day: date
    ordinal: int
    title: str
    short: str
    why: str
    minutes: int
    daily: bool
    season: bool
    urgent: bool = False
    last: bool = False
    alone: bool = False  # on a line and with a tick of its own
    of_its_day: bool = False  # undone, it is of no use any more the day after
    late_title: str = ""  # once its day is over, where the title has the times of that day


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What a round shows as one line: one job, or the last jobs together.

    `jobs` is the text without a word on the lines before it, where that is another.
    """

    text: str
    minutes: int
    tasks: tuple[Task, ...]
    jobs: str = ""

    @property
    def urgent(self) -> bool:
        """Whether a report makes it come before everything else."""
        return any(task.urgent for task in self.tasks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One walk to the coops, with its lines in order of rank, urgent ones first; aware UTC."""

    name: RoundName
    day: date
    start: datetime
    end: datetime
    minutes: int
    lines: tuple[Line, ...]

    @property
    def tasks(self) -> tuple[Task, ...]:
        """Every task of the round, in the order of its lines."""
        return tuple(task for line in self.lines for task in line.tasks)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """Everything of one civil date at a site; in the coops of `empty`, by id, no bird sleeps."""

    day: date
    coops: tuple[CoopDay, ...]
    rounds: tuple[Round, ...]
    seasons: tuple[Task, ...]
    empty: frozenset[str] = frozenset()
    birds: tuple[BirdLine, ...] = ()
    lock_up_minutes: int = 0

    @property
    def minutes(self) -> int:
        """What the day asks of whoever keeps the birds: every round and every lock-up."""
        return sum(walk.minutes for walk in self.rounds) + self.lock_up_minutes

    @property
    def tasks(self) -> tuple[Task, ...]:
        """Every task of the date, round by round."""
        return tuple(task for walk in self.rounds for task in walk.tasks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The days of a window, both ends included."""

    profile: Profile
    days: tuple[DayPlan, ...]
    climate: ClimateSource
