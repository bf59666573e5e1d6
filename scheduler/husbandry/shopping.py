"""What to buy or to build for what a house is short of: the difference alone."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import ceil

from scheduler.husbandry.criterion import Criterion
from scheduler.husbandry.needs import BEDDING_DEPTH_M, NEST_BEDDING_M
from scheduler.profile.coop import BeddingMaterial, Coop
from scheduler.profile.phrase import Text, filled
from scheduler.profile.quantity import reckoned, round_up
from scheduler.wording.husbandry.shopping import BeddingPacks, Bought, ToAdd
from scheduler.wording.words import Words

BALE_L = 227.0  # a compressed bale of shavings, loose, common practice, no source
# What is added where it is short: the words, and the unit.
_ADDED: Mapping[str, tuple[Words, str]] = {
    "perch": (ToAdd.perch, "m"),
    "nests": (ToAdd.nests, ""),
    "feeder": (ToAdd.feeder, "m"),
    "drinker": (ToAdd.drinker, "L"),
    "drinker-edge": (ToAdd.drinking_edge, "m"),
    "nipples": (ToAdd.nipples, ""),
    "vents-winter": (ToAdd.high_vents, "m²"),
    "vents-summer": (ToAdd.other_vents, "m²"),
}
_COUNTED: Mapping[str, Words] = {"nests": Bought.nests, "nipples": Bought.nipples}
_PACKS: Mapping[BeddingMaterial, Words] = {
    "straw": BeddingPacks.straw,
    "hemp": BeddingPacks.hemp,
    "sand": BeddingPacks.sand,
    "pellets": BeddingPacks.pellets,
    "other": BeddingPacks.other,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """Something to buy or add; what has no unit is `counted`.

    What is `loose` is sold by the room that it fills.
    """

    coop_id: str
    what: str
    amount: float
    unit: str
    note: Text = ""
    counted: Words | None = None
    loose: bool = False


def shopping(found: Iterable[Criterion], coop: Coop) -> Iterator[Purchase]:
    """What fills floor and nests up to the depth that is needed, and what else is short."""
    yield from _for_the_floor(coop)
    yield from _for_the_nests(coop)
    missing: dict[str, float] = {}
    for criterion in found:
        numbers = isinstance(criterion.have, float) and isinstance(criterion.need, float)
        if criterion.verdict == "short" and criterion.key in _ADDED and numbers:
            missing[criterion.key] = float(criterion.need or 0) - float(criterion.have or 0)
    if "vents-summer" in missing:  # the high ones that are bought for winter are among them
        missing["vents-summer"] -= missing.get("vents-winter", 0.0)
    for key, amount in missing.items():
        if amount > 0:
            what, unit = _ADDED[key]
            yield Purchase(
                coop_id=coop.id, what=what(), amount=amount, unit=unit, counted=_COUNTED.get(key)
            )


def _for_the_floor(coop: Coop) -> Iterator[Purchase]:
    if not coop.floor:
        return
    present_m = coop.bedding.depth_m if coop.bedding else None
    litres = coop.floor.area_m2 * (BEDDING_DEPTH_M - (present_m or 0.0)) * 1000
    if litres > 0:
        yield _bedding(coop, ToAdd.floor_bedding, litres, measured=present_m is not None)


def _for_the_nests(coop: Coop) -> Iterator[Purchase]:
    nests = coop.nests
    if nests and nests.count and nests.size:
        depth_m = NEST_BEDDING_M[0] - (nests.depth_m or 0.0)
        litres = nests.count * nests.size.area_m2 * depth_m * 1000
        if litres > 0:
            yield _bedding(coop, ToAdd.nest_bedding, litres, measured=nests.depth_m is not None)


def _bedding(coop: Coop, what: Words, litres: float, *, measured: bool) -> Purchase:
    """Of another material than shavings, what a pack holds is known from its label alone.

    Where nobody `measured` how deep it lies, what is there goes off it.
    """
    material = coop.bedding.material if coop.bedding else "shavings"
    note: Text = _bales(litres) if material == "shavings" else _PACKS[material]()
    if not measured:
        note = filled(BeddingPacks.less_what_is_there, packs=note)
    return Purchase(
        coop_id=coop.id, what=what(), amount=litres, unit="L", note=note,
        loose=True,
    )  # fmt: skip


def _bales(litres: float) -> Text:
    if litres < BALE_L:
        return BeddingPacks.part_of_a_bale(bales=f"{round_up(litres / BALE_L, 1):.1f}")
    count = ceil(litres / BALE_L)
    holds = reckoned(BALE_L, "L loose", 0)
    return filled(BeddingPacks.bales, bales=count, loose=holds)
