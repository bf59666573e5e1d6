"""The words of a region, things that are counted, and times of day."""

from scheduler.wording.words import Words


class TradeWords:
    """The trade's words where the region has none of its own."""

    bedding = Words("bedding")
    drinkers = Words("drinkers")
    perch = Words("perch")
    torch = Words("torch")
    moult = Words("moult")
    rooster = Words("rooster")
    roosters = Words("roosters")
    withdrawal = Words("withdrawal period")


class AmericanTradeWords:
    """Those that are others in the US."""

    bedding = Words("litter")
    drinkers = Words("waterers")
    perch = Words("roost")
    torch = Words("flashlight")
    moult = Words("molt")


class BritishTradeWords:
    """Those that are others in the UK."""

    rooster = Words("cockerel")
    roosters = Words("cockerels")


class AustralianTradeWords:
    """Those that are others in Australia."""

    bedding = Words("litter")
    withdrawal = Words("withholding period")


class Counted:
    """So many of them."""

    hen = Words("{count} {count:hen|hens}")
    bird = Words("{count} {count:bird|birds}")
    egg = Words("{count} {count:egg|eggs}")
    day = Words("{count} {count:day|days}")
    evening = Words("{count} {count:evening|evenings}")
    bale = Words("{count} {count:bale|bales}")
    device = Words("{count} {count:device|devices}")
    broody_hen = Words("{count} {count:broody hen|broody hens}")
    ill_bird = Words("{count} {count:ill bird|ill birds}")
    sign_in_link = Words("{count} {count:sign-in link|sign-in links}")


class TimesOfDay:
    """What a clock shows."""

    of_24_hours = Words("{hour}:{minute}")
    before_noon = Words("{hour}:{minute} am")
    after_noon = Words("{hour}:{minute} pm")
    with_weekday = Words("{time} ({weekday})")
