"""What the page Flock says of the birds."""

from scheduler.wording.words import Words


class FlockAge:
    """How old they are."""

    weeks = Words("{weeks} {weeks:week|weeks} old")
    years = Words("{years} {years:year|years} old")
    to_hatch = Words("to hatch on {day}")
    to_come = Words("to come on {day}")
