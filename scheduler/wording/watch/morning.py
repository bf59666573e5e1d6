"""The lines of the morning brief."""

from scheduler.wording.words import Words


class BriefLines:
    """What is to be done today, and when each house is opened and shut."""

    walk = Words("{walk}, {minutes} min: {jobs}.")
    walk_asks = Words("{walk}, {minutes} min: {jobs}")
    no_birds = Words("{house}: no birds tonight. {why}")
    let_out = Words("{house}: let out {let_out}, lock up {lock_up}, shut by {shut_by}.")
    stays_in = Words("{house}: lock up {lock_up}, shut by {shut_by}.")


class BriefWorries:
    """What is not in order."""

    missing = Words("{house}: {missing}. Found, dead or given up?")
    uncounted = Words("{house}: some were missing, and nobody has counted since.")
    unconfirmed = Words("{house}: nobody confirmed the door last night.")
    which_number = Words(
        "{house}: {counted} counted in, but {expected} were expected. Which is right?"
    )
    which_after_dead = Words(
        "{house}: {counted} counted in, but {expected} were expected; {dead}. Which is right?"
    )
    order_asked = Words("Housing order since {day}. Still in force?")
    order_ends = Words("Today is the last day of the housing order.")
    order_ended = Words("The housing order ended yesterday. If it was prolonged, say so.")
    clock_set = Words("The clock of Duskfold's machine was set by more than two seconds yesterday.")
    deaf = Words("Buttons on messages have not worked since {since}.")
    backup_ends = Words(
        "The backup alarm of {who} ends on {day}: get a new one on the page Subscribe."
    )
    backup_ended = Words(
        "The backup alarm of {who} ended on {day}: get a new one on the page Subscribe."
    )
    urgent = Words("Urgent today: {jobs}.")


class WeatherOnce:
    """What a brief tells of the season once."""

    autumn = Words(
        "The first frost of the {autumn} may come tonight: think of the {drinkers}, the hose and "
        "the eggs."
    )
    winter = Words(
        "The first frost of the winter may come tonight: think of the {drinkers}, the hose and "
        "the eggs."
    )


class EggsTold:
    """Which eggs are not to be eaten, and that they may be again."""

    none = Words("eat none of the eggs {until}")
    free = Words("by what is noted now, eggs laid from today on may be eaten")
    was = Words("It was: {title}. If that is wrong, say so on the page Birds.")
