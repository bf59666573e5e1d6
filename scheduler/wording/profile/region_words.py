"""The words of a region, birds that are counted, and times of day."""

from scheduler.wording.words import Words


class TradeWords:
    """The trade's words where the region has none of its own."""

    bedding = Words("bedding")
    drinker = Words("drinker")
    drinkers = Words("drinkers")
    perch = Words("perch")
    torch = Words("torch")
    autumn = Words("autumn")
    moult = Words("moult")
    draughts = Words("draughts")
    rooster = Words("rooster")
    roosters = Words("roosters")
    withdrawal = Words("withdrawal period")


class AmericanTradeWords:
    """Those that are others in the US."""

    bedding = Words("litter")
    drinker = Words("waterer")
    drinkers = Words("waterers")
    perch = Words("roost")
    torch = Words("flashlight")
    autumn = Words("fall")
    moult = Words("molt")
    draughts = Words("drafts")


class BritishTradeWords:
    """Those that are others in the UK."""

    rooster = Words("cockerel")
    roosters = Words("cockerels")


class AustralianTradeWords:
    """Those that are others in Australia."""

    bedding = Words("litter")
    withdrawal = Words("withholding period")


class Counted:
    """So many birds of a kind."""

    bird = Words("{count} {count:bird|birds}")
    hen = Words("{count} {count:hen|hens}")
    rooster = Words("{count} {count:rooster|roosters}")
    cockerel = Words("{count} {count:cockerel|cockerels}")
    young = Words("{count} {count:young|young}")
    other = Words("{count} {count:other|others}")


class TimesOfDay:
    """What a clock shows."""

    of_24_hours = Words("{hour}:{minute}")
    before_noon = Words("{hour}:{minute} am")
    after_noon = Words("{hour}:{minute} pm")
    with_weekday = Words("{time} ({weekday})")
