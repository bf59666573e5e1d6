"""What the keys are that several tables have."""

from scheduler.wording.words import Words


class SharedKeys:
    """What each key is that several tables have."""

    id = Words("short name used in calendars; made from the name when left out")
    count = Words("how many of them")
    inside = Words("true when it stands in the house")
    minutes = Words("how many minutes it takes you")
    round = Words("morning, midday or evening")
