"""What the keys of everything that has a name are."""

from scheduler.wording.words import Words


class NamedKeys:
    """What each key is that several tables have."""

    id = Words("short name used in calendars; made from the name when left out")
