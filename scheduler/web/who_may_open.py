"""What each page is about for which somebody has to be more than signed in."""

from collections.abc import Mapping
from types import MappingProxyType

from scheduler.profile.who_may import Matter

# Every address below one of these is about the same matter, unless it stands before it. Anybody who
# is signed in may open every other page; where a form on it is read, what it says is checked.
OPENED_BY: Mapping[str, Matter] = MappingProxyType({
    "/add/came": "birds",
    "/add": "reports",
    "/weather/forecast": "household",
    "/weather": "reports",
    "/birds/came": "birds",
    "/birds": "reports",
    "/phone": "own",
    "/subscribe": "own",
    "/backup-alarm": "own",
    "/backup-alarm.ics": "own",
    "/status/test": "own",
    "/status/clock": "household",
    "/begun/test": "own",
    "/begun/invite": "people",
    "/people": "people",
    "/diary": "diary",
    "/diary.csv": "diary",
    "/diary.json": "diary",
    "/change/house": "household",
    "/change/run": "household",
    "/change/people": "household",
    "/change/alerts": "household",
    "/change/place": "household",
    "/change/weather": "household",
    "/change/server": "household",
    "/change/take-over": "household",
    "/change": "flocks",
})  # fmt: skip
_FOR_ALL = ("/people/end",)  # one's own device; the view asks about those of others


def matter_of(path: str) -> Matter | None:
    """What the page is about; None where it may be opened by anybody who is signed in."""
    if path in _FOR_ALL:
        return None
    return next(
        (about for page, about in OPENED_BY.items() if f"{path}/".startswith(f"{page}/")), None
    )
