"""In a made language every calendar speaks it alone: no word stands in one that has no key."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import icalendar
import pytest

from scheduler.cares.records import Records, Report, Spell
from scheduler.feeds.render import dressed
from scheduler.journal.store import open_journal
from scheduler.profile.values import Profile
from scheduler.service.calendars.backup_files import backup_file_of
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.household.open_profile import Household, open_profile
from tests.unhurried import unhurried
from tests.wording.marked import strange

SAID = frozenset({"SUMMARY", "DESCRIPTION", "LOCATION", "CATEGORIES", "NAME", "X-WR-CALNAME"})
SHIPPED = ("annotated", "two-coops-three-flocks", "hot-dry-24n", "southern-ark")
CONFIG = Path(__file__).parents[2] / "config"


pytestmark = pytest.mark.usefixtures("_in_other_letters")


@pytest.mark.parametrize("name", SHIPPED)
@unhurried
def test_every_calendar_of_a_shipped_profile(name: str, tmp_path: Path) -> None:
    now = datetime(2026, 12, 21, 9, 30, tzinfo=UTC)
    household = open_profile(CONFIG / f"{name}.toml", now)
    assert isinstance(household, Household)
    profile = household.profile
    day = date(2026, 12, 21)
    spell = Spell(first=day, last=date(2027, 1, 3))
    told = (
        Report(kind="order", spell=spell),
        Report(kind="frost", spell=spell, air_c=-12.0),
        Report(kind="medicine", spell=spell, house_id=profile.coop[0].id, words="Drops"),
    )
    journal = open_journal(tmp_path / "journal.sqlite3")
    # What was published in full, and what is called off of it.
    for records, days in ((Records(), 60), (Records(reports=told), 60)):
        request = FeedRequest(first=day, days=days)
        for feed in publish(journal, household, request, now, records):
            worn = dressed(feed.content, link=lambda _: "https://hens.example", lead_minutes=30)
            for line in said_in(worn):
                assert strange(line, named(profile)) == [], line
    journal.close()
    file = backup_file_of(household, Records(), (), now)
    assert file
    for line in said_in(file.content):
        assert strange(line, named(profile)) == [], line


def named(profile: Profile) -> tuple[str, ...]:
    """What the keeper has written, and the program's own name."""
    found = [profile.site.name, *profile.person_names.values(), *profile.house_names.values()]
    found += [flock.name for flock in profile.flock] + [own.name for own in profile.care]
    found += [own.why for own in profile.care if own.why]
    found += [change.text for change in profile.cares.values() if change.text]
    return (*found, "Drops", "Duskfold", "https", "hens", "example")


def said_in(calendar: bytes) -> Iterator[str]:
    """Every text of a calendar that a person reads."""
    for component in icalendar.Calendar.from_ical(calendar).walk():
        for key, value in component.property_items(recursive=False):
            if key in SAID:
                written: bytes = value.to_ical()  # type: ignore[attr-defined] # as every value has
                yield written.decode().replace("\\n", " ").replace("\\", "")
