"""Criteria, capacities, purchases and figures in the words and units of a keeper."""

from collections.abc import Iterable
from typing import NamedTuple

from scheduler.husbandry.criterion import Criterion
from scheduler.husbandry.figure import COMMON_PRACTICE, Figure
from scheduler.husbandry.housing import Capacity
from scheduler.husbandry.needs import RuleSet
from scheduler.husbandry.shopping import Purchase
from scheduler.profile.phrase import Text, joined, say
from scheduler.profile.quantity import (
    Measured,
    Rounding,
    reckoned,
    round_down,
    round_up,
    write,
    write_quantity,
)
from scheduler.profile.units import Units
from scheduler.profile.words import capitalized, counted

HOUSING_CAUTION = (
    "Your local rules decide how many birds you may keep, on crowing and on registration. Leave "
    "wiring, lamps and heaters to an electrician."
)
FIGURES_CAUTION = (
    "These figures are for an average day in the shade, ±20 %. Leave wiring, lamps and heaters to "
    "an electrician. If you smell ammonia, air the house and go in with a mask. Wash your hands "
    "after birds and eggs, and throw cracked eggs away."
)


_DIMENSIONS: dict[str, Measured] = {
    "m": "length", "m²": "area", "L": "volume", "°C": "temperature",
}  # fmt: skip


class CriterionWords(NamedTuple):
    """One criterion as a row: "?" where nothing is known, blank where nothing is to say."""

    label: str
    have: str
    need: str
    margin: str
    verdict: str
    source: str


class FigureWords(NamedTuple):
    """One figure as a row: `note` is the source where there is no note."""

    label: str
    amount: str
    inputs: str
    note: str


def rule_set_name(rules: RuleSet) -> str:
    """What the housing check goes by."""
    return "the EU figures for laying hens" if rules == "eu" else "backyard practice"


def criterion_words(criterion: Criterion, units: Units) -> CriterionWords:
    """The criterion as a row; an unknown one says what to measure, common practice no source."""
    margin = criterion.margin
    to: Rounding = round
    if criterion.verdict == "short":
        # What is short is never shown as if it were enough.
        to = round_up if criterion.too_much else round_down
        margin = None if margin is None else min(margin, -0.01)
    elif margin is not None:
        margin = max(margin, 0.0)  # a hair below is enough, and not "-0%"
    in_other_words = {"unknown": say(criterion.note, units), "explained": "see below"}
    if criterion.too_much:
        in_other_words["short"] = "too much"
    return CriterionWords(
        label=say(_labelled(criterion), units),
        have="?" if criterion.have is None else _amount(criterion.have, criterion, units, to),
        need=_limits(criterion, units),
        margin="" if margin is None else f"{margin:+.0%}",
        verdict=in_other_words.get(criterion.verdict, criterion.verdict),
        source="" if criterion.source == COMMON_PRACTICE else criterion.source.text,
    )


def _labelled(criterion: Criterion) -> Text:
    return joined(", ", (criterion.label, criterion.aside))


def _limits(criterion: Criterion, units: Units) -> str:
    """The least, "at most" the most, or both: "38 mm to 10 cm"."""
    need = criterion.need
    least = "" if need is None else _amount(need, criterion, units, round_up)
    if criterion.most is None:
        return least
    most = _amount(criterion.most, criterion, units, round_down)
    return f"{least} to {most}" if least else f"at most {most}"


def _amount(value: float | str, criterion: Criterion, units: Units, to: Rounding) -> str:
    if isinstance(value, str):
        return value
    if criterion.dimension in {"count", "words", "percent"}:
        return f"{value:g}{' %' if criterion.dimension == 'percent' else ''}"
    return write_quantity(value, criterion.dimension, units, to)  # type: ignore[arg-type] # a dimension


def explanations(criteria: Iterable[Criterion], units: Units) -> tuple[str, ...]:
    """One sentence for each criterion whose verdict is to explain it."""
    return tuple(
        f"{capitalized(say(_labelled(each), units))}: {say(each.note, units)}"
        for each in criteria
        if each.verdict == "explained"
    )


def sources(criteria: Iterable[Criterion]) -> tuple[str, ...]:
    """One sentence for each source, with what is from it; the last says what has none."""
    by_source: dict[str, list[str]] = {}
    for each in criteria:
        if each.key == "reach":  # no size of a house
            continue
        by_source.setdefault(each.source.text, []).append(each.label)
    rest = by_source.pop(COMMON_PRACTICE.text, [])
    told = tuple(
        f"Source of {', '.join(labels)}: {source}." for source, labels in by_source.items()
    )
    return (*told, f"{'All else' if told else 'All'}: {COMMON_PRACTICE.text}.") if rest else told


def holds(capacity: Capacity) -> str:
    """How many birds, and what binds first."""
    return f"Room for {counted(capacity.birds, 'birds')}, limited by {capacity.rule.label}."


def bought(purchase: Purchase, units: Units) -> str:
    """What to buy, with its amount: "300 L loose bedding for the floor (2 bales …)"."""
    note = f" ({say(purchase.note, units)})" if purchase.note else ""
    what = (purchase.one if purchase.amount == 1 else "") or purchase.what
    if not purchase.unit:
        return f"{purchase.amount:g} {what}{note}"
    if purchase.loose:
        return f"{write_quantity(purchase.amount, 'loose volume', units, round_up)} {what}{note}"
    amount = write_quantity(purchase.amount, _DIMENSIONS[purchase.unit], units, round_up)
    return f"{amount} of {what}{note}"


def figure_words(figure: Figure, units: Units) -> FigureWords:
    """The figure as a row."""
    return FigureWords(
        label=say(figure.label, units),
        amount=_figure_amount(figure, units),
        inputs=say(joined(", ", figure.inputs), units),
        note=say(figure.note, units) or f"[{figure.source.text}]",
    )


def _figure_amount(figure: Figure, units: Units) -> str:
    if figure.value is None:
        return "unknown"
    if figure.least:
        return write_quantity(figure.value, _DIMENSIONS[figure.unit], units, round_up)
    return write(reckoned(figure.value, figure.unit, figure.digits), units) + figure.per
