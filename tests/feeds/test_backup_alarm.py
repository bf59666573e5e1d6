"""The backup alarm: one event an evening, for fifteen weeks, that any calendar can import."""

from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest

from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.backup_alarm import BackupFile, days_of, rings_at
from scheduler.feeds.render import PRODID
from scheduler.service.calendars.backup_files import backup_file_of
from tests.alerts.orchard import DAY, HAZEL, MINUTE, SITE, TEXT, WALNUT, WINTER, at, household
from tests.alerts.orchard import evenings as planned
from tests.feeds.proof import faults

LAST = date(2027, 4, 4)


def made(text: str = TEXT, now: datetime | None = None) -> BackupFile:
    found = backup_file_of(household(text), NO_RECORDS, (), now or at("10:00"))
    assert found
    return found


def start(event: icalendar.Event) -> datetime:
    assert isinstance(event.start, datetime), "a time, not a whole day"
    return event.start


def events(file: BackupFile) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(file.content).events)


def test_it_rings_once_each_evening_for_fifteen_weeks_five_minutes_after_the_latest() -> None:
    file = made()
    found = events(file)
    assert [start(one).date() for one in found] == [WINTER + n * DAY for n in range(105)]
    assert file.last == start(found[-1]).date() == LAST
    assert start(found[0]) == at("16:38")  # as a held message
    assert {str(one["SUMMARY"]) for one in found} == {"Is the door shut?"}
    assert {start(one).second for one in found} == {0}
    assert all(start(one).utcoffset() == timedelta() for one in found)


def test_each_event_has_one_alarm_at_its_start_and_it_passes_every_check_of_a_feed() -> None:
    file = made(TEXT + HAZEL)
    assert faults(file.content) == []
    for one in events(file):
        [alarm] = one.walk("VALARM")
        assert isinstance(alarm, icalendar.Alarm)
        assert timedelta() == alarm.TRIGGER
        assert alarm.ACTION == "DISPLAY"


def test_it_is_a_file_to_import_and_nobody_is_invited_or_fetches_it_again() -> None:
    content = made().content
    assert b"\r\nMETHOD:" not in content
    assert b"REFRESH-INTERVAL" not in content
    assert b"X-DUSKFOLD" not in content
    assert PRODID.encode() in content


def test_it_says_that_it_rings_on_good_evenings_too_and_until_when() -> None:
    first, *_, last = events(made())
    good = (
        "This alarm rings on good evenings, too: it lies in your calendar and cannot know what "
        "anybody has said. If the door is shut, there is nothing to do."
    )
    runs = (
        "It was made by Duskfold on 21 December 2026 and rings for the last time on 4 April 2027. "
        "Get a new one on the page Subscribe before then."
    )
    look = "If you have not heard that it is shut, go and look."
    assert str(first["DESCRIPTION"]).splitlines() == ["Shut by 16:33.", look, good, runs]
    assert "and this is its last evening." in str(last["DESCRIPTION"])


def test_several_houses_share_one_event_after_the_last_of_them() -> None:
    text = SITE + WALNUT + HAZEL
    each = [planned(one) for one in (SITE + WALNUT, SITE + HAZEL)]
    last = max(evening.latest for (evening,) in each)
    assert rings_at(planned(text)) == last.replace(second=0) + 5 * MINUTE
    found = events(made(text))
    assert len(found) == 105
    assert str(found[0]["DESCRIPTION"]).startswith("Every door shut by ")


def test_a_newer_file_has_the_same_uids_and_counts_as_newer() -> None:
    older, newer = made(), made(now=at("10:01", WINTER + DAY))
    mine = {str(one["UID"]): one for one in events(older)}
    shared = [(mine[uid], one) for one in events(newer) if (uid := str(one["UID"])) in mine]
    assert len(shared) == 104
    assert all(int(str(old["SEQUENCE"])) < int(str(new["SEQUENCE"])) for old, new in shared)
    assert all(old.DTSTAMP < new.DTSTAMP for old, new in shared)
    assert str(events(older)[0]["UID"]) == "backup-orchard-2026-12-21@orchard"


def test_asked_twice_in_a_minute_it_is_the_same_to_the_byte() -> None:
    assert made(now=at("10:00")).content == made(now=at("10:00:59")).content


def test_what_has_rung_by_then_is_left_out() -> None:
    found = events(made(now=at("16:38")))
    assert [start(one).date() for one in found] == [WINTER + n * DAY for n in range(1, 105)]


def test_where_no_bird_sleeps_there_is_nothing_to_ring_for() -> None:
    empty = TEXT.replace("hens = 12", "hens = 12\narrived = 2027-06-01")
    assert backup_file_of(household(empty), NO_RECORDS, (), at("10:00")) is None


@pytest.mark.parametrize("today", [WINTER, date(2027, 3, 1)])
def test_the_dates_are_fifteen_weeks(today: date) -> None:
    assert days_of(today)[-1] == today + timedelta(days=104)


def test_across_the_change_of_clocks_it_keeps_to_the_instants() -> None:
    [spring] = [one for one in events(made()) if start(one).date() == date(2027, 3, 28)]
    # Summer time began that morning in London: what the clock shows is an hour later.
    assert f"{start(spring).astimezone(UTC):%H:%M}" == "19:05"
    assert "Shut by 20:00." in str(spring["DESCRIPTION"])
