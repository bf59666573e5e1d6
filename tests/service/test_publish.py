"""The one publisher: windows, revisions over time, identical bytes when nothing changed."""

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.closing import Closing
from scheduler.cares.day_plan import Plan
from scheduler.cares.plan import plan
from scheduler.cares.records import Records, Report, Spell
from scheduler.feeds import render
from scheduler.feeds.feed_names import FeedName
from scheduler.feeds.render import dressed
from scheduler.journal.store import Journal, open_journal
from scheduler.profile.coop import Coop
from scheduler.profile.person import Person
from scheduler.profile.values import Profile
from scheduler.service.calendars import publish as publish_module
from scheduler.service.calendars.calendar_files import MOST_BYTES, MOST_EVENTS, Feed
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.household.open_profile import Household
from scheduler.service.reports.report import records
from scheduler.service.weather_asked import around
from tests.journal.as_said import keep_closings
from tests.unhurried import unhurried
from tests.weather_decided import decided, keep_decided

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)  # a Wednesday
USUAL = FeedRequest()


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    """A real journal in a file of its own."""
    opened = open_journal(tmp_path / "journal.sqlite3")
    yield opened
    opened.close()


@pytest.fixture
def household(small: Profile, catalogue: Catalogue) -> Household:
    """The small profile with the shipped catalogue."""
    return Household(profile=small, catalogue=catalogue)


def worn(feed: Feed) -> bytes:
    """The feed with the longest link and an alarm on every event that may have them."""
    return dressed(feed.content, link=lambda day: f"{day}" + "l" * 110, lead_minutes=240)


def is_over_limit(feed: Feed) -> bool:
    """Whether it is larger than calendar programs take without trouble."""
    return feed.events > MOST_EVENTS or len(worn(feed)) > MOST_BYTES


def reached(household: Household) -> Household:
    """The same household under an address, whose links are as long as those of `worn`."""
    web = household.profile.web.model_copy(update={"base_url": "https://hens.org"})
    profile = household.profile.model_copy(update={"web": web})
    return Household(profile=profile, catalogue=household.catalogue)


def with_hens(household: Household, hens: int) -> Household:
    """The same household with another number of hens."""
    flock = household.profile.flock[0].model_copy(update={"hens": hens})
    profile = household.profile.model_copy(update={"flock": (flock,)})
    return Household(profile=profile, catalogue=household.catalogue)


def with_coops(household: Household, count: int) -> Household:
    """As many coops, each with a lock-up rule and a flock of its own."""
    house, flock = household.profile.coop[0], household.profile.flock[0]
    rule = household.profile.lockup
    coops: list[Coop] = []
    for number in range(count):
        own = rule.model_copy(update={"after_sunset_minutes": 20.0 + number, "basis": "sunset"})
        update = {"id": f"house-{number}", "name": f"House {number}", "lockup": own}
        coops.append(house.model_copy(update=update))
    flocks = tuple(
        flock.model_copy(update={"id": f"flock-{n}", "coop": f"house-{n}"}) for n in range(count)
    )
    profile = household.profile.model_copy(update={"coop": tuple(coops), "flock": flocks})
    return Household(profile=profile, catalogue=household.catalogue)


def by_name(feeds: tuple[Feed, ...]) -> dict[FeedName, Feed]:
    return {feed.name: feed for feed in feeds}


def blocks(content: bytes) -> dict[str, str]:
    """Each event's text by UID, unfolded."""
    text = content.decode().replace("\r\n ", "")
    found = re.findall(r"BEGIN:VEVENT\r\n.*?END:VEVENT\r\n", text, re.DOTALL)
    return {re.search(r"UID:(\S+)", block)[1]: block for block in found}  # type: ignore[index] # each has one


def sequence(block: str) -> int:
    found = re.search(r"SEQUENCE:(\d+)", block)
    assert found
    return int(found[1])


