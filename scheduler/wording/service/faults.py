"""What is wrong with the reminders, and what to do about it."""

from scheduler.wording.words import Words


class NotRunning:
    """They stand still."""

    what = Words("The reminders are not running.")
    stopped = Words("The reminders are not running. They were stopped on {since}.")
    silent = Words("The reminders have not been heard from since {since}.")
    start = Words(
        "Start Duskfold on the machine where it is installed. Until then, watch the door yourself."
    )
    restart = Words(
        "Restart Duskfold, or the machine it runs on. Until then, watch the door yourself."
    )
    command = Words("To start them: duskfold serve")


class DataUnreadable:
    """The data cannot be read."""

    what = Words("The data cannot be read just now, so nobody can say how the reminders are doing.")
    remedy = Words("Until it can be read again, watch the door yourself.")
    command = Words("The data file cannot be used: {why}.")


class ClockWrong:
    """The machine's clock is not believed."""

    behind = Words("This machine's clock seems wrong: it shows a time that is already past.")
    behind_remedy = Words(
        "No reminders go out until it is right. If it is right, say so. If not, set the clock of "
        "Duskfold's machine, or connect it to the network. Until then, watch the door yourself."
    )
    ahead = Words(
        "The clock of Duskfold's machine may be wrong: it shows {time}, far ahead of what it "
        "showed before."
    )
    ahead_remedy = Words(
        "The reminders go by it. If it is right, say so. If not, set the clock of Duskfold's "
        "machine, or connect it to the network."
    )
    command = Words("If it is right: duskfold health --agree-clock")


class ClockApart:
    """The machine's clock is not the one that the hosts share."""

    ahead = Words(
        "The clock of Duskfold's machine is {minutes} min ahead of the database's, so it leaves "
        "the reminders to the other hosts."
    )
    behind = Words(
        "The clock of Duskfold's machine is {minutes} min behind the database's, so it leaves the "
        "reminders to the other hosts."
    )
    remedy = Words(
        "Set both clocks from the network. If no other host sends reminders, this one still "
        "warns of open doors by its own clock."
    )


class NotWritten:
    """What the reminders do cannot be written down."""

    what = Words("The reminders cannot write down what they do.")
    because = Words("The reminders cannot write down what they do: {why}.")
    remedy = Words(
        "They carry on from memory. Check the disk of Duskfold's machine: it may be full or "
        "write-protected."
    )


class NotPlanned:
    """An evening of which nothing can be said."""

    what = Words("There are no reminders for {houses}, as the evening cannot be worked out.")
    remedy = Words("That is a fault in the program. Watch that door yourself.")


class NotInForce:
    """A changed profile that is not followed."""

    because = Words("The changed profile is not in force: {why}. The old one still is.")
    unusable = Words("The changed profile cannot be used, so the old one is still in force.")
    unusable_remedy = Words("Check the profile again: something is wrong with it.")
    unusable_command = Words("To see what is wrong: duskfold check")
    missing_command = Words("To see what is missing: duskfold check")


class ToFollowIt:
    """What to do about a changed profile that is right in itself, by why it is not in force."""

    nobody = Words("Change the profile again so that somebody can be told.")
    another_site = Words(
        "If only its name has changed, give the garden its old id back beside the new name. If it "
        "is another place, give it an id of its own, then restart Duskfold on its machine to take "
        "it over."
    )
    secret = Words(
        "Give it to Duskfold on its machine, and start Duskfold again, or change the profile so "
        "that it is not needed."
    )
    secret_file = Words(
        "See that its file on Duskfold's machine holds it and can be read; it is looked at again "
        "within a minute. Or change the profile so that it is not needed."
    )


class ButtonsDeaf:
    """Buttons on phones do not work."""

    what = Words("Answers from phones do not arrive: {why}.")
    since = Words("Answers from phones have not arrived since {since}: {why}.")
    remedy = Words("Say on these pages that a door is shut, as the buttons on phones do not work.")


class HostDiffers:
    """A host that goes by something else than the others."""

    profile = Words("The profile's file on {host} is not the one in force.")
    profile_remedy = Words(
        "Make it the same there, or save it while Duskfold runs, so that all hosts use it."
    )
    profile_command = Words("To use it on every host, run there: duskfold accept")
    key = Words(
        "{host} has a different signing.key, so the other hosts do not accept what it signs."
    )
    key_remedy = Words(
        "Links, buttons and calendars from there may not work until it has the same key."
    )
    key_command = Words("Copy signing.key there from another host, then restart Duskfold there.")


class NotReached:
    """Nobody, or not everybody, can be told."""

    no_way = Words("No reminders go out, because nobody can be told.")
    nobody = Words("No reminders go out, because nobody can be told ({why}).")
    nothing = Words("The last messages did not get through ({why}).")
    nothing_remedy = Words(
        "Check the network of Duskfold's machine. Until a message arrives, watch the door yourself."
    )
    without = Words("There is no way to tell {name}.")
    without_remedy = Words(
        "Have them open the page Alerts on their phone, or give them a push topic or an email "
        "address under Change, People."
    )
    only_one = Words("Only {name} can be told. If {name} does not answer, nobody else is called.")
    only_one_remedy = Words(
        "Let somebody else be told as well: by the page Alerts on their phone, or by a push topic "
        "or an email address under Change, People."
    )
    cut_off = Words("{name} cannot be told ({why}).")
    last_failed = Words("The last messages to {name} did not get through ({why}).")
    last_failed_remedy = Words(
        "The next message, or a test, will show whether it works again. Until one arrives, "
        "somebody else should see to the door."
    )
    way_broken = Words("Nothing reaches {way}: {why}.")
    way_failed = Words("The last message to {way} did not get through: {why}.")
    way_failed_remedy = Words("The next message, or a test, will show whether it works again.")
    way_and_why = Words("{way}: {why}")


class ToMend:
    """What would mend a way that is broken."""

    put_right = Words(
        "Correct the address under Change, People, or what Duskfold signs in with there. Then send "
        "a test."
    )
    give_way = Words(
        "Open the page Alerts on a phone that is to ring, or give somebody a push topic or an "
        "email address under Change, People. Mail also needs a mail server."
    )
    give_secret = Words("Give it to Duskfold on its machine, and start Duskfold again.")
    see_file = Words(
        "See that its file on Duskfold's machine holds it and can be read; it is looked at again "
        "within a minute."
    )
    watch_yourself = Words("Until then, watch the door yourself.")


class CalendarFaults:
    """A calendar that programs may not read."""

    unreadable = Words(
        "The calendar {name}.ics cannot be read, so phones may show no times from it."
    )
    damaged = Words("The calendar {name}.ics is damaged, so phones may show no times from it.")
    remedy = Words("Restart Duskfold on its machine, and the calendar is made again.")
    command = Words("To make it again, restart the reminders.")
    large = Words(
        "The calendar {name}.ics has {events} {events:event|events} and {size} KB. Some calendar "
        "apps take at most {most_events} events and {most_size} KB."
    )
    large_remedy = Words("If it does not arrive, subscribe to a smaller one instead.")
