"""What a calendar is called and what it shows, as calendar programs list it."""

from scheduler.wording.words import Words


class CalendarNames:
    """What a calendar of the site is called."""

    lockup = Words("lock-up")
    jobs = Words("jobs")
    seasons = Words("seasons")
    all = Words("everything")
    doors = Words("doors")


class CalendarAbouts:
    """What a calendar shows."""

    lockup = Words("When to let them out, when they range and when to lock up, by the sun.")
    jobs = Words("The jobs for each morning and evening.")
    seasons = Words("What changes with the season.")
    all = Words("Lock-ups, jobs and seasons together.")
    doors = Words("Lock-ups only.")
    house = Words("The times for this house only.")


class EventCategories:
    """Under which heading a calendar program sorts an event."""

    lock_up = Words("Lock-up")
    let_out = Words("Let-out")
    free_range = Words("Free range")
    evenings = Words("Evenings")
    jobs = Words("Jobs")
    seasons = Words("Seasons")


class EveningLink:
    """The line of a lock-up that leads to its page."""

    is_it_shut = Words("Is the door shut? Answer here: {link}")
