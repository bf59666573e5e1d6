"""What is said of a keeper's own thermometer."""

from scheduler.wording.words import Words


class MeasuredAccepted:
    """What a measurement may hold."""

    air = Words("a temperature between {least} and {most}")
    humidity = Words("a humidity from {least} to {most}")
    nothing = Words("nothing here")


class MeasuredHints:
    """What is wrong with a measurement."""

    of_now = Words("A measurement is always of this moment.")
    only_measured = Words("Use that only with a measurement: duskfold weather measured 3.4C")


class MeasuredShown:
    """What a thermometer shows."""

    both = Words("{air} and {humidity} humidity")
    last = Words("Measured last: {values} ({sensor}), {age}.")


class MeasuredAge:
    """How long ago something was measured."""

    now = Words("just now")
    minutes = Words("{minutes} {minutes:minute|minutes} ago")
    hours = Words("{hours} {hours:hour|hours} ago")
