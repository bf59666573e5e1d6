"""Criteria, capacities, purchases and figures in the words and units of a keeper."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from scheduler.husbandry.criterion import Criterion, Verdict
from scheduler.husbandry.figure import COMMON_PRACTICE, Figure, Source
from scheduler.husbandry.housing import Capacity
from scheduler.husbandry.needs import RuleSet
from scheduler.husbandry.shopping import Purchase
from scheduler.profile.measures import Measured
from scheduler.profile.phrase import Text, filled, say
from scheduler.profile.quantity import (
    Rounding,
    reckoned,
    round_down,
    round_up,
    write,
    write_quantity,
)
from scheduler.profile.units import Units
from scheduler.profile.words import capitalized
from scheduler.wording.husbandry.figures import FigureAmounts
from scheduler.wording.husbandry.housing import CheckRows, HousingAsides, Verdicts
from scheduler.wording.husbandry.shopping import Bought
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import Words

_DIMENSIONS: dict[str, Measured] = {
    "m": "length", "m²": "area", "L": "volume", "°C": "temperature",
}  # fmt: skip
_VERDICTS: Mapping[Verdict, Words] = {
    "short": Verdicts.short,
    "meets the minimum": Verdicts.meets_the_minimum,
    "comfortable": Verdicts.comfortable,
    "unknown": Verdicts.unknown,
    "explained": Verdicts.explained,
}
# By what the figure of a unit is a rate of.
_RATES: Mapping[str, Words] = {"/day": FigureAmounts.per_day, " a day": FigureAmounts.a_day}


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
    return CheckRows.eu() if rules == "eu" else CheckRows.backyard()


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
        if criterion.is_plenty:
            margin = None  # "+500%" says nothing that is of use
    return CriterionWords(
        label=say(_labelled(criterion), units),
        have=_have(criterion, units, to),
        need=_limits(criterion, units),
        margin="" if margin is None else f"{margin:+.0%}",
        verdict=_verdict(criterion, units),
        source="" if criterion.source == COMMON_PRACTICE else criterion.source.text,
    )


def _verdict(criterion: Criterion, units: Units) -> str:
    if criterion.verdict == "unknown" and criterion.note:
        return say(criterion.note, units)
    if criterion.verdict == "short" and criterion.too_much:
        return Verdicts.too_much()
    return Verdicts.plenty() if criterion.is_plenty else _VERDICTS[criterion.verdict]()


def _labelled(criterion: Criterion) -> Text:
    if not criterion.aside:
        return criterion.label
    return filled(HousingAsides.label, label=criterion.label, aside=criterion.aside)


def _have(criterion: Criterion, units: Units, to: Rounding) -> str:
    if criterion.have is None:
        return "?"
    return criterion.have_said or _amount(criterion.have, criterion, units, to)


def _limits(criterion: Criterion, units: Units) -> str:
    """The least, "at most" the most, or both: "38 mm to 10 cm"."""
    need = criterion.need
    least = "" if need is None else _amount(need, criterion, units, round_up)
    if criterion.most is None:
        return least
    most = _amount(criterion.most, criterion, units, round_down)
    if least:
        return CheckRows.from_to(least=least, most=most)
    return CheckRows.at_most(most=most)


def _amount(value: float | str, criterion: Criterion, units: Units, to: Rounding) -> str:
    if isinstance(value, str):
        return value
    if criterion.dimension in {"count", "words", "percent"}:
        return f"{value:g}{' %' if criterion.dimension == 'percent' else ''}"
    return write_quantity(value, criterion.dimension, units, to)  # type: ignore[arg-type] # a dimension


def explanations(criteria: Iterable[Criterion], units: Units) -> tuple[str, ...]:
    """One sentence for each criterion whose verdict is to explain it."""
    return tuple(
        CheckRows.explained(
            label=capitalized(say(_labelled(each), units)), note=say(each.note, units)
        )
        for each in criteria
        if each.verdict == "explained"
    )


def sources(criteria: Iterable[Criterion]) -> tuple[str, ...]:
    """One sentence for each source, with what is from it; the last says what has none."""
    by_source: dict[Source, list[str]] = {}
    for each in criteria:
        if each.key == "reach":  # no size of a house
            continue
        by_source.setdefault(each.source, []).append(each.label)
    rest = by_source.pop(COMMON_PRACTICE, [])
    told = tuple(
        CheckRows.source(things=in_a_row(labels), source=source.text)
        for source, labels in by_source.items()
    )
    if not rest:
        return told
    rest_of_it = CheckRows.all_else if told else CheckRows.all_of_it
    return (*told, rest_of_it(source=COMMON_PRACTICE.text))


def holds(capacity: Capacity) -> str:
    """How many birds, and what binds first."""
    return CheckRows.room(birds=capacity.birds, thing=capacity.rule.label())


def bought(purchase: Purchase, units: Units) -> str:
    """What to buy, with its amount: "300 L loose bedding for the floor (2 bales …)"."""
    said = _bought(purchase, units)
    if not purchase.note:
        return said
    return Bought.noted(bought=said, note=say(purchase.note, units))


def _bought(purchase: Purchase, units: Units) -> str:
    if purchase.counted:
        return purchase.counted(count=round(purchase.amount))
    if purchase.loose:
        amount = write_quantity(purchase.amount, "loose volume", units, round_up)
        return Bought.loose(amount=amount, what=purchase.what)
    amount = write_quantity(purchase.amount, _DIMENSIONS[purchase.unit], units, round_up)
    return Bought.measured(amount=amount, what=purchase.what)


def figure_words(figure: Figure, units: Units) -> FigureWords:
    """The figure as a row."""
    return FigureWords(
        label=say(figure.label, units),
        amount=_figure_amount(figure, units),
        inputs=in_a_row([say(each, units) for each in figure.inputs]),
        note=say(figure.note, units) or f"[{figure.source.text}]",
    )


def _figure_amount(figure: Figure, units: Units) -> str:
    if figure.value is None:
        return FigureAmounts.none_does() if figure.none_does else FigureAmounts.unknown()
    if figure.least:
        return write_quantity(figure.value, _DIMENSIONS[figure.unit], units, round_up)
    if figure.unit == "days" and figure.value.is_integer():
        return FigureAmounts.days(days=int(figure.value))
    if figure.unit in {"days", "× a week"}:
        number = write(reckoned(figure.value, "", figure.digits), units)
        if figure.unit == "days":
            return FigureAmounts.days_and_part(days=number)
        return FigureAmounts.times_a_week(times=number)
    amount = write(reckoned(figure.value, figure.unit, figure.digits), units)
    return _RATES[figure.per](amount=amount) if figure.per else amount
