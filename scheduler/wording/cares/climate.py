"""What is said of frost and heat as the year goes at a place, and as forecast."""

from scheduler.wording.words import Words


class FrostAhead:
    """Of the nights of a week."""

    nights = Words("Frost possible on {nights} of {days} {days:night|nights} (20 % or more).")


class FrostDates:
    """Of the first and the last frost of a winter."""

    first = Words(
        "One year in two, the first frost comes before {usual} (one in ten: before {early})."
    )
    last = Words("One year in two, the last frost comes after {usual} (one in ten: after {late}).")


class StandingHeat:
    """Where heat is the rule."""

    all_year = Words(
        "Heat is the rule here: keep shade, two {drinkers} and open vents all the time. Duskfold "
        "only speaks up on days that are hotter than usual."
    )
    season = Words(
        "From {first} to {last} heat is the rule here: keep shade, two {drinkers} and open vents "
        "all that time. Duskfold only speaks up on days that are hotter than usual."
    )
