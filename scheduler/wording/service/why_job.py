"""Why a job or a time of the day is what it is: labels and texts of its rows."""

from scheduler.wording.words import Words


class WhyLabels:
    """What each row is about."""

    job = Words("Job")
    off = Words("Off")
    on_that_day = Words("On that day")
    next = Words("Next")
    why = Words("Why")
    due_by = Words("Due by")
    source = Words("Source")
    climate = Words("Climate")
    reported = Words("Reported")
    averages = Words("Averages")
    to_change = Words("To change")
    set_by = Words("Set by")
    shut_by = Words("Shut by")
    sunrise = Words("Sunrise")
    sunset = Words("Sunset")
    civil_dusk = Words("Civil dusk")
    angle = Words("Angle")
    after_sunset = Words("After sunset")
    cap = Words("Cap")
    bounds = Words("Bounds")


class WhyJob:
    """Of a job: what it is called, when it is due, what its rule and source are."""

    job = Words("{job} ({minutes} min, {round})")
    of_house = Words("{job} ({house})")
    why_in_house = Words("{house}: {why}")
    off = Words("It is not in your plan.")
    switch_on = Words("not in your plan. To switch it on: {table} on = true")
    due = Words("due")
    not_due = Words("not due")
    not_this_year = Words("not in the coming year")
    source_read = Words("{source} (the source was read)")


class FloorAsks:
    """What the bedding of a house's floor asks for."""

    stir = Words("{water} of water a day on {area}: stir it {times} a week")
    stir_unmeasured = Words(
        "the floor has not been measured: stir it weekly, and twice a week in the cold"
    )
    stir_no_birds = Words("no birds live there: stir it weekly, and twice a week in the cold")
    top_up = Words("{water} of water a day on {area}: top it up every {days} {days:day|days}")
    top_up_unmeasured = Words("the floor has not been measured: top it up every 28 days")
    top_up_no_birds = Words("no birds live there: top it up every 28 days")
    clean_out = Words("{water} of water a day on {area} over the year: clean it out {times} a year")
    clean_out_unmeasured = Words("the floor has not been measured: clean it out twice a year")
    clean_out_no_birds = Words("no birds live there: clean it out twice a year")


class HowOften:
    """How often, before "a week" or "a year"."""

    once = Words("once")
    twice = Words("twice")
    times = Words("{number} {number:time|times}")


class DrinkersHold:
    """How much the drinkers of a house hold, beside what its birds need."""

    known = Words("The {drinkers} hold {volume}. The birds need {need} a day.")
    unknown = Words("Nobody has said how much the {drinkers} hold. The birds need {need} a day.")


class WhyTime:
    """Of a time of the day: what it is, and what sets it."""

    no_birds = Words("no birds tonight")
    no_birds_because = Words("no birds tonight. {why}")
    lock_up = Words("lock up {time}")
    let_out = Words("let out {time}")
    free_range = Words("free range {time}")
    shut_by = Words("{time} ({why})")
    below_horizon = Words(
        "{degrees}° below the horizon (4° below is about 20 lux under a clear sky)"
    )
    above_horizon = Words(
        "{degrees}° above the horizon (4° below is about 20 lux under a clear sky)"
    )
    minutes = Words("{minutes} min")
    no_cap = Words("none")
    no_bounds = Words("none")
    not_before = Words("not before {time}")
    not_after = Words("not after {time}")
    between = Words("not before {first}, not after {last}")
    never_high = Words("never, because the sun stays too high")
    never_low = Words("never, because the sun stays too low")


class LockUpBasisNames:
    """What set the time of the lock-up, in a word or two."""

    angle = Words("angle")
    sunset_offset = Words("sunset offset")
    visible_sunset = Words("visible sunset")
    civil_dusk = Words("civil dusk")
    cap = Words("cap")
    not_after = Words("not after")
    not_before = Words("not before")
    predator = Words("predator")
    moved = Words("the move")
    fallback = Words("fallback")


class ToChange:
    """What somebody can set about it, and where."""

    in_profile = Words("That is set in the profile, where Duskfold runs.")
    job = Words("You can set its minutes, its time of day and its words, or leave it out.")
    job_and_often = Words(
        "You can set how often it comes, its minutes, its time of day and its words, or leave it "
        "out."
    )
    job_keys = Words("{table} minutes, round, text, or on = false")
    job_and_often_keys = Words('{table} every = "5 days", minutes, round, text, or on = false')
    lock_up = Words("You can set the angle, the minutes after sunset, the cap and the bounds.")
    let_out = Words("You can set how long after dawn or sunrise they are let out, and bounds.")
    free_range = Words("You can set when they range. Reports, arrivals and orders come first.")
    free_range_keys = Words("ranging under [[coop]]. Reports, arrivals and orders come first.")


class JobMeant:
    """Which jobs somebody may have meant."""

    did_you_mean = Words("Did you mean {jobs}?")
    job = Words("{id} ({title})")
