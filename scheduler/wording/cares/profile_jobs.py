"""What only the plan can find wrong in a profile, and in a text of the catalogue."""

from scheduler.wording.words import Words


class JobProblems:
    """A job of the keeper's own, or a change of one of the catalogue's."""

    id_is_free = Words("an id that the catalogue does not use")
    interval = Words("an interval")
    follows_season = Words("This job follows the season, not a number of days.")


class LampProblems:
    """A light programme where birds that are lit could not eat and drink."""

    found = Words("true, without a drinker and a feeder inside")
    accepted = Words("a light programme only where feed and water stand inside overnight")
    hint = Words("Birds kept under a lamp must be able to eat and drink: inside = true on both.")


class DoorTimeProblems:
    """Times of a door that leave none between them, or that never come."""

    crossed = Words("{not_before}, after not_after {not_after}")
    before_not_after = Words("a time before not_after")
    of_evening = Words(
        "a time of the evening, which at this place lies between about {first} and {last}"
    )
    of_morning = Words(
        "a time of the morning, which at this place lies between about {first} and {last}"
    )
    never_comes = Words("By this clock and longitude it never comes in that half of the day.")


class CatalogueText:
    """What a text of the catalogue may hold in braces."""

    braces = Words("braces that open and close")
    known_word = Words('"{{{inside}}}" as a known word or {quantity}')


class Workload:
    """Which month asks for more than is humane."""

    too_much = Words(
        '{month} asks for {work} a week, more than the usual {usual}: {most} of it is for "{job}".'
    )
    others_too = Words("{months} other {months:month is|months are} above it, too.")