def test_usual_windows_start_on_the_feed_week_and_are_whole_weeks_long(
    journal: Journal, household: Household
) -> None:
    feeds = by_name(publish(journal, household, USUAL, NOW))
    # The feed week begins on 23 November; three weeks before it belong to the window.
    week = date(2026, 11, 23)
    weeks = {name: ((f.window.last - week).days + 1) / 7 for name, f in feeds.items()}
    assert weeks == {"lockup": 12, "jobs": 8, "seasons": 53, "all": 8, "doors": 15}
    assert {feed.window.first for feed in feeds.values()} == {date(2026, 11, 2)}
    assert not any(feed.shortened or is_over_limit(feed) for feed in feeds.values())


@unhurried
def test_unchanged_plan_and_feed_week_give_identical_bytes_for_a_week(
    journal: Journal, household: Household
) -> None:
    first = publish(journal, household, USUAL, NOW)
    # The feed week is the Monday on or before yesterday: it changes on Tuesdays.
    for hours in (1, 24, 72, 130):
        assert publish(journal, household, USUAL, NOW + timedelta(hours=hours)) == first
    assert publish(journal, household, USUAL, datetime(2026, 12, 1, 9, tzinfo=UTC)) != first


def test_a_second_process_writes_the_same_bytes(tmp_path: Path, household: Household) -> None:
    contents = []
    for minutes in (0, 90):
        journal = open_journal(tmp_path / "journal.sqlite3")
        render._event.cache_clear()  # noqa: SLF001 - a new process starts with nothing cached
        contents.append(publish(journal, household, USUAL, NOW + timedelta(minutes=minutes)))
        journal.close()
    assert contents[0] == contents[1]


def test_events_keep_their_stamps_when_the_week_moves_on(
    journal: Journal, household: Household
) -> None:
    before = blocks(by_name(publish(journal, household, USUAL, NOW))["lockup"].content)
    later = publish(journal, household, USUAL, NOW + timedelta(days=14))
    after = blocks(by_name(later)["lockup"].content)
    common = before.keys() & after.keys()
    # From the day of the first publication to the end of its window, let-out, range and lock-up.
    assert len(common) == (12 * 7 - 2) * 3
    assert common == before.keys(), "a past that was published stays"
    assert all(before[uid] == after[uid] for uid in common)


def test_a_change_touches_only_the_events_that_changed(
    journal: Journal, household: Household
) -> None:
    before = blocks(by_name(publish(journal, household, USUAL, NOW))["lockup"].content)
    at = NOW + timedelta(hours=2)
    changed = publish(journal, with_hens(household, 11), USUAL, at)
    after = blocks(by_name(changed)["lockup"].content)
    assert before.keys() == after.keys()
    touched = {uid for uid in before if before[uid] != after[uid]}
    assert touched == {uid for uid in before if uid.startswith("lockup-")}
    for uid in touched:
        assert sequence(after[uid]) > sequence(before[uid])
        assert "DTSTAMP:20261125T113000Z" in after[uid]
        assert "LAST-MODIFIED:20261125T113000Z" in after[uid]


@unhurried
def test_sequence_never_falls_even_with_a_lost_journal(
    tmp_path: Path, household: Household
) -> None:
    highest = -1
    for number, hours in enumerate((0, 1, 2)):
        journal = open_journal(tmp_path / f"journal-{number}.sqlite3")  # each time from nothing
        at = NOW + timedelta(hours=hours)
        content = by_name(publish(journal, with_hens(household, number + 1), USUAL, at))["lockup"]
        sequences = {sequence(block) for block in blocks(content.content).values()}
        assert min(sequences) > highest
        highest = max(sequences)
        journal.close()


@unhurried
def test_a_clock_set_back_still_raises_sequence(journal: Journal, household: Household) -> None:
    before = blocks(by_name(publish(journal, household, USUAL, NOW))["lockup"].content)
    earlier = publish(journal, with_hens(household, 9), USUAL, NOW - timedelta(hours=5))
    after = blocks(by_name(earlier)["lockup"].content)
    uid = "lockup-walnut-2026-12-21@orchard"
    assert sequence(after[uid]) == sequence(before[uid]) + 1


