"""Why a change of the profile was not kept on a page."""

from scheduler.wording.words import Words


class NotKept:
    """What is in the way, and what to do."""

    elsewhere = Words(
        "This profile is a file of its own on the machine that Duskfold runs on, so nothing can be "
        "changed here. An owner can let the pages take it over."
    )
    taken_over_already = Words("The pages can already change this profile.")
    mistakes = Words(
        "Somebody changed the profile by hand, and it has a mistake in it. Mend it there first, or "
        "go back to the profile that is in force."
    )
    version_gone = Words("That version is not kept any more, so it cannot be put back.")
    not_written = Words("Nothing was changed: the profile could not be written ({why}).")
    last_way = Words(
        "Nobody could be told about an open door any more. First add another way to reach "
        "somebody, then take this one away."
    )
    last_proven = Words(
        "So far, only messages to {ways} have been tried. First send a test message over another "
        "way; once it has arrived, you can change this one."
    )
    lacks = Words("That would end a way that works: {why}")
