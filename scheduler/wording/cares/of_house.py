"""Whose house something is said of, before it is said."""

from scheduler.wording.words import Words


class OfHouse:
    """What is said of one of several houses, or of a house that the profile has no more."""

    here = Words("{house}: {said}")
    gone = Words("Birds from {house}: {said}")


class JobOfHouses:
    """A job for some of the houses, or several in one line."""

    job = Words("{job} ({houses})")
    also = Words("Also: {jobs}")


class NeverDue:
    """What was done and is no job of the plan."""

    feed_opened = Words("A bag of feed was opened")