@unhurried
def test_what_is_planned_no_more_is_cancelled_and_fades_after_a_fortnight(
    journal: Journal, household: Household
) -> None:
    uid = "range-walnut-2026-12-21@orchard"
    publish(journal, household, USUAL, NOW)
    order = Records(reports=(Report(kind="order", spell=Spell(first=date(2026, 12, 1))),))

    def shown(at: datetime, records: Records) -> str | None:
        feeds = by_name(publish(journal, household, USUAL, at, records))
        return blocks(feeds["lockup"].content).get(uid)

    cancelled = shown(NOW + timedelta(hours=1), order)
    assert cancelled
    assert "STATUS:CANCELLED" in cancelled
    assert shown(NOW + timedelta(days=12), order) == cancelled
    # Cancelled on 25 November: the first feed week at least 14 days on is that of 14 December.
    assert shown(datetime(2026, 12, 14, 12, tzinfo=UTC), order) == cancelled
    assert shown(datetime(2026, 12, 15, 12, tzinfo=UTC), order) is None
    back = shown(datetime(2026, 12, 16, 12, tzinfo=UTC), Records())
    assert back
    assert "STATUS:CONFIRMED" in back
    assert sequence(back) > sequence(cancelled)


def test_a_forecast_never_changes_a_byte_of_a_calendar(
    journal: Journal, household: Household, monkeypatch: pytest.MonkeyPatch
) -> None:
    planned_by: list[Records] = []

    def planned(profile: Profile, records: Records, *rest: Any) -> Plan:
        planned_by.append(records)
        return plan(profile, records, *rest)

    monkeypatch.setattr(publish_module, "plan", planned)
    site_id, today = household.profile.site.id, NOW.date()
    before = publish(journal, household, USUAL, NOW, records(journal, household))
    keep_decided(
        journal, site_id, [decided(today + timedelta(days=n), low_c=-25.0) for n in range(7)]
    )
    known = records(journal, household, around(today))
    assert len(known.weather) == 7
    for told in (known, records(journal, household)):
        after = publish(journal, household, USUAL, NOW + timedelta(hours=1), told)
        assert [one.content for one in after] == [one.content for one in before]
    assert [one.weather for one in planned_by] == [(), (), ()]


def test_what_is_over_is_never_cancelled(journal: Journal, household: Household) -> None:
    publish(journal, household, USUAL, NOW - timedelta(days=1))
    order = Records(reports=(Report(kind="order", spell=Spell(first=date(2026, 11, 20))),))
    feeds = by_name(publish(journal, household, USUAL, NOW + timedelta(hours=1), order))
    statuses = {
        uid: "CANCELLED" in block
        for uid, block in blocks(feeds["lockup"].content).items()
        if uid.startswith("range-")
    }
    assert statuses["range-walnut-2026-11-26@orchard"]
    assert statuses["range-walnut-2026-11-25@orchard"], "called off for this afternoon"
    assert not statuses["range-walnut-2026-11-24@orchard"]


@unhurried
@pytest.mark.parametrize("coops", [2, 4])
def test_more_coops_shrink_the_windows_by_whole_weeks_until_they_fit(
    journal: Journal, household: Household, coops: int
) -> None:
    feeds = by_name(publish(journal, with_coops(household, coops), USUAL, NOW))
    for feed in (feeds["lockup"], feeds["all"]):
        days = (feed.window.last - feed.window.first).days + 1
        assert days % 7 == 0
        assert days >= 28
        assert feed.events <= MOST_EVENTS
        assert len(feed.content) <= MOST_BYTES
    assert feeds["lockup"].shortened


