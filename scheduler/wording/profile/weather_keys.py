"""What the keys of the forecast and of the keeper's own thermometers are."""

from scheduler.wording.words import Words


class ForecastKeys:
    """What the keys of the forecast are."""

    sources = Words(
        "the services that may be asked, the one you prefer first: met-norway, open-meteo, "
        "us-nws; [] if none may"
    )
    rounding = Words(
        "to how many degrees the place is rounded before it is sent: 0.01 (about 1 km) or 0.1 "
        "(about 11 km)"
    )
    contact = Words(
        "an email address or https page that is sent along, by which the service reaches you if "
        "something is wrong with the requests"
    )


class SensorKeys:
    """What the keys of a thermometer are."""

    name = Words("what you call the thermometer")
    where = Words("outside, or coop")
    coop = Words("the house it hangs in, where that is coop; the only one when left out")
    file = Words("the file that it writes to, with its whole path")


class WrongForecast:
    """What is found and accepted where a forecast's keys cannot be used."""

    services = Words('a list such as ["met-norway"], or [] for no forecast')
    in_brackets = Words("Write it in brackets.")
    twice = Words("{service} again")
    once = Words("each service once")
    rounding = Words("0.01 or 0.1")
    contact = Words('an email address or a page such as "https://hens.example.org"')
    secure = Words("It must begin with https://.")


class WrongSensor:
    """What is found, accepted and advised where a thermometer's keys cannot be used."""

    file = Words('the whole path of a file, such as "/var/lib/garden/thermometer.json"')
    from_the_root = Words("Write the path from the root on.")
    folder = Words("That is a folder.")
    needs_coop = Words("the house that it hangs in")
    outside = Words('no coop, or where = "coop"')
