"""What is said beside each input about a house and what stands in it."""

from scheduler.wording.words import Words


class CoopLabels:
    """What the keys of a house are called."""

    name = Words("What you call the house")
    type = Words("Kind of house")
    floor = Words("Floor inside")
    height = Words("Height inside")
    slope = Words("Slope of the floor, in per cent")
    door = Words("Door")
    latch = Words("Latch")
    ranging = Words("When the birds range")
    getting_there = Words("Time it takes to get to the house")


class CoopMeasures:
    """How to measure a house."""

    floor = Words(
        "Inside, from wall to wall, both ways. Leave out nest boxes that hang outside. Write both "
        "sides with an x between them."
    )
    height = Words(
        "Inside, from the bare floor to the ceiling; under a sloping roof, halfway up the slope."
    )
    slope = Words(
        "Lay a level board as long as the tape is handy along the fall and measure the gap under "
        "its far end: gap divided by length, times 100. A level floor is 0."
    )


class CoopPurposes:
    """What the keys of a house are for."""

    type = Words("An ark is moved over the grass, and there are jobs for that.")
    floor = Words("It says how many birds have room to sleep here.")
    height = Words("With the floor it says how much air there is.")
    slope = Words("It says whether birds can stand and rest on it.")
    door = Words("With one that shuts by itself you are asked to look whether it did.")
    latch = Words("It says whether clever paws can open it.")
    ranging = Words("The evening's times and jobs depend on it.")
    getting_there = Words("The first message comes that much earlier, and says when to leave.")


class HouseKindChoices:
    """The kinds of house that can be chosen."""

    fixed = Words("fixed")
    ark = Words("an ark, moved over the grass")


class DoorChoices:
    """The kinds of door that can be chosen."""

    manual = Words("shut by hand")
    automatic = Words("shuts by itself")


class LatchChoices:
    """The kinds of latch that can be chosen."""

    two_step = Words("takes two movements (a snap hook counts)")
    simple = Words("takes one movement")


class RangingChoices:
    """When birds can be out of their run."""

    run_only = Words("never: they stay in the run")
    supervised = Words("before dusk, while somebody is there")
    all_day = Words("all day")


class PerchesLabels:
    """What the keys of the perches are called."""

    length = Words("{Perch} length, all together")
    spacing = Words("Gap between one {perch} and the next")
    wall = Words("Gap between {perch} and wall")
    height = Words("Height of the highest {perch}")
    width = Words("Width of the timber on top")


class PerchesMeasures:
    """How to measure perches."""

    length = Words(
        "Measure each {perch} from end to end, as far as a bird can sit on it, and add them up."
    )
    spacing = Words("Level across the gap, from one {perch} to the next.")
    wall = Words("Level across the gap, from the {perch} to the wall behind it.")
    height = Words("From the top of the {bedding} to the top of the {perch}.")
    width = Words("Across the top, where the feet stand.")


class PerchesPurposes:
    """What the keys of the perches are for."""

    length = Words("It says how many birds can sleep side by side.")
    spacing = Words("Too narrow, and birds foul those in front.")
    wall = Words("Too narrow, and tails rub on the wall.")
    height = Words("Too high, and they hurt their feet in jumping down.")
    width = Words("It says whether a bird can cover its toes in frost.")


class NestsLabels:
    """What the keys of the nests are called."""

    count = Words("Nests")
    size = Words("Floor of one nest")
    depth = Words("Depth of {bedding} in the nest")
    height = Words("Height of the entrance")
    place = Words("Where the nests are")


class NestsMeasures:
    """How to measure nests."""

    count = Words("Count the places in which one hen can sit.")
    size = Words("Inside, width by depth.")
    depth = Words("Push a ruler down to the floor of the nest, in the middle.")
    height = Words("From the floor of the house to the lower edge of the opening.")


class NestsPurposes:
    """What the keys of the nests are for."""

    count = Words("It says how many hens can lay without queueing.")
    size = Words("It says whether a hen can turn round.")
    depth = Words("Too shallow, and eggs crack.")
    height = Words("It says whether nests are lower than what birds sleep on.")
    place = Words("Hens like to lay where it is dim.")


class NestPlaceChoices:
    """Where nests can be."""

    dark_rear = Words("at the dark end")
    light = Words("in the light")
    outside = Words("on the outside of the house")


