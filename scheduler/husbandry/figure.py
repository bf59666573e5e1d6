"""A figure: a computed number of the trade with its unit, its inputs and where it comes from."""

from dataclasses import dataclass
from typing import Literal

from scheduler.profile.phrase import Text
from scheduler.wording.husbandry.sources import OwnSources, QualifiedSources
from scheduler.wording.words import Words

# S: the source was read, or the part of it that has the figure; P: that holds of a part, and the
# text says what the rest is; Q: quoted second-hand; M: from memory; C: common practice, no source;
# D: worked out from those.
Mark = Literal["S", "P", "Q", "M", "C", "D"]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a number comes from, and how surely."""

    name: str | Words
    mark: Mark

    @property
    def text(self) -> str:
        """What a publication is called, or what else it is in words."""
        return self.name if isinstance(self.name, str) else self.name()


COMMON_PRACTICE = Source(OwnSources.common_practice, "C")
WORKED_OUT = Source(OwnSources.worked_out, "D")
SUNRISE_TO_SUNSET = Source(OwnSources.sunrise_to_sunset, "D")
EU_DIRECTIVE = Source("Council Directive 1999/74/EC, Art. 4", "S")
EU_SMALL_FLOCK = Source("Council Directive 1999/74/EC, Art. 1", "S")
# Art. 4 as a whole was read in extracts and summaries; these parts of it are from memory.
EU_REST = Source(QualifiedSources.eu_rest, "M")
EU_LITTER = Source(QualifiedSources.eu_litter, "P")
CIGR = Source(QualifiedSources.cigr, "M")
LOHMANN = Source("Lohmann Tierzucht, Management Guide Alternative Systems, p. 25", "S")
POULTRY_HUB = Source("Poultry Hub (Poultry CRC), Water consumption rates for chickens", "S")
WATER_IN_HEAT = Source(QualifiedSources.water_in_heat, "P")
NRC = Source(QualifiedSources.nrc, "M")
OSU_804 = Source("Ohio State Univ. Extension Bulletin 804, table 1", "S")
CSU_2502 = Source("H. L. Enos, Brooding and Space Requirements, Colorado State Ext. 2.502", "S")
CLAUER = Source("P. Clauer, Space Should Increase as Birds Grow", "S")
NESTS = Source("Ask Extension, question 257347, 2015", "S")
NEST_SIZE = Source(QualifiedSources.nest_size, "P")
THI = Source(QualifiedSources.thi, "P")
MORRIS = Source("T. R. Morris 2004, Environmental control for layers, World's Poult. Sci. J.", "S")
LUX = Source(QualifiedSources.lux, "P")
ASHRAE = Source(QualifiedSources.ashrae, "S")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number for one subject; `value` is None when an input is missing: `note` says which.

    Or it is None because no number would be enough (`none_does`), and `note` says what helps.
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
    none_does: bool = False
    per: str = ""
