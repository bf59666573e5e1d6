"""What the keys of people and of reminders are."""

from scheduler.wording.words import Words


class PersonKeys:
    """What the keys of a person are."""

    name = Words("what you call each other")
    mail = Words("email address")
    telephone = Words(
        "telephone number, for the others to call from a page; Duskfold itself calls nobody"
    )
    push = Words("push topic address")
    service = Words("name of another service's address, which is kept as a secret of that name")
    brief = Words("true for the morning brief; by default only on days when they lock up")
    range_reminder = Words("true to be told when free-range time begins")
    role = Words(
        "owner (may change everything), member (birds, jobs, evenings, reports) or sitter "
        "(evenings and jobs on the days they are invited for)"
    )
    first_day = Words("the first day that a sitter is invited for")
    last_day = Words("the last day that a sitter is invited for")


class DutyKeys:
    """What the keys of who usually locks up are."""

    monday = Words("who usually locks up on Mondays, by name or id; by default the first person")
    tuesday = Words("the same on Tuesdays")
    wednesday = Words("the same on Wednesdays")
    thursday = Words("the same on Thursdays")
    friday = Words("the same on Fridays")
    saturday = Words("the same on Saturdays")
    sunday = Words("the same on Sundays")


class RemindersKeys:
    """What the keys of the reminders are."""

    style = Words("gentle, standard or all night")
    steps = Words(
        "which reminders to send: heads-up, now, again, next, everybody, hourly, bedtime, "
        "dawn; by default those of the style"
    )
    heads_up = Words("how long before lock-up the first reminder comes")
    everybody = Words(
        'when everybody is told, counted from when the door must be shut: ["10 min", "25 '
        'min", "40 min"]; by default those of the style'
    )
    bedtime = Words("the last reminder of the evening, unless all night")
    letout = Words(
        "reminder to let out: heat (on hot days only; the brief has the time of every day), "
        "gentle or loud (every day), or none"
    )
    brief = Words('time of the morning brief, or "none"')


class WrongPerson:
    """What is found, accepted and advised where a role and its days do not agree."""

    last_day = Words("the last day that a sitter is invited for, such as last_day = 2027-08-14")
    only_sitters = Words("days only for a sitter")
    write_sitter = Words('Write role = "sitter" if they are invited for some days.')
    after_the_first = Words("a day on or after the first")
