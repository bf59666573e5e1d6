"""The message that birds are missing."""

from scheduler.wording.words import Words


class Search:
    """Titles, and what the body says of who is missing; `missing` is "2 of 12" or "some"."""

    second_look = Words("Look again: {missing} still missing, {names}")
    never_in = Words("{missing} never came in: {names}. Look again")
    never_in_let_out = Words("{missing} never came in: {names}. Look again, then let out at {at}")
    some_never_in = Words("Some never came in: {names}. Look again")
    some_never_in_let_out = Words("Some never came in: {names}. Look again, then let out at {at}")
    took_it_back = Words("{who} took it back: {missing} missing, {names}. Search again")
    shut_the_door = Words("{who} shut the door at {at}, {missing} missing: {names}. Search now")
    shut_them = Words("{who} shut them at {at}, {missing} missing: {names}. Search now")
    some = Words("some")
    of_all = Words("{birds} of {expected}")
    more_not_found = Words("{birds} more {birds:was|were} not found.")
    too = Words("{missing}, too.")
    astray = Words(
        "{house} has {birds} more in than {expected:belongs|belong} there: look there first."
    )
    by_link = Words("Then open this message and say how it ended.")
    on_the_page = Words("Then answer on the page and say how it ended.")
    shut_too = Words("{houses} {count:is|are} shut, too.")


class Places:
    """Where missing birds are found, in the order of looking (common practice, no source)."""

    chicks = Words(
        "Look in the corners and under the bedding, behind feeder, drinker and heat, under the hen "
        "if there is one, and then all over the room. A lost chick peeps and is soon cold: warm it "
        "first."
    )
    shut_first = Words("Shut the door on those that are in, then search.")
    in_the_dark = Words(
        "Take a {torch} and look on the roof, nests and rafters, under and behind the house, in "
        "hedges and low branches, in sheds and the feed store, and along both sides of the fence. "
        "A hen that keeps still makes no sound."
    )
    by_day = Words(
        "Look on the roof, nests and rafters, under and behind the house, in hedges and low "
        "branches, in sheds and the feed store, and along both sides of the fence. A "
        "hen that is hurt or broody sits still and makes no sound."
    )
