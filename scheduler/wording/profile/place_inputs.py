"""What is said beside each input about the place, its climate and the weather there."""

from scheduler.wording.words import Words


class ProfileLabels:
    """What the keys outside of any table are called."""

    units = Words("Units")


class ProfilePurposes:
    """What the keys outside of any table are for."""

    units = Words("Sizes, weights and temperatures are told in these.")


class UnitsChoices:
    """The units that can be chosen."""

    metric = Words("metric: metres, litres, kilograms and °C")
    us = Words("US: feet, gallons, pounds and °F")
    uk = Words("UK: feet, litres, kilograms and °C")


class SiteLabels:
    """What the keys of the site are called."""

    name = Words("What you call the place")
    latitude = Words("Latitude")
    longitude = Words("Longitude")
    zone = Words("Time zone")
    elevation = Words("Height above the sea")
    west_horizon = Words("Horizon to the west")
    east_horizon = Words("Horizon to the east")
    region = Words("Region")


class SiteMeasures:
    """How to find out what the keys of the site ask for."""

    latitude = Words("Your phone's map shows it when you hold a finger on the birds' house.")
    longitude = Words("Your phone's map shows it behind the latitude.")
    elevation = Words(
        "Read it off a map with contour lines or your phone's compass. A few storeys of a house "
        "more or less make no difference."
    )
    west_horizon = Words(
        "Stand at the house and look where the sun goes down. Stretch out your arm: a fist above "
        "level ground is about 10 degrees, a finger about 2. Count up to the top of the trees or "
        "the hill."
    )
    east_horizon = Words(
        "As to the west, but where the sun comes up: a fist at arm's length is about 10 degrees, a "
        "finger about 2."
    )


class SitePurposes:
    """What the keys of the site are for."""

    latitude = Words("The times of dawn and dusk depend on it.")
    longitude = Words("The times of dawn and dusk depend on it.")
    zone = Words("All times are told by this clock.")
    elevation = Words("It is colder higher up: frost and heat are expected by it.")
    west_horizon = Words("It says when the sun is out of sight in the evening.")
    east_horizon = Words("It says when the sun comes into sight in the morning.")
    region = Words("It decides on words, gallons and how times are written.")


class RegionChoices:
    """The regions that can be chosen."""

    US = Words("United States")
    UK = Words("United Kingdom")
    EU = Words("European Union")
    AU = Words("Australia")
    other = Words("somewhere else")


class ClimateLabels:
    """What the keys of the climate are called."""

    coldest_month_low = Words("Nights in the coldest month")
    warmest_month_high = Words("Days in the warmest month")
    lows = Words("Nights, month by month")
    highs = Words("Days, month by month")
    humidity = Words("Humidity, for the year or month by month")


class ClimateMeasures:
    """Where to find the keys of the climate."""

    coldest_month_low = Words("The average low of that month, from a climate table of your town.")
    warmest_month_high = Words("The average high of that month, from a climate table of your town.")
    lows = Words("Twelve average lows from a climate table of your town, January first.")
    highs = Words("Twelve average highs from a climate table of your town, January first.")
    humidity = Words("In per cent: one figure, or twelve from a climate table, January first.")


class ClimatePurposes:
    """What the keys of the climate are for."""

    coldest_month_low = Words("Frost is expected by it, not by the map that comes with Duskfold.")
    warmest_month_high = Words("Heat is expected by it, not by the map that comes with Duskfold.")
    lows = Words("Frost is expected by them, not by the map that comes with Duskfold.")
    highs = Words("Heat is expected by them, not by the map that comes with Duskfold.")
    humidity = Words("How fast the house dries out is reckoned with it.")


class ForecastLabels:
    """What the keys of the forecast are called."""

    sources = Words("Weather services that may be asked")
    rounding = Words("How exactly they learn the place")
    contact = Words("How a service reaches you")


class ForecastPurposes:
    """What the keys of the forecast are for."""

    sources = Words("The first is asked first. With none, no place leaves your server.")
    rounding = Words("The place is rounded to so many degrees before it is sent.")
    contact = Words(
        "An email address or page that is sent along, in case something is wrong with the requests."
    )


class SourcesChoices:
    """The services that can be chosen."""

    met_norway = Words("MET Norway")
    open_meteo = Words("Open-Meteo")
    us_nws = Words("US National Weather Service")


class RoundingChoices:
    """How exactly a place can be told."""

    near = Words("to about 1 km")
    wide = Words("to about 11 km")


class SensorLabels:
    """What the keys of a thermometer are called."""

    name = Words("What you call the thermometer")
    where = Words("Where it hangs")
    coop = Words("The house it hangs in")
    file = Words("The file it writes to")


class SensorPurposes:
    """What the keys of a thermometer are for."""

    where = Words("Outside it tells frost and heat, in a house how warm the birds have it.")
    file = Words("The whole path on the server. It is only read.")


class WhereChoices:
    """Where a thermometer can hang."""

    outside = Words("outside")
    coop = Words("in a house")
