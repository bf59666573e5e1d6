"""What a criterion, a purchase and a figure say, in the units of the profile."""

from dataclasses import replace

import pytest

from scheduler.husbandry.criterion import Criterion, Verdict
from scheduler.husbandry.figure import CIGR, COMMON_PRACTICE, EU_DIRECTIVE, Figure
from scheduler.husbandry.housing import Capacity
from scheduler.husbandry.housing_rules import RULES
from scheduler.husbandry.keeper_words import (
    bought,
    criterion_words,
    explanations,
    figure_words,
    holds,
    rule_set_name,
    sources,
)
from scheduler.husbandry.shopping import Purchase
from scheduler.profile.phrase import Text, phrase
from scheduler.profile.quantity import read_written, reckoned
from scheduler.profile.units import Units
from scheduler.wording.husbandry.shopping import Bought


def floor(
    have: float | None = 4.0, *, verdict: Verdict = "comfortable", note: Text = ""
) -> Criterion:
    return Criterion(
        coop_id="walnut",
        key="floor",
        label="floor inside",
        have=have,
        need=3.0,
        comfortable=5.0,
        dimension="area",
        verdict=verdict,
        source=COMMON_PRACTICE,
        note=note,
    )


def test_a_criterion_is_told_in_the_keepers_units_with_its_margin() -> None:
    told = criterion_words(floor(), "metric")
    assert told == ("floor inside", "4.00\u00a0m²", "3.00\u00a0m²", "+33%", "comfortable", "")
    assert criterion_words(floor(), "us").have == "43.1\u00a0sq ft"


def test_what_is_there_many_times_over_has_no_margin_and_is_not_called_comfortable() -> None:
    told = criterion_words(floor(18.0), "metric")
    assert (told.margin, told.verdict) == ("", "more than enough")
    assert criterion_words(floor(5.9), "metric")[3:5] == ("+97%", "comfortable")


def test_what_is_unknown_says_what_to_measure() -> None:
    unknown = floor(None, verdict="unknown", note="unknown: measure the floor inside")
    told = criterion_words(unknown, "metric")
    assert (told.have, told.margin) == ("?", "")
    assert told.verdict == "unknown: measure the floor inside"


@pytest.mark.parametrize(
    ("need", "most", "said"),
    [(None, 12.5, "at most 12.5"), (3.0, 5.0, "3 to 5"), ("off the floor", None, "off the floor")],
)
def test_limits_are_told_on_the_sides_that_they_have(
    need: float | str | None, most: float | None, said: str
) -> None:
    limit = Criterion(
        coop_id="walnut",
        key="mesh",
        label="mesh",
        have=None,
        need=need,
        comfortable=None,
        dimension="count",
        verdict="short",
        source=CIGR,
        most=most,
    )
    told = criterion_words(limit, "us")
    assert (told.need, told.source) == (said, CIGR.text)


def test_what_is_beyond_its_most_is_too_much_and_not_short() -> None:
    wide = replace(floor(6.0, verdict="short"), need=None, comfortable=None, most=5.0)
    assert criterion_words(wide, "metric").verdict == "too much"


def test_what_is_enough_by_a_hair_has_no_margin_below_nothing() -> None:
    assert criterion_words(floor(3.0 - 1e-12), "metric").margin == "+0%"
    assert criterion_words(floor(2.9, verdict="short"), "metric").margin == "-3%"


def test_what_is_short_by_a_hair_is_told_as_less_than_what_is_needed() -> None:
    told = criterion_words(floor(2.9996, verdict="short"), "metric")
    assert (told.have, told.need, told.margin) == ("2.99\u00a0m²", "3.00\u00a0m²", "-1%")
    least = criterion_words(replace(floor(2.0, verdict="short"), need=2.342, most=2.348), "metric")
    assert least.need == "2.35\u00a0m² to 2.34\u00a0m²", "a least is rounded up, a most down"


@pytest.mark.parametrize(
    ("value", "unit", "units", "said"),
    [
        (31.1111, "°C", "metric", "31.2\u00a0°C"),
        ((88 - 32) / 1.8, "°C", "us", "88\u00a0°F"),
        (0.4181, "m²", "metric", "0.42\u00a0m²"),
        (0.4878, "m²", "us", "5.3\u00a0sq ft"),
    ],
)
def test_a_figure_that_is_a_least_is_rounded_up(
    value: float, unit: str, units: Units, said: str
) -> None:
    least = Figure(key="k", label="l", value=value, unit=unit, source=CIGR, least=True)
    assert figure_words(least, units).amount == said


def test_only_what_is_to_be_explained_is_explained() -> None:
    note = phrase("a bird needs ", read_written("20 cm"))
    found = [floor(), floor(verdict="explained", note=note)]
    assert explanations(found, "metric") == ("Floor inside: a bird needs 20\u00a0cm",)
    assert explanations(found, "us") == ("Floor inside: a bird needs 7.9\u00a0in",)
    assert criterion_words(found[1], "metric").verdict == "see below"


