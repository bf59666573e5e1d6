"""The one question about the forecast, and what the services are called in a sentence."""

from scheduler.wording.words import Words


class ForecastServices:
    """Each service by its name in a profile."""

    met_norway = Words("MET Norway")
    open_meteo = Words("Open-Meteo")
    us_nws = Words("the US National Weather Service")


class ForecastQuestion:
    """What is asked once, when a profile is written and on the pages."""

    asked = Words(
        "Use the forecast? Your rough location goes to {service}. Without it, heat and frost "
        "reminders follow the usual weather here."
    )
