"""What every test may use: the shipped catalogue, and profiles written as a keeper writes them."""

import os
from collections.abc import Callable, Generator, Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st

from scheduler.cares import catalogue as cares
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.diary.codec import KINDS, decode
from scheduler.cares.diary.profile_entries import Differs, ProfileChanged
from scheduler.journal.store import open_journal
from scheduler.profile.load import Loaded, parse
from scheduler.profile.package_data import catalogue as raw_catalogue
from scheduler.profile.values import Profile
from tests.sinks.postgres import NOT_HERE, Postgres, programs, running
from tests.unhurried import UNHURRIED

# Properties draw few examples while one works and many in CI, always the same: what passed once
# must pass again. `--hypothesis-profile hunt` draws many new ones.
settings.register_profile("quick", deadline=None, max_examples=6, derandomize=True)
settings.register_profile("thorough", deadline=None, max_examples=100, derandomize=True)
settings.register_profile("brief", deadline=None, max_examples=10, derandomize=True)
settings.register_profile("hunt", deadline=None, max_examples=1000, database=None)
settings.load_profile("thorough" if UNHURRIED else "quick")
# Forty differences of a dozen parts each take a property longer than they tell it.
st.register_type_strategy(
    ProfileChanged,
    st.builds(
        ProfileChanged,
        number=st.integers(),
        differs=st.lists(st.from_type(Differs), max_size=2).map(tuple),
        more=st.integers(),
        how=st.sampled_from(["changed", "put back", "taken over", "begun"]),
        put_back=st.none() | st.integers(),
    ),
)

for _kind in KINDS:  # before a test stops the clock, or pydantic takes a false date for no date
    decode(_kind, 1, "")

WRITTEN_ON = date(2026, 1, 1)

SMALL = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
[climate]
coldest_month_low = "-2 °C"
warmest_month_high = "24 °C"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
"""

Declare = Callable[[str], Profile]


def declared(text: str, today: date = WRITTEN_ON) -> Profile:
    """The profile that a text declares; fails with its problems when there are any."""
    loaded = parse(text.encode(), file="test.toml", today=today)
    assert isinstance(loaded, Loaded), "\n".join(map(str, loaded))
    return loaded.profile


@pytest.fixture
def declare() -> Declare:
    """Turns the text of a profile into its value."""
    return declared


@pytest.fixture(scope="session")
def small() -> Profile:
    """Twelve hens in one coop on the edge of London."""
    return declared(SMALL)


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    """The shipped catalogue of jobs."""
    return cares.read(raw_catalogue())


@pytest.fixture(scope="session")
def postgres() -> Iterator[Postgres]:
    """A PostgreSQL of this run's own; skips where there is none."""
    if programs() is None:
        pytest.skip(NOT_HERE)
    with running() as server:
        yield server


@pytest.fixture(scope="session")
def empty_journal(postgres: Postgres) -> str:
    """The name of a database with a journal that holds nothing, to be copied."""
    name = postgres.new_database()
    open_journal(postgres.url(name)).close()
    return name


_HOW_TO_GET = {
    "debian": "apt-get install libical3 nginx-light systemd caddy shellcheck",
    "browser": "apt-get install chromium dbus",
    "firefox": "apt-get install firefox-esr",
    "node": "apt-get install nodejs npm; npm install --prefix .venv ical.js@2.2.1",
    "kernel": "apt-get install strace debootstrap; a Linux machine that allows what they do",
    "reference": "python3 tests/run.py --extra reference",
    "postgresql": "python3 tests/run.py",
}
_MUST_RUN_IN_CI = ("debian", "browser", "firefox", "reference", "node", "postgresql")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Under DUSKFOLD_CI=1 a skipped test of these markers fails: CI installs what they need."""
    del call
    report = yield
    marker = next((name for name in _MUST_RUN_IN_CI if item.get_closest_marker(name)), None)
    if report.skipped and marker and UNHURRIED:
        report.outcome = "failed"
        report.longrepr = f"skipped in CI, where {marker} tests must run: {_reason(report)}"
    return report


def _reason(report: pytest.TestReport | pytest.CollectReport) -> str:
    said = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
    return said.removeprefix("Skipped: ")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Ends the run with a table: skipped, why, how to get it; adds them to a list if asked to."""
    skipped = terminalreporter.stats.get("skipped", [])
    if not skipped:
        return
    if listed := os.environ.get("DUSKFOLD_SKIPPED_TO"):
        with Path(listed).open("a", encoding="utf-8") as file:
            file.writelines(f"{report.nodeid}\n" for report in skipped)
    terminalreporter.section("skipped, why, how to get it")
    for report in sorted(skipped, key=lambda report: report.nodeid):
        how = next((how for name, how in _HOW_TO_GET.items() if name in report.keywords), "")
        parts = [report.nodeid, _reason(report), how]
        terminalreporter.write_line("  |  ".join(part for part in parts if part))
