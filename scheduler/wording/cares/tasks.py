"""What a job says beyond the catalogue: of its day, its birds and its house."""

from scheduler.wording.words import Words


class TaskWords:
    """What stands in a text of the catalogue, or after it."""

    estimated = Words("Temperatures estimated from latitude.")
    mapped = Words("Temperatures from the climate map, ±{off}.")
    not_chicks = Words("(not the chicks')")
    from_house = Words("from {house}")
    forward = Words("forward")
    back = Words("back")
    either_way = Words("forward or back")
    any_flock = Words("the flock")
    not_needed = Words("{job} (not needed: {degrees})")
    own_source = Words("the keeper's own")


class OwnInTasks:
    """What only the day and its own birds or house tell of a job."""

    outing = Words("{job}, {out} to {back}")
    sleep_apart_title = Words("Let {flock} sleep apart until {day}; an hour more light a week")
    sleep_apart_short = Words("sleep apart")
    sleep_apart_why = Words(
        "{house} is lit, and they come from shorter days: let them sleep apart, and lengthen their "
        "light by an hour a week first."
    )
    by_day_together = Words("By day they may be with the others from {day} on.")
    eggs_title = Words("{job}: not to be eaten {until}")
    eggs_short = Words("{job} not to be eaten")
    eggs_short_perhaps = Words("{job} perhaps not to be eaten")


class KnownLater:
    """Until when nobody knows a job's next day."""

    illness = Words("not known until the report of the illness is ended")
    order = Words("not known until the report of the housing order is ended")
