"""A way to a person: it is broken, lacks its secret, works again, is tried."""

from scheduler.wording.words import Words


class WaysOut:
    """Titles and bodies about what does not arrive."""

    relayed = Words("This did not get through to {who} by {way}, so you get it too.\n{body}")
    address_broken = Words("Reminders by {way} are not reaching {who}")
    way_broken = Words("Reminders by {way} are not reaching anybody")
    broken_body = Words(
        "{title}: {reason}. Check the address, and what Duskfold signs in with there. Then send a "
        "test from the page Status."
    )
    nothing_goes_out = Words("Nothing goes out by {way}: {why}")
    not_reached_file = Words(
        "{names} cannot be reached that way until it is there. "
        "See that its file on Duskfold's machine holds it and can be read; it is looked at again "
        "within a minute."
    )
    not_reached = Words(
        "{names} cannot be reached that way until it is there. "
        "Give it to Duskfold on its machine, and start Duskfold again."
    )
    test = Words("Duskfold test: this is how a reminder reaches you")
    test_body = Words("For {who}. Nothing to do.")


class Undelivered:
    """So many messages to a person did not arrive."""

    mail = Words("{count} {count:email|emails} to {who} did not arrive.")
    phone = Words("{count} {count:phone alert|phone alerts} to {who} did not arrive.")
    push = Words("{count} {count:push message|push messages} to {who} did not arrive.")
    service = Words(
        "{count} {count:message|messages} to {who} by their other service did not arrive."
    )


class Deaf:
    """Buttons on messages are not heard, or are again."""

    stem = Words("Buttons on messages")
    since = Words("Buttons on messages have not worked since {since}")
    by_link = Words(
        "Answer on the page: this link opens it. Answers from phones cannot be heard ({reason})."
    )
    at_the_machine = Words(
        "Answer on Duskfold's own machine. Answers from phones cannot be heard ({reason})."
    )
    again = Words("Buttons on messages work again")
    again_body = Words("Answers from phones are heard again. Nothing to do.")
