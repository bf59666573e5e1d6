"""A house, what stands in it, and its run."""

from typing import Annotated, Literal

from pydantic import Field

from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.field_readers import number
from scheduler.profile.fields import (
    Area,
    CivilDate,
    Count,
    Length,
    Mass,
    Name,
    Slug,
    Switch,
    Volume,
    Word,
)
from scheduler.profile.frozen_table import Value, key

Ranging = Literal["run only", "supervised", "all day"]
DrinkerKind = Literal["bell", "bucket", "cup", "nipple", "trough"]
FeederKind = Literal["trough", "tube", "treadle"]
BeddingMaterial = Literal["shavings", "straw", "hemp", "sand", "pellets", "other"]


class Run(Value):
    """The fenced ground of a coop."""

    type: Word[Literal["secure", "open"]] = key(
        "open", "secure: roofed, meshed and dug in; open: anything less"
    )
    floor: Area | None = key(None, 'size of the run, "2 m x 4 m" or an area')
    netting: Word[Literal["none", "electric", "overhead"]] = key(
        "none", "electric fence netting, or netting overhead"
    )
    mesh_m: Length | None = key(None, "opening of the mesh")
    buried_m: Length | None = key(None, "how deep the wire is buried")
    apron_m: Length | None = key(None, "how far the wire is turned out along the ground")
    wire_side: Word[Literal["outside", "inside"]] | None = key(
        None, "side of the posts that the wire is fixed to"
    )


class Perches(Value):
    """The perches (roosts) of a coop."""

    length_m: Length | None = key(None, "length of all perches together")
    spacing_m: Length | None = key(None, "gap between parallel perches")
    wall_m: Length | None = key(None, "gap between a perch and the wall")
    height_m: Length | None = key(None, "height above the bedding")
    width_m: Length | None = key(None, "width of the top of the timber")


class Nests(Value):
    """The nest boxes of a coop."""

    count: Count | None = key(None, "how many nests")
    size: Area | None = key(None, 'floor of one nest, "12 in x 14 in"')
    depth_m: Length | None = key(None, "depth of the nest's bedding")
    height_m: Length | None = key(None, "height of the entrance")
    place: Word[Literal["dark rear", "light", "outside"]] | None = key(None, "where the nests are")


class Drinker(Value):
    """One kind of drinker (waterer)."""

    type: Word[DrinkerKind] = key("bell", "bell, bucket, cup, nipple or trough")
    capacity_l: Volume | None = key(None, "what one holds")
    length_m: Length | None = key(None, "drinking edge of one: both sides, or round the rim")
    nipples: Count | None = key(None, "nipples or cups on one")
    count: Count = key(1, "how many of them")
    inside: Switch = key(False, "true when it stands in the house")
    heated: Switch = key(False, "true when a heater keeps it free of ice")


class Feeder(Value):
    """One kind of feeder."""

    type: Word[FeederKind] = key("trough", "trough, tube or treadle")
    length_m: Length | None = key(None, "feeding edge of one: both sides, or round the rim")
    capacity_kg: Mass | None = key(None, "feed that one holds")
    count: Count = key(1, "how many of them")
    inside: Switch = key(True, "true when it stands in the house")


class Vent(Value):
    """One kind of ventilation opening."""

    size: Area = Field(description='free opening of one, "10 cm x 40 cm" or an area')
    place: Word[Literal["high", "low"]] = key(
        "high", "high: above the birds on the perch; low: below"
    )
    height_m: Length | None = key(None, "middle of the opening, from floor")
    steps: Annotated[int, number(1, 10, whole=True)] = key(
        2, "settings from shut to open; 1 is an opening that cannot be shut"
    )
    count: Count = key(1, "how many of them")

    @property
    def area_m2(self) -> float:
        """The free opening of all of them."""
        return self.size.area_m2 * self.count


class Bedding(Value):
    """The bedding (litter) of a coop."""

    material: Word[BeddingMaterial] = key(
        "shavings", "shavings, straw, hemp, sand, pellets or other"
    )
    depth_m: Length | None = key(None, "depth on the floor")


class CoopLight(Value):
    """A lamp in the coop."""

    programme: Switch = key(False, "true to lengthen short days")
    first: CivilDate | None = Field(
        default=None,
        alias="from",
        description="the day the programme began; from there light grows by an hour a week",
    )
    lux: Annotated[float, number(0, 1000)] | None = key(None, "light at bird height")


class Coop(Value):
    """A house and its run."""

    name: Name = Field(description="what you call the house")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    type: Word[Literal["fixed", "ark"]] = key(
        "fixed", "fixed, or an ark that is moved over the grass"
    )
    floor: Area | None = key(None, 'indoor floor, "1.2 m x 1.8 m" or an area')
    height_m: Length | None = key(None, "height of the room inside")
    slope_percent: Annotated[float, number(0, 100)] | None = key(
        None, "slope of the floor in percent; 0 when it is level"
    )
    door: Word[Literal["manual", "automatic"]] = key("manual", "manual or automatic")
    latch: Word[Literal["two-step", "simple"]] | None = key(
        None, "two-step (a carabiner counts) or simple"
    )
    ranging: Word[Ranging] = key("supervised", "run only, supervised (before dusk), or all day")
    run: Run | None = key(None, "the fenced ground")
    perches: Perches | None = key(None, "the perches (roosts)")
    nests: Nests | None = key(None, "the nest boxes")
    drinker: tuple[Drinker, ...] = key((), "the drinkers (waterers)")
    feeder: tuple[Feeder, ...] = key((), "the feeders")
    vent: tuple[Vent, ...] = key((), "the ventilation openings")
    bedding: Bedding | None = key(None, "the bedding (litter)")
    light: CoopLight | None = key(None, "a lamp in the coop")
    lockup: LockUpRule | None = key(None, "this coop's own lock-up rule, instead of the site's")
    letout: LetOutRule | None = key(None, "this coop's own let-out rule, instead of the site's")
