"""What a house's vents are set to, and the air to expect then."""

from scheduler.wording.words import Words


class VentsChange:
    """What to set, and what to do besides where nights are damp."""

    title = Words("Vents: {setting}")
    low_vents = Words("Vents: {setting}. On damp nights, open the low vents behind a baffle")
    enlarge = Words("Vents: {setting}. Damp nights ahead: enlarge the vents, change wet bedding")
    bedding = Words("Vents: {setting}. Damp nights ahead: change wet bedding")


class AirExpected:
    """The air to expect inside, on a still night and when the sun is on the roof."""

    night = Words(
        "Expect about {humidity}% humidity on a still night in the dampest weeks, {rise} warmer "
        "than outside."
    )
    hardly_night = Words(
        "Expect about {humidity}% humidity on a still night in the dampest weeks, hardly warmer "
        "than outside."
    )
    breeze = Words("With a wind at a slow walking pace, it is about {humidity}%.")
    no_breeze = Words("A wind at a slow walking pace hardly changes that.")
    low_vents = Words("With the low vents open as well, it would be 75% or less.")
    enlarge = Words("Larger vents would bring it to 75% or less.")
    larger_helps = Words(
        "Larger vents would help, though airing alone won't dry it, as the air outside is too damp."
    )
    bedding = Words("Airing alone won't dry it, as the air outside is too damp.")
    day = Words("Expect {rise} above the shade when the sun is on the roof.")
    hardly_day = Words("Expect it to be hardly warmer than the shade when the sun is on the roof.")


class AirLines:
    """The air in each of the settings, and why it is unknown."""

    vents = Words("vents")
    vents_unknown = Words("unknown: give [[coop.vent]] with size, place and steps")
    house_unknown = Words("Unknown: give floor and height.")
    on_heat = Words(
        "What keeps the chicks warm warms the air as well, so how damp it gets is not worked out: "
        "go by the chicks and the bedding."
    )
    setting = Words("{setting}.")
    cold = Words("cold")
    mild = Words("mild")
    hot = Words("hot")
    now_cold = Words("cold (now)")
    now_mild = Words("mild (now)")
    now_hot = Words("hot (now)")
