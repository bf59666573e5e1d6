"""The messages of the day: the brief, let out, heat, free-range time."""

from scheduler.wording.words import Words


class Morning:
    """The morning brief."""

    lock_up_and_jobs = Words("Today: lock up at {at}, {jobs}")
    jobs_only = Words("Today: {jobs}")
    to_look_at = Words("{title}; {count} {count:thing needs|things need} a look")
    jobs = Words("{count} {count:job|jobs}, {minutes} min")
    no_jobs = Words("no jobs")
    new_today = Words("New today: {changes}.")
    more_lines_page = Words("And {count} more lines: open Today.")
    more_lines_plan = Words("And {count} more lines: the rest is in today's plan.")
    stem = Words("Today at {site}")
    cannot_rely = Words("Do not rely on the reminders now. {why}")


class Restarted:
    """There was a restart, and what it may have upset."""

    restarted = Words("Duskfold was restarted, perhaps by a power cut.")
    look_at = Words("Duskfold was restarted, perhaps by a power cut. Check {things}.")
    lamp = Words("the lamp's timer")
    heated_drinkers = Words("the heated {drinkers}")
    netting = Words("the electric netting")
    door = Words("the automatic door")


class LetOut:
    """The door is to be opened."""

    at = Words("Let out {names} at {at}")
    hot = Words("Let out {names} at {at}: it will be hot today")
    open_now = Words("A shut house in the sun can kill: open it now.")
    good_morning = Words("Good morning.")
    kept_in = Words("Hot today, and they stay in: open every vent of {names}")
    kept_in_body = Words(
        "A shut house in the sun can kill. Open every vent, shade the roof, give cool water, and "
        "look again at midday. If it cannot be kept cool, ask a vet or whoever gave the order."
    )


class FreeRange:
    """Free-range time begins."""

    now = Words("Free range now: {names}, call them in at {call_in}")
    body = Words("Stay in sight. Call them in at {call_in}, lock up at {lock_up}.")


class Eggs:
    """Whether eggs may be eaten."""

    stem = Words("Eggs")
    long_body = Words("{title}. {body}")
