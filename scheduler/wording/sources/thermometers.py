"""Why what a thermometer says is not used."""

from scheduler.wording.words import Words


class WhyNotMeasured:
    """A thermometer's file or value, by `UnfitKind`."""

    missing = Words("the thermometer's file is not there or cannot be read")
    too_large = Words("the thermometer's file is far too large")
    not_a_reading = Words("the thermometer's file has no temperature in it")
    outside_range = Words("the thermometer shows a temperature that does not occur")
    no_humidity = Words("the thermometer shows a humidity that does not occur")
    old = Words("the thermometer's reading is more than two hours old")
    ahead = Words("the thermometer's reading is from the future, so a clock is wrong")
    jumped = Words("the thermometer jumped by more than is possible in ten minutes")
    stuck = Words("the thermometer has shown the very same temperature for a whole day")
