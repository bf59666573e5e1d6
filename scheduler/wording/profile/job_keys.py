"""What the keys of walks and jobs are."""

from scheduler.wording.words import Words


class RoundsKeys:
    """What the keys of the walks to the coop are."""

    weekly_day = Words("the day for weekly jobs")
    lines = Words("most lines of a round; more jobs share the last line")
    keen = Words("true to add the jobs for the keen")


class CareChangeKeys:
    """What the keys of a change to a job are."""

    on = Words("false to switch the job off, true to switch it on")
    every = Words('how often, "5 days"')
    text = Words("your own words for the job")


class OwnCareKeys:
    """What the keys of a job of the keeper's own are."""

    name = Words("the job in a few words")
    every = Words(
        'how often, "10 days": counted from `from`, otherwise from the day on which the '
        "reminders first read of it, and then from the day it was last done"
    )
    on = Words("once, on that date, instead of every")
    first = Words("the first day on which it is due")
    last = Words("the last day on which it may be due")
    why = Words("the reason, shown with the job")


class OwnJob:
    """What is said of a job of the keeper's own."""

    its_reason = Words("Your own job.")


class WrongOwnJob:
    """What is found and accepted where a job's days do not agree."""

    once_or_again = Words("every (how often) or on (a date, for once)")
    on_and_others = Words("on together with the others")
    on_or_others = Words("on by itself, or every with from and until if you like")
    from_first_day = Words("a day on or after {first}")
