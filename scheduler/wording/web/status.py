"""What the page Status says of a test, and asks of the clock."""

from scheduler.wording.words import Words


class TestSent:
    """What came of a test message over one way."""

    arrived = Words("{way}: sent.")
    failed = Words("{way}: not sent. {reason}.")
    fault = Words("Not sent: {reason}.")
    no_connection = Words("no connection")
    no_way = Words(
        "There is no way to reach you yet. Set this phone up under Alerts, or have an owner give "
        "you an email address under Change, People."
    )


class TestedWays:
    """What the ways out are called where a line begins with one."""

    push = Words("Push")
    mail = Words("Mail")


class AgreeOnClock:
    """What is asked before a doubted clock is believed."""

    title = Words("Is it {time} on {day}?")
    text = Words(
        "If you say yes, earlier evenings count as over, and old messages are cleared. That "
        "cannot be taken back. If the time turns out to be wrong, set the clock of the machine "
        "that Duskfold runs on, and Duskfold follows it at once."
    )
    yes = Words("Yes, the clock is right")