class DrinkerLabels:
    """What the keys of drinkers are called."""

    type = Words("Kind of {drinker}")
    capacity = Words("What one holds")
    length = Words("Edge to drink from, of one")
    nipples = Words("Nipples or cups on one")
    count = Words("How many of them")
    inside = Words("In the house")
    heated = Words("Kept free of ice by a heater")


class DrinkerMeasures:
    """How to measure drinkers."""

    capacity = Words("Read it off the bottom, or fill it with a jug and count.")
    length = Words(
        "Round: once round the rim with a tape. Long: both sides, where birds get at it."
    )
    nipples = Words("Count those that give water when you touch them.")
    count = Words("Count those of the same kind and size.")


class DrinkerPurposes:
    """What the keys of drinkers are for."""

    capacity = Words("It says how long the water lasts on a hot day.")
    length = Words("It says how many birds can drink at once.")
    nipples = Words("It says how many birds can drink at once.")
    inside = Words("It says how much damp there is in the house, and what freezes.")
    heated = Words("You are not asked to look for ice in it so often.")


class DrinkerKindChoices:
    """The kinds of drinker that can be chosen."""

    bell = Words("bell")
    bucket = Words("bucket")
    cup = Words("cups")
    nipple = Words("nipples")
    trough = Words("trough")


class FeederLabels:
    """What the keys of feeders are called."""

    type = Words("Kind of feeder")
    length = Words("Edge to eat from, of one")
    capacity = Words("What one holds")
    count = Words("How many of them")
    inside = Words("In the house")


class FeederMeasures:
    """How to measure feeders."""

    length = Words(
        "Round: once round the rim with a tape. Long: both sides, where birds get at it."
    )
    capacity = Words("Fill it when it is empty, and weigh the feed that goes in.")
    count = Words("Count those of the same kind and size.")


class FeederPurposes:
    """What the keys of feeders are for."""

    length = Words("It says how many birds can eat at once.")
    capacity = Words("It says how many days it lasts.")
    inside = Words("Feed outside draws rats and gets wet.")


class FeederKindChoices:
    """The kinds of feeder that can be chosen."""

    trough = Words("trough")
    tube = Words("tube")
    treadle = Words("treadle, which opens under a bird")


class VentLabels:
    """What the keys of ventilation openings are called."""

    size = Words("Free opening of one")
    place = Words("Where it is")
    height = Words("Height of its middle")
    steps = Words("Settings from shut to open")
    count = Words("How many of them")


class VentMeasures:
    """How to measure ventilation openings."""

    size = Words(
        "Only the hole that air goes through: width by height when it is wide open. Through close "
        "wire mesh take off about a third."
    )
    height = Words("From the bare floor to the middle of the hole.")
    steps = Words("Count the positions it stays in. A hole that cannot be shut has 1.")
    count = Words("Count those of the same size at the same height.")


class VentPurposes:
    """What the keys of ventilation openings are for."""

    size = Words("It says whether damp and heat get out.")
    place = Words("High ones are open all winter, low ones only in warmth.")
    height = Words("Air moves the more, the higher the outlet is above the inlet.")
    steps = Words("You are told how far to open it.")


class VentPlaceChoices:
    """Where an opening can be."""

    high = Words("above the birds when they sleep")
    low = Words("below them")


class BeddingLabels:
    """What the keys of the bedding are called."""

    material = Words("{Bedding} material")
    depth = Words("{Bedding} depth")


class BeddingMeasures:
    """How to measure bedding."""

    depth = Words(
        "Push a ruler down to the bare floor in three places and take the middle one of the three."
    )


class BeddingPurposes:
    """What the keys of the bedding are for."""

    material = Words("It says how much to buy and how it dries.")
    depth = Words("It says how much it can soak up.")


class MaterialChoices:
    """What bedding can be of."""

    shavings = Words("wood shavings")
    straw = Words("straw")
    hemp = Words("hemp")
    sand = Words("sand")
    pellets = Words("wood pellets")
    other = Words("something else")


class CoopLightLabels:
    """What the keys of a lamp are called."""

    programme = Words("A lamp lengthens short days")
    first = Words("The lamp's first day")
    lux = Words("Brightness at bird height, in lux")


class CoopLightMeasures:
    """How to measure a lamp's light."""

    lux = Words("Hold a light meter, or a phone with such an app, where the birds' heads are.")


class CoopLightPurposes:
    """What the keys of a lamp are for."""

    programme = Words("You are told when to light it and for how long.")
    first = Words("From there the light grows by an hour a week.")
    lux = Words("It says whether the lamp is bright enough.")
