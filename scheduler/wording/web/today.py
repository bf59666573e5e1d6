"""What Today says of the jobs."""

from scheduler.wording.words import Words


class WalkNames:
    """The walks of a day, as headings."""

    morning = Words("Morning")
    midday = Words("Midday")
    evening = Words("Evening")


class WalksAhead:
    """When a job of that walk is to be done."""

    morning = Words("morning, {at}")
    midday = Words("midday, {at}")
    evening = Words("evening, {at}")


class JobNotes:
    """What stands beside a job."""

    let_out = Words("Let them out at {at}")
    let_out_of = Words("Let them out at {at} ({house})")
    now = Words("now")
    still_to_do = Words("still to do")
    ticked_today = Words("ticked today")
    done = Words("{who}, {at}")
    not_this_time = Words("not this time: {who}, {at}")
    since = Words("since {day}")
    since_yesterday = Words("since yesterday")


class WrongTick:
    """Why a tick could not be kept."""

    no_button = Words('This page has no button "{button}".')
    no_job = Words('This page has no job "{job}". Nothing was saved.')
    none_chosen = Words("No job was chosen. Nothing was saved.")
