"""What makes a job due, in a few words."""

from scheduler.wording.words import Words


class UpkeepDue:
    """How often a house's own floor, nests and drinkers ask."""

    stirring = Words("the moisture on your own floor: one to four times a week")
    top_up = Words("the moisture on your own floor: every 14, 28 or 56 days")
    nest_refresh = Words("hens per nest: twice a week where more than five share one, else weekly")
    drinker_look = Words("each evening while full drinkers would not last a day and a half")
    drinker_scrub = Words(
        "your drinkers: weekly, twice a week in warm weather; nipples half as often"
    )
    open_water = Words("each evening where water stands open")
    deep_clean = Words(
        "once a year, as nights warm past {degrees}, else fifteen weeks after midwinter"
    )
    clean_out = Words(
        "the moisture on your own floor over the year: once, three or five times besides the deep "
        "clean, before the frost and months apart"
    )


class YearDue:
    """The sun, the length of the day, the averages of the year, the clock."""

    sun = Words("each evening on which the sun passes {angle}°")
    day_rises = Words("the day length rises past {hours} h")
    day_falls = Words("the day length falls past {hours} h")
    low_rises = Words(
        "the average low rises past {degrees}, at least {apart} {apart:day|days} apart"
    )
    low_falls = Words(
        "the average low falls past {degrees}, at least {apart} {apart:day|days} apart"
    )
    high_rises = Words(
        "the average high rises past {degrees}, at least {apart} {apart:day|days} apart"
    )
    high_falls = Words(
        "the average high falls past {degrees}, at least {apart} {apart:day|days} apart"
    )
    nights_begin = Words(
        "one night in five may be at or below {degrees}; changes at least {apart} "
        "{apart:day|days} apart"
    )
    nights_end = Words(
        "fewer than one night in ten is at or below {degrees}; changes at least {apart} "
        "{apart:day|days} apart"
    )
    days_begin = Words(
        "one day in five may be at or above {degrees}; changes at least {apart} "
        "{apart:day|days} apart"
    )
    days_end = Words(
        "fewer than one day in ten is at or above {degrees}; changes at least {apart} "
        "{apart:day|days} apart"
    )
    clock = Words("the day before the clock changes")


class WeatherDue:
    """Weather as it is reported or forecast, else as is usual on the date."""

    frost_low = Words(
        "frost as you report it or as forecast, else dates on which one night in five is at or "
        "below {degrees}"
    )
    frost_high = Words(
        "frost as you report it or as forecast, else dates on which one day in five stays at or "
        "below {degrees}"
    )
    heat = Words(
        "heat as you report it or as forecast, else dates on which one day in five is at or above "
        "{degrees}"
    )
    damp_heat = Words(
        "heat as you report it or as forecast, else dates on which one day in five is at or above "
        "{degrees}, or at a heat index of {index} in damp air; where that is the rule, only beyond "
        "the usual"
    )
    usual_heat = Words(
        "heat as you report it or as forecast; every {days} {days:day|days} on dates on which one "
        "day in five is at or above {degrees}"
    )
    emergency = Words(
        "heat as you report it or as forecast, at or above {degrees} or a heat index of {index}; "
        "where that is the rule, from well above the average"
    )
    roof = Words("much snow on the roof, as forecast since the last thaw")
    wind = Words("gusts in which whole trees move, as forecast")
    report = Words("a report: duskfold {command} {kind}")


class FlockDue:
    """A flock's age, arrival, quarantine and first outing."""

    hatched = Words("a flock's hatch date")
    weeks_old = Words("{weeks} {weeks:week|weeks} after a flock's hatch date")
    daily = Words("every day, for {days} {days:day|days} from {start}")
    daily_longer = Words(
        "every day, for {days} {days:day|days} from {start}; {longest} where nights stay below "
        "{degrees}"
    )
    every = Words("every {every} {every:day|days}, for {days} {days:day|days} from {start}")
    every_longer = Words(
        "every {every} {every:day|days}, for {days} {days:day|days} from {start}; {longest} where "
        "nights stay below {degrees}"
    )
    arrived = Words("a flock's day of arrival")
    arrived_or_hatched = Words("a flock's day of arrival or hatching")
    after_arrival = Words("{days} {days:day|days} after a flock's day of arrival")
    after_arrival_or_hatching = Words(
        "{days} {days:day|days} after a flock's day of arrival or hatching"
    )
    quarantine = Words("each day of a bought flock's quarantine")
    quarantine_over = Words("the first day after a bought flock's quarantine")
    first_outing = Words(
        "the first day on which nothing keeps a flock in, after it came, moved or hatched here"
    )


class JoiningDue:
    """When newcomers see the others, meet them and move in."""

    moves = Words(
        "the first day on which a flock may sleep in the house of others, and again weekly for "
        "three weeks until it does"
    )
    sleeps = Words(
        "every day, for {days} {days:day|days} from when a flock moved in with others; where their "
        "lamp is on too long for it, it sleeps apart first"
    )
    sees = Words(
        "{weeks} {weeks:week|weeks} after a flock's hatch date; for a bought one, once its "
        "quarantine is over"
    )
    sees_daily = Words(
        "every day, for {days} {days:day|days} from {weeks} {weeks:week|weeks} after a flock's "
        "hatch date; for a bought one, once its quarantine is over"
    )
    meets = Words(
        "{weeks} {weeks:week|weeks} after a flock's hatch date; for a bought one, {seen} "
        "{seen:day|days} after they may be seen, once its quarantine is over"
    )
    meets_daily = Words(
        "every day, for {days} {days:day|days} from {weeks} {weeks:week|weeks} after a flock's "
        "hatch date; for a bought one, {seen} {seen:day|days} after they may be seen, once its "
        "quarantine is over; where they share a house, on the first of these days or when they "
        "joined"
    )


class OwnDue:
    """A keeper's own job: once, or so often, between days that are named."""

    once = Words("your own date: {day}")
    daily = Words("every day, counted from the day you added it, or last did it")
    daily_until = Words(
        "every day, counted from the day you added it, or last did it, until {last}"
    )
    daily_from = Words("every day from {first}, or from the day you last did it")
    daily_from_until = Words(
        "every day from {first}, or from the day you last did it, until {last}"
    )
    every = Words("every {days} {days:day|days}, counted from the day you added it, or last did it")
    every_until = Words(
        "every {days} {days:day|days}, counted from the day you added it, or last did it, until "
        "{last}"
    )
    every_from = Words("every {days} {days:day|days} from {first}, or from the day you last did it")
    every_from_until = Words(
        "every {days} {days:day|days} from {first}, or from the day you last did it, until {last}"
    )


class EveryDue:
    """So many days apart, in a part of the year or more often in one."""

    day = Words("every day")
    days = Words("every {days} {days:day|days}")
    while_it_is = Words("every {days} {days:day|days}, {while_it_is}")
    oftener = Words("every {days} {days:day|days}; more often {oftener_while}")
    oftener_while_it_is = Words(
        "every {days} {days:day|days}, {while_it_is}; more often {oftener_while}"
    )


class WhileDue:
    """A part of the year."""

    day_above = Words("while days are longer than {hours} h")
    day_below = Words("while days are shorter than {hours} h")
    low_above = Words("while the average low is above {degrees}")
    low_below = Words("while the average low is below {degrees}")
    high_above = Words("while the average high is above {degrees}")
    high_below = Words("while the average high is below {degrees}")
