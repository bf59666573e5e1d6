"""The reminders that a door is to be shut."""

from scheduler.wording.words import Words


class Many:
    """Houses or people by their number, where a title has no room for their names."""

    houses = Words("{count} houses")
    people = Words("{count} people")


class LockUp:
    """Titles of a door that somebody shuts; `birds` says how many and of what."""

    heads_up = Words("Lock up at {at}: {names}, {birds}, by {by}")
    leave_by = Words("Leave by {leave} to lock up at {at}: {names}, {birds}")
    leave_now = Words("Leave now to lock up at {at}: {names}, {birds}")
    now = Words("Lock up now: {names}, {birds}, by {by}")
    again = Words("Lock up, not confirmed yet: {names}, {birds}, by {by}")


class CheckDoor:
    """Titles of a door that shuts by itself."""

    heads_up = Words("Check the door at {at}: {names}, {birds}, by {by}")
    leave_by = Words("Leave by {leave} to check the door at {at}: {names}, {birds}")
    leave_now = Words("Leave now to check the door at {at}: {names}, {birds}")
    now = Words("Check the door now: {names}, {birds}, by {by}")
    again = Words("Check the door, not confirmed yet: {names}, {birds}, by {by}")


class NotConfirmed:
    """Titles when it should be shut and nobody has said that it is."""

    next = Words("Nobody has said it is shut: {names}, {birds}, due {by}")
    everybody = Words("Is the door shut? {names}, {birds}, due {by}")
    everybody_again = Words("IS THE DOOR SHUT? {names}, {birds}, due {by}")
    hourly = Words("Still not confirmed shut: {names}, {birds}, due {by}")
    bedtime = Words("NOT CONFIRMED: look with a {torch} before bed. {names}, {birds}, due {by}")
    bedtime_short = Words("NOT CONFIRMED: look before bed. {names}, {birds}, due {by}")
    silent = Words("Is the door shut? No word from Duskfold: {names}, {birds}, due {by}")
    silent_body = Words(
        "Nothing has been heard from Duskfold for a while. Go and look at the door. A button "
        "counts once Duskfold is back; until then, nobody else hears of it."
    )
    with_missing = Words("{title}; {birds} still missing")


class NextMorning:
    """Titles of the last call, before they are let out; `then` is what happens at that time."""

    never = Words("Never confirmed shut: {names}, {birds}. {then}")
    never_again = Words("Not confirmed shut again: {names}, {birds}. {then}")
    not_shut = Words("Not confirmed shut: {names}, {birds}. {then}")
    let_out = Words("Count, then let out at {at}")
    stay_in = Words("Look and count: they stay in")
    nobody_confirmed = Words("Nobody confirmed the door last night. {count_them}")
    nobody_said = Words(
        "It was opened again, and nobody has said since that it is shut. {count_them}"
    )
    count_inside = Words("They stay in today: look at the door, and count.")
    count = Words("Count before you let them out.")
    count_some = Words(
        "Count before you let them out of {open}. "
        "{shut} {houses:stays|stay} shut today: look at the door, and count."
    )


class OpenAgain:
    """A door that was said to be shut is not."""

    open_again = Words("Open again since {at}: {names}, {birds}. Shut it, then say so.")
    still_open = Words("Still open since {at}: {names}, {birds}. Shut it, then say so.")
    home_since = Words("Birds came home at {at}: {names}, {birds}. Shut it, then say so.")
    says_opened = Words("{who} says the door was opened again at {at}.")
    took_back = Words("At {at} {who} took back that it is shut.")
    says_home = Words("{who} said at {at} that they are home. The door was shut without them.")
    other_waits = Words(
        "{others} {houses:is|are} not confirmed shut either. "
        "A button on a message answers for both."
    )
    others_wait = Words(
        "{others} {houses:is|are} not confirmed shut either. "
        "A button on a message answers for all of them."
    )


class TomorrowBrings:
    """What a forecast asks for on the next day; `jobs` are titles of jobs."""

    frost = Words("Frost possible tonight, down to about {degrees}. Tomorrow: {jobs}.")
    heat = Words("Heat tomorrow, about {degrees}: {jobs}.")
    storm = Words("A storm is forecast for tomorrow: {jobs}.")
    snow = Words("Snow is forecast for tomorrow: {jobs}.")


class OfEvening:
    """What is said of each door, and what is to be done."""

    door = Words("{house}: {birds}. Lock up at {lock_up}, shut by {latest}.")
    automatic_door = Words("{house} (automatic): {birds}. Lock up at {lock_up}, shut by {latest}.")
    still_missing = Words("{house}: {missing}.")
    leave_by = Words("Leave by {at}.")
    cloudy = Words("Cloudy: dark about {minutes} minutes early.")
    full_count = Words("{houses}: please count them all tonight. It has been a week.")
    check = Words("Check that the door has closed, and count.")
    count = Words("Count them with a {torch}, then shut and latch the door.")
    count_on_perch = Words(
        "Count them on the {perch} with a {torch}, then shut and latch the door."
    )
    stem = Words("Lock up {names}: {birds} by {by}")
    all_missing = Words("all still missing")
    look = Words("Look at the hen house: is the door shut?")
    briefly = Words("{names}: lock up by {by}")
