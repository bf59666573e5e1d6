"""What a page says when one press said of several houses that they are shut."""

from scheduler.wording.words import Words


class AllShut:
    """Which of them did not count, and why."""

    newer = Words("Something newer had been said of {houses}")
    some_newer = Words("Not all of that counted. {why}. The rest is saved.")
    no_houses = Words("That named no house, so nothing was saved. Load the page again.")
    no_number = Words("It was not said how many are in.")
    did_not_count = Words("{house} did not count. {why}")
    rest_is_saved = Words("The rest is saved.")
