"""Perches, nests, wire, locks and company: what is checked of them, found and needed."""

from scheduler.wording.words import Words


class FittingLabels:
    """What is checked of the fittings."""

    perch_gap = Words("gap between perches")
    perch_width = Words("width of the perch")
    perch_height = Words("height of the perches")
    nest_floor = Words("floor of a nest")
    nest_bedding = Words("bedding in a nest")
    nest_place = Words("place of the nests")
    wire_side = Words("wire on the posts")
    mesh = Words("opening of the mesh")
    digging = Words("wire against digging")
    apron = Words("wire turned out")
    roof = Words("roof over the run")
    latch = Words("latch")
    company = Words("company")


class FittingsToMeasure:
    """What to measure, or to look at, where it is not known."""

    perch_gap = Words("measure perch to perch")
    perch_width = Words("measure its top")
    perch_height = Words("measure above the bedding")
    nest = Words("measure one nest")
    nest_depth = Words("measure its depth")
    mesh = Words("measure one opening")
    digging = Words("measure how deep the wire is, or how wide")
    look = Words("have a look")


class FittingNeeds:
    """What is needed, where it is no size."""

    nest_place = Words("the dark rear, off the floor")
    wire_side = Words("fixed to the outside")
    roof = Words("roofed all over")
    latch = Words("two steps, or a carabiner")
    company = Words("never keep a hen alone")
    perch_height = Words(
        "Keepers differ. Some set perches lower than the nest entrances. The commoner advice is at "
        "least {above} above them, since hens sleep on the highest thing there is, and at most "
        "{most} high."
    )


class NestPlaces:
    """Where the nests are."""

    dark_rear = Words("dark rear")
    outside = Words("outside")
    light = Words("light")


class WireSides:
    """On which side of the posts the wire is."""

    outside = Words("outside")
    inside = Words("inside")


class RunRoofs:
    """What is over the run."""

    secure = Words("secure")
    netting = Words("netting")
    open = Words("open")


class Latches:
    """How a door is latched."""

    two_step = Words("two-step")
    simple = Words("simple")
