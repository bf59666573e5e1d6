"""What the keys of the site and its climate are."""

from scheduler.wording.words import Words


class SiteKeys:
    """What the keys of the site are."""

    name = Words("what you call the place")
    latitude = Words("degrees north, negative in the south")
    longitude = Words("degrees east, negative in the west")
    zone = Words('time zone such as "Europe/Paris"; worked out from the place when left out')
    elevation = Words("height above sea level; cools the estimated climate")
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
