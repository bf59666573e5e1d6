"""Whatever a profile declares and a keeper reports, each calendar is as calendar programs need it.

Published by the program itself, twice: as the profile is drawn, and after houses have gone and an
order has come, so that events are called off.
"""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import count
from json import dumps

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.feeds.render import dressed
from scheduler.journal.store import open_journal
from scheduler.profile.values import Profile
from scheduler.service.calendars.calendar_files import MOST_BYTES, Feed, put
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.data_place import DataPlace
from scheduler.service.health.published_calendars import amiss_on_the_shelf
from scheduler.service.household.open_profile import Household
from tests.conftest import declared
from tests.feeds.proof import faults

Publish = Callable[[Profile, datetime, Records], tuple[Feed, ...]]

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
PLACES = (
    (51.5, -0.1, "Europe/London"),
    (69.6, 19.0, "Europe/Oslo"),
    (-45.9, 170.5, "Pacific/Auckland"),
    (1.9, -157.4, "Pacific/Kiritimati"),
    (64.2, -51.7, "America/Nuuk"),
)
RULES = ("", '[coop.lockup]\nbasis = "sunset"\nafter_sunset = "9 min"')
BIRDS = ("hens = 3", "young = 6", "hens = 9\nroosters = 1\nothers = 2")
PAGE = "/evening/2026-01-01/ana/" + "t" * 43
_NUMBERS = count(1)
# What a line of iCalendar is made of, what takes many octets, and what is written from the right.
_ODD = ("\\", ";", ",", ":", '"', "\\n", "👩🏽‍🌾", "é", "ל", "ح", "BEGIN:VEVENT", " ")


def words(longest: int) -> st.SearchStrategy[str]:
    """What a profile takes for a name or for a text, in quotes as TOML wants them."""
    letters = st.sampled_from(_ODD) | st.characters(
        exclude_categories=("C", "Zl", "Zp"),
        exclude_characters="\ufffd",  # what some program could not read is refused
    )
    written = st.lists(letters, max_size=longest).map("".join)
    return written.map(lambda text: dumps(f"x{text}"[:longest], ensure_ascii=False))


NAME, TEXT = words(80), words(200)


@st.composite
def profiles(draw: st.DrawFn) -> str:
    """The text of a profile whose site's id no other one has."""
    latitude, longitude, zone = draw(st.sampled_from(PLACES))
    lines = [
        f'[site]\nname = {draw(NAME)}\nid = "yard-{next(_NUMBERS)}"',
        f'latitude = {latitude}\nlongitude = {longitude}\ntimezone = "{zone}"',
        f'region = "{draw(st.sampled_from(["US", "UK", "other"]))}"',
        draw(st.sampled_from(["", '[web]\nbase_url = "https://hens.example.org"'])),
        f"[cares.water]\ntext = {draw(TEXT)}",
        f'[[care]]\nname = {draw(NAME)}\nid = "own"\nevery = "1 day"\nwhy = {draw(TEXT)}',
    ]
    for number in range(draw(st.integers(1, 3))):
        lines += [
            f'[[coop]]\nname = {draw(NAME)}\nid = "c{number}"',
            f'door = "{draw(st.sampled_from(["manual", "automatic"]))}"',
            f'ranging = "{draw(st.sampled_from(["run only", "supervised", "all day"]))}"',
            draw(st.sampled_from(RULES)),
            f'[[flock]]\nname = {draw(NAME)}\nid = "f{number}"\ncoop = "c{number}"',
            draw(st.sampled_from(BIRDS)),
        ]
    return "\n".join(lines)


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory, catalogue: Catalogue) -> Iterator[Publish]:
    """Publishes four days of a profile, puts them on the shelf and looks at what lies there."""
    folder = tmp_path_factory.mktemp("drawn")
    journal = open_journal(folder / "journal.sqlite3")

    def publish_and_put(profile: Profile, now: datetime, told: Records) -> tuple[Feed, ...]:
        household = Household(profile=profile, catalogue=catalogue)
        request = FeedRequest(first=now.date(), days=4)
        feeds = publish(journal, household, request, now, told)
        put(folder, profile.site.id, feeds)
        assert list(amiss_on_the_shelf(Shelf(DataPlace(folder)), None, profile.site.id)) == []
        return feeds

    yield publish_and_put
    journal.close()


@given(
    text=profiles(),
    product=TEXT,
    first=st.dates(date(2026, 1, 1), date(2027, 12, 31)),
    lead_minutes=st.integers(0, 240),
)
def test_every_calendar_of_a_drawn_profile_is_as_it_must_be(
    published: Publish, text: str, product: str, first: date, lead_minutes: int
) -> None:
    profile = declared(text)
    now = datetime(first.year, first.month, first.day, 9, 30, 12, tzinfo=UTC)
    flocks = tuple(flock for flock in profile.flock if flock.coop == "c0")
    fewer = profile.model_copy(update={"coop": profile.coop[:1], "flock": flocks})
    spell = Spell(first=first, last=first + 9 * DAY)
    told = (
        Report(kind="order", spell=spell),
        Report(kind="medicine", spell=spell, house_id="c0", words=product),
    )
    url = (profile.web.base_url or "http://localhost") + PAGE
    for one, records, at in (
        (profile, NO_RECORDS, now),
        (fewer, Records(reports=told), now + HOUR),
    ):
        for feed in published(one, at, records):
            worn = dressed(feed.content, link=lambda _: url, lead_minutes=lead_minutes)
            assert len(worn) <= MOST_BYTES
            assert [faults(worn), faults(dressed(feed.content))] == [[], []], feed.name
