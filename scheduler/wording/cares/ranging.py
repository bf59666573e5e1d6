"""What is said of free-range time, and why there is none."""

from scheduler.wording.words import Words


class FreeRangeTime:
    """What free-range time there is."""

    all_day = Words("Out all day. Call them in with feed at {time}.")
    supervised = Words("Stay in sight until the door is latched. Call them in with feed at {time}.")


class NoFreeRange:
    """Why there is none."""

    no_birds = Words("There are no birds here.")
    run_only = Words("They stay in the run.")
    order = Words("They stay in the house: a housing order is in force.")
    order_in_run = Words("They stay in the covered run: a housing order is in force.")
    on_heat = Words(
        "They are under {heat_weeks} {heat_weeks:week|weeks} old: they stay where it is warm."
    )
    quarantine = Words(
        "They stay in the run: they are in quarantine for {quarantine_days} "
        "{quarantine_days:day|days}."
    )
    predator = Words("They stay in: a predator got at them.")
    ill_birds = Words(
        "All houses stay in the run: ill birds were noted, with signs that may have to be "
        "reported. Once that is cleared up, end the report."
    )
    storm = Words("They stay in: a storm is on its way.")
    too_young = Words(
        "They stay in the run: some birds are under {range_weeks} {range_weeks:week|weeks} old."
    )
    age_unknown = Words(
        "They stay in: nobody has said how old the young ones are. Say when they hatched, or "
        "their age."
    )
    newly_moved = Words(
        "For {settling_days} {settling_days:day|days} after birds move in, all stay in the run."
    )
    moved_here = Words(
        "They moved here on {moved}: kept in until {until} so that they learn where home is."
    )
    behind_wire = Words(
        "They stay in the run until they have seen the others through wire for {meeting_days} "
        "{meeting_days:day|days}."
    )
    behind_wire_until = Words("Not out of the run before {day}: first they get to know the others.")
    no_sunset = Words("No free-range time: there is no sunset today.")
    too_late = Words("No free-range time: bedtime comes before the last hour of sun.")
