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
    day_of_year = Words("{day} {year}")
    uncounted = Words("some were missing, and nobody has counted since")


class WhichNumber:
    """More are in a house than belong there."""

    away = Words("{birds} should sleep elsewhere.")
    given_up = Words("{birds} {birds:was|were} given up for lost.")
    dead = Words("{birds} was said to be dead on {day}")
    more_dead = Words("{birds} were said to be dead, the last on {day}")
    dead_sentence = Words("{said}.")
    asked = Words("Which number is right?")
    back_home = Words("Or are they back home?")


class MoreFound:
    """More were found than were known to be missing."""

    one = Words("1 more was found than was known to be missing. {which}")
    many = Words("{birds} more were found than were known to be missing. {which}")
    one_lost = Words("Is it one that was given up for lost? {answer}")
    one_away = Words("Is it one that sleeps elsewhere? {answer}")
    one_lost_or_away = Words("Is it one that was given up for lost or sleeps elsewhere? {answer}")
    some_lost = Words("Are some of them those that were given up for lost? {answer}")
    some_away = Words("Are some of them those that sleep elsewhere? {answer}")
    some_lost_or_away = Words(
        "Are some of them those that were given up for lost or sleep elsewhere? {answer}"
    )
    one_home = Words("If so, say that she is back home; else count them.")
    some_home = Words("If so, say that they are back home; else count them.")
    count = Words("Count them.")
