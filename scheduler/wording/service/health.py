"""How the reminders fare."""

from scheduler.wording.words import Words


class LastLook:
    """What the last look was like."""

    before = Words("Last checked before this machine was started.")
    ago = Words("Last checked {seconds} s ago.")
    just_now = Words("Last checked a moment ago.")
    minutes_ago = Words("Last checked {minutes} minutes ago.")
    hours_ago = Words("Last checked {hours} hours ago.")
    trusted = Words("The clock is trusted.")
    untrusted = Words("The clock is not trusted.")
    doubtful = Words("The clock is in doubt.")
    profile = Words("Profile number {number} is in force.")


class WhoIsTold:
    """Who can be told tonight, and over what."""

    runs = Words("The reminders are running.")
    nobody = Words("Nobody can be told tonight.")
    tonight = Words("Who can be told tonight: {who}.")
    if_running = Words("Who could be told if the reminders were running: {who}.")
    by = Words("{name} by {ways}")


class Ages:
    """How long ago something was."""

    seconds = Words("{seconds} s")
    minutes = Words("{minutes} min")


class HostFares:
    """How one of several hosts fares."""

    stopped = Words("{name}: stopped {age} ago.")
    silent = Words("{name}: not heard from for {age}. The others carry on without it.")
    ahead = Words(
        "{name}: its clock is {minutes} min ahead of the database's, so it leaves the reminders to "
        "the others."
    )
    behind = Words(
        "{name}: its clock is {minutes} min behind the database's, so it leaves the reminders to "
        "the others."
    )
    unwritten = Words("{name}: checked {age} ago, which could not be written down: {why}.")
    well = Words("{name}: checked {age} ago.")


class DoorsTonight:
    """Each house tonight, in a few words."""

    lock_up = Words("lock up {time}")
    shut_by = Words("shut by {time}")
    open = Words("not confirmed")
    shut = Words("shut")
    no_birds = Words("no birds")
    counted = Words("{birds} in")


class ChannelFares:
    """When a channel last sent something, and when it last failed."""

    sent = Words("last sent {at}")
    never_sent = Words("never sent")
    failed = Words("last failed {at}")
    never_failed = Words("never failed")


class LookingBack:
    """What is no fault and should still be known."""

    holds_nothing = Words(
        "The push server holds no messages, so nobody is alerted if this machine dies."
    )
    since_yesterday = Words("Since yesterday: {what}")
    unconfirmed = Words("Evenings that nobody confirmed: {days}.")


class AtTime:
    """A day and a time of it."""

    day_and_time = Words("{day}, {time}")
