"""The package's own data: catalogue of jobs, climate map, places, and zone data (tzdata first)."""

import re
import tomllib
from contextlib import suppress
from functools import cache
from importlib import resources
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from scheduler.profile.problem import Unreadable, nearest
from scheduler.wording.profile.reading_words import Moments

_ZONE_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+){0,2}")
# Files of zone data that mean something else on each machine, or count leap seconds.
_NOT_A_PLACE = frozenset({"localtime", "posix", "posixrules", "right", "Factory"})


@cache
def zone(key: str) -> ZoneInfo:
    """The zone of that name, from the tzdata package where it has it, else from the system.

    Raises:
        Unreadable: nobody knows the name.
    """
    if not _ZONE_NAME.fullmatch(key) or key.partition("/")[0] in _NOT_A_PLACE:
        raise _unknown(key)
    area, _, name = key.rpartition("/")
    package = ".".join(["tzdata", "zoneinfo", *area.split("/")]) if area else "tzdata.zoneinfo"
    unknown = suppress(OSError, ValueError, ImportError, TypeError)
    with unknown, (resources.files(package) / name).open("rb") as data:
        return ZoneInfo.from_file(data, key=key)
    try:
        return ZoneInfo(key)
    except (ZoneInfoNotFoundError, OSError, ValueError):
        raise _unknown(key) from None


def _unknown(key: str) -> Unreadable:
    tidied = key.strip()[:60].replace("\\", "/").replace(" ", "_")
    return Unreadable(Moments.zone_of(), nearest(tidied, _zone_names()))


@cache
def _zone_names() -> dict[str, None]:
    return dict.fromkeys(sorted(available_timezones()))


def tzdata_version() -> str:
    """The version of the zone data in use, such as 2026.6."""
    import tzdata  # noqa: PLC0415 - only --version asks

    return str(tzdata.__version__)


@cache
def catalogue() -> dict[str, Any]:
    """The catalogue of jobs as it stands in its file; the cares room gives it meaning."""
    with (resources.files("scheduler") / "cares" / "catalogue.toml").open("rb") as data:
        return tomllib.load(data)


@cache
def climate_map() -> bytes:
    """The climate map as it stands in its file; the climate room gives it meaning."""
    return (resources.files("scheduler") / "climate" / "climate.bin").read_bytes()


def places() -> bytes:
    """The index of places as it stands in its file; the places room gives it meaning.

    It is not kept: only the first run and `init` look a place up.
    """
    return (resources.files("scheduler") / "places" / "places.bin").read_bytes()
