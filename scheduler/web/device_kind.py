"""Which kind of device asks, as its browser says: what a calendar can do there hangs on it."""

from typing import Literal

DeviceKind = Literal["iphone", "ipad", "mac", "android", "computer", "unknown"]
# The first that is named counts: an Android phone names Linux too. An iPad that asks for the pages
# of a computer calls itself a Mac; what works on the one works on the other.
_NAMED: tuple[tuple[str, DeviceKind], ...] = (
    ("iPhone", "iphone"),
    ("iPad", "ipad"),
    ("Android", "android"),
    ("Macintosh", "mac"),
    ("Windows", "computer"),
    ("CrOS", "computer"),
    ("Linux", "computer"),
)


def device_kind(agent: str) -> DeviceKind:
    """The kind that a browser's User-Agent names; unknown where it names none."""
    return next((kind for name, kind in _NAMED if name in agent), "unknown")
