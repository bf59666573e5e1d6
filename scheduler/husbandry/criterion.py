"""One thing that is checked of a house, and how it is judged."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from scheduler.husbandry.figure import COMMON_PRACTICE, Source
from scheduler.husbandry.needs import Need
from scheduler.profile.coop import Coop
from scheduler.profile.phrase import Text
from scheduler.profile.units import Dimension
from scheduler.wording.husbandry.fittings import FittingsToMeasure
from scheduler.wording.husbandry.housing import ToMeasure
from scheduler.wording.words import Words

Verdict = Literal["short", "meets the minimum", "comfortable", "unknown", "explained"]
Judged = Mapping[str, tuple[Words, Verdict]]  # a word of the profile: how it reads, how good it is
Measure = Dimension | Literal["count", "percent", "words"]
SLACK = 1e-9  # what is written as exactly the need meets it
# 15, 30 and 60 cm are how 6, 12 and 24 in are said in metric, and 1.6 % less.
ROUND_SLACK = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One thing that is checked; amounts in SI units, or counts, or words.

    `need` is what it is at least to be and `most` what it is at most to be; one of them may be
    None. `aside` is what its label says beyond the name of the thing; `have_said` is how what
    there is reads where it is a word of the profile.
    """

    coop_id: str
    key: str
    label: str
    have: float | str | None
    need: float | str | None
    comfortable: float | None
    dimension: Measure
    verdict: Verdict
    source: Source
    note: Text = ""
    most: float | None = None
    slack: float = SLACK
    aside: Text = ""
    have_said: str = ""

    @property
    def margin(self) -> float | None:
        """How much better than needed, as a share of the nearer limit; negative when short."""
        if not isinstance(self.have, float | int) or self.verdict == "explained":
            return None
        margins = []
        if isinstance(self.need, float | int) and self.need:
            margins.append(self.have / self.need - 1)
        if self.most:
            margins.append(1 - self.have / self.most)
        return min(margins, default=None)

    @property
    def is_plenty(self) -> bool:
        """Whether it is more than double of what is needed, and more than is comfortable."""
        has_more = self.verdict == "comfortable" and self.margin is not None
        return has_more and self.most is None and (self.margin or 0.0) > 1.0

    @property
    def too_much(self) -> bool:
        """Whether it is beyond what it may be at most."""
        return (
            self.most is not None
            and isinstance(self.have, float | int)
            and self.have > self.most * (1 + self.slack)
        )


def row(  # noqa: PLR0913 - a row of a table
    coop: Coop,
    key: str,
    label: Words,
    have: float | None,
    need: Need | None,
    *,
    measure: Words,
    dimension: Measure = "length",
    source: Source = COMMON_PRACTICE,
    most: float | None = None,
    slack: float = SLACK,
    aside: Text = "",
) -> Criterion:
    """The criterion for what there is; an unknown one notes what to measure.

    What is short of it by that share or less is enough.
    """
    comfortable = need.comfortable if need else None
    return Criterion(
        coop_id=coop.id, key=key, label=label(), have=have, need=need.least if need else None,
        comfortable=comfortable, dimension=dimension,
        verdict=judged(have, need.least if need else 0.0, comfortable or 0.0, most, slack),
        source=source, note=unknown(measure) if have is None else "", most=most,
        slack=slack, aside=aside,
    )  # fmt: skip


def judged(
    have: float | None,
    need: float,
    comfortable: float,
    most: float | None = None,
    slack: float = SLACK,
) -> Verdict:
    if have is None:
        return "unknown"
    if have < need * (1 - slack) or (most is not None and have > most * (1 + slack)):
        return "short"
    return "comfortable" if have >= comfortable * (1 - slack) else "meets the minimum"


def worded(  # noqa: PLR0913 - one row of a table
    coop: Coop, key: str, label: Words, have: str | None, *, good: Judged, need: Words
) -> Criterion:  # fmt: skip
    """The criterion that is judged by words; an unknown one asks to have a look."""
    found = good.get(have or "")
    return Criterion(
        coop_id=coop.id, key=key, label=label(), have=have, need=need(), comfortable=None,
        dimension="words", verdict=found[1] if found else "unknown", source=COMMON_PRACTICE,
        note="" if have else unknown(FittingsToMeasure.look), have_said=found[0]() if found else "",
    )  # fmt: skip


def unknown(measure: Words) -> str:
    """What a criterion notes where it is not known."""
    return ToMeasure.unknown(measure=measure())
