"""What hosts that share a journal tell each other in it: their ticks, and the calendars."""

from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.records import NO_RECORDS
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.profile.values import Profile
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.data_place import DataPlace
from scheduler.service.health import health_words
from scheduler.service.health.health_words import hosts
from scheduler.service.health.pulses import ToldPulse, every_pulse, last_pulse
from scheduler.service.health.report_health import Health
from scheduler.service.health.tick_file import Pulse, is_beating
from scheduler.service.household.open_profile import Household
from tests.sinks.postgres import Postgres
from tests.unhurried import unhurried

pytestmark = pytest.mark.postgresql
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
HERE = Readings(wall=NOW, boot_s=90_000.0, monotonic_s=90_000.0)
TICK = Pulse(
    wall=NOW.isoformat(), boot_s=500.0, complete_boot_s=499.0, trust="trusted", profile_number=1
)


@pytest.fixture
def address(postgres: Postgres, empty_journal: str) -> str:
    return postgres.url(postgres.new_database(empty_journal))


def told(folder: Path, address: str, host: str, journal: Journal, pulse: Pulse) -> ToldPulse:
    place = DataPlace(folder / host, address)
    place.folder.mkdir(exist_ok=True)
    teller = ToldPulse(place, f"{host} {place.folder}")
    teller.beat(journal, "orchard", pulse, is_away=False)
    return teller


def test_of_several_hosts_the_one_that_fares_best_speaks_for_all(
    tmp_path: Path, address: str, small: Profile
) -> None:
    reader = DataPlace(tmp_path, address)
    with closing(reader.open()) as journal:
        assert last_pulse(reader, journal, HERE) is None
        told(tmp_path, address, "barn", journal, replace(TICK, complete_boot_s=100.0, fault="full"))
        assert not is_beating(last_pulse(reader, journal, HERE), HERE)
        well = told(tmp_path, address, "attic", journal, TICK)
        assert is_beating(last_pulse(reader, journal, HERE), HERE), "in the reader's own seconds"
        apart = replace(TICK, complete_boot_s=None, ahead_s=-400.0, fault="its clock")
        told(tmp_path, address, "cellar", journal, apart)
        found = tuple((one, 3.0) for one in every_pulse(reader, journal, HERE))
        assert hosts(Health(profile=small, pulse=None, tick_age_s=None, hosts=found)) == (
            "attic: checked 3 s ago.",
            "barn: checked 3 s ago, which could not be written down: full.",
            (
                "cellar: its clock is 7 min behind the database's, so it leaves the reminders to "
                "the others."
            ),
        )
        well.stop(journal, HERE)
        [stopped] = [one for one in every_pulse(reader, journal, HERE) if one.pulse.stopped]
        assert stopped.name.startswith("attic ")
        late = replace(HERE, boot_s=HERE.boot_s)
        assert not is_beating(last_pulse(reader, journal, late), late)


def test_one_host_alone_needs_no_list(small: Profile) -> None:
    health = Health(profile=small, pulse=TICK, tick_age_s=1.0)
    assert health_words.hosts(health) == ()


@unhurried
def test_calendars_that_one_host_puts_there_are_handed_out_by_the_other(
    tmp_path: Path, address: str, small: Profile, catalogue: Catalogue
) -> None:
    household = Household(profile=small, catalogue=catalogue)
    one, other = (Shelf(DataPlace(tmp_path / name, address)) for name in ("a", "b"))
    site_id = small.site.id
    with closing(one.place.open()) as here, closing(other.place.open()) as there:
        assert other.read(there, site_id) == {}
        one.publish(here, household, NOW, NO_RECORDS)
        first = other.read(there, site_id)
        assert "lockup" in first
        assert first == one.read(here, site_id)
        assert other.last_days(there, site_id).keys() == first.keys()
        other.publish(there, household, NOW + timedelta(minutes=9), NO_RECORDS)
        assert one.read(here, site_id) == first, "unchanged, and so is when it changed"
        later = NOW + timedelta(days=8)
        other.publish(there, household, later, NO_RECORDS)
        assert one.read(here, site_id)["lockup"].changed_at == later
        assert not (tmp_path / "a").exists(), "no file of a host is needed by another"