@unhurried
def test_many_houses_shrink_the_past_and_then_the_weeks_ahead_to_one_at_least(
    journal: Journal, household: Household
) -> None:
    many = reached(with_coops(household, 8))
    for day in (0, 14):
        for feed in publish(journal, many, USUAL, NOW + timedelta(days=day)):
            assert not is_over_limit(feed)
            assert feed.window.last >= NOW.date() + timedelta(days=day)


def test_the_windows_leave_room_for_links_and_alarms(
    journal: Journal, household: Household
) -> None:
    many = reached(with_coops(household, 3))
    for feed in publish(journal, many, USUAL, NOW):
        longest = worn(feed)
        assert len(longest) <= MOST_BYTES
        assert (b"BEGIN:VALARM" in longest) is (feed.name not in {"jobs", "seasons"})
        assert b"X-DUSKFOLD" not in longest


def test_explicit_days_are_obeyed(journal: Journal, household: Household) -> None:
    request = FeedRequest(first=date(2027, 3, 1), days=400)
    feeds = publish(journal, household, request, NOW)
    for feed in feeds:
        assert (feed.window.last - feed.window.first).days + 1 == 400
    assert by_name(feeds)["lockup"].events == 1200
    assert is_over_limit(by_name(feeds)["lockup"])


def test_coops_that_share_a_rule_share_the_event(journal: Journal, household: Household) -> None:
    three = with_coops(household, 3)
    coops = [coop.model_copy(update={"lockup": None}) for coop in three.profile.coop]
    coops[2] = three.profile.coop[2]
    profile = three.profile.model_copy(update={"coop": tuple(coops)})
    shared = Household(profile=profile, catalogue=three.catalogue)
    texts = blocks(by_name(publish(journal, shared, USUAL, NOW))["lockup"].content)
    assert "lockup-house-0-2026-12-21@orchard" in texts
    assert "House 0 + House 1 · 24 hens" in texts["lockup-house-0-2026-12-21@orchard"]
    assert "lockup-house-1-2026-12-21@orchard" not in texts
    assert "House 2 · 12 hens" in texts["lockup-house-2-2026-12-21@orchard"]


def test_a_feed_with_nothing_to_say_still_holds_an_event(
    journal: Journal, household: Household
) -> None:
    quiet = Household(profile=household.profile, catalogue=())
    for feed in publish(journal, quiet, USUAL, NOW):
        assert Calendar.from_ical(feed.content).events


def test_rows_are_pruned_sixty_days_after_their_date(
    journal: Journal, household: Household
) -> None:
    publish(journal, household, USUAL, NOW)
    publish(journal, household, USUAL, NOW + timedelta(days=90))
    oldest = min(revision.event.day for revision in journal.revisions("orchard").values())
    assert oldest == NOW.date() + timedelta(days=90 - 60)


def test_no_address_stands_in_any_feed(journal: Journal, household: Household) -> None:
    person = Person(name="Ana Quiet", id="ana", mail="ana@example.org")
    profile = household.profile.model_copy(update={"person": (person,)})
    told = Household(profile=profile, catalogue=household.catalogue)
    for feed in publish(journal, told, USUAL, NOW):
        assert b"ana@example.org" not in feed.content
        assert b"Ana Quiet" not in feed.content


def renamed(household: Household) -> Household:
    """The same household after its only house got another id."""
    coop = household.profile.coop[0].model_copy(update={"id": "hazel", "name": "Hazel"})
    flock = household.profile.flock[0].model_copy(update={"coop": "hazel"})
    profile = household.profile.model_copy(update={"coop": (coop,), "flock": (flock,)})
    return Household(profile=profile, catalogue=household.catalogue)


@unhurried
def test_cancelled_events_count_towards_the_limits(journal: Journal, household: Household) -> None:
    publish(journal, household, USUAL, NOW)
    for feed in publish(journal, renamed(household), USUAL, NOW + timedelta(hours=1)):
        assert not is_over_limit(feed)


