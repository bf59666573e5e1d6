"""What to buy or to build for what a house is short of."""

from scheduler.wording.words import Words


class ToAdd:
    """What is added where it is short."""

    perch = Words("perch to add")
    nests = Words("nests to add")
    feeder = Words("feeding edge to add")
    drinker = Words("drinker capacity to add")
    drinking_edge = Words("drinking edge to add")
    nipples = Words("nipples or cups to add")
    high_vents = Words("high vents to add")
    other_vents = Words("other vents to add")
    floor_bedding = Words("bedding for the floor")
    nest_bedding = Words("bedding for the nests")


class Bought:
    """So much of it, with what there is to say."""

    nests = Words("{count} {count:nest|nests} to add")
    nipples = Words("{count} {count:nipple or cup|nipples or cups} to add")
    measured = Words("{amount} of {what}")
    loose = Words("{amount} {what}")
    noted = Words("{bought} ({note})")


class BeddingPacks:
    """How many packs of the bedding that is."""

    part_of_a_bale = Words("{bales} of a bale")
    bales = Words("{bales} {bales:bale|bales} of about {loose}")
    straw = Words("straw: see the label for what a pack gives")
    hemp = Words("hemp: see the label for what a pack gives")
    sand = Words("sand: see the label for what a pack gives")
    pellets = Words("pellets: see the label for what a pack gives")
    other = Words("see the label for what a pack gives")
    less_what_is_there = Words("{packs}; less what is there already")
