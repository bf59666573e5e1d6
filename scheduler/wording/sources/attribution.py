"""Whose data are used, as each publisher wants it said."""

from scheduler.wording.words import Words


class Attribution:
    """Of each service that is named in a profile, by its name there."""

    met_norway = Words("Weather forecast: data from MET Norway (CC BY 4.0), processed")
    open_meteo = Words("Weather data by Open-Meteo.com")
    us_nws = Words("Forecast: US National Weather Service")


class ClimateAttribution:
    """Of the year's averages that the program brings along."""

    climate_map = Words(
        "Climate: ERA5, Copernicus Climate Change Service (CC BY 4.0), and station averages, "
        "Deutscher Wetterdienst; modified."
    )


class PlacesAttribution:
    """Of the names of places that the program brings along."""

    place_names = Words("Place names: GeoNames (CC BY 4.0); modified.")


class DrawingsAttribution:
    """Of the drawings that stand beside words."""

    drawings = Words(
        "Drawings: Lucide (ISC), © 2026 Lucide Icons and Contributors, some of them from Feather "
        "(MIT), © 2013-present Cole Bemis."
    )
