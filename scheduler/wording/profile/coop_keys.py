"""What the keys of a coop are."""

from scheduler.wording.words import Words


class RunKeys:
    """What the keys of a run are."""

    type = Words("secure: roofed, meshed and dug in; open: anything less")
    floor = Words('size of the run, "2 m x 4 m" or an area')
    netting = Words("electric fence netting, or netting overhead")
    mesh = Words("opening of the mesh")
    buried = Words("how deep the wire is buried")
    apron = Words("how far the wire is turned out along the ground")
    wire_side = Words("side of the posts that the wire is fixed to")


class PerchesKeys:
    """What the keys of perches are."""

    length = Words("length of all perches together")
    spacing = Words("gap between parallel perches")
    wall = Words("gap between a perch and the wall")
    height = Words("height above the bedding")
    width = Words("width of the top of the timber")


class NestsKeys:
    """What the keys of nests are."""

    count = Words("how many nests")
    size = Words('floor of one nest, "12 in x 14 in"')
    depth = Words("depth of the nest's bedding")
    height = Words("height of the entrance")
    place = Words("where the nests are")


class DrinkerKeys:
    """What the keys of a drinker are."""

    type = Words("bell, bucket, cup, nipple or trough")
    capacity = Words("what one holds")
    length = Words("drinking edge of one: both sides, or round the rim")
    nipples = Words("nipples or cups on one")
    heated = Words("true when a heater keeps it free of ice")


class FeederKeys:
    """What the keys of a feeder are."""

    type = Words("trough, tube or treadle")
    length = Words("feeding edge of one: both sides, or round the rim")
    capacity = Words("feed that one holds")


class VentKeys:
    """What the keys of a ventilation opening are."""

    size = Words('free opening of one, "10 cm x 40 cm" or an area')
    place = Words("high: above the birds on the perch; low: below")
    height = Words("middle of the opening, from floor")
    steps = Words("settings from shut to open; 1 is an opening that cannot be shut")


class BeddingKeys:
    """What the keys of bedding are."""

    material = Words("shavings, straw, hemp, sand, pellets or other")
    depth = Words("depth on the floor")


class CoopLightKeys:
    """What the keys of a lamp are."""

    programme = Words("true to lengthen short days")
    first = Words("the day the programme began; from there light grows by an hour a week")
    lux = Words("light at bird height")


class CoopKeys:
    """What the keys of a coop are."""

    name = Words("what you call the house")
    type = Words("fixed, or an ark that is moved over the grass")
    floor = Words('indoor floor, "1.2 m x 1.8 m" or an area')
    height = Words("height of the room inside")
    slope = Words("slope of the floor in percent; 0 when it is level")
    getting_there = Words(
        'minutes to get there from where you are in the evening, 14 or "14 min"; the first '
        "reminder comes that much earlier"
    )
    door = Words("manual or automatic")
    latch = Words("two-step (a carabiner counts) or simple")
    ranging = Words("run only, supervised (before dusk), or all day")
    run = Words("the fenced ground")
    perches = Words("the perches (roosts)")
    nests = Words("the nest boxes")
    drinker = Words("the drinkers (waterers)")
    feeder = Words("the feeders")
    vent = Words("the ventilation openings")
    bedding = Words("the bedding (litter)")
    light = Words("a lamp in the coop")
    lockup = Words("this coop's own lock-up rule, instead of the site's")
    letout = Words("this coop's own let-out rule, instead of the site's")
