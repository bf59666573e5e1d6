"""Who said what of a door and its birds, and when."""

from scheduler.wording.words import Words


class WhoSaid:
    """What somebody said, took back or counted."""

    said = Words("{who} said at {at} that {what}")
    said_of = Words("{who} said at {at} that {what} on {day}")
    said_on = Words("{who} said on {day} that {what}")
    took_back_of = Words("{who} took back at {at} what was said of {day}")
    took_back_shut = Words("{who} took back at {at} that it is shut")
    took_back_home = Words("{who} took back at {at} that birds came home")
    took_back_missing = Words("{who} took back at {at} what was said of the missing")
    took_back_that = Words("{who} took back at {at} that {what}")
    took_back_count = Words("{taken_back}; {stands}")
    two_counts = Words("{first} counted {birds_then} at {then}, {second} {birds_now} at {now}")


class WasSaid:
    """How a door stood by what was said of it: ends of a sentence."""

    were_in = Words("{birds} {birds:was|were} in")
    some_missing = Words("some were missing")
    was_shut = Words("it was shut")
    open_again = Words("the door is open again")
    some_are_missing = Words("some are missing")
    are_missing = Words("{birds} {birds:is|are} missing")
    are_in = Words("{birds} {birds:is|are} in")
    still_shut = Words("it is still shut")
    shut = Words("it is shut")


class Became:
    """What became of so many birds: ends of a sentence."""

    found = Words("{birds} {birds:was|were} found")
    not_found = Words("{birds} {birds:was|were} not found")
    dead = Words("{birds} died")
    given_up = Words("{birds} {birds:was|were} given up for lost")
    elsewhere = Words("{birds} {birds:sleeps|sleep} elsewhere")
    back = Words("{birds} came back home")


class TheMissing:
    """What became of all that were missing: ends of a sentence."""

    found = Words("the missing were found")
    not_found = Words("the missing were not found")
    dead = Words("the missing died")
    given_up = Words("the missing were given up for lost")
    elsewhere = Words("the missing sleep elsewhere")
    back = Words("the missing came back home")
