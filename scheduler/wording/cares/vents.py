"""What a house's vents are set to, and the air to expect then."""

from scheduler.wording.words import Words


class VentsChange:
    """What to set, and what is too small."""

    title = Words("Vents: {setting}")
    too_small = Words("The high vents are under {area} a bird: make them larger.")


class AirExpected:
    """The air to expect inside, on an average night and when the sun is on the roof."""

    night = Words(
        "Expect about {humidity}% humidity on an average night, {night_rise} warmer than outside."
    )
    hardly_night = Words(
        "Expect about {humidity}% humidity on an average night, hardly warmer than outside."
    )
    day = Words("Expect {day_rise} above the shade when the sun is on the roof.")
    hardly_day = Words("Expect it to be hardly warmer than the shade when the sun is on the roof.")
    night_and_day = Words(
        "Expect about {humidity}% humidity on an average night, {night_rise} warmer than outside, "
        "and {day_rise} above the shade when the sun is on the roof."
    )
    night_and_hardly_day = Words(
        "Expect about {humidity}% humidity on an average night, {night_rise} warmer than outside, "
        "and hardly warmer than the shade when the sun is on the roof."
    )
    hardly_night_and_day = Words(
        "Expect about {humidity}% humidity on an average night, hardly warmer than outside, and "
        "{day_rise} above the shade when the sun is on the roof."
    )
    hardly_night_and_hardly_day = Words(
        "Expect about {humidity}% humidity on an average night, hardly warmer than outside, and "
        "hardly warmer than the shade when the sun is on the roof."
    )


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
