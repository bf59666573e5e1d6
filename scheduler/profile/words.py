"""The words a keeper's region uses for the same thing, and how it writes a time of day."""

from datetime import datetime, time, tzinfo

from scheduler.profile.units import Region

_COMMON = {
    "bedding": "bedding",
    "drinker": "drinker",
    "drinkers": "drinkers",
    "perch": "perch",
    "perches": "perches",
    "torch": "torch",
    "moult": "moult",
    "cockerel": "cockerel",
    "withdrawal": "withdrawal period",
}
_REGIONAL: dict[Region, dict[str, str]] = {
    "US": {
        "bedding": "litter",
        "drinker": "waterer",
        "drinkers": "waterers",
        "perch": "roost",
        "perches": "roosts",
        "torch": "flashlight",
        "moult": "molt",
        "cockerel": "rooster",
        "withdrawal": "withdrawal period",
    },
    "AU": {"bedding": "litter", "cockerel": "rooster", "withdrawal": "withholding period"},
}


def words(region: Region) -> dict[str, str]:
    """Trade word to the region's word; every word also with a capital, for sentence starts."""
    chosen = {**_COMMON, **_REGIONAL.get(region, {})}
    return chosen | {key.capitalize(): word.capitalize() for key, word in chosen.items()}


def clock(at: time, region: Region) -> str:
    """16:18, or 4:18 pm in the US."""
    if region != "US":
        return f"{at:%H:%M}"
    return f"{(at.hour - 1) % 12 + 1}:{at:%M} {'pm' if at.hour >= 12 else 'am'}"  # noqa: PLR2004


def local_clock(instant: datetime, zone: tzinfo, region: Region) -> str:
    """The time of day that the clock at the site shows, in whole minutes begun."""
    return clock(instant.astimezone(zone).time(), region)
