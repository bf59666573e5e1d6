"""Who is not in a house, or in it all the same."""

from scheduler.wording.words import Words


class Missing:
    """Parts of a list: how many are missing, of which evening."""

    some = Words("some missing")
    birds = Words("{birds} missing")
    not_found = Words("{birds} not found yet")
    since = Words("{birds} still missing since {day}")
    first_since = Words("{birds} still missing, the first since {day}")
    at_least = Words("at least {birds}")
    only_expected = Words("only {birds} expected")
    uncounted = Words("some were missing, and nobody has counted since")
    uncounted_sentence = Words("Some were missing, and nobody has counted since.")


class WhichNumber:
    """More are in a house than belong there."""

    away = Words("{birds} should sleep elsewhere.")
    given_up = Words("{birds} {birds:was|were} given up for lost.")
    dead = Words("{birds} was said to be dead on {day}")
    more_dead = Words("{birds} were said to be dead, the last on {day}")
    asked = Words("Which number is right?")
    back_home = Words("Or are they back home?")


class MoreFound:
    """More were found than were known to be missing."""

    found = Words(
        "{birds} more {birds:was|were} found than {birds:was|were} known to be missing. {which}"
    )
    lost = Words(
        "{birds:Is it one that was|Are some of them those that were} given up for lost? {answer}"
    )
    away = Words(
        "{birds:Is it one that sleeps|Are some of them those that sleep} elsewhere? {answer}"
    )
    lost_or_away = Words(
        "{birds:Is it one that was given up for lost or sleeps"
        "|Are some of them those that were given up for lost or sleep} elsewhere? {answer}"
    )
    home = Words("If so, say that {birds:she is|they are} back home; else count them.")
    count = Words("Count them.")
