"""Why a profile is not followed, or cannot be read."""

from scheduler.wording.words import Words


class WhyNotFollowed:
    """Why a changed profile is not in force, kept (`told_later`)."""

    nobody = Words("nobody could be told by it")
    nobody_because = Words("nobody could be told by it: {why}")
    other_site = Words('it is of another site, id "{its_site}" and not "{this_site}"')


class FileUnread:
    """A profile's file that cannot be read."""

    found = Words("a file that cannot be read ({why})")
    accepted = Words("a profile")
