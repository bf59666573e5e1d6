"""A house, what stands in it, and its run."""

from typing import Annotated, Literal

from pydantic import Field

from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.field_readers import number, one_of
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
)
from scheduler.profile.frozen_table import Value

Ranging = Literal["run only", "supervised", "all day"]
DrinkerKind = Literal["bell", "bucket", "cup", "nipple", "trough"]
FeederKind = Literal["trough", "tube", "treadle"]
BeddingMaterial = Literal["shavings", "straw", "hemp", "sand", "pellets", "other"]


class Run(Value):
    """The fenced ground of a coop."""

    type: Annotated[Literal["secure", "open"], one_of(Literal["secure", "open"])] = Field(
        default="open", description="secure: roofed, meshed and dug in; open: anything less"
    )
    floor: Area | None = Field(default=None, description='size of the run, "2 m x 4 m" or an area')
    netting: Annotated[
        Literal["none", "electric", "overhead"], one_of(Literal["none", "electric", "overhead"])
    ] = Field(default="none", description="electric fence netting, or netting overhead")
    mesh_m: Length | None = Field(default=None, description="opening of the mesh")
    buried_m: Length | None = Field(default=None, description="how deep the wire is buried")
    apron_m: Length | None = Field(
        default=None, description="how far the wire is turned out along the ground"
    )
    wire_side: (
        Annotated[Literal["outside", "inside"], one_of(Literal["outside", "inside"])] | None
    ) = Field(default=None, description="side of the posts that the wire is fixed to")


class Perches(Value):
    """The perches (roosts) of a coop."""

    length_m: Length | None = Field(default=None, description="length of all perches together")
    spacing_m: Length | None = Field(default=None, description="gap between parallel perches")
    wall_m: Length | None = Field(default=None, description="gap between a perch and the wall")
    height_m: Length | None = Field(default=None, description="height above the bedding")
    width_m: Length | None = Field(default=None, description="width of the top of the timber")


class Nests(Value):
    """The nest boxes of a coop."""

    count: Count | None = Field(default=None, description="how many nests")
    size: Area | None = Field(default=None, description='floor of one nest, "12 in x 14 in"')
    depth_m: Length | None = Field(default=None, description="depth of the nest's bedding")
    height_m: Length | None = Field(default=None, description="height of the entrance")
    place: (
        Annotated[
            Literal["dark rear", "light", "outside"],
            one_of(Literal["dark rear", "light", "outside"]),
        ]
        | None
    ) = Field(default=None, description="where the nests are")


class Drinker(Value):
    """One kind of drinker (waterer)."""

    type: Annotated[DrinkerKind, one_of(DrinkerKind)] = Field(
        default="bell", description="bell, bucket, cup, nipple or trough"
    )
    capacity_l: Volume | None = Field(default=None, description="what one holds")
    length_m: Length | None = Field(
        default=None, description="drinking edge of one: both sides, or round the rim"
    )
    nipples: Count | None = Field(default=None, description="nipples or cups on one")
    count: Count = Field(default=1, description="how many of them")
    inside: Switch = Field(default=False, description="true when it stands in the house")
    heated: Switch = Field(default=False, description="true when a heater keeps it free of ice")


class Feeder(Value):
    """One kind of feeder."""

    type: Annotated[FeederKind, one_of(FeederKind)] = Field(
        default="trough", description="trough, tube or treadle"
    )
    length_m: Length | None = Field(
        default=None, description="feeding edge of one: both sides, or round the rim"
    )
    capacity_kg: Mass | None = Field(default=None, description="feed that one holds")
    count: Count = Field(default=1, description="how many of them")
    inside: Switch = Field(default=True, description="true when it stands in the house")


class Vent(Value):
    """One kind of ventilation opening."""

    size: Area = Field(description='free opening of one, "10 cm x 40 cm" or an area')
    place: Annotated[Literal["high", "low"], one_of(Literal["high", "low"])] = Field(
        default="high", description="high: above the birds on the perch; low: below"
    )
    height_m: Length | None = Field(default=None, description="middle of the opening, from floor")
    steps: Annotated[int, number(1, 10, whole=True)] = Field(
        default=2, description="settings from shut to open; 1 is an opening that cannot be shut"
    )
    count: Count = Field(default=1, description="how many of them")

    @property
    def area_m2(self) -> float:
        """The free opening of all of them."""
        return self.size.area_m2 * self.count


class Bedding(Value):
    """The bedding (litter) of a coop."""

    material: Annotated[BeddingMaterial, one_of(BeddingMaterial)] = Field(
        default="shavings", description="shavings, straw, hemp, sand, pellets or other"
    )
    depth_m: Length | None = Field(default=None, description="depth on the floor")


class CoopLight(Value):
    """A lamp in the coop."""

    programme: Switch = Field(default=False, description="true to lengthen short days")
    first: CivilDate | None = Field(
        default=None,
        alias="from",
        description="the day the programme began; from there light grows by an hour a week",
    )
    lux: Annotated[float, number(0, 1000)] | None = Field(
        default=None, description="light at bird height"
    )


class Coop(Value):
    """A house and its run."""

    name: Name = Field(description="what you call the house")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    type: Annotated[Literal["fixed", "ark"], one_of(Literal["fixed", "ark"])] = Field(
        default="fixed", description="fixed, or an ark that is moved over the grass"
    )
    floor: Area | None = Field(default=None, description='indoor floor, "1.2 m x 1.8 m" or an area')
    height_m: Length | None = Field(default=None, description="height of the room inside")
    slope_percent: Annotated[float, number(0, 100)] | None = Field(
        default=None, description="slope of the floor in percent; 0 when it is level"
    )
    door: Annotated[Literal["manual", "automatic"], one_of(Literal["manual", "automatic"])] = Field(
        default="manual", description="manual or automatic"
    )
    latch: (
        Annotated[Literal["two-step", "simple"], one_of(Literal["two-step", "simple"])] | None
    ) = Field(default=None, description="two-step (a carabiner counts) or simple")
    ranging: Annotated[Ranging, one_of(Ranging)] = Field(
        default="supervised", description="run only, supervised (before dusk), or all day"
    )
    run: Run | None = Field(default=None, description="the fenced ground")
    perches: Perches | None = Field(default=None, description="the perches (roosts)")
    nests: Nests | None = Field(default=None, description="the nest boxes")
    drinker: tuple[Drinker, ...] = Field(default=(), description="the drinkers (waterers)")
    feeder: tuple[Feeder, ...] = Field(default=(), description="the feeders")
    vent: tuple[Vent, ...] = Field(default=(), description="the ventilation openings")
    bedding: Bedding | None = Field(default=None, description="the bedding (litter)")
    light: CoopLight | None = Field(default=None, description="a lamp in the coop")
    lockup: LockUpRule | None = Field(
        default=None, description="this coop's own lock-up rule, instead of the site's"
    )
    letout: LetOutRule | None = Field(
        default=None, description="this coop's own let-out rule, instead of the site's"
    )
