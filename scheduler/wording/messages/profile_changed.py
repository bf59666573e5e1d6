"""A changed profile: refused, not followed, or who is told and called by it from now on."""

from scheduler.wording.words import Words


class Profile:
    """Whether the changed profile is in force."""

    refused = Words(
        "The changed profile has {count} {count:problem|problems}, so the old one is still in force"
    )
    refused_body = Words(
        "On the machine that runs Duskfold, the command duskfold check says what is wrong, and "
        "where."
    )
    not_followed = Words("The changed profile is not in force: the old one still is")
    not_followed_body = Words("The reason: {why}. {remedy}")
    no_birds = Words("No more reminders for {names}: the profile has no birds there")
    no_birds_body = Words(
        "If birds sleep there tonight, shut the door, and put them back into the profile."
    )
    renamed = Words("Is it only a new name? The profile calls something by another id")
    if_not_meant = Words("The profile was changed. If that was not intended, change it back.")


class Left:
    """Who is not told any more, and who is on duty or is called now."""

    has_now = Words("{names} {count:is|are} no longer reminded: now {who} is on duty")
    has_later = Words("{names} {count:is|are} no longer reminded: from tomorrow {who} is on duty")
    called_now = Words("{names} {count:is|are} no longer reminded: now {who}, then {second}")
    called_later = Words(
        "{names} {count:is|are} no longer reminded: from tomorrow {who}, then {second}"
    )
    nobody_now = Words("{names} {count:is|are} no longer reminded: now only {who} is called")
    nobody_later = Words(
        "{names} {count:is|are} no longer reminded: from tomorrow only {who} is called"
    )
    in_brief = Words("{names} {count:is|are} no longer told when a door stays open.")


class Duty:
    """Who is on duty, and who is called when they do not answer."""

    tonight = Words("Tonight {who} is on duty.")
    called_tonight = Words("Tonight, if {who} does not answer, {second} is called.")
    then_called = Words("If {who} does not answer, {second} is called.")
    then_called_later = Words("From tomorrow, if {who} does not answer, {second} is called.")
    then_nobody = Words(
        "If {who} does not answer, nobody else is called: "
        "give somebody else a push topic or an email address in the profile."
    )
    then_nobody_later = Words(
        "From tomorrow, if {who} does not answer, nobody else is called: "
        "give somebody else a push topic or an email address in the profile."
    )
    then_everybody = Words("If {who} does not answer, everybody is called.")
    moved_now = Words("From now on {who} is on duty instead of {before}")
    moved_now_not = Words("From now on {who} is on duty, not {before}")
    moved_later = Words("From tomorrow {who} is on duty instead of {before}")
    moved_later_not = Words("From tomorrow {who} is on duty, not {before}")
    kept = Words("{who} stays on duty: {before} does not take over tomorrow")
    from_tomorrow = Words("From tomorrow {who} is on duty.")
    back = Words("Tonight {who} is on duty again instead of {before}")
    second_back = Words("Tonight {second} is called again if {who} does not answer")


class Week:
    """Who is on duty on which day, where days of the week have people of their own."""

    moved = Words("Who usually locks up has changed")
    left = Words("{names} {count:is|are} no longer reminded: tonight {who} is on duty")
    whose = Words("{who} usually locks up on {days}.")
