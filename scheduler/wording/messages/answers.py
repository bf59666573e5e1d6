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

    earlier_turn = Words("Not taken: that message was of an earlier turn. Look at the page")
    newer = Words("Not taken: {newer}")
    newer_body = Words("Not taken: {newer}. If that is wrong, say so on the page.")
    of_house = Words("{house}: {said}")
    renewed = Words("Not taken: your buttons are newer now. Use the newest message, or the page")
    renewed_body = Words(
        "You were put back into the profile, or your links were renewed, since that message."
    )
    over = Words("Not taken: that message is of {day}, which is over")
    over_stem = Words("Not taken: a message of {day}")
    nothing_changed = Words("Nothing was changed.")
    tonight = Words("Is it tonight's door that is shut? Then say so on the page.")


class Taken:
    """A press that counts for an evening before."""

    day = Words("Taken for {day}")
    not_tonight = Words("Taken for {day}: it says nothing of tonight's door")
    stem = Words("Taken: a message of {day}")
    undo = Words("What was kept for {day} can be undone on the page.")
