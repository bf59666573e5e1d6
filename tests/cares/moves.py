"""Moves between places of all kinds, for tests: near, across zones, across the date line, north."""

from datetime import date

from hypothesis import strategies as st

PLACES = {
    "Berlin": (52.5, 13.4, "Europe/Berlin"),
    "London": (51.5, -0.1, "Europe/London"),
    "New York": (40.7, -74.0, "America/New_York"),
    "Honolulu": (21.3, -157.9, "Pacific/Honolulu"),
    "Auckland": (-36.8, 174.8, "Pacific/Auckland"),
    "Tromso": (69.6, 18.9, "Europe/Oslo"),
    "Singapore": (1.3, 103.8, "Asia/Singapore"),
    "Urumqi": (43.8, 87.6, "Asia/Shanghai"),
    "Adak": (51.9, -176.6, "America/Adak"),
    "Chatham": (-43.9, -176.5, "Pacific/Chatham"),
    "Niue": (-19.1, -169.9, "Pacific/Niue"),
    "Kiritimati": (1.9, -157.4, "Pacific/Kiritimati"),
    "Ushuaia": (-54.8, -68.3, "America/Argentina/Ushuaia"),
}
REST = """
[[coop]]
name = "Walnut"
ranging = "all day"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
[[person]]
name = "Ana"
push = "https://push.example.net/orchard-ana"
[reminders]
brief = "07:00"
"""
pairs = st.tuples(st.sampled_from(sorted(PLACES)), st.sampled_from(sorted(PLACES)))
dates = st.dates(date(2026, 1, 10), date(2027, 12, 20))


def site(place: str) -> str:
    """The table of a site there."""
    latitude, longitude, zone = PLACES[place]
    return (
        f'[site]\nname = "Orchard"\nid = "orchard"\nlatitude = {latitude}\n'
        f'longitude = {longitude}\ntimezone = "{zone}"\n'
    )


def move(place: str, on: date, more: str = "") -> str:
    """The table of a move there."""
    latitude, longitude, zone = PLACES[place]
    return (
        f"[move]\non = {on}\nlatitude = {latitude}\nlongitude = {longitude}\n"
        f'timezone = "{zone}"\n{more}'
    )


def moving(before: str, after: str, on: date, more: str = "") -> str:
    """A whole profile of one house that moves then."""
    return site(before) + move(after, on, more) + REST
