"""What a device is called that somebody is signed in on."""

from scheduler.wording.words import Words


class Devices:
    """A device that does not say what it is, as it is kept in English."""

    unknown = Words("unknown")


def device_words(kept: str) -> str:
    """The device of that name, as it is said."""
    return Devices.unknown() if kept == Devices.unknown.english else kept
