"""What would ring if this machine stopped now, person by person, and how it is said."""

from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from datetime import date, datetime
from pathlib import Path

import pytest

from scheduler.alerts.evening_so_far import Night
from scheduler.journal import access, memos
from scheduler.service.health.health_words import if_stopped
from scheduler.service.health.if_it_stopped import IfItStopped, if_it_stopped, unheard
from scheduler.service.health.report_health import Health
from scheduler.service.health.tick_file import Pulse, as_text, read_text
from tests.alerts.orchard import DAY, TEXT, WINTER, Ledger, almanac, at, ledger, said
from tests.service.desk import Desk, desk

NOBODY: Mapping[str, date] = {}


def asked(  # noqa: PLR0913 - all that is known
    evening: Ledger,
    now: datetime,
    *,
    text: str = TEXT,
    files: Mapping[str, date] = NOBODY,
    holds: bool | None = True,
    has_heartbeat: bool = False,
) -> IfItStopped | None:
    nights: list[Night] = [evening.night()]
    return if_it_stopped(
        almanac(text), nights, evening.closings, now,
        files=files, holds=holds, has_heartbeat=has_heartbeat,
    )  # fmt: skip


def lines(found: IfItStopped | None) -> list[str]:
    health = Health(profile=almanac().profile, pulse=None, tick_age_s=None, stopped=found)
    return list(if_stopped(health)[1])


def test_from_noon_on_the_push_server_rings_those_who_have_push() -> None:
    evening = ledger(TEXT)
    evening.tick(at("12:00"))
    found = asked(evening, at("15:00"))
    assert lines(found) == [
        "Tonight: the push server rings Ana at 16:38, and again at 16:58.",
        "Tonight: the push server rings Ben at 16:38, and again at 16:58.",
        "Tonight: nothing rings Cleo.",
    ]
    [note] = unheard(found)
    assert note.what == "If this machine stopped now, nothing would ring Cleo tonight."
    assert not note.counts, "no page but Status says so"


def test_one_of_two_alarms_is_said_to_be_enough() -> None:
    evening = ledger(TEXT)
    evening.tick(at("12:00"))
    files = {"ana": WINTER, "cleo": WINTER + DAY, "ben": WINTER - DAY}
    found = asked(evening, at("15:00"), files=files)
    both = (
        "Tonight: the push server rings Ana at 16:38, and again at 16:58. The backup alarm in the "
        "calendar rings as well, because it cannot know: one of the two is enough."
    )
    assert lines(found) == [
        both,
        "Tonight: the push server rings Ben at 16:38, and again at 16:58.",
        "Tonight: the backup alarm that Cleo fetched rings at about 16:38.",
    ]
    assert unheard(found) == ()
    assert found
    assert [one.owner for one in found.alarms] == ["held", "held", "file"]


def test_before_noon_what_is_still_to_come_is_no_warning() -> None:
    evening = ledger(TEXT)
    found = asked(evening, at("09:00"), files={"cleo": WINTER - DAY})
    assert lines(found) == [
        "Tonight: nothing yet for Ana. The push server gets the message for tonight at 11:58.",
        "Tonight: nothing yet for Ben. The push server gets the message for tonight at 11:58.",
        "Tonight: nothing rings Cleo. The backup alarm ended on 20 December 2026.",
    ]
    [note] = unheard(found)
    assert "Cleo" in note.what
    [all_of_them] = unheard(asked(evening, at("09:00"), holds=False))
    assert "Ana, Ben and Cleo" in all_of_them.what, "that server takes nothing"


def test_once_tonight_s_doors_are_shut_it_is_about_tomorrow() -> None:
    evening = ledger(TEXT)
    evening.tick(at("12:00"))
    evening.say(said(clock="16:20"))
    found = asked(evening, at("20:00"), files={"cleo": WINTER + DAY})
    assert found
    assert (found.day, found.is_tonight) == (WINTER + DAY, False)
    assert lines(found) == [
        "Tomorrow evening: nothing yet for Ana. The push server gets the message for it at 11:58.",
        "Tomorrow evening: nothing yet for Ben. The push server gets the message for it at 11:58.",
        "Tomorrow evening: the backup alarm that Cleo fetched rings at about 16:39.",
    ]


def test_a_heartbeat_tells_whoever_set_it_up_and_rings_nobody_else() -> None:
    evening = ledger(TEXT)
    found = asked(evening, at("15:00"), has_heartbeat=True)
    assert set(lines(found)) == {
        f"Tonight: nothing rings {name}. Whoever set up the heartbeat is told that it has stopped."
        for name in ("Ana", "Ben", "Cleo")
    }
    assert unheard(found) == ()


def test_what_has_rung_already_rings_no_more() -> None:
    evening = ledger(TEXT)
    found = asked(evening, at("16:38"), files={"cleo": WINTER})
    assert found
    assert [one.rings_at for one in found.alarms] == [None, None, None]


def test_without_birds_there_is_nothing_to_say() -> None:
    empty = TEXT.replace("hens = 12", "hens = 12\narrived = 2027-06-01")
    nothing = if_it_stopped(
        almanac(empty), [], (), at("15:00"), files=NOBODY, holds=None, has_heartbeat=False
    )
    assert nothing is None
    assert unheard(nothing) == ()
    assert if_stopped(Health(profile=almanac().profile, pulse=None, tick_age_s=None)) == ("", ())


def test_a_sitter_is_asked_about_on_their_days_alone() -> None:
    sitter = (
        '[[person]]\nname = "Sam"\nmail = "sam@example.org"\nrole = "sitter"\n'
        "first_day = 2026-12-22\nlast_day = 2026-12-23\n"
    )
    found = asked(ledger(TEXT), at("15:00"), text=TEXT + sitter)
    assert found
    assert [one.person_id for one in found.alarms] == ["ana", "ben", "cleo"]


# What is noted


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Desk]:
    with ExitStack() as stack:
        yield stack.enter_context(desk(tmp_path, TEXT))


def test_what_somebody_fetched_is_known_until_they_leave(house: Desk) -> None:
    with house.journal.writing() as writing:
        connection = writing.connection
        access.keep_only(connection, "orchard", ["ana", "ben"], at("10:00"))
        memos.note_backup_alarm(connection, "orchard", "ana", WINTER)
        memos.note_backup_alarm(connection, "orchard", "ben", WINTER)
        memos.note_backup_alarm(connection, "orchard", "ana", WINTER + DAY)
        assert memos.backup_alarms(connection, "orchard") == {"ana": WINTER + DAY, "ben": WINTER}
        access.keep_only(connection, "orchard", ["ben"], at("10:01"))
        access.keep_only(connection, "orchard", ["ana", "ben"], at("10:02"))
        assert memos.backup_alarms(connection, "orchard") == {"ben": WINTER}, "she is new"


def test_a_tick_tells_of_its_heartbeat() -> None:
    pulse = Pulse(
        wall="", boot_s=1.0, complete_boot_s=1.0, trust="trusted", profile_number=1, heartbeat=True
    )
    assert read_text(as_text(pulse)) == pulse
