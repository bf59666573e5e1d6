"""What the housing check looks at, what to measure for it, and how it is judged."""

from scheduler.wording.words import Words


class HousingLabels:
    """What is checked of a house, whatever is in it."""

    indoor_floor = Words("indoor floor")
    usable_area = Words("usable area")
    run = Words("run")
    perch_length = Words("perch length")
    nests = Words("nests")
    feeder_length = Words("feeder length")
    feeder_edge = Words("feeder edge")
    drinkers = Words("drinkers")
    drinking_edge = Words("drinking edge")
    nipples = Words("nipples or cups")
    high_vents = Words("high vents")
    all_vents = Words("all vents")
    bedding_depth = Words("depth of the bedding")
    littered = Words("littered area")
    headroom = Words("headroom")
    perch_to_wall = Words("gap from perch to wall")
    slope = Words("slope of the floor")
    reach = Words("does it apply to you")


class HousingAsides:
    """What a label says beyond the name of the thing."""

    for_winter = Words("for winter")
    for_summer = Words("for summer")
    round_ones = Words("a round one counted 2½ times")
    water_at = Words("a day's water at {temperature}")
    label = Words("{label}, {aside}")


class ToMeasure:
    """What to measure where a size is not known."""

    unknown = Words("unknown: {measure}")
    floor = Words("measure the floor inside")
    run = Words("measure the fenced run")
    perches = Words("measure all perches together")
    nests = Words("count the nests")
    feeders = Words("measure the feeding edge, both sides")
    feeders_and_rims = Words("measure the feeding edge, both sides or round the rim")
    drinking_edges = Words("measure the drinking edge, both sides or round the rim")
    drinkers = Words("read what the drinkers hold")
    nipples = Words("count nipples and cups")
    high_vents = Words("measure the high vents")
    all_vents = Words("measure every vent")
    bedding = Words("measure the bedding's depth")
    littered = Words("measure the floor with bedding")
    headroom = Words("measure the room where it is lowest")
    perch_to_wall = Words("measure perch to wall")
    slope = Words("measure how it falls")


class EuReach:
    """Whether the directive binds a flock."""

    binds = Words("It applies to you by law.")
    does_not = Words("Not by law, but good practice for a small flock.")


class Verdicts:
    """How something was judged; what is unknown says instead what to measure."""

    short = Words("short")
    too_much = Words("too much")
    meets_the_minimum = Words("meets the minimum")
    comfortable = Words("comfortable")
    plenty = Words("more than enough")
    unknown = Words("unknown")
    explained = Words("see below")


class CheckRows:
    """A row of the check, and the sentences under its table."""

    backyard = Words("backyard practice")
    eu = Words("the EU figures for laying hens")
    from_to = Words("{least} to {most}")
    at_most = Words("at most {most}")
    explained = Words("{label}: {note}")
    source = Words("Source of {things}: {source}.")
    all_else = Words("All else: {source}.")
    all_of_it = Words("All: {source}.")
    room = Words("Room for {birds} {birds:bird|birds}, limited by {thing}.")


class HousingCautions:
    """What the sums do not tell and a keeper has to know."""

    check = Words(
        "Follow your local rules on how many birds you may keep, on crowing and on registration. "
        "Leave wiring, lamps and heaters to an electrician."
    )
    figures = Words(
        "These figures are for an average day in the shade, ±20 %. Leave wiring, lamps and heaters "
        "to an electrician. If you smell ammonia, air the house and go in with a mask. Wash your "
        "hands after birds and eggs, and throw cracked eggs away."
    )
