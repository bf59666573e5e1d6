"""Criteria, capacities, purchases and figures in the words and units of a keeper."""

from collections.abc import Iterable
from typing import NamedTuple

from scheduler.husbandry.figure import COMMON_PRACTICE, Figure
from scheduler.husbandry.housing import Capacity, Criterion, Purchase, RuleSet
from scheduler.profile.retold import in_units
from scheduler.profile.units import Units, write_quantity

HOUSING_CAUTION = (
    "How many birds may be kept, crowing and registration: by your local rules. Wiring, lamps and "
    "heaters: by an electrician."
)
FIGURES_CAUTION = (
    "Shade figures of an average day, good to a fifth either way. Wiring, lamps and heaters "
    "are an electrician's work; if you smell ammonia, air the house and go in with a mask."
)


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
    need = _amount(criterion.need, criterion, units)
    in_other_words = {"unknown": criterion.note, "explained": "see below"}
    return CriterionWords(
        label=criterion.label,
        have="?" if criterion.have is None else _amount(criterion.have, criterion, units),
        need=f"at most {need}" if criterion.at_most else need,
        margin="" if margin is None else f"{margin:+.0%}",
        verdict=in_other_words.get(criterion.verdict, criterion.verdict),
        source="" if criterion.source == COMMON_PRACTICE else criterion.source.text,
    )


def _amount(value: float | str, criterion: Criterion, units: Units) -> str:
    if isinstance(value, str):
        return value
    if criterion.dimension in {"count", "words"}:
        return f"{value:g}"
    return write_quantity(value, criterion.dimension, units)  # type: ignore[arg-type] # a dimension


def explanations(criteria: Iterable[Criterion], units: Units) -> tuple[str, ...]:
    """One sentence for each criterion whose verdict is to explain it."""
    return tuple(
        in_units(f"{each.label.capitalize()}: {each.note}", units)
        for each in criteria
        if each.verdict == "explained"
    )


def holds(capacity: Capacity) -> str:
    """How many birds, and what binds first."""
    return f"Holds {capacity.birds} birds; {capacity.binding} binds first."


def bought(purchase: Purchase, units: Units) -> str:
    """What to buy, with its amount: "300 L loose bedding for the floor (2 bales …)"."""
    unit = {"L": " L loose", "m": " m"}.get(purchase.unit, "")
    note = f" ({purchase.note})" if purchase.note else ""
    return in_units(f"{round(purchase.amount, 1):g}{unit} {purchase.what}{note}", units)


def figure_words(figure: Figure, units: Units) -> FigureWords:
    """The figure as a row."""
    told = (figure.label, ", ".join(figure.inputs), figure.note)
    label, inputs, note = (in_units(text, units) for text in told)
    return FigureWords(
        label=label,
        amount=_figure_amount(figure, units),
        inputs=inputs,
        note=note or f"[{figure.source.text}]",
    )


def _figure_amount(figure: Figure, units: Units) -> str:
    if figure.value is None:
        return "unknown"
    exact = f"{figure.value:.4f} {figure.unit}"
    if (told := in_units(exact, units)) != exact:
        return told
    digits = 0 if figure.value >= 20 or figure.value == int(figure.value) else 1  # noqa: PLR2004
    return f"{figure.value:.{digits}f} {figure.unit}".strip()
