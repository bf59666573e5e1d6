"""The birds' heat and moisture, the air that they want, hot days, and how the vents are set."""

from scheduler.wording.words import Words


class AirFigures:
    """The labels and notes of the figures of heat and air."""

    heat = Words("heat of the birds")
    warmth = Words("of that, warming the air")
    not_above = Words("not worked out above {temperature}")
    moisture = Words("moisture of the birds")
    against_moisture = Words("air needed against moisture")
    outside = Words("{humidity} outside")
    inside = Words("{humidity} inside, a fifth to spare")
    too_damp = Words("airing alone won't dry it: change the wet bedding")
    on_heat = Words("what keeps the chicks warm dries the air as well: go by the bedding")
    against_co2 = Words("air needed against carbon dioxide")
    co2_at_most = Words("3000 ppm")
    by_day = Words("air needed by day, {rise} above the shade")
    open_every_vent = Words(
        "not worked out above {temperature}: open every vent and move the air",
    )
    in_the_sun = Words("shade figure: a shut coop in the sun can be {rise} hotter")
    wet_pad = Words("air off a wet pad, at the coolest")
    wet_ground = Words("wet their ground only with moving air or below 70% humidity")


class HeatIndex:
    """The label of the heat index, by its zone."""

    none = Words("heat index by day: no strain")
    alert = Words("heat index by day: alert")
    danger = Words("heat index by day: danger")
    emergency = Words("heat index by day: emergency")


class VentsSet:
    """How far the vents of a coop stand open."""

    low_always = Words("low vents always open")
    low_shut = Words("low vents shut")
    low_half = Words("low vents half open")
    low_partly = Words("low vents {share} open")
    low_open = Words("low vents open")
    high_always = Words("high vents always open")
    high_open = Words("high vents open")
    both = Words("{low}, {high}")


class VentsHelp:
    """What helps where the air or a draught is not as it should be."""

    cooler = Words("Shade the roof, open the door behind mesh, add a moving fan.")
    too_small = Words("The high vents are under {area} a bird: make them larger.")
    high_draught = Words(
        "A high vent begins {edge} above the floor, not above the birds' heads on the perch (about "
        "{heads}): in the cold it blows on them. Put a baffle in front of it, move it up, or "
        "lower the perch."
    )
    low_draught = Words(
        "The low vents stay open in the cold and blow on the birds: put a baffle in front of them, "
        "and let the air out above the birds' heads."
    )


class DampNights:
    """What to do where the air inside is damp on still nights: one sentence."""

    low_vents = Words(
        "On damp nights, open the low vents wide as well if a baffle keeps the wind off the birds."
    )
    enlarge = Words("Damp nights ahead: enlarge the vents and change wet bedding.")
    bedding_high = Words("Damp nights ahead: keep the high vents open and change wet bedding.")
    bedding = Words("Damp nights ahead: keep every vent open and change wet bedding.")
