"""An emergency: what is to be done at once, and that it is over."""

from scheduler.wording.words import Words


class Emergency:
    """Titles of an urgent job, and the lines below."""

    job = Words("{job}, {when}")
    job_told = Words("{job}, {when} ({told})")
    job_and_more = Words("{job}, {when}, and {count} more {count:job|jobs}")
    job_told_and_more = Words("{job}, {when} ({told}), and {count} more {count:job|jobs}")
    says = Words("says {who}")
    reported_by = Words("{who} reported at {at}: {report}.")
    reported = Words("Reported at {at}: {report}.")
    line = Words("{job}. Do it {when}. {why}")


class ReportOf:
    """What was reported, as it stands after "report of"."""

    heat = Words("heat")
    frost = Words("frost")
    snow = Words("snow")
    storm = Words("a storm")
    predator = Words("a predator")
    order = Words("a housing order")
    illness = Words("ill birds")
    medicine = Words("a medicine")
    broody = Words("a broody hen")


class IsOver:
    """What was reported has ended; `who` says so."""

    heat = Words("The heat is over, says {who}: no longer urgent")
    frost = Words("The hard frost is over, says {who}: no longer urgent")
    snow = Words("The snow is gone, says {who}: no longer urgent")
    storm = Words("The storm is over, says {who}: no longer urgent")
    predator = Words("No predator is about any more, says {who}: no longer urgent")
    order = Words("The housing order has ended, says {who}: no longer urgent")
    illness = Words("No bird is ill any more, says {who}: no longer urgent")
    medicine = Words("The treatment has ended, says {who}: no longer urgent")
    broody = Words("No hen is broody any more, says {who}: no longer urgent")


class Ended:
    """One report has ended, was taken back or was put back."""

    somebody = Words("somebody")
    last_day = Words("{who} says today is the last day of {what}")
    took_back_one = Words("{who} took back a report of {what}: no longer urgent")
    ended_one = Words("{who} ended a report of {what}: no longer urgent")
    took_back = Words("{who} took back the report of {what}: no longer urgent")
    took_back_another = Words("{who} took back a report of {what}: another still holds")
    ended_another = Words("{who} ended a report of {what}: another still holds")
    put_back = Words("{who} put the report of {what} back: urgent again")
    until_tonight = Words("It holds until tonight.")
    it_was = Words("It was: {report}.")
    it_is = Words("It is: {report}.")
    still_so = Words("Still reported: {reports}.")
    let_out_again = Words("Let out again as planned: {houses}.")
    still_urgent = Words("Still urgent: {jobs}.")
    urgent_again = Words("Urgent again: {jobs}.")
    if_wrong_birds = Words("If that is wrong, say so on the page Birds.")
    if_wrong_weather = Words("If that is wrong, say so on the page Add.")
