"""The ways out by their names, and what came of a message."""

from scheduler.wording.words import Words


class OutcomeKinds:
    """What came of an attempt, where nothing else is known of it."""

    sent = Words("sent")
    transient = Words("transient")
    unknown = Words("unknown")
    bad_address = Words("bad address")
    misconfigured = Words("misconfigured")
    permanent = Words("permanent")


class PushButtons:
    """What stands on a button that the program adds itself."""

    open = Words("Open")
