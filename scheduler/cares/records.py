"""What keepers have reported, as far as it changes the plan."""

from dataclasses import dataclass, field, replace
from datetime import date, datetime, tzinfo
from typing import Literal, get_args

from scheduler.cares.decided import DecidedDay
from scheduler.cares.snow_load import CLEAR_FROM_KG_M2, snow_load_kg_m2

WeatherKind = Literal["heat", "frost", "snow", "storm", "predator", "order"]
BirdKind = Literal["broody", "illness", "medicine"]
ReportKind = Literal[WeatherKind, BirdKind]
WEATHER_KINDS: tuple[WeatherKind, ...] = get_args(WeatherKind)
BIRD_KINDS: tuple[BirdKind, ...] = get_args(BirdKind)
Sign = Literal[
    "deaths",
    "swollen-head",
    "blue-comb",
    "breathing",
    "no-balance",
    "egg-drop",
    "feed-drop",
    "droppings",
    "hunched",
    "limping",
    "wound",
    "crop",
]
SIGNS: tuple[Sign, ...] = get_args(Sign)
# Signs of avian influenza (Cornell Cooperative Extension Monroe County, Watch out for Avian
# Influenza, 2022), which has to be reported in many countries; which signs, the local rules say.
NOTIFIABLE: frozenset[Sign] = frozenset(SIGNS[:7])
PredatorGrade = Literal["nearby", "tried", "got-at"]
GRADES: tuple[PredatorGrade, ...] = get_args(PredatorGrade)  # the worst last
PREDATOR_DAYS = 14  # of care after a visit, common practice, no source
ASKED_EVERY_DAYS = 14  # whether an order is still in force, common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """A run of days, both ends included; without a `last` day it goes on.

    What was over on the day on which it began holds none: its last day is the day before.
    """

    first: date
    last: date | None = None

    def __contains__(self, day: date) -> bool:
        """Whether `day` lies in the spell."""
        return self.first <= day and (self.last is None or day <= self.last)

    def overlaps(self, first: date, last: date) -> bool:
        """Whether it holds any of the days from `first` to `last`."""
        return (
            not self.is_empty and self.first <= last and (self.last is None or first <= self.last)
        )

    @property
    def is_empty(self) -> bool:
        """Whether it holds no day: it was over on the day on which it began."""
        return self.last is not None and self.last < self.first


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """Weather, a predator's visit, a housing order, or birds, for the days of its spell.

    `air_c` is the temperature told with heat or frost, `grade` how near a predator came; `link`,
    `who` and `confirmed_on`, when somebody last said that it still holds, belong to an order;
    `made_at` and `said_by` are when and by whom it was reported, `again_at` and `again_by` when and
    by whom it was last put back after it had been ended or taken back. `house_id`, `birds` (None:
    all of the house) and `words` belong to birds: what was seen beside the `signs`, or the product
    by its label, with the days of withdrawal of eggs and meat as the keeper read them (None: not
    known). `forecast`: by a service, not a person; where it does not ring, its jobs
    are there, but nobody is called for them.
    """

    kind: ReportKind
    spell: Spell
    air_c: float | None = None
    link: str = ""
    who: str = ""
    grade: PredatorGrade | None = None
    confirmed_on: date | None = None
    house_id: str = ""
    birds: int | None = None
    words: str = ""
    signs: tuple[Sign, ...] = ()
    egg_days: int | None = None
    meat_days: int | None = None
    made_at: datetime | None = field(default=None, compare=False)
    said_by: str = field(default="", compare=False)
    forecast: bool = False
    rings: bool = True
    again_at: datetime | None = field(default=None, compare=False)
    again_by: str = field(default="", compare=False)

    @property
    def stands_since(self) -> datetime | None:
        """Since when it has been in force as it is: since it was made, or put back."""
        return self.again_at or self.made_at

    @property
    def stands_by(self) -> str:
        """By whose word it has been in force since then."""
        return self.again_by if self.again_at else self.said_by

    def is_news(self, day: date, days: int, zone: tzinfo) -> bool:
        """Whether `day` is among the first `days` of its spell, or since it was said or put back.

        Of what began before it was reported nobody could know on its first day.
        """
        said = (self.made_at, self.again_at)
        began = (self.spell.first, *(at.astimezone(zone).date() for at in said if at))
        return any(0 <= (day - one).days < days for one in began)

    @property
    def is_notifiable(self) -> bool:
        """Whether a sign was seen that has to be reported in many countries."""
        return not NOTIFIABLE.isdisjoint(self.signs)

    def came_as_near_as(self, grade: PredatorGrade) -> bool:
        """Whether a predator's visit was of that grade or a worse one; unknown is the worst."""
        return self.grade is None or GRADES.index(self.grade) >= GRADES.index(grade)

    @property
    def can_end_at_once(self) -> bool:
        """Whether it can be over on its first day; an order binds, and a dose acts, all of it."""
        return self.kind not in {"order", "medicine"}

    def can_be_confirmed(self, day: date) -> bool:
        """Whether it can be said on `day` that it still holds: an order without an end."""
        return self.kind == "order" and self.spell.last is None and self.spell.first <= day

    def is_long_unconfirmed(self, day: date) -> bool:
        """Whether nobody has said for a fortnight that an order without an end still holds."""
        return self._unconfirmed_days(day) >= ASKED_EVERY_DAYS

    def is_asked_about(self, day: date) -> bool:
        """Whether an order without an end is to be asked about: 14, 28, 42 ... days unconfirmed."""
        days = self._unconfirmed_days(day)
        return days > 0 and days % ASKED_EVERY_DAYS == 0

    def _unconfirmed_days(self, day: date) -> int:
        """For how long nobody has said that an order without an end still holds; 0 for others."""
        if self.kind != "order" or self.spell.last is not None:
            return 0
        return (day - (self.confirmed_on or self.spell.first)).days


