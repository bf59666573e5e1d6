"""The figures of the young."""

from scheduler.wording.words import Words


class YoungFigures:
    """The warmth under the lamp and their floor."""

    birds = Words("{birds} young")
    week = Words("week {week}")
    warmth = Words("{flock}: warmth at chick height, at least")
    off_heat = Words(
        "off heat from week {week} in nights over {night}; huddled is cold, at the far edges is hot"
    )
    off_heat_and_more = Words(
        "{rise} more at most; off heat from week {week} in nights over {night}; huddled is cold, "
        "at the far edges is hot"
    )
    floor = Words("{flock}: floor for the young")
