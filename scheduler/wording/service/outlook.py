"""The weather of a day as it is looked at: its values, and where each is from."""

from scheduler.wording.words import Words


class OutlookValues:
    """A value, or a night and the day after it; an average is only about right."""

    night_to_day = Words("{low} to {high}")
    about_night_to_day = Words("about {low} to {high}")
    about = Words("about {value}")
    gusts = Words("gusts {speed}")
    snow = Words("snow {depth}")


class OutlookFrom:
    """Where a value is from, and how old it is where that is much."""

    forecast = Words("forecast of {at}, {service}")
    old_forecast = Words("forecast of {at}, {service}, {hours} hours old")
    forecast_at = Words("forecast of {at}")
    measured = Words("measured at {at}")
    told = Words("reported at {at}")
    told_once = Words("reported")
    climate = Words("usual for the date")
    on_a_day = Words("{weekday} {time}")


class OutlookOf:
    """Which value is from where, on a day whose values are from several."""

    low = Words("night: {source}")
    high = Words("day: {source}")
    gusts = Words("gusts: {source}")
    snow = Words("snow: {source}")


class NightAndDay:
    """The next low and the next high, in a line each."""

    tonight = Words("{value} tonight ({source})")
    today = Words("{value} today ({source})")
    tomorrow = Words("{value} tomorrow ({source})")


class NoForecast:
    """Why the year's averages stand in for a forecast."""

    not_asked = Words("Duskfold has no forecast, so it goes by the average until you tell it more.")
    none_now = Words(
        "There is no forecast at the moment, so Duskfold goes by the average until one comes."
    )
    none_since = Words("No forecast since {at}: the year's averages stand in.")


class OfficialWarnings:
    """A warning, in its sender's own words."""

    quoted = Words("Official warning from {sender}: “{headline}”")


class WeatherGaps:
    """Why a service or a thermometer is not used at the moment."""

    service = Words("No new forecast from {service}: {why}.")
    warnings = Words("No new warnings from {service}: {why}.")
    ending = Words("{service} still gives forecasts, but {why}. Look for a newer version.")
    sensor = Words("The thermometer {sensor} is not used: {why}.")
