"""What cannot be said of a door: what was found, what is accepted, what is asked about it."""

from scheduler.wording.words import Words


class DoorFound:
    """What somebody said of a door and its birds that cannot be."""

    instant = Words("{time} UTC")
    count_for_houses = Words("{birds} for {houses} {houses:house|houses}")
    open_door = Words("a door that nobody has shut")
    no_number = Words("no number")
    houses = Words("{houses} {houses:house|houses}")
    no_flock = Words("no flock in {house}")
    none_missing = Words("no birds missing")
    none_elsewhere = Words("no birds elsewhere")
    none_there = Words("no birds there")
    no_search = Words("no search tonight")
    not_on_duty = Words("somebody who is not on duty")
    every_bird = Words("every bird of {house}")


class DoorAccepted:
    """What can be said instead."""

    until_now = Words("a time up to now")
    evening_with_birds = Words("an evening on which birds lived there")
    count_of_one = Words("a count for one of them, with --coop: {houses}")
    shut_door = Words("a door that somebody said was shut")
    number = Words("a number of birds, 1 or more")
    one_house = Words("one house: {houses}")
    house_with_flock = Words("a house that has a flock in the profile")
    up_to = Words("1 to {most}")
    at_most = Words("at most {most}")
    missing_birds = Words("birds that were said to be missing")
    birds_elsewhere = Words("birds that sleep elsewhere or were given up for lost")
    house_with_birds = Words("a house with birds")
    birds_looked_for = Words("birds that are being looked for tonight")
    up_to_missing = Words("up to the {birds} missing")
    missing_bird = Words("a bird that is missing")
    on_duty = Words("whoever is on duty, or somebody who is signed in")
    fewer = Words("fewer, or all if somebody signed in says so")
    another_house = Words("another house")


class DoorAsked:
    """What is asked, or told, about what cannot be: whole sentences."""

    no_birds_then = Words("No birds lived in {houses} then.")
    first_came = Words("The first came on {day}.")
    which_evening = Words("Which evening do you mean?")
    no_flock = Words(
        "No flock lives in {house} yet. Add one to the profile first, because its age, feed and "
        "quarantine come from there."
    )
    can_leave = Words("Only {birds} can leave {house}.")
    none_missing = Words("No birds are missing from {houses}.")
    none_elsewhere = Words("No birds from {houses} sleep elsewhere or were given up for lost.")
    none_there = Words("No birds live in {houses}.")
    no_search = Words("Nobody is searching for birds from {houses} now: {missing}.")
    which_house = Words("Which house do you mean?")
    how_many = Words("How many do you mean?")
    would_empty = Words(
        "That would leave no birds in {house}, and nobody would be reminded of its door."
    )
    already_there = Words("They already live there. Which house did they move to?")


class OnlySoMany:
    """How many there are at most, where more were named."""

    left = Words("Only {birds} {birds:is|are} left in {house}.")
    elsewhere = Words(
        "Only {birds} {birds:bird|birds} from {house} {birds:sleeps|sleep} elsewhere."
    )
    elsewhere_or_lost = Words(
        "Only {birds} {birds:bird|birds} from {house} {birds:sleeps|sleep} elsewhere or "
        "{birds:was|were} given up for lost."
    )
    missing = Words("Only {birds} {birds:bird|birds} from {house} {birds:is|are} missing.")
    may_be_missing = Words("At most {birds} {birds:bird|birds} from {house} can be missing.")


class BeyondTheMissing:
    """More was said than that voice may say: whose word it takes."""

    none = Words("No birds from {houses} are missing.")
    none_known = Words("No birds from {houses} are known to be missing.")
    only = Words("Only {birds} {birds:bird|birds} from {houses} {birds:is|are} missing.")
    only_known = Words(
        "Only {birds} {birds:bird|birds} from {houses} {birds:is|are} known to be missing."
    )
    more_by_owner = Words("If there are more, an owner or a member has to say so.")
    more_signed_in = Words("If there are more, sign in and say so there.")
    right_by_owner = Words("If that is right, an owner or a member has to say so.")
    right_signed_in = Words("If that is right, sign in and say so there.")
