"""What weather services are called."""

from scheduler.wording.words import Words


class ServiceNames:
    """Each service, by its name in a profile."""

    met_norway = Words("MET Norway")
    open_meteo = Words("Open-Meteo")
    us_nws = Words("the National Weather Service")
