"""A house, what stands in it, and its run."""

from typing import Annotated, Literal

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
    WayMinutes,
    Word,
)
from scheduler.profile.frozen_table import Value, key, needed
from scheduler.wording.profile.coop_keys import (
    BeddingKeys,
    CoopKeys,
    CoopLightKeys,
    DrinkerKeys,
    FeederKeys,
    NestsKeys,
    PerchesKeys,
    RunKeys,
    VentKeys,
)
from scheduler.wording.profile.shared_keys import SharedKeys

Ranging = Literal["run only", "supervised", "all day"]
DrinkerKind = Literal["bell", "bucket", "cup", "nipple", "trough"]
FeederKind = Literal["trough", "tube", "treadle"]
BeddingMaterial = Literal["shavings", "straw", "hemp", "sand", "pellets", "other"]


class Run(Value):
    """The fenced ground of a coop."""

    type: Word[Literal["secure", "open"]] = key("open", RunKeys.type)
    floor: Area | None = key(None, RunKeys.floor)
    netting: Word[Literal["none", "electric", "overhead"]] = key("none", RunKeys.netting)
    mesh_m: Length | None = key(None, RunKeys.mesh)
    buried_m: Length | None = key(None, RunKeys.buried)
    apron_m: Length | None = key(None, RunKeys.apron)
    wire_side: Word[Literal["outside", "inside"]] | None = key(None, RunKeys.wire_side)


class Perches(Value):
    """The perches (roosts) of a coop."""

    length_m: Length | None = key(None, PerchesKeys.length)
    spacing_m: Length | None = key(None, PerchesKeys.spacing)
    wall_m: Length | None = key(None, PerchesKeys.wall)
    height_m: Length | None = key(None, PerchesKeys.height)
    width_m: Length | None = key(None, PerchesKeys.width)


class Nests(Value):
    """The nest boxes of a coop."""

    count: Count | None = key(None, NestsKeys.count)
    size: Area | None = key(None, NestsKeys.size)
    depth_m: Length | None = key(None, NestsKeys.depth)
    height_m: Length | None = key(None, NestsKeys.height)
    place: Word[Literal["dark rear", "light", "outside"]] | None = key(None, NestsKeys.place)


class Drinker(Value):
    """One kind of drinker (waterer)."""

    type: Word[DrinkerKind] = key("bell", DrinkerKeys.type)
    capacity_l: Volume | None = key(None, DrinkerKeys.capacity)
    length_m: Length | None = key(None, DrinkerKeys.length)
    nipples: Count | None = key(None, DrinkerKeys.nipples)
    count: Count = key(1, SharedKeys.count)
    inside: Switch = key(False, SharedKeys.inside)
    heated: Switch = key(False, DrinkerKeys.heated)


class Feeder(Value):
    """One kind of feeder."""

    type: Word[FeederKind] = key("trough", FeederKeys.type)
    length_m: Length | None = key(None, FeederKeys.length)
    capacity_kg: Mass | None = key(None, FeederKeys.capacity)
    count: Count = key(1, SharedKeys.count)
    inside: Switch = key(True, SharedKeys.inside)


class Vent(Value):
    """One kind of ventilation opening."""

    size: Area = needed(VentKeys.size)
    place: Word[Literal["high", "low"]] = key("high", VentKeys.place)
    height_m: Length | None = key(None, VentKeys.height)
    steps: Annotated[int, number(1, 10, whole=True)] = key(2, VentKeys.steps)
    count: Count = key(1, SharedKeys.count)

    @property
    def area_m2(self) -> float:
        """The free opening of all of them."""
        return self.size.area_m2 * self.count


class Bedding(Value):
    """The bedding (litter) of a coop."""

    material: Word[BeddingMaterial] = key("shavings", BeddingKeys.material)
    depth_m: Length | None = key(None, BeddingKeys.depth)


class CoopLight(Value):
    """A lamp in the coop."""

    programme: Switch = key(False, CoopLightKeys.programme)
    first: CivilDate | None = key(None, CoopLightKeys.first, alias="from")
    lux: Annotated[float, number(0, 1000)] | None = key(None, CoopLightKeys.lux)


class Coop(Value):
    """A house and its run."""

    name: Name = needed(CoopKeys.name)
    id: Slug = needed(SharedKeys.id)
    type: Word[Literal["fixed", "ark"]] = key("fixed", CoopKeys.type)
    floor: Area | None = key(None, CoopKeys.floor)
    height_m: Length | None = key(None, CoopKeys.height)
    slope_percent: Annotated[float, number(0, 100)] | None = key(None, CoopKeys.slope)
    getting_there_minutes: WayMinutes = key(0.0, CoopKeys.getting_there)
    door: Word[Literal["manual", "automatic"]] = key("manual", CoopKeys.door)
    latch: Word[Literal["two-step", "simple"]] | None = key(None, CoopKeys.latch)
    ranging: Word[Ranging] = key("supervised", CoopKeys.ranging)
    run: Run | None = key(None, CoopKeys.run)
    perches: Perches | None = key(None, CoopKeys.perches)
    nests: Nests | None = key(None, CoopKeys.nests)
    drinker: tuple[Drinker, ...] = key((), CoopKeys.drinker)
    feeder: tuple[Feeder, ...] = key((), CoopKeys.feeder)
    vent: tuple[Vent, ...] = key((), CoopKeys.vent)
    bedding: Bedding | None = key(None, CoopKeys.bedding)
    light: CoopLight | None = key(None, CoopKeys.light)
    lockup: LockUpRule | None = key(None, CoopKeys.lockup)
    letout: LetOutRule | None = key(None, CoopKeys.letout)
