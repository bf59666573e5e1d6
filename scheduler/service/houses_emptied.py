"""The houses that have been emptied: by a statement in the journal, or by a changed profile."""

from collections.abc import Iterable
from datetime import date

from scheduler.alerts.reminded_evening import Evening
from scheduler.cares import emptied as cares
from scheduler.cares.emptied import Place
from scheduler.journal import closings
from scheduler.journal.store import Journal
from scheduler.profile.values import Profile
from scheduler.service.almanac import Almanac


def emptied(journal: Journal, profile: Profile, first: date, count: int) -> frozenset[Place]:
    """The coops without birds by what was said, `count` days from `first` and the night before."""
    with journal.reading() as connection:
        said = closings.closings(connection, profile.site.id)
    return cares.emptied_for_plan(profile, said, first, count)


def no_birds_any_more(
    before: Almanac, after: Almanac, begun: Iterable[Evening], today: date
) -> list[str]:
    """The houses that have birds tonight by the profile in force, and none by the other one.

    Where the evening has begun its reminders run their course, and nothing is to be told.
    """
    under_way = {
        door.coop_id for evening in begun if evening.day == today for door in evening.doors
    }
    return [
        coop.name
        for coop in before.household.profile.coop
        if coop.id not in under_way
        and before.birds_in(coop.id, today)
        and not after.birds_in(coop.id, today)
    ]
