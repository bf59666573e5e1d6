"""What the page Subscribe says of each calendar."""

from scheduler.wording.words import Words


class SubscribeTitles:
    """What each is called."""

    lockup = Words("Evenings")
    jobs = Words("Jobs")
    seasons = Words("Seasons")
    all = Words("All in one")
    doors = Words("Lock-ups only")


class SubscribeContents:
    """What stands in each, where the page does not say it as the calendar itself does."""

    lockup = Words("When to let them out, when they range and when to lock up.")
    all = Words("Everything in one calendar.")
    doors = Words("When to shut the door, and nothing else.")
    house = Words("When to let out, range and lock up in this house only.")


class SubscribeNotes:
    """How far it reaches, and when it rings."""

    runs_to = Words("It runs to {day}.")
    rings = Words("It rings {minutes} {minutes:minute|minutes} before each lock-up.")


class BackupNotes:
    """Until when somebody's backup alarm rings."""

    lasts = Words("The one that you got last rings until {day}, if it is in your calendar.")
    ended = Words("The one that you got last ended on {day}.")
