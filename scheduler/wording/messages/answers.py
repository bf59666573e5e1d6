"""The answers under a reminder, and why one that was pressed counts for nothing or less."""

from scheduler.wording.words import Words


class Buttons:
    """What a press says: the birds and the door."""

    all_in = Words("All {birds} in, door shut")
    one_in = Words("In, door shut")
    none_in = Words("None in, door shut")
    some_missing = Words("Door shut, some missing")
    looks_like_all = Words("Door shut, looks like all")
    not_counted = Words("Door shut, not counted")


class NotTaken:
    """A press that did not count."""

    earlier_turn = Words("Nothing changed: that button is out of date. Look at the page")
    newer = Words("Nothing changed: {newer}")
    newer_body = Words(
        "Your answer changed nothing: {newer}. If that is wrong, say so on the page."
    )
    of_house = Words("at {house}, {said}")
    renewed = Words("Nothing changed: that button is too old. Use the newest message, or the page")
    renewed_body = Words(
        "You were put back into the profile, or your links were renewed, since that message."
    )
    over = Words("Nothing changed: that message is from {day}, which is over")
    over_stem = Words("A message from {day}")
    nothing_changed = Words("Nothing was changed.")
    tonight = Words("Did you mean tonight's door? If it is shut, say so on the page.")


class Taken:
    """A press that counts for an evening before."""

    day = Words("Noted for {day}")
    not_tonight = Words("Noted for {day}, not for tonight's door")
    stem = Words("Noted: a message from {day}")
    undo = Words("What was noted for {day} can be undone on the page.")
