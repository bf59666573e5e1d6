"""The figures of the young."""

from scheduler.wording.words import Words


class YoungFigures:
    """The warmth under the lamp and their floor."""

    week = Words("week {week}")
    warmth = Words("{flock}: warmth at chick height, at least")
    off_heat = Words(
        "heat off from week {week} if nights stay above {night}; huddled is cold, far off is hot"
    )
    off_heat_and_more = Words(
        "{rise} more at most; heat off from week {week} if nights stay above {night}; huddled is "
        "cold, far off is hot"
    )
    floor = Words("{flock}: floor for the young")
