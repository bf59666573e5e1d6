"""What was said of an evening before, or that leaves a house without birds."""

from scheduler.wording.words import Words


class News:
    """Who said what of an evening before, and what stands."""

    none_any_more = Words("None is missing any more")
    none = Words("None is missing")
    none_known = Words("None is known to be missing")
    nobody_counted = Words("None is known to be missing, but nobody has counted since")
    said_and_left = Words("{house}: {said}. {left}.")
    said = Words("{house}: {said}")
    expected = Words("{left}. {birds} {birds:is|are} expected tonight.")
    search_now = Words("{missing}, {names}: search now")
    search_body = Words("{said}. {places} {answer}")


class Emptied:
    """Nobody sleeps in these houses, as somebody said."""

    one = Words("No lock-up tonight: {names}. Is it empty?")
    some = Words("No lock-up tonight: {names}. Are they empty?")
    stem = Words("No birds at {house}")
    one_said = Words(
        "It was said that all its birds are gone or sleep elsewhere, so nobody will be reminded of "
        "this door. {if_not}"
    )
    some_said = Words(
        "It was said that all their birds are gone or sleep elsewhere, so nobody will be reminded "
        "of these doors. {if_not}"
    )
    by_link = Words("If birds sleep there, shut the door, then open this message and say so.")
    at_the_machine = Words(
        "If birds sleep there, shut the door, then say so at Duskfold's own machine."
    )
