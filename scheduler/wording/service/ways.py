"""A way to a person, in a few words."""

from scheduler.wording.words import Words


class WayInWords:
    """A channel with whose it is, or where it leads."""

    over = Words("{way} over {place}")
    of_person = Words("{who} by {way}")
