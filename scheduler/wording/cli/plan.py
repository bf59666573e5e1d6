"""What `today`, `week`, `light` and `year` show."""

from scheduler.wording.words import Words


class Spans:
    """How long something takes or lasts, in a table."""

    minutes = Words("{minutes} min")
    hours = Words("{hours} h")


class TodayScreen:
    """What `today` says of a day."""

    heading = Words("{site}, {day}")
    unsaid = Words(
        "{house}: nobody said that the door was shut last night. Count them. If it was, say so: "
        "duskfold closed --evening {day}"
    )
    order = Words("A housing order began on {day}. Is it still in force? Say so: duskfold weather")
    give_climate = Words("{estimated} Give your own under [climate].")
    birds = Words("{house}: {birds}")
    birds_of_profile = Words("{house}: {birds} in the profile")
    nobody = Words("{house}: nobody yet")
    nobody_of_profile = Words("{house}: nobody yet in the profile")


class RoundHeading:
    """What stands above the jobs of a part of the day."""

    morning = Words("Morning jobs, {time}, {minutes} min")
    midday = Words("Midday jobs, {time}, {minutes} min")
    evening = Words("Evening jobs, {time}, {minutes} min")


class OtherBirds:
    """Why others may be in than the profile has."""

    more = Words("{birds} more {birds:lives|live} there")
    fewer = Words("{birds} fewer {birds:lives|live} there")
    gone = Words("{birds} dead or given up for lost")
    away = Words("{birds} {birds:sleeps|sleep} elsewhere")
    so_expected = Words("{why}: {birds} expected.")
    amiss = Words("{missing}.")
    counted_amiss = Words("{birds} in, {missing}.")
    since = Words("{missing}. Found, dead or given up?")
    since_expected = Words("{missing}: {birds} expected. Found, dead or given up?")


class DayTable:
    """What stands above the columns of a day's times."""

    date = Words("date")
    house = Words("house")
    sunrise = Words("sunrise")
    let_out = Words("let out")
    range_from = Words("range from")
    sunset = Words("sunset")
    lock_up = Words("lock up")
    shut_by = Words("shut by")
    set_by = Words("set by")
    jobs = Words("jobs and lock-up")


class WeatherTable:
    """What stands above the columns of a week's weather."""

    night_to_day = Words("night to day")
    wind_and_snow = Words("wind and snow")
    jobs = Words("jobs it brings")
    source = Words("where from")


class WeekScreen:
    """What `week` says of a day."""

    no_range = Words("none")
    birds = Words("{day}: {sentence} {text}")
    season = Words("{day}: {title}. {why}")


class LightScreen:
    """What `light` says of a house and a day."""

    heading = Words("{house}, {site} ({zone})")
    day = Words("{weekday} {date}")
    no_birds = Words("no birds")
    stays_up = Words("stays up")
    stays_down = Words("stays down")
    no_range = Words("({why})")


class SetBy:
    """What has set a lock-up, in a word or two."""

    angle = Words("sun's angle")
    sunset_offset = Words("sunset")
    visible_sunset = Words("hill")
    civil_dusk = Words("civil dusk")
    cap = Words("bedtime")
    not_after = Words("your limit")
    not_before = Words("your limit")
    predator = Words("predator")
    moved = Words("the move")
    fallback = Words("clock")


class NoRangeBecause:
    """Why there is no free range, in a word or two."""

    no_birds = Words("no birds")
    housing_order = Words("housing order")
    on_heat = Words("under heat")
    quarantine = Words("quarantine")
    run_only = Words("run only")
    predator = Words("predator")
    ill_birds = Words("ill birds")
    storm = Words("storm")
    too_young = Words("too young")
    age_unknown = Words("age unknown")
    newly_moved = Words("newly moved")
    moved_here = Words("moved here")
    behind_wire = Words("behind wire")
    no_sunset = Words("no sunset")
    too_late = Words("too late")


class YearScreen:
    """What `year` says of a month."""

    heading = Words("{site}, {first} to {last}")
    lock_up = Words("lock up")
    day = Words("day")
    a_week = Words("a week")
    changes = Words("changes")
    times = Words("{earliest} to {latest}")
    change = Words("{day} {short}")
