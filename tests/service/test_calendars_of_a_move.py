import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.journal.store import Journal, open_journal
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.household.open_profile import Household
from tests.cares.moves import REST, moving, site
from tests.conftest import declared
from tests.unhurried import unhurried

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
ON = date(2026, 12, 9)
DAY = timedelta(days=1)
SHORT, WHOLE = FeedRequest(days=21), FeedRequest()


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    opened = open_journal(tmp_path / "journal.sqlite3")
    yield opened
    opened.close()


def lock_ups(
    journal: Journal, household: Household, now: datetime, request: FeedRequest = SHORT
) -> dict[date, dict[str, str]]:
    """What the calendar of everything has of each lock-up, by date."""
    found = {}
    for block in events(journal, household, now, request):
        if told := re.search(r"UID:lockup-walnut-(\S+)@orchard", block):
            day = date.fromisoformat(told[1])
            lines = [line.partition(":") for line in block.splitlines()]
            found[day] = {name: value for name, _, value in lines}
    return found


def events(
    journal: Journal, household: Household, now: datetime, request: FeedRequest = SHORT
) -> list[str]:
    feeds = {one.name: one for one in publish(journal, household, request, now)}
    text = feeds["all"].content.decode().replace("\r\n ", "")
    return re.findall(r"BEGIN:VEVENT.*?END:VEVENT", text, re.DOTALL)


def test_from_the_move_on_events_have_the_new_times_under_the_uid_they_had(
    journal: Journal, catalogue: Catalogue
) -> None:
    stays = Household(profile=declared(site("Berlin") + REST), catalogue=catalogue)
    before = lock_ups(journal, stays, NOW)
    moves = Household(profile=declared(moving("Berlin", "New York", ON)), catalogue=catalogue)
    after = lock_ups(journal, moves, NOW + timedelta(hours=1))
    assert before.keys() == after.keys()
    for day, event in after.items():
        if day < ON:
            assert event == before[day], "nothing changes at the old place"
        else:
            assert event["DTSTART"] != before[day]["DTSTART"]
            assert int(event["SEQUENCE"]) > int(before[day]["SEQUENCE"])
    # By the clock of each place.
    assert "16:18" in after[ON - DAY]["SUMMARY"]
    assert "16:4" in after[ON]["SUMMARY"]


@unhurried
def test_what_is_past_keeps_the_time_that_it_had(journal: Journal, catalogue: Catalogue) -> None:
    moves = Household(profile=declared(moving("Berlin", "New York", ON)), catalogue=catalogue)
    before = lock_ups(journal, moves, NOW, WHOLE)
    later = datetime(2026, 12, 11, 15, tzinfo=UTC)
    there = moves.on(moves.today(later))
    assert there is not moves
    after = lock_ups(journal, there, later, WHOLE)
    for day in (ON - 2 * DAY, ON - DAY, ON, ON + DAY, ON + 5 * DAY):
        assert after[day] == before[day]


def test_the_day_of_the_move_stands_in_the_calendar(journal: Journal, catalogue: Catalogue) -> None:
    moves = Household(profile=declared(moving("Berlin", "New York", ON)), catalogue=catalogue)
    [event] = [one for one in events(journal, moves, NOW) if "UID:move-" in one]
    assert "UID:move-orchard-2026-12-09@orchard" in event
    assert "DTSTART;VALUE=DATE:20261209" in event
    assert "Keep the birds in until 16 December" in event
