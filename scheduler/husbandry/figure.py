"""A figure: a computed number of the trade with its unit, its inputs and where it comes from."""

from dataclasses import dataclass
from typing import Literal

from scheduler.profile.phrase import Text

# S: the source was read, or the part of it that has the figure; P: that holds of a part, and the
# text says what the rest is; Q: quoted second-hand; M: from memory; C: common practice, no source;
# D: worked out from those.
Mark = Literal["S", "P", "Q", "M", "C", "D"]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a number comes from, and how surely."""

    text: str
    mark: Mark


COMMON_PRACTICE = Source("common practice, no source", "C")
EU_DIRECTIVE = Source("Council Directive 1999/74/EC, Art. 4", "S")
EU_LITTER = Source(
    "Council Directive 1999/74/EC, Art. 4 (250 cm² a hen; a third of the floor from memory)", "P"
)
CIGR = Source(
    "CIGR 2002, 4th Report of Working Group on Climatization (equations), from memory", "M"
)
LOHMANN = Source("Lohmann Tierzucht, Management Guide Alternative Systems, p. 25", "S")
POULTRY_HUB = Source("Poultry Hub (Poultry CRC), Water consumption rates for chickens", "S")
WATER_IN_HEAT = Source(
    "Poultry Hub (0.27 L at 21 °C, a third to a half more in heat); what is planned above that is "
    "common practice",
    "P",
)
NRC = Source("NRC 1994, Nutrient Requirements of Poultry, 9th ed., from memory", "M")
OSU_804 = Source("Ohio State Univ. Extension Bulletin 804, table 1", "S")
CSU_2502 = Source("H. L. Enos, Brooding and Space Requirements, Colorado State Ext. 2.502", "S")
CLAUER = Source("P. Clauer, Space Should Increase as Birds Grow", "S")
NESTS = Source("Ask Extension, question 257347, 2015", "S")
NEST_SIZE = Source("Ask Extension, question 257347, 2015; more is common practice", "P")
ASHRAE = Source("psychrolib, after the ASHRAE Handbook, Fundamentals", "S")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number for one subject; `value` is None when an input is missing: `note` says which.

    It is so much of its `unit` `per` a time, where it is a rate. `digits` after the point where
    they matter. A `least` is never told smaller than it is.
    """

    key: str
    label: Text
    value: float | None
    unit: str
    source: Source
    inputs: tuple[Text, ...] = ()
    note: Text = ""
    digits: int | None = None
    least: bool = False
    per: str = ""
