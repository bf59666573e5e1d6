"""The diary as a table to take along, and who took back what on its page."""

from scheduler.wording.words import Words


class DiaryHeadings:
    """The columns of the table, in their order."""

    entry = Words("entry")
    date = Words("date")
    what = Words("what")
    subject = Words("subject")
    count = Words("count")
    who = Words("who")
    at = Words("at")
    said_at = Words("said at")
    taken_back_at = Words("taken back at")
    taken_back_by = Words("taken back by")
    until = Words("until")
    detail = Words("detail")
    name = Words("name")
    local_time = Words("local time")
    in_words = Words("in words")


class DiaryCells:
    """What stands in the table beside names, numbers and kinds."""

    some_missing = Words("some are missing")
    skipped = Words("not this time")
    report = Words("report")
    taken_back = Words("taken back")
    entry = Words("entry {number}")
    eggs = Words("eggs")
    looking = Words("looking")
    profile = Words("profile")
    version = Words("version {number}")
    from_newer = Words("said to a newer Duskfold: {text}")
    damaged = Words("entry {number} is damaged: {text}")
    report_number = Words("report {number}")
    over_at_once = Words("over on its first day")
    air = Words("air {air} °C")
    binds = Words("applies to {who}")
    every_bird = Words("every bird of the house")
    eggs_unknown = Words("eggs withheld until the label is read")
    eggs_days = Words("eggs {days} {days:day|days}")
    eggs_free = Words("eggs free from {day}")
    meat_days = Words("meat {days} {days:day|days}")
    ended = Words("{report} ended")
    still_in_force = Words("{report} still in force")
    on_day = Words("on {day}")
    label_read = Words("{report} label read")


class WhoChanged:
    """Who took an entry back or put it back, and when."""

    somebody = Words("somebody")
    taken_back = Words("Taken back, {when}")
    taken_back_by = Words("Taken back by {who}, {when}")
    taken_back_by_clock = Words("Taken back by the clock, which had run ahead, {when}")
    corrected = Words("Corrected, {when}: {count} in")
    counted_again = Words("{who} counted again, {when}: {count} in")
    ticked_ahead = Words("{when}, ahead for {day}")
    put_back = Words("Put back, {when}")
    put_back_by = Words("Put back by {who}, {when}")
    put_back_by_clock = Words("Put back by the clock, which had run ahead, {when}")
