"""What several figures say of what they were reckoned with, and how an amount is told."""

from scheduler.wording.words import Words


class FigureInputs:
    """What a figure was reckoned with."""

    by_day = Words("{temperature} by day")
    by_night = Words("{temperature} at night")
    feed = Words("{amount} feed")
    feed_now = Words("{amount} a day now")
    feed_by_then = Words("{amount} by then")


class FigureAmounts:
    """An amount that is no quantity of a unit, or one for a time."""

    unknown = Words("unknown")
    none_does = Words("no amount is enough")
    days = Words("{days} {days:day|days}")
    days_and_part = Words("{days} days")
    times_a_week = Words("{times} × a week")
    per_day = Words("{amount}/day")
    a_day = Words("{amount} a day")


class FiguresLeftOut:
    """Birds for which there are no figures."""

    label = Words("birds without figures")
    note = Words("ducks and others are in none of the figures below")
