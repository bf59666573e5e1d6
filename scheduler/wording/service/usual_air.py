"""The air of the months of an average year, and how often it freezes in them."""

from scheduler.wording.words import Words


class FrostNights:
    """How many nights of a month."""

    some = Words("{count} of {nights}")
    hardly_any = Words("hardly any")
    none = Words("none")


class AirRows:
    """What stands before the rows of a table with a column a month."""

    cold = Words("1 night in 10 below")
    hot = Words("1 day in 10 above")
    frost = Words("nights of frost")
