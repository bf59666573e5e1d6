"""What the page Birds asks and says of birds that came, hatched, left, moved or died."""

from scheduler.wording.words import Words


class CameOrWent:
    """What happened to them, by its kind."""

    arrived = Words("They came to live here")
    hatched = Words("They hatched here")
    sold = Words("They were sold or given away")
    moved_out = Words("They moved to another house")
    dead = Words("They died")


class BirdsNow:
    """How many birds a house has now."""

    there = Words("{birds} {birds:bird|birds}")
    elsewhere = Words("{birds} sleeping elsewhere")
    of_house = Words("Now at {house}: {birds}.")


class WrongCameOrWent:
    """Why nothing was saved, and what can be chosen or typed instead."""

    which_house = Words("Choose the house.")
    what_happened = Words("Choose what happened.")
    how_many = Words("How many were there? Type a whole number, 1 or more.")
    no_number = Words('"{typed}" is not a number of birds. Type a whole number, 1 or more.')
    where_to = Words("Choose the house they moved to.")
    not_moved = Words(
        "You chose a house they moved to, but not that they moved. Correct one of the two."
    )
    changed_meanwhile = Words(
        "This was not saved, because something else has been said of {house} since you opened the "
        "page. Look how many birds it has now. If what you typed is still right, send it again."
    )
    ended_since = Words("This was not saved. Since then: {said}.")
