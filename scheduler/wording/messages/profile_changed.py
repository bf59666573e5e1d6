"""A changed profile: refused, not followed, or who is told and called by it from now on."""

from scheduler.wording.words import Words


class Profile:
    """Whether the changed profile is in force."""

    refused = Words(
        "The changed profile has {count} {count:problem|problems}; the old one is in force"
    )
    refused_body = Words(
        "Look at the machine that runs Duskfold: its check says what is wrong, and where."
    )
    not_followed = Words("The changed profile is not in force; the old one is")
    not_followed_body = Words("The reason: {why}. {remedy}")
    no_birds = Words("No more reminders for {names}: the profile has no birds there")
    no_birds_body = Words(
        "If birds sleep there tonight, shut the door, and put them back into the profile."
    )
    renamed = Words("Is it only a new name? The profile calls something by another id")
    if_not_meant = Words("The profile was changed. If that was not meant, change it back.")


class Left:
    """Who is not told any more, and who has the evenings or is called now."""

    has_now = Words("{names} {count:is|are} no longer told: {who} has the evenings now")
    has_later = Words("{names} {count:is|are} no longer told: {who} has the evenings from tomorrow")
    called_now = Words("{names} {count:is|are} no longer told: {second} is called after {who} now")
    called_later = Words(
        "{names} {count:is|are} no longer told: {second} is called after {who} from tomorrow"
    )
    nobody_now = Words("{names} {count:is|are} no longer told: nobody is called after {who} now")
    nobody_later = Words(
        "{names} {count:is|are} no longer told: nobody is called after {who} from tomorrow"
    )
    in_brief = Words("{names} {count:is|are} no longer told when a door stays open.")


class Duty:
    """Who has the evenings, and who is called when they do not answer."""

    tonight = Words("Tonight {who} is on duty.")
    called_tonight = Words("Tonight {second} is called after {who}.")
    then_called = Words("If {who} does not answer, {second} is called.")
    then_called_later = Words("If {who} does not answer, {second} is called, from tomorrow on.")
    then_nobody = Words(
        "If {who} does not answer, nobody else is called: "
        "give somebody else a push topic or an email address in the profile."
    )
    then_nobody_later = Words(
        "If {who} does not answer, nobody else is called, from tomorrow on: "
        "give somebody else a push topic or an email address in the profile."
    )
    then_everybody = Words("If {who} does not answer, everybody is called.")
    moved_now = Words("From now on {who} has the evenings, no longer {before}")
    moved_now_not = Words("From now on {who} has the evenings, not {before}")
    moved_later = Words("From tomorrow {who} has the evenings, no longer {before}")
    moved_later_not = Words("From tomorrow {who} has the evenings, not {before}")
    kept = Words("{who} keeps the evenings: they do not pass to {before} tomorrow")
    from_tomorrow = Words("From tomorrow {who} has the evenings.")
    back = Words("Tonight {who} is on duty again, no longer {before}")
    second_back = Words("Tonight {second} is called after {who} again")
