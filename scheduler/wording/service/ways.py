"""A way to a person, in a few words."""

from scheduler.wording.words import Words


class WayNames:
    """The channels, as they are named beside a person."""

    push = Words("push")
    mail = Words("mail")
    service = Words("service")


class WayInWords:
    """A channel with whose it is, or where it leads."""

    over = Words("{way} over {place}")
    of_person = Words("{who} by {way}")
