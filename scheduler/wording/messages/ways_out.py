"""A way to a person: it is broken, lacks its secret, works again, is tried."""

from scheduler.wording.words import Words


class WaysOut:
    """Titles and bodies about what does not arrive."""

    relayed = Words("It did not get through to {who} by {way}, so it comes to you too.\n{body}")
    address_broken = Words("Reminders by {way} to {who} do not arrive")
    way_broken = Words("Reminders by all {way} do not arrive")
    broken_body = Words(
        "{title}: {reason}. Look at the address, then send a test from the page Status."
    )
    nothing_goes_out = Words("Nothing goes out by {way}: {why}")
    not_reached_file = Words(
        "{names} {count:is|are} not reached in that way until it is there. "
        "See that its file on Duskfold's machine holds it and can be read; it is looked at again "
        "within a minute."
    )
    not_reached = Words(
        "{names} {count:is|are} not reached in that way until it is there. "
        "Give it to Duskfold on its machine, and start Duskfold again."
    )
    test = Words("Duskfold test: this is how a reminder reaches you")
    test_body = Words("For {who}. Nothing to do.")


class Undelivered:
    """So many messages to a person did not arrive."""

    mail = Words("{count} {count:mail|mails} to {who} did not arrive.")
    push = Words("{count} {count:push message|push messages} to {who} did not arrive.")
    service = Words(
        "{count} {count:message|messages} to {who} by their other service did not arrive."
    )


class Deaf:
    """Buttons on messages are not heard, or are again."""

    stem = Words("Buttons on messages")
    since = Words("Buttons on messages have not worked since {since}")
    by_link = Words(
        "Say it on the page: this link opens it. Answers from phones cannot be heard ({reason})."
    )
    at_the_machine = Words(
        "Say it on Duskfold's own machine. Answers from phones cannot be heard ({reason})."
    )
    again = Words("Buttons on messages work again")
    again_body = Words("Answers from phones are heard again. Nothing to do.")
