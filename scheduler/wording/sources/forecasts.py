"""Why there is no forecast from a source, or none that can be used, as it is kept."""

from scheduler.wording.words import Words


class WhyNoForecast:
    """A weather service that gave nothing, by `RefusalKind`."""

    not_secure = Words("the weather service's address is not a secure one")
    moved = Words("the weather service has moved to another address")
    too_large = Words("the weather service's answer is too large")
    garbled = Words("the weather service's answer came garbled or only in part")
    no_copy = Words("the weather service says nothing has changed, but no earlier forecast is left")
    not_let_in = Words("the weather service turns this program away")
    outside = Words("the weather service has no forecast for this place")
    not_understood = Words("the weather service does not understand the question")
    throttled = Words("the weather service is asked too often at the moment")
    broken = Words("the weather service has a fault of its own")
    strange = Words("the weather service gave an unexpected answer")


class StillForecast:
    """A weather service that gives a forecast, with a word of warning."""

    ending = Words("it says that it will stop answering this version of Duskfold")


class WhyUnreadable:
    """An answer that is no forecast, by `UnreadableKind`."""

    not_json = Words("the answer is not a forecast at all")
    shape = Words("the forecast is not in the form that its service describes")
    unit = Words("the forecast uses a unit that is not known here")
    times = Words("the forecast's times are out of order")
    temperature = Words("the forecast has temperatures that do not occur")
    place = Words("the forecast is for another place")
    future = Words("the forecast was made in the future, so a clock is wrong")
    empty = Words("the forecast has no temperatures")
