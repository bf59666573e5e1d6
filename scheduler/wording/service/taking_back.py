"""What is said when something of the diary is taken back, or cannot be."""

from scheduler.wording.words import Words


class SaidLast:
    """What was said last of a door, as it is quoted, by its kind."""

    closed = Words("shut")
    reopened = Words("open again")
    found = Words("found")
    not_found = Words("not found")
    dead = Words("dead")
    given_up = Words("given up for lost")
    elsewhere = Words("sleeping elsewhere")
    back = Words("back home")
    arrived = Words("arrived")
    hatched = Words("hatched")
    moved_in = Words("moved in")
    sold = Words("sold")
    moved_out = Words("moved out")


class SaidLastOf:
    """The same with how many birds it is about."""

    closed = Words("shut, {birds} in")
    found = Words("{birds} found")
    not_found = Words("{birds} not found")
    dead = Words("{birds} dead")
    given_up = Words("{birds} given up for lost")
    elsewhere = Words("{birds} sleeping elsewhere")
    back = Words("{birds} back home")
    arrived = Words("{birds} arrived")
    hatched = Words("{birds} hatched")
    moved_in = Words("{birds} moved in")
    sold = Words("{birds} sold")
    moved_out = Words("{birds} moved out")


class NothingToTakeBack:
    """Why nothing is taken back of a door, and what would be."""

    found_nothing = Words("nothing")
    found_nothing_new = Words("nothing said in the last 24 hours")
    accepted = Words("--evening {day}, to take back what was said last")
    would = Words("That would take back what {who} said: {what}. Until then it stands.")
    of_houses = Words("{houses}, {said}")
    of_another = Words("{before}, and {house}, {said}")
    none = Words("There is nothing to take back.")
    already = Words(
        "Nothing was changed: {who} already took back what was said of {house} ({said}), on {day} "
        "at {time}."
    )


class DoorNow:
    """How a door stands after something was taken back."""

    shut = Words("Now the door is shut.")
    shut_in = Words("Now the door is shut, {birds} in.")
    shut_amiss = Words("Now the door is shut, {missing}.")
    shut_in_amiss = Words("Now the door is shut, {birds} in, {missing}.")
    open = Words("The door no longer counts as shut.")
    open_amiss = Words("The door no longer counts as shut. Also: {missing}.")


class EntryNotTakenBack:
    """Why an entry of the diary was not taken back."""

    found_struck = Words("what was taken back")
    already = Words("Nothing was changed, because it is like that already.")
    found_older = Words("something that newer entries are about")
    accepted_last = Words("what was said last")
    newer = Words("Nothing was changed, because something newer was said. Take that back first.")
    found_old = Words("something from long ago")
    accepted_recent = Words("something from the last {days} {days:day|days}")
    too_late = Words("Nothing was changed, because it is too long ago to change now.")
    found_entry = Words("entry {number}")
    accepted_kinds = Words("one about a door, a job, eggs or a report")
    not_here = Words("Nothing was changed, because that cannot be taken back here.")
    refused = Words("Found {found}; accepted: {accepted}.")


class NoEggCount:
    """Why no count of eggs was taken back."""

    found = Words("no count")
    accepted = Words("a house and a day with a count of eggs")
    left = Words("{house} has no count left for {day}.")
