"""What came of a test counts as much as what came of a reminder."""

import socket
from datetime import UTC, datetime
from pathlib import Path

from scheduler.journal.store import open_journal
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.service.data_place import DataPlace
from scheduler.service.health.report_health import Health, report_health
from scheduler.service.people.test_message import send_test
from tests.conftest import SMALL
from tests.faults.driven import DAY, Driven, driven, memory_folder
from tests.sinks.push import PushSink, Reply

__all__ = ["memory_folder"]

ANA = '[[person]]\nname = "Ana"\nid = "ana"\npush = "{}/ana-q7w2"\n'

NOON = datetime(2026, 12, 21, 12, 30, tzinfo=UTC)


def closed_port() -> int:
    """A port of this machine at which nobody listens."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def after_a_test(house: Driven) -> Health:
    """Ana presses the button; then how things stand."""
    ticker = house.running
    profile, place = ticker.household.profile, ticker.place
    send_test(profile, "ana", place, {}, now=lambda: house.clock.at)
    house.tick()
    return report_health(place, ticker.household, house.clock.read())


def test_after_a_failed_test_of_the_only_way_nobody_can_rely_on_it(memory_folder: Path) -> None:
    server = f"http://127.0.0.1:{closed_port()}"
    with driven(memory_folder, SMALL + ANA.format(server), NOON) as house:
        house.tick()
        [cause] = [one for one in after_a_test(house).causes if one.counts]
        assert cause.kind == "not-getting-through"
        assert "Ana by push" in cause.what
        # However long ago: nothing has shown since that it gets through.
        place, household = house.running.place, house.running.household
        house.clock.go_to(NOON + 9 * DAY)
        later = report_health(place, household, house.clock.read())
        assert "not-getting-through" in [one.kind for one in later.causes]
        with PushSink() as push:
            house.write_profile(SMALL + ANA.format(push.url))
            for _ in range(2):
                house.tick()
            household = house.running.household
            mended = report_health(place, household, house.clock.read())
            assert mended.faults == (), "it is another way"
            assert after_a_test(house).faults == ()


def test_the_next_test_that_arrives_ends_it(memory_folder: Path) -> None:
    with (
        PushSink() as push,
        driven(memory_folder, SMALL + ANA.format(push.url), NOON) as house,
    ):
        house.tick()
        push.script(Reply(status=500))
        assert after_a_test(house).faults != ()
        assert after_a_test(house).faults == ()


def test_without_a_data_file_yet_it_is_made_for_it(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA.format("http://127.0.0.1:9"), NOON) as house:
        profile = house.running.household.profile
    fresh = memory_folder / "fresh"
    fresh.mkdir()
    [tried] = send_test(profile, "ana", DataPlace(fresh), {}, now=lambda: NOON)
    assert (tried.channel, tried.outcome.kind) == ("push", "transient")
    open_journal(fresh / JOURNAL_NAME, migrate=False).close()
