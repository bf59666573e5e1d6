"""A house that a statement has emptied asks for nothing, until birds are said or declared there."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.closing import Closing
from scheduler.cares.emptied import emptied
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.planned_events import events
from scheduler.profile.values import Profile
from tests.alerts.orchard import HAZEL, SITE, WALNUT, WINTER, household, said

DAY = timedelta(days=1)
BOTH = household(SITE + WALNUT + HAZEL).profile


def days_empty(
    *closings: Closing, profile: Profile = BOTH, count: int = 4
) -> list[tuple[str, int]]:
    found = emptied(profile, closings, WINTER - DAY, count)
    return sorted((coop_id, (day - WINTER).days) for coop_id, day in found)


AWAY = said("elsewhere", count=12)


def test_a_house_is_empty_from_the_evening_on_on_which_its_last_bird_left() -> None:
    assert days_empty() == []
    assert days_empty(said("elsewhere", count=11)) == []
    assert days_empty(AWAY) == [("walnut", 0), ("walnut", 1), ("walnut", 2)]
    assert days_empty(said("closed", count=12), said("dead", "17:00", 12))[0] == ("walnut", 0)


def test_it_is_so_no_more_once_birds_are_back_or_the_profile_has_another_number() -> None:
    back = said("back", count=3, day=WINTER + DAY)
    assert days_empty(AWAY, back) == [("walnut", 0)]
    more = household(SITE + WALNUT.replace("12", "15") + HAZEL).profile
    assert days_empty(AWAY, profile=more) == [], "then the profile knows"


def test_missing_birds_may_still_come() -> None:
    assert days_empty(said("closed", count=0)) == []


def test_a_house_that_the_profile_has_no_more_is_none() -> None:
    assert days_empty(replace(AWAY, coop_id="old-shed")) == []


def asked(profile: Profile, catalogue: Catalogue, closings: Sequence[Closing]) -> list[list[str]]:
    empty = emptied(profile, closings, WINTER, 2)
    planned = plan(profile, NO_RECORDS, WINTER, WINTER + DAY, catalogue, empty)
    found: list[list[str]] = [[], []]
    for event in events(planned):
        found[(event.day - WINTER).days].append(event.title)
    return found


def test_its_calendar_has_neither_jobs_nor_times(catalogue: Catalogue) -> None:
    alone = household(SITE + WALNUT).profile
    assert all(asked(alone, catalogue, ()))
    assert asked(alone, catalogue, (AWAY,)) == [[], []]
    first, second = asked(BOTH, catalogue, (AWAY,))
    for titles in (first, second):
        assert any(title.startswith("Lock up · Hazel · 6 hens") for title in titles)
        assert not [title for title in titles if "Walnut" in title]
