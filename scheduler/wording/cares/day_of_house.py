"""What is said of a house's day: its times, its lamp, its quarantine, its birds."""

from scheduler.wording.words import Words


class DayLabels:
    """What the times of a day are called, and how each is said."""

    no_birds = Words("No birds")
    tonight = Words("tonight")
    quarantine = Words("Quarantine")
    lamp = Words("Lamp")
    lamp_time = Words("{on} to {off}")
    let_out = Words("Let out")
    not_today = Words("not today")
    free_range = Words("Free range")
    ranges_from = Words("from {time}")
    no_range = Words("none")
    lock_up = Words("Lock up")
    shut_by = Words("Shut by")
    not_open = Words("The door must not be open after this ({why}).")
    others = Words("Others")


class LampWords:
    """What to do with the lamp, and for whom it is too long."""

    longer_weekly = Words(
        "Give them {hours} h of light in all, and an hour more each week up to {target} h. Never "
        "shorten the light of hens in lay."
    )
    keep_on = Words(
        "Keep it on until the days are long enough. Never shorten the light of hens in lay."
    )
    young_apart = Words(
        "{flock}: house them apart. Under {weeks} {weeks:week|weeks} old they need short days."
    )
    young_apart_until = Words(
        "{flock}: house them apart until {day}. Under {weeks} {weeks:week|weeks} old they need "
        "short days."
    )
    from_short_days = Words(
        "{flock} come from shorter days: house them apart, and lengthen their light by an hour a "
        "week."
    )
    from_short_days_until = Words(
        "{flock} come from shorter days: house them apart until {day}, and lengthen their light by "
        "an hour a week."
    )


class QuarantineWords:
    """Which day of a quarantine it is, and what it asks for."""

    day_of = Words("day {day} of {days}")
    again = Words("{days} {days:day|days} again after illness")
    count = Words("{day}/{days}")
    goes_on = Words("goes on")
    tend_last = Words("See to {flocks} last, with separate boots and tools.")
    apart_before = Words("No ranging, no mixing before {day}.")
    apart_for_now = Words("No ranging, no mixing for now.")
    ranges_and_mixes = Words("No ranging before {range_day}, no mixing before {mix_day}.")
    ranges_only = Words("No ranging before {range_day}, no mixing for now.")
    mixes_only = Words("No ranging for now, no mixing before {mix_day}.")
    starts_again = Words("The {days} {days:day|days} start again when the illness is over.")
    starts_again_once_ended = Words(
        "The {days} {days:day|days} start again when the illness is over: end its report then."
    )


class NoBirds:
    """Why no bird sleeps in a house."""

    come_on = Words("{flock} come on {day}.")
    none_lives = Words("No bird lives there.")
    away = Words("{away} {away:sleeps|sleep} elsewhere.")
    gone = Words("{gone} {gone:is|are} dead or given up for lost.")
    left = Words("All were sold or moved.")
    away_and_gone = Words(
        "{away} {away:sleeps|sleep} elsewhere and {gone} {gone:is|are} dead or given up for lost."
    )
    away_and_left = Words(
        "{away} {away:sleeps|sleep} elsewhere, and the others were sold or moved."
    )
    gone_and_left = Words(
        "{gone} {gone:is|are} dead or given up for lost, and the others were sold or moved."
    )
    away_gone_and_left = Words(
        "{away} {away:sleeps|sleep} elsewhere and {gone} {gone:is|are} dead or given up for lost, "
        "and the others were sold or moved."
    )


class UsualAir:
    """The average weather of a date."""

    nights_and_days = Words("nights {low}, days {high}")
