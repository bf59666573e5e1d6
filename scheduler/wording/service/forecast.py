"""What is said of the services that a forecast comes from: what they are sent, what they lack."""

from scheduler.wording.words import Words


class ForecastShown:
    """What exactly goes to a service."""

    request = Words("For the forecast, {service} is sent exactly this:")
    warnings = Words(
        "The same is then sent to the address that the first answer names, and for official "
        "warnings exactly this:"
    )


class ForecastNotes:
    """What keeps a service from answering."""

    far_from_the_us = Words(
        "The US National Weather Service forecasts for the United States and its territories "
        "only, and your site lies elsewhere. Name another service{keys}."
    )
    no_contact = Words(
        "MET Norway may turn away a program that names nobody to write to. Give an email address "
        "or a page{keys}."
    )
