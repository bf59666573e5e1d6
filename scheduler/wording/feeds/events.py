"""The titles and texts of the events of a calendar."""

from scheduler.wording.words import Words


class EventTitles:
    """What the title of a free-range time ends with."""

    from_to = Words("{start} to {end}")


class LockUpEvent:
    """What is done at lock-up, and by when."""

    count = Words("Count them: {birds}.")
    birds_of_house = Words("{birds} in {house}")
    shut = Words("Shut and latch the door.")
    shut_every = Words("Shut and latch every door.")
    check = Words("Check that the door has closed.")
    check_every = Words("Check that every door has closed.")
    shut_and_check = Words(
        "Shut and latch the doors. Check that the automatic door has closed.",
    )
    shut_by = Words("Shut by {time} ({reason}).")
    of_houses = Words("{houses}: {reason}")


class OutEvents:
    """What is done at let-out and in free-range time."""

    look = Words("Look at every bird as it comes out.")
    run_only = Words("Let them into the run only.")
    unwatched = Words("If nobody can stay with them, there is no free range today.")


class JobsTitles:
    """What the jobs of a walk are called, by the part of the day."""

    morning = Words("Morning jobs")
    midday = Words("Midday jobs")
    evening = Words("Evening jobs")


class JobsEvent:
    """What is done on a walk, how long it takes, and why."""

    minutes = Words("{minutes} min")
    job = Words("{job} ({minutes} min)")
    why = Words("Why {job}: {reason}")


class SeasonEvent:
    """A change of season, and a calendar that is empty."""

    takes = Words("It takes about {minutes} min.")
    nothing = Words("Nothing to show in these weeks")
    works = Words("This calendar works. There is just nothing to put in it at the moment.")