@unhurried
def test_the_order_of_the_tables_changes_no_byte(journal: Journal, household: Household) -> None:
    three = with_coops(household, 3)
    shared = tuple(coop.model_copy(update={"lockup": None}) for coop in three.profile.coop)
    before = three.profile.model_copy(update={"coop": shared})
    after = three.profile.model_copy(
        update={"coop": shared[::-1], "flock": three.profile.flock[::-1]}
    )
    first = publish(journal, Household(profile=before, catalogue=three.catalogue), USUAL, NOW)
    again = publish(
        journal,
        Household(profile=after, catalogue=three.catalogue),
        USUAL,
        NOW + timedelta(hours=1),
    )
    assert first == again


@unhurried
def test_what_was_published_far_ahead_and_left_the_window_is_not_cancelled_later(
    journal: Journal, household: Household
) -> None:
    publish(journal, household, FeedRequest(days=400), NOW)
    coop = household.profile.coop[0].model_copy(update={"ranging": "run only"})
    profile = household.profile.model_copy(update={"coop": (coop,)})
    inside = Household(profile=profile, catalogue=household.catalogue)
    publish(journal, inside, USUAL, NOW + timedelta(hours=1))
    later = publish(journal, inside, USUAL, NOW + timedelta(weeks=20))
    assert b"STATUS:CANCELLED" not in by_name(later)["lockup"].content


def test_stamps_rise_with_each_change_though_the_clock_is_set_back(
    journal: Journal, household: Household
) -> None:
    uid = "lockup-walnut-2026-12-21@orchard"
    publish(journal, household, USUAL, NOW)
    before = journal.revisions("orchard")[uid]
    publish(journal, with_hens(household, 9), USUAL, NOW - timedelta(hours=5))
    assert journal.revisions("orchard")[uid].changed_at > before.changed_at


def test_rows_of_a_former_site_are_pruned_too(journal: Journal, household: Household) -> None:
    publish(journal, household, USUAL, NOW)
    site = household.profile.site.model_copy(update={"id": "elsewhere"})
    profile = household.profile.model_copy(update={"site": site})
    moved = Household(profile=profile, catalogue=household.catalogue)
    publish(journal, moved, USUAL, NOW + timedelta(days=600))
    assert journal.revisions("orchard") == {}


def test_a_shared_lock_up_with_a_manual_door_says_to_shut_it(
    journal: Journal, household: Household
) -> None:
    two = with_coops(household, 2)
    coops = tuple(
        coop.model_copy(update={"lockup": None, "door": door})
        for coop, door in zip(two.profile.coop, ("automatic", "manual"), strict=True)
    )
    profile = two.profile.model_copy(update={"coop": coops})
    shared = Household(profile=profile, catalogue=two.catalogue)
    content = by_name(publish(journal, shared, USUAL, NOW))["lockup"].content
    texts = blocks(content)
    text = texts["lockup-house-0-2026-12-21@orchard"]
    assert "Check that the automatic door has closed." in text
    assert "Lock up · 24 hens" in text


def test_a_house_emptied_by_a_statement_is_called_off(
    journal: Journal, household: Household
) -> None:
    coop_id, birds = household.profile.coop[0].id, household.profile.flock[0].birds
    request = FeedRequest(days=3)
    publish(journal, household, request, NOW)
    away = Closing(
        kind="elsewhere",
        coop_id=coop_id,
        evening=NOW.date(),
        at=NOW,
        who="Ana",
        flock=birds,
        count=birds,
    )
    with journal.writing() as writing:
        keep_closings(writing.connection, household.profile.site.id, [away], NOW)
    publish(journal, household, request, NOW + timedelta(minutes=1))
    left = journal.revisions(household.profile.site.id).values()
    ahead = [one for one in left if one.event.day > NOW.date()]
    assert ahead
    assert [one.event.title for one in ahead if not one.cancelled_on] == []
