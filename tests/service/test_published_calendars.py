"""What is wrong with a calendar that lies ready is a note of `duskfold health` and of Status."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.journal.store import open_journal
from scheduler.profile.values import Profile
from scheduler.service.calendars.calendar_files import put
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.data_place import DataPlace
from scheduler.service.health.published_calendars import amiss_on_the_shelf
from scheduler.service.household.open_profile import Household

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@pytest.fixture
def shelf(tmp_path: Path, small: Profile, catalogue: Catalogue) -> Path:
    journal = open_journal(tmp_path / "journal.sqlite3")
    household = Household(profile=small, catalogue=catalogue)
    put(tmp_path, small.site.id, publish(journal, household, FeedRequest(), NOW))
    journal.close()
    return tmp_path


def told(folder: Path, profile: Profile) -> list[str]:
    return [one.what for one in amiss_on_the_shelf(Shelf(DataPlace(folder)), None, profile.site.id)]


def test_what_was_published_is_in_order(shelf: Path, small: Profile) -> None:
    assert told(shelf, small) == []
    assert told(shelf / "nowhere", small) == []


@pytest.mark.parametrize(
    "harm",
    [
        lambda content: content[: len(content) // 2],
        lambda content: content.replace(b"END:VEVENT", b"END:VEVENX", 1),
        lambda content: content.replace(b"\r\n ", b"\n ", 1),
        lambda content: content + b"more",
        lambda content: b"\xff" + content,
    ],
)
def test_a_calendar_that_is_damaged_is_named(shelf: Path, small: Profile, harm: object) -> None:
    [path] = shelf.rglob("lockup.ics")
    path.write_bytes(harm(path.read_bytes()))  # type: ignore[operator] # of bytes
    assert told(shelf, small) == [
        "The calendar lockup.ics is damaged, so phones may show no times from it."
    ]
