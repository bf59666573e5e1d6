"""What the keys of the site and its climate are."""

from scheduler.wording.words import Words


class SiteKeys:
    """What the keys of the site are."""

    name = Words("what you call the place")
    latitude = Words("degrees north, negative in the south")
    longitude = Words("degrees east, negative in the west")
    zone = Words('time zone such as "Europe/Paris"; worked out from the place when left out')
    elevation = Words(
        "height above sea level; when left out, the mean height of the land around is used"
    )
    west_horizon = Words("height of the hill or trees the sun sets behind, in degrees")
    east_horizon = Words("height of the hill or trees the sun rises behind, in degrees")
    region = Words("whose words and gallons you use: US, UK, EU, AU or other")


class ClimateKeys:
    """What the keys of the climate are."""

    coldest_month_low = Words("average night low of the coldest month")
    warmest_month_high = Words("average day high of the warmest month")
    lows = Words("average night low of each month, January first")
    highs = Words("average day high of each month, January first")
    humidity = Words("average relative humidity, one figure or twelve")


class WrongPlace:
    """What is found, accepted and advised where a place cannot be meant."""

    antarctica = Words("{latitude}, which is in Antarctica")
    inhabited = Words("a latitude from {least} to 90")
    swapped = Words("Are the two swapped? latitude = {latitude}, longitude = {longitude}")
    sign = Words("Is the sign right?")


class WrongZone:
    """What is found, accepted and advised where a time zone does not belong to the place."""

    away = Words("{zone}, {hours} h away from longitude {longitude}")
    near = Words("a time zone within {hours} h of the sun at that place")
    swapped = Words("Are latitude and longitude swapped? East is positive.")
    sign = Words("Is the sign of the longitude right? East is positive.")


class WrongClimate:
    """What is found and accepted where a year's averages do not agree."""

    half_a_pair = Words("only one of a pair")
    pairs = Words("coldest_month_low with warmest_month_high, or lows with highs")
    both = Words("both")
    one_of_both = Words("the two figures or the twelve, not both")
    values = Words("{values} {values:value|values}")
    twelve = Words("twelve values, January first")
    winter_above_summer = Words("a winter low that is not below the summer high")
    low_above_high = Words("a low of {low} °C above the high of {high} °C")
    low_below_high = Words("a low that is below the high")
