"""Prints the climate map beside published averages: `python -m tests.reference.climate_table`."""

from scheduler.climate.chance import FROST, nights_a_year
from tests.reference.climate_places import PLACES, Pair, Place
from tests.reference.climate_stations import year_told

JANUARY, JULY = 0, 6


def rows() -> list[str]:
    """The table in Markdown: low and high in January and in July, and nights of frost a year."""
    pairs = (f"{of}: map | published" for of in ("January °C", "July °C", "nights of frost"))
    cells = (f"| {' | '.join(_cells(place))} |" for place in PLACES)
    return [f"| place | height | {' | '.join(pairs)} |", "|---" * 8 + "|", *cells]


def _cells(place: Place) -> list[str]:
    year = year_told(place.latitude_deg, place.longitude_deg, place.elevation_m)
    lows, highs = year.low.of_months(), year.high.of_months()
    published = "" if place.frost_nights is None else f"{place.frost_nights:.0f}"
    return [
        place.name,
        f"{place.elevation_m:.0f} m",
        _pair((lows[JANUARY], highs[JANUARY])),
        _pair(place.january_c),
        _pair((lows[JULY], highs[JULY])),
        _pair(place.july_c),
        f"{nights_a_year(year, FROST):.0f}",
        published,
    ]


def _pair(pair: Pair) -> str:
    if pair == (None, None):
        return ""
    return " / ".join("–" if value is None else f"{value:.1f}" for value in pair)


if __name__ == "__main__":
    print("\n".join(rows()))
