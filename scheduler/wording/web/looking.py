"""What a card says of whoever looks for the missing birds."""

from scheduler.wording.words import Words


class WhoLooks:
    """Who is looking, among them whoever reads it."""

    you = Words("You")
    one = Words("{who} is looking")
    several = Words("{who} are looking")
