"""Where a number comes from, if from no publication."""

from scheduler.wording.words import Words


class OwnSources:
    """Sources that nobody has printed."""

    common_practice = Words("common practice, no source")
    worked_out = Words("worked out from the figures above")
    sunrise_to_sunset = Words("sunrise to sunset at the site")
