import zoneinfo
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from importlib import metadata, resources
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.profile.package_data import catalogue, tzdata_version, zone
from scheduler.profile.problem import Unreadable

JULY = datetime(2026, 7, 1, 12, tzinfo=UTC)


def summer_offset(key: str) -> timedelta | None:
    return JULY.astimezone(zone(key)).utcoffset()


# Files of a system's zone folder that mean another clock on each machine, or count leap seconds.
MACHINE_NAMES = ("localtime", "posixrules", "posix/Europe/Paris", "right/Europe/Paris")


@pytest.fixture
def system_zones(tmp_path: Path) -> Iterator[Path]:
    """A folder that stands for the system's zone data; it calls Tokyo's clock Paris."""
    data = (resources.files("tzdata.zoneinfo.Asia") / "Tokyo").read_bytes()
    for name in ("Europe/Paris", "Orchard/Gate", *MACHINE_NAMES):
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    (tmp_path / "Orchard" / "Fence").write_text("no zone data")
    usual = zoneinfo.TZPATH
    zone.cache_clear()
    zoneinfo.reset_tzpath([str(tmp_path)])
    yield tmp_path
    zoneinfo.reset_tzpath(usual)
    ZoneInfo.clear_cache(only_keys=["Europe/Paris", "Orchard/Gate", *MACHINE_NAMES])
    zone.cache_clear()


def test_the_tzdata_package_comes_before_the_system(system_zones: Path) -> None:
    assert JULY.astimezone(ZoneInfo.no_cache("Europe/Paris")).utcoffset() == timedelta(hours=9)
    assert (system_zones / "Europe" / "Paris").exists()
    assert summer_offset("Europe/Paris") == timedelta(hours=2)


@pytest.mark.usefixtures("system_zones")
def test_the_system_is_asked_for_what_the_package_lacks() -> None:
    assert summer_offset("Orchard/Gate") == timedelta(hours=9)
    with pytest.raises(Unreadable):
        zone("Orchard/Fence")


@pytest.mark.usefixtures("system_zones")
@pytest.mark.parametrize("key", MACHINE_NAMES)
def test_a_name_that_only_this_machine_gives_a_meaning_is_refused(key: str) -> None:
    with pytest.raises(Unreadable):
        zone(key)


@pytest.mark.parametrize(
    ("key", "hours"),
    [
        ("Europe/Paris", 2),
        ("America/Argentina/Ushuaia", -3),
        ("Etc/GMT+5", -5),
        ("Asia/Kathmandu", 5.75),
        ("Pacific/Kiritimati", 14),
        ("UTC", 0),
    ],
)
def test_a_known_name_is_a_zone_that_carries_it(key: str, hours: float) -> None:
    assert zone(key).key == key
    assert summer_offset(key) == timedelta(hours=hours)
    assert zone(key) is zone(key)


def test_every_name_of_the_package_is_a_zone() -> None:
    names = (resources.files("tzdata") / "zones").read_text().split()
    assert len(names) > 400
    for name in set(names) - {"Factory"}:  # what a machine has before anybody sets its zone
        assert zone.__wrapped__(name).key == name


@pytest.mark.parametrize(
    "key",
    [
        "",
        " ",
        "/",
        "Etc",
        "Europe",
        "Europe/",
        "/Europe/Paris",
        "/etc/passwd",
        "../../etc/passwd",
        "Europe/../Europe/Paris",
        "Europe/./Paris",
        "Europe//Paris",
        "Europe\\Paris",
        "Europe.Paris",
        "Europe/Paris\n",
        "Europe/Paris\x00",
        "Europe/Paris/Paris",
        "__init__",
        "Europe/__init__",
        "Europe/__pycache__",
        "zones",
        "tzdata.zi",
        "leapseconds",
        "leap-seconds",
        "A" * 5000,
        "Европа/Париж",
    ],
)
def test_what_is_no_zone_is_refused_with_what_is(key: str) -> None:
    with pytest.raises(Unreadable) as refused:
        zone(key)
    assert refused.value.accepted == 'a time zone such as "Europe/Paris" or "America/Denver"'


@pytest.mark.parametrize(
    ("key", "nearest"),
    [
        ("Europe/Pari", "Europe/Paris"),
        ("europe/paris", "Europe/Paris"),
        ("europe/paris ", "Europe/Paris"),
        ("Europe/Paris ", "Europe/Paris"),
        ("Europe\\Paris", "Europe/Paris"),
        ("America/New York", "America/New_York"),
        ("Amerika/Denver", "America/Denver"),
        ("utc", "UTC"),
    ],
)
def test_a_misspelled_zone_is_refused_with_the_nearest_spelling(key: str, nearest: str) -> None:
    with pytest.raises(Unreadable) as refused:
        zone(key)
    assert refused.value.hint == f'Did you mean "{nearest}"?'


PIECES = st.one_of(
    st.sampled_from(["Europe", "Paris", "Etc", "UTC", "GMT", "America", "..", *"/._+-5"]),
    st.integers(0, 0x10FFFF).map(chr),
)


@pytest.fixture(scope="session")
def known_zones() -> set[str]:
    return zoneinfo.available_timezones()


@settings(deadline=None)
@given(st.lists(PIECES, max_size=4).map("".join))
def test_any_text_is_a_zone_or_unreadable(known_zones: set[str], key: str) -> None:
    try:
        found = zone.__wrapped__(key)
    except Unreadable:
        assert key not in known_zones
    else:
        assert found.key == key
        assert key in known_zones


def test_the_version_of_the_zone_data_is_the_installed_one() -> None:
    assert tzdata_version() == metadata.version("tzdata")


def test_the_catalogue_is_read_once() -> None:
    assert "water" in catalogue()["care"]
    assert catalogue() is catalogue()
