"""Duskfold itself is not to be relied on: its disk, its clock, its sums."""

from scheduler.wording.words import Words


class OwnFaults:
    """Titles and bodies of what is wrong with the program, its disk or its clock."""

    no_database = Words("Duskfold cannot reach its database; reminders go on from memory")
    no_database_body = Words(
        "Until it can, nothing you say of a door is kept, and each of its machines reminds by "
        "itself. Look at the database's machine and at the network between them."
    )
    no_disk = Words("Duskfold cannot write to its disk; reminders go on from memory")
    no_disk_body = Words(
        "Until it can, nothing you say of a door is kept, and the reminders do not stop. Look "
        "at the disk of Duskfold's machine: it may be full, or may not be written."
    )
    cannot_plan = Words("Watch the door yourself: {names}, no reminders for it")
    cannot_plan_body = Words(
        "Duskfold cannot work out this house's evening. That is a fault of the program."
    )
    recovered = Words("Duskfold's records were damaged; open evenings are told again")
    from_copy = Words("The last nightly copy is in use: what was said since then is not known.")
    from_nothing = Words("There was no copy: nothing said so far is known.")
    unknown_time = Words("Duskfold does not know what time it is: watch the door yourself")
    unknown_time_body = Words(
        "The clock of its machine stands before a time it has already seen. No reminders go "
        "out until it is set. You can still confirm a door."
    )
    said_ahead = Words("Nothing said while Duskfold's clock was wrong counts: look at the doors")
    said_ahead_body = Words(
        "Its clock ran ahead and has been set back. Whatever was said in that time, of doors "
        "and jobs or of weather, predators and orders, is taken back, and the reminders go on: "
        "say it again where it is true."
    )
    doors_ahead = Words("Duskfold's clock was set back: say again which doors are shut")
    doors_ahead_body = Words(
        "By what it shows now, a door was said to be shut on an evening that is still to come. "
        "That does not count, and the reminders go on. Everything else that was said stands."
    )
    clock_ahead = Words("Is it {clock} on {day}? Duskfold's clock says so")
    clock_ahead_body = Words(
        "It is far ahead of what it showed when Duskfold last ran. Reminders go by it. If it "
        "is right, say so on the Status page; if not, set the clock of Duskfold's machine."
    )
    missed_evening = Words("No reminder went out on the evening of {day}")
    missed_evenings = Words("No reminders went out on {count} evenings since {day}")
    missed_body = Words(
        "Duskfold was off, or could reach nobody. Look whether all is in order, and count."
    )
