"""What set the time at which a door is opened or shut."""

from scheduler.wording.words import Words


class LockUpSetBy:
    """What set the time of the lock-up."""

    below_horizon_perched = Words(
        "The sun is {degrees}° below the horizon: birds should be on the {perch}."
    )
    below_horizon = Words("The sun is {degrees}° below the horizon.")
    above_horizon = Words("The sun is {degrees}° above the horizon.")
    after_sunset = Words("It is {minutes} min after sunset, which comes before it is dark enough.")
    before_sunset = Words(
        "It is {minutes} min before sunset, which comes before it is dark enough."
    )
    after_hill = Words("It is {minutes} min after the sun goes behind the hill.")
    before_hill = Words("It is {minutes} min before the sun goes behind the hill.")
    civil_dusk = Words("It is civil dusk, the end of usable light.")
    bedtime = Words("It is {time}, the latest bedtime.")
    no_later = Words("It is {time}: you asked for no later.")
    no_earlier = Words("You lock up no earlier than {time}.")
    held_short = Words(
        "You asked for no earlier than {time}, but the door must not stay open that long."
    )
    predator = Words(
        "A predator has tried to get in. Shut the door once all are in, ten minutes after sunset "
        "at the latest."
    )
    moved = Words("You have just moved here: shut the door once all birds are in their house.")
    clock = Words("There is no dusk today, so the clock sets the time.")


class ShutBySetBy:
    """What set the time by which the door is shut, in a few words."""

    civil_dusk = Words("civil dusk")
    after_lock_up = Words("{minutes} min after lock-up")
    lock_up = Words("the lock-up itself")


class CallIn:
    """How birds get in that do not go in by themselves."""

    still_up = Words("The sun is still up: call them in with feed.")
    barely_dusk = Words("It is barely dusk by then: call them in with feed.")
    new_here = Words(
        "New to the house: {flocks}. Call them in with feed from {time}, and lift in the last."
    )
    # Ducks, geese, guineas, turkeys.
    others = Words(
        "Ducks and geese do not put themselves to bed: walk them in at sunset. Guinea fowl and "
        "turkeys would rather sleep in a tree: call them in with feed before sunset."
    )


class LetOutSetBy:
    """What set the time of the let-out."""

    not_before = Words("Not before {time}, whatever the sun does.")
    not_after = Words("Not after {time}, whatever the sun does.")
    quarantine = Words(
        "After you have seen to the other birds, whether or not you let them out: see to those in "
        "quarantine last."
    )
    moved = Words("You have just moved here: not before the last evening at the old place is over.")
    never_dark = Words("It never gets dark, so the clock sets the time.")
    no_sunrise = Words("The sun does not rise, so the clock sets the time.")


class LetOutAtDawn:
    """By dawn, at it or some time from it."""

    at = Words("Civil dawn.")
    after = Words("{minutes} min after civil dawn.")
    before = Words("{minutes} min before civil dawn.")


class LetOutAtDawnIntoRun:
    """The same into a secure run."""

    at = Words("Civil dawn, into a secure run.")
    after = Words("{minutes} min after civil dawn, into a secure run.")
    before = Words("{minutes} min before civil dawn, into a secure run.")


class LetOutAtSunrise:
    """By sunrise, at it or some time from it."""

    at = Words("Sunrise, when somebody is about.")
    after = Words("{minutes} min after sunrise, when somebody is about.")
    before = Words("{minutes} min before sunrise, when somebody is about.")


class LetOutOverHill:
    """By the sunrise that is seen, at it or some time from it."""

    at = Words("The sun is over the hill, when somebody is about.")
    after = Words("{minutes} min after the sun is over the hill, when somebody is about.")
    before = Words("{minutes} min before the sun is over the hill, when somebody is about.")


class KeptInBy:
    """Why the door stays shut by day as well."""

    order = Words("A housing order is in force and the run has no roof: they stay in the house.")
    gale = Words("Gusts that uproot trees are forecast: they stay in the house.")
    nobody_slept = Words("Nobody slept there last night.")
