"""What the commands that speak of a door and its birds ask and answer."""

from scheduler.wording.words import Words


class DoorScreen:
    """What is asked before something is kept, and told with what was kept."""

    of_house = Words("{house}: {said}")
    lock_up_later = Words("Lock-up is not until {time}. Are they already in for the night?")
    live_apart = Words(
        "Birds you have bought should live apart from yours for 30 days. Give them a flock of "
        "their own in the profile, and Duskfold plans their quarantine."
    )
    noted_late = Words("Noted for the evening of {day}, though they have been let out.")
    taken_back_late = Words("Taken back for the evening of {day}, though they have been let out.")
    nothing_changed = Words("nothing was changed.")
    overtaken = Words("nothing was changed. Since then: {said}.")
    alarm_cancelled = Words(
        "The reminders are not running, so the alarm that the push server held for {people} was "
        "cancelled from here."
    )
    alarm_rings = Words(
        "The reminders are not running and the push server could not be told, so it will alert "
        "{people} at {time} although the door is shut."
    )


class DoorShut:
    """Who shut a door when, and how many are in."""

    all_in = Words("{who} shut the door at {time}, all {birds} in.")
    counted = Words("{who} shut the door at {time}, {birds} in.")
    some_of = Words("{who} shut the door at {time}, {birds} of {expected} in.")
    some_missing = Words("{who} shut the door at {time}, not counted, some missing.")
    missing = Words("{who} shut the door at {time}, not counted, {birds} missing.")
    not_counted = Words("{who} shut the door at {time}, not counted.")
    looks_like_all = Words("{who} shut the door at {time}, not counted, but it looks like all.")
    too_many = Words(
        "{who} shut the door at {time}, {birds} in, but only {expected} "
        "{expected:belongs|belong} there."
    )


class AfterShut:
    """What is said after that."""

    opened_since = Words("It has been opened again since, so it is open.")
    search = Words(
        "Make sure those that are in are shut in, then look for the rest. "
        "Say afterwards: found, not-found, dead, given-up or elsewhere."
    )
    search_by_day = Words("Look for them, then say found, dead, given-up or elsewhere.")
    missing = Words("{missing}.")
    away = Words("{birds} should be sleeping elsewhere.")
    dead = Words("{said}.")
    not_dead = Words("If that is wrong: duskfold undo --evening {day}.")
    count_again = Words(
        "Count them again. To put right what was wrong: duskfold undo, duskfold elsewhere --back, "
        "or the number in the profile."
    )


class DoorDone:
    """What was said of a door, or of birds that nobody has counted."""

    reopened = Words("the door is open again. The reminders go on.")
    reopened_late = Words("the door was opened again.")
    found = Words("found.")
    not_found = Words("not found. Stop looking for tonight.")
    keep_looking = Words("not found. Keep looking for the others.")
    dead = Words("dead. They are no longer expected.")
    given_up = Words("given up for lost. They are no longer expected.")
    elsewhere = Words("sleeping elsewhere. They are not expected until they are back.")


class BirdsDone:
    """What was said of so many birds."""

    found = Words("{birds} found.")
    not_found = Words("{birds} not found. Stop looking for tonight.")
    keep_looking = Words("{birds} not found. Keep looking for the others.")
    dead = Words("{birds} dead. {birds:It is|They are} no longer expected.")
    given_up = Words("{birds} given up for lost. {birds:It is|They are} no longer expected.")
    elsewhere = Words(
        "{birds} sleeping elsewhere. {birds:It is|They are} not expected until "
        "{birds:it is|they are} back."
    )
    back = Words("{birds} back. {birds:It is|They are} expected again.")
    arrived = Words("{birds} arrived. {birds:It is|They are} expected from now on.")
    hatched = Words("{birds} hatched. {birds:It is|They are} expected from now on.")
    sold = Words("{birds} sold. {birds:It is|They are} no longer expected.")
    moved_out = Words("{birds} moved out. {birds:It is|They are} no longer expected here.")
    moved_in = Words("{birds} moved in. {birds:It is|They are} expected here from now on.")


class DoorStands:
    """How a house stands after that."""

    all_in = Words("All {birds} in.")
    now = Words("Now {birds}.")
    that_evening = Words("That evening: {birds}.")
    expected = Words("{birds} expected")
    away = Words("{birds} sleeping elsewhere")
    taken_back = Words('"{said}" is taken back.')
    still_shut = Words("The door still counts as shut.")
    still_shut_by = Words("Still on record: {who} shut the door at {time}.")
    still_shut_in = Words("Still on record: {who} shut the door at {time}, {birds} in.")
