"""The ways out by their names, and what came of a message."""

from scheduler.wording.words import Words, every


class Channels:
    """Over what a message goes, by the channel's name."""

    phone = Words("phone alert")
    push = Words("push")
    service = Words("service")
    mail = Words("mail")


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


_CHANNELS = every(Channels)


def channel_words(channel: str) -> str:
    """The channel of that name, as it is said."""
    words = _CHANNELS.get(channel)
    return words() if words else channel
