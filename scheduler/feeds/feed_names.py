"""Which calendars there are, by name."""

from scheduler.profile.values import Profile

FeedName = str  # one of FEEDS, or house_feed(coop id)
FEEDS: tuple[FeedName, ...] = ("lockup", "jobs", "seasons", "all", "doors")
_HOUSE = "house-"


def house_feed(coop_id: str) -> FeedName:
    """The name of the calendar of one house's times."""
    return f"{_HOUSE}{coop_id}"


def house_of(feed: FeedName) -> str | None:
    """The id of the house whose calendar that is; None for those of the whole site."""
    return feed.removeprefix(_HOUSE) if feed.startswith(_HOUSE) else None


def feeds_of(profile: Profile) -> tuple[FeedName, ...]:
    """Every calendar of the site; a house has one of its own where there are several."""
    houses = sorted(house_feed(coop.id) for coop in profile.coop) if len(profile.coop) > 1 else ()
    return (*FEEDS, *houses)
