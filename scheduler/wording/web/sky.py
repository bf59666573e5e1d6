"""What Today says beside its picture of the evening's sky."""

from scheduler.wording.words import Words


class EveningSky:
    """The facts of the picture, and what the sun does where it does not set."""

    sunset = Words("Sunset {at}")
    call_in = Words("Call in")
    now = Words("Now")
    no_sunrise = Words("The sun does not rise today.")
    no_sunset = Words("The sun does not set today.")
    cloudy = Words("Cloudy")
