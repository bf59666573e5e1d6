"""The backup alarm: what a calendar says that needs nothing of Duskfold any more."""

from scheduler.wording.words import Words


class BackupAlarm:
    """Its name, its title, and what each evening of it says."""

    name = Words("backup alarm")
    about = Words(
        "Asks every evening whether the door is shut, also when Duskfold is dead. It runs to {day}."
    )
    title = Words("Is the door shut?")
    shut_by = Words("Shut by {time}.")
    all_shut_by = Words("Every door shut by {time}.")
    look = Words("If you have not heard that it is shut, go and look.")
    good_evenings = Words(
        "This alarm rings on good evenings, too: it lies in your calendar and cannot know what "
        "anybody has said. If the door is shut, there is nothing to do."
    )
    runs_to = Words(
        "It was made by Duskfold on {made} and rings for the last time on {day}. Get a new one on "
        "the page Subscribe before then."
    )
    last = Words(
        "It was made by Duskfold on {made}, and this is its last evening. Get a new one on the "
        "page Subscribe."
    )
