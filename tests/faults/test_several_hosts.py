"""Several hosts over one PostgreSQL: whatever happens to one, the evening is told once."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.journal.tables import VERSION
from scheduler.service.health import tick_rows
from scheduler.service.health.report_health import report_health
from scheduler.service.household.accept_profile import accept_profile
from tests.faults.house import ROOT
from tests.faults.several_hosts import Hosts, hosts
from tests.sinks.postgres import Postgres
from tests.unhurried import unhurried

pytestmark = [pytest.mark.postgresql, unhurried]
HEADS_UP = "Lock up at 16:18: Walnut, 12 hens, by 16:33"
NOW = "Lock up now: Walnut, 12 hens, by 16:33"

Build = Callable[..., Hosts]


@pytest.fixture
def build(tmp_path: Path, postgres: Postgres) -> Iterator[Build]:
    """Builds hosts over a database of their own; at the end nothing was silent, lost or doubled."""
    with ExitStack() as stack:
        built = []

        def build(count: int = 2) -> Hosts:
            built.append(stack.enter_context(hosts(tmp_path, postgres, count)))
            return built[-1]

        yield build
        for found in built:
            told = found.ask()
            assert (told["silent"], told["lost"], told["doubled"]) == (0, 0, 0), told


def test_m1_two_hosts_tell_an_evening_once(build: Build) -> None:
    two = build()
    two.start(0)
    two.settle()
    two.start(1)
    for clock in ("15:50", "16:19", "16:27"):
        two.at(clock)
    first = two.houses[0]
    assert first.phone("ana")[:2] == [HEADS_UP, NOW]
    assert len(first.phone("ana")) == 3
    two.say(count=12)
    two.at("16:45")
    two.at("17:30")
    assert not [title for title in first.phone("ana") if "door shut?" in title.lower()]
    with first.journal() as journal:
        names = {one.name for one in tick_rows.read(journal, first.readings)}
    assert len(names) == 2


def test_m2_when_one_is_killed_the_other_goes_on(build: Build) -> None:
    two = build()
    two.start(0)
    two.start(1)
    two.at("15:50")
    two.kill(0)
    two.at("16:19")
    two.kill(1)
    two.start(0)
    two.at("16:34")
    assert two.houses[0].phone("ana")[:2] == [HEADS_UP, NOW]


def test_m3_while_the_server_is_away_each_host_tells_once_of_itself(build: Build) -> None:
    two = build()
    two.start(0)
    two.start(1)
    two.at("15:50")
    two.server_down()
    two.at("16:19")
    house = two.houses[0]
    house.wait(lambda: house.phone("ana").count(NOW) == 2, "not told from memory")
    told = [one for one in house.phone_events("ana") if one.said["title"] == NOW]
    assert len({one.said["sequence_id"] for one in told}) == 1, "a phone would show it twice"
    assert house.phone("ana").count(HEADS_UP) == 1
    two.at("16:20")
    two.server_up()
    two.settle()
    two.say(count=12)
    two.at("17:30")
    assert house.phone("ana").count(NOW) == 2
    assert not [title for title in house.phone("ana") if "door shut?" in title.lower()]
    for one in two.houses:
        one.wait(lambda one=one: one.faults == [], "health does not recover")  # type: ignore[misc]


def test_m3_what_a_host_has_just_sent_it_does_not_send_again_from_memory(build: Build) -> None:
    two = build()
    house = two.houses[0]
    house.period_s = 1.0  # the server goes before the next look
    two.start(0)
    two.set_clock(house.local("16:19"))
    house.wait(lambda: house.phone("ana") == [NOW], "not told")
    house.wait(lambda: house.rows("SELECT state FROM delivery WHERE step = 'now'"), "no row")
    two.server_down(at_once=True)
    two.settle()
    two.settle()
    assert house.phone("ana") == [NOW]
    two.server_up()
    two.settle()
    assert house.phone("ana") == [NOW]


def test_m4_a_host_that_is_started_while_the_server_is_away_tells_all_the_same(
    build: Build,
) -> None:
    two = build()
    two.start(0)
    two.at("15:50")
    two.server_down(at_once=True)
    two.kill(0)
    two.start(1)
    two.at("16:19")
    house = two.houses[1]
    house.wait(lambda: NOW in house.phone("ana"), "not told from memory")
    two.server_up()
    two.start(0)
    two.at("16:27")


def test_m5_a_host_that_sleeps_over_dusk_holds_up_nobody(build: Build) -> None:
    two = build()
    two.start(0)
    two.start(1)
    two.at("15:50")
    two.sleep(1)
    two.at("16:19")
    two.say(count=12)
    two.set_clock(two.houses[0].local("18:00"))
    two.wake(1)
    two.settle()
    assert two.houses[0].phone("ana")[:2] == [HEADS_UP, NOW]
    assert not [title for title in two.houses[0].phone("ana") if "confirmed" in title.lower()]


def test_m6_a_host_whose_clock_is_apart_decides_nothing_and_says_so(build: Build) -> None:
    two = build()
    two.start(0)
    two.start(1)
    two.at("15:40")
    odd, right = two.houses[1], two.houses[0]
    odd.set_clock(right.now + timedelta(minutes=40))
    odd.wait(lambda: "the other hosts" in " ".join(odd.faults), "it does not say so")
    assert right.phone("ana") == [], "told of an evening by a clock that is wrong"
    odd.set_clock(right.now)
    odd.wait(lambda: odd.faults == [], "it does not come back")
    two.at("15:50")
    assert right.phone("ana") == [HEADS_UP]


_NEXT = '''"""A column more."""

import sqlalchemy as sa
from alembic import op

revision = "{version:04}"
down_revision = "{before:04}"


def upgrade() -> None:
    """Adds it; an older program does not ask for it."""
    op.add_column("delivery", sa.Column("colour", sa.Text))
    op.execute("UPDATE schema SET version = {version}")
'''


def newer_program(folder: Path) -> Path:
    """A checkout of the program with one migration more."""
    shutil.copytree(ROOT / "scheduler", folder / "scheduler")
    (folder / "tests").symlink_to(ROOT / "tests")
    named = folder / "scheduler" / "journal" / "tables.py"
    version = VERSION + 1
    found = named.read_text()
    assert f"VERSION = {VERSION} " in found
    named.write_text(found.replace(f"VERSION = {VERSION} ", f"VERSION = {version} "))
    versions = folder / "scheduler" / "journal" / "migrations" / "versions"
    next_one = _NEXT.format(version=version, before=VERSION)
    (versions / f"{version:04}_colour.py").write_text(next_one)
    return folder


def test_m7_one_host_is_brought_up_to_date_before_the_other(build: Build, tmp_path: Path) -> None:
    two = build()
    two.start(0)
    two.start(1)
    two.at("15:50")
    two.stop(1)
    two.houses[1].checkout = newer_program(tmp_path / "newer")
    two.start(1)
    two.at("16:19")
    house = two.houses[0]
    assert house.rows("SELECT version FROM schema") == [(VERSION + 1,)]
    two.kill(1)
    two.at("16:27")  # the older program goes on alone
    two.stop(0)
    two.start(0)
    two.start(1)
    two.at("16:45")
    titles = house.phone("ana")
    assert titles[:2] == [HEADS_UP, NOW]
    assert [title for title in titles if "Is the door shut?" in title], titles


def test_m6_a_lone_host_whose_clock_is_apart_tells_by_its_own(build: Build) -> None:
    two = build()
    two.start(0)
    two.at("15:40")
    house = two.houses[0]
    house.set_clock(house.local("16:19"))  # the server's own clock stands behind
    house.wait(lambda: NOW in house.phone("ana"), "nobody tells")
    two.at("16:19")


def test_m9_a_profile_saved_on_one_host_is_gone_by_on_all(build: Build) -> None:
    two = build()
    two.start(0)
    two.start(1)
    two.at("15:30")
    one, other = two.houses
    other.write_profile(other.body.replace("hens = 12", "hens = 14"))
    numbers = "SELECT max(number) FROM accepted_profile"
    one.wait(lambda: other.rows(numbers) == [(2,)], "it was not accepted")
    two.settle()
    two.kill(0)
    two.start(0)  # with the old file, which makes no new version
    two.settle()
    two.kill(1)
    two.at("15:50")
    assert one.phone("ana") == [HEADS_UP.replace("12 hens", "14 hens")]
    assert other.rows(numbers) == [(2,)]
    assert one.pulse
    assert one.pulse.differs
    two.start(1)
    with one.journal() as journal:
        accept_profile(journal, one.household(), one.now, None)  # as `duskfold accept`
    one.wait(lambda: one.pulse and not one.pulse.differs, "it still says so")
    other.wait(lambda: other.pulse and other.pulse.differs, "it does not say so")
    with one.journal() as journal:
        health = report_health(one.place, one.household(), one.readings, journal)
    assert [note for note in health.notes if "is not the one in force" in note]


def test_m11_a_host_with_another_key_says_so(build: Build) -> None:
    two = build()
    one, other = two.houses
    (other.data / "signing.key").unlink()
    two.start(0)
    two.settle()
    two.start(1)
    two.settle()
    with one.journal() as journal:
        health = report_health(one.place, one.household(), one.readings, journal)
    assert [note for note in health.notes if "different signing.key" in note]
    assert "key.differs" in other.log
    assert "key.differs" not in one.log


def test_m10_a_journal_of_another_site_is_refused_and_left_alone(build: Build) -> None:
    two = build()
    two.start(0)
    two.settle()
    one, other = two.houses
    other.write_profile(other.body.replace('"Orchard"', '"Elsewhere"'))
    two.start(1)
    assert other.process
    assert other.process.wait(30) == 1
    other.process = None
    assert 'belongs to the site "orchard", and the profile here to "elsewhere"' in other.log
    assert "Traceback" not in other.log
    assert one.rows("SELECT count(*) FROM accepted_profile") == [(1,)]
