"""What the commands answer by which somebody says something: eggs, jobs, weather, birds."""

from scheduler.wording.words import Words


class EggsScreen:
    """What `eggs` asks and answers."""

    many = Words("That is {eggs} eggs from {birds} {birds:bird|birds} in one day. Is it right?")
    noted = Words("Noted: {eggs} {eggs:egg|eggs} from {house}, {day}.")
    taken_back = Words("Taken back: {eggs} {eggs:egg|eggs} from {house}, {day}.")
    in_all = Words("That makes {eggs} that day.")


class JobsScreen:
    """What `jobs` shows and answers."""

    in_the_plan = Words("In the plan")
    off = Words("Off")
    not_known = Words("not known")
    waiting = Words("{why}: {jobs}.")
    more = Words(
        "To read about a job: duskfold why JOB. To switch one on or off, write in the profile: "
        "[cares.JOB] on = true, or on = false."
    )
    none_ticked = Words("No job has been ticked.")
    how_to_undo = Words("To take back a job's last tick: duskfold jobs undo JOB")
    ticked = Words("Taken back: {title}, which {who} ticked for {day} at {time}.")
    skipped = Words('Taken back: {title}, which {who} marked "not this time" for {day} at {time}.')
    who_skipped = Words("{who} (not this time)")


class JobsTable:
    """What stands above the columns of jobs and of ticks."""

    job = Words("job")
    what = Words("what")
    next = Words("next")
    how_often = Words("how often")
    of = Words("of")
    ticked_by = Words("ticked by")
    at = Words("at")


class WhyScreen:
    """What `why` shows."""

    label = Words("{label}:")


class ReportChanged:
    """What was done to a report, which stands after it in a few words."""

    end = Words("Ended: {report}.")
    over = Words("Over: {report}.")
    undo = Words("Taken back: {report}.")
    confirm = Words("Still in force: {report}.")
    again = Words("As it was before: {report}.")
    label = Words("Noted: {report}.")


class ReportsScreen:
    """What `weather` and `birds` answer about any report."""

    noted = Words("Noted as {number}: {report}.")
    nothing_changed = Words("Nothing was changed: {report}.")
    taken_back_before = Words(
        "Nothing was changed, because {who} already took it back on {day}: {report}."
    )
    how_to_go_back = Words("If that was wrong: duskfold {command} again {number}")
    until_midnight = Words("It stays in force until midnight tonight.")
    last_dose = Words(
        "That makes {day} the day of the last dose. If one was given today: "
        "duskfold birds again {number}, then duskfold birds end {number}"
    )
    other_order = Words("Order {number} is still in force: {report}.")


class ReportsTable:
    """What stands above the columns of reports."""

    number = Words("no.")
    reported = Words("reported")
    by = Words("by")


class WeatherScreen:
    """What `weather` shows and answers."""

    calendars = Words(
        "Subscribed calendars follow by themselves; files follow when you run `duskfold feed`."
    )
    none = Words("No weather, predator or order is reported.")
    of_birds = Words("To see what is reported of the birds: duskfold birds")
    still_in_force = Words(
        "Is order {number} still in force? If so: duskfold weather confirm {number}. "
        "If not: duskfold weather over {number}."
    )
    usual = Words("The average at this time of year: {usual}.")
    usual_estimated = Words("The average at this time of year: {usual} (estimated from latitude).")
    usual_mapped = Words(
        "The average at this time of year: {usual} (from the climate map, ±{off})."
    )


class MeasuredScreen:
    """What `weather` says of a thermometer."""

    noted = Words("Noted: {values} ({sensor}). It counts for the plan while the reminders run.")


class BirdsScreen:
    """What `birds` shows and answers."""

    read_the_label = Words(
        "When you have read the label: duskfold birds label {number} --eggs DAYS"
    )
    none = Words("No illness, medicine or broody hen is reported.")
    medicine_with_note = Words("{medicine} ({note})")


class DiaryScreen:
    """What `diary` shows."""

    nothing_of_that_kind = Words("The diary has nothing of that kind.")
    empty = Words("The diary is empty so far.")
    evening = Words("Evening of {day}")
    since = Words("{text} ({since})")
