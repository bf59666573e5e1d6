"""What is said beside each input about jobs."""

from scheduler.wording.words import Words


class RoundsLabels:
    """What the keys of the walks to the house are called."""

    weekly_day = Words("Day for weekly jobs")
    lines = Words("Lines on a list, at most")
    keen = Words("Jobs for the keen, too")


class RoundsPurposes:
    """What the keys of the walks to the house are for."""

    lines = Words("Further jobs share the last line.")
    keen = Words("They are good for the birds, but nobody has to do them.")


class WeeklyDayChoices:
    """The days of the week."""

    monday = Words("Monday")
    tuesday = Words("Tuesday")
    wednesday = Words("Wednesday")
    thursday = Words("Thursday")
    friday = Words("Friday")
    saturday = Words("Saturday")
    sunday = Words("Sunday")


class CareChangeLabels:
    """What the keys of a change to a job are called."""

    on = Words("You do this job")
    every = Words("How often")
    minutes = Words("Minutes it takes")
    round = Words("When in the day")
    text = Words("In your own words")


class CareChangePurposes:
    """What the keys of a change to a job are for."""

    on = Words("Switched off, it is on no list.")
    every = Words("Left empty, it comes as often as usual.")


class OwnCareLabels:
    """What the keys of a job of one's own are called."""

    name = Words("The job in a few words")
    every = Words("How often")
    on = Words("Once, on")
    first = Words("From")
    last = Words("Until")
    minutes = Words("Minutes it takes")
    round = Words("When in the day")
    why = Words("Why it is done")


class OwnCarePurposes:
    """What the keys of a job of one's own are for."""

    every = Words("Counted from the day it was last done.")
    on = Words("Instead of saying how often.")
    first = Words("The first day on which it is due.")
    last = Words("The last day on which it may be due.")
    why = Words("It stands below the job.")


class TimeOfDayChoices:
    """When in the day a job can be done."""

    morning = Words("in the morning")
    midday = Words("at midday")
    evening = Words("in the evening")
