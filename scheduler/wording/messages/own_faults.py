"""Duskfold itself is not to be relied on: its disk, its clock, its sums."""

from scheduler.wording.words import Words


class OwnFaults:
    """Titles and bodies of what is wrong with the program, its disk or its clock."""

    no_database = Words("Duskfold cannot reach its database, so reminders go on from memory")
    no_database_body = Words(
        "Until it can, nothing you say about a door is saved, and each of its machines reminds by "
        "itself. Check the database's machine and the network between them."
    )
    no_disk = Words("Duskfold cannot write to its disk, so reminders go on from memory")
    no_disk_body = Words(
        "Until it can, nothing you say about a door is saved, and the reminders do not stop. "
        "Check the disk of Duskfold's machine: it may be full or write-protected."
    )
    cannot_plan = Words("No reminders for {names}: watch the door yourself")
    cannot_plan_body = Words(
        "Duskfold cannot work out this house's evening. That is a fault in the program."
    )
    recovered = Words("Duskfold's records were damaged: say again which doors are shut")
    from_copy = Words("It goes by the last nightly copy now. What was said since then is lost.")
    from_nothing = Words("There was no copy. Everything that was said so far is lost.")
    unknown_time = Words("Duskfold does not know what time it is: watch the door yourself")
    unknown_time_body = Words(
        "The clock of its machine shows a time that is already past. No reminders go out until it "
        "is right. You can still say that a door is shut."
    )
    said_ahead = Words(
        "Duskfold's clock was wrong, so what was said is taken back: look at the doors"
    )
    said_ahead_body = Words(
        "Its clock ran ahead and has been set back. Whatever was said in that time about doors, "
        "jobs, weather, predators or orders is taken back, and the reminders go on. Say it again "
        "where it is true."
    )
    doors_ahead = Words("Duskfold's clock was set back: say again which doors are shut")
    doors_ahead_body = Words(
        "Going by the time now, a door was said to be shut on an evening that is still to come. "
        "That does not count, and the reminders go on. Everything else that was said stands."
    )
    clock_ahead = Words("Is it {clock} on {day}? Duskfold's clock says so")
    clock_ahead_body = Words(
        "It is far ahead of what it showed when Duskfold last ran. Reminders go by it. If it "
        "is right, say so on the page Status. If not, set the clock of Duskfold's machine."
    )
    missed_evening = Words("No reminder went out on the evening of {day}")
    missed_evenings = Words("No reminders went out on {count} evenings since {day}")
    missed_body = Words(
        "Duskfold was off, or could reach nobody. Check that all is well, and count them."
    )