@dataclass(frozen=True, slots=True, kw_only=True)
class Records:
    """Every report in force, in the order of making, and what is known of the keeper's own jobs.

    Reports of one kind that overlap add up to the worst: each holds on the days of its spell,
    whatever the others say. `own_added` has the day from which each own job was known, `own_done`
    each day on which one was done, both by care id. `left` has the houses of reports in which
    nobody lives now by the profile: it has them no more, or they stand empty. `weather` has by day
    what was decided of the days that are asked about; of the others nothing is decided.
    """

    reports: tuple[Report, ...] = ()
    left: frozenset[str] = frozenset()
    own_added: tuple[tuple[str, date], ...] = ()
    own_done: tuple[tuple[str, date], ...] = ()
    weather: tuple[DecidedDay, ...] = ()

    @property
    def without_weather(self) -> "Records":
        """As if nothing was decided, nor reported by a forecast, of the weather of any day."""
        if not self.weather:
            return self
        said = tuple(one for one in self.reports if not one.forecast)
        return replace(self, reports=said, weather=())

    def weather_on(self, day: date) -> DecidedDay | None:
        """What was decided of the weather of `day`; None where nothing was."""
        return next((one for one in self.weather if one.day == day), None)

    def is_foretold(self, sign: str, day: date) -> bool:
        """Whether a forecast told that sign of the day, be it still so or not."""
        if sign == "roof":
            return snow_load_kg_m2(self.weather, day) >= CLEAR_FROM_KG_M2
        decided = self.weather_on(day)
        return decided is not None and sign in decided.signs | decided.stood

    def is_same(self, other: "Records") -> bool:
        """Whether the other ones say the same, by the same people, since the same instants."""
        return self == other and all(
            (one.stands_since, one.said_by) == (each.stands_since, each.said_by)
            for one, each in zip(self.reports, other.reports, strict=True)
        )

    def of(self, kind: ReportKind, day: date) -> tuple[Report, ...]:
        """The reports of that kind whose spell holds `day`."""
        return tuple(one for one in self.reports if one.kind == kind and day in one.spell)

    def own_job_began(self, care_id: str) -> date | None:
        """The day from which that job of the keeper's own was known."""
        return dict(self.own_added).get(care_id)

    def own_job_done(self, care_id: str, before: date) -> date | None:
        """The last day before `before` on which that job of the keeper's own was done."""
        days = (day for known, day in self.own_done if known == care_id and day < before)
        return max(days, default=None)

    def predator(self, grade: PredatorGrade, day: date) -> bool:
        """Whether care is still taken on `day` for a predator that came as near as `grade`."""
        return any(report.came_as_near_as(grade) for report in self.of("predator", day))


NO_RECORDS = Records()
