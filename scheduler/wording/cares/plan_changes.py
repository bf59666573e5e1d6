"""What a report changes in the plan."""

from scheduler.wording.words import Words


class PlanChanges:
    """What comes, goes or moves."""

    job = Words("{job} ({round}, {days}).")
    job_still = Words("{job} (still to do today).")
    job_still_then = Words("{job} (still to do today, then {round}, {days}).")
    no_longer = Words("No longer: {job} ({round}, {days}).")
    no_range = Words("No free range {days}.")
    no_let_out = Words("No let-out {days}: the run has no roof.")
    lock_up = Words("Lock up at {time} instead of {before} on the first day ({days}).")


class PlanStays:
    """Why nothing changes."""

    over = Words("Nothing changes in the plan: those days are over.")
    heat_begins = Words("Nothing changes in the plan: shade and water for heat begin at {degrees}.")
    frost_begins = Words("Nothing changes in the plan: checks for ice begin at {degrees}.")
    also_reported = Words("This alone changes nothing in the plan. Also reported: {reports}.")
    says = Words("{report} (says {who})")
    on_heat = Words("Nothing changes in the plan: the chicks are under heat. Go by how they lie.")
    all_there = Words("Nothing changes in the plan: it was all there already.")


class RunOfDays:
    """Days one after another."""

    from_day = Words("from {first} on")
    from_today = Words("from today on")
    from_to = Words("{first} to {last}")
    today_to = Words("today to {last}")
    today = Words("today")


class Rounds:
    """The rounds of a day."""

    morning = Words("morning")
    midday = Words("midday")
    evening = Words("evening")