def test_each_source_is_told_once_with_what_is_from_it() -> None:
    directive = replace(floor(), source=EU_DIRECTIVE)
    found = [floor(), directive, replace(directive, label="nests", aside="for winter")]
    told = "Source of floor inside, nests: Council Directive 1999/74/EC, Art. 4."
    assert sources(found) == (told, "All else: common practice, no source.")
    assert sources(found[:1]) == ("All: common practice, no source.",)
    assert sources(found[1:]) == (told,)


def test_a_capacity_names_what_binds_first() -> None:
    by_key = {rule.key: rule for rule in RULES["backyard"]}
    told = holds(Capacity(coop_id="walnut", birds=4, rule=by_key["perch"]))
    assert told == "Room for 4 birds, limited by perch length."
    vents = Capacity(coop_id="walnut", birds=8, rule=by_key["vents-winter"])
    assert vents.binding == "high vents, for winter"
    assert holds(vents) == "Room for 8 birds, limited by high vents."
    vents = Capacity(coop_id="walnut", birds=8, rule=by_key["vents-summer"])
    assert holds(vents) == "Room for 8 birds, limited by all vents."


@pytest.mark.parametrize(
    ("amount", "unit", "what", "note", "units", "said"),
    [
        (300, "L", "bedding", "2 bales", "metric", "300\u00a0L loose bedding (2 bales)"),
        (300, "L", "bedding", "", "us", "10.6\u00a0cu ft loose bedding"),
        (1.25, "m", "perch to add", "", "metric", "1.25\u00a0m of perch to add"),
        (1.3411, "m", "perch to add", "", "us", "4\u00a0ft\u00a04.8\u00a0in of perch to add"),
        (2, "", "nests to add", "", "metric", "2 nests to add"),
        (1, "", "nests to add", "", "metric", "1 nest to add"),
        (0.022, "m²", "other vents to add", "", "metric", "0.03\u00a0m² of other vents to add"),
        (0.022, "m²", "other vents to add", "", "us", "0.3\u00a0sq ft of other vents to add"),
    ],
)
def test_a_purchase_is_told_with_its_amount(  # noqa: PLR0913, PLR0917 - columns of the table
    amount: float, unit: str, what: str, note: str, units: Units, said: str
) -> None:
    purchase = Purchase(
        coop_id="walnut", what=what, amount=amount, unit=unit, note=note,
        counted=None if unit else Bought.nests, loose=what == "bedding",
    )  # fmt: skip
    assert bought(purchase, units) == said


def figure(value: float | None, unit: str, note: Text = "") -> Figure:
    return Figure(
        key="water",
        label="water a day",
        value=value,
        unit=unit,
        source=CIGR,
        inputs=("12 birds", phrase(reckoned(20.0, "°C", 1), " by day")),
        note=note,
    )


@pytest.mark.parametrize(
    ("value", "unit", "units", "said"),
    [
        (3.24, "L", "metric", "3.2\u00a0L"),
        (3.24, "L", "us", "3.4\u00a0qt"),
        (31.4, "days", "metric", "31 days"),
        (7.0, "", "metric", "7"),
        (None, "L", "metric", "unknown"),
    ],
)
def test_a_figure_is_told_as_exactly_as_it_can_be_meant(
    value: float | None, unit: str, units: Units, said: str
) -> None:
    assert figure_words(figure(value, unit), units).amount == said


def test_a_figure_has_its_inputs_and_its_note_or_source() -> None:
    told = figure_words(figure(1.0, "L"), "us")
    assert (told.label, told.inputs) == ("water a day", "12 birds, 68\u00a0°F by day")
    assert told.note == f"[{CIGR.text}]"
    assert (
        figure_words(figure(1.0, "L", phrase("at ", read_written("5 °C"))), "us").note
        == "at 41\u00a0°F"
    )


def test_the_rule_sets_have_names() -> None:
    assert rule_set_name("eu") == "the EU figures for laying hens"
    assert rule_set_name("backyard") == "backyard practice"


@pytest.mark.parametrize("units", ["metric", "uk", "us"])
@pytest.mark.parametrize("kg", [1.3153, 1.3449, 1.3451, 0.9996, 21.4999])
def test_a_figure_that_another_is_reckoned_from_is_told_as_it_is_told_itself(
    units: Units, kg: float
) -> None:
    feed = Figure(key="feed", label="feed a day", value=kg, unit="kg", source=CIGR)
    bag = replace(
        feed, key="bag", value=15.0, unit="days", inputs=(phrase(reckoned(kg, "kg"), " a day"),)
    )
    assert figure_words(bag, units).inputs == f"{figure_words(feed, units).amount} a day"
