"""A profile is opened by the date at its own site."""

from datetime import UTC, datetime

import pytest

from scheduler.service.household.open_profile import Household, read_profile
from tests.alerts.orchard import SITE, WALNUT

EVENING = datetime(2026, 12, 21, 20, tzinfo=UTC)


@pytest.mark.parametrize(
    ("key", "zone", "has_come"),
    [
        ("joined", "Europe/London", False),
        ("hatched", "Europe/London", False),
        ("joined", "Pacific/Auckland", True),
        ("hatched", "Pacific/Auckland", True),
    ],
)
def test_a_day_has_come_when_it_has_come_at_the_site(key: str, zone: str, has_come: bool) -> None:
    place = SITE.replace("Europe/London", zone)
    if zone != "Europe/London":
        place = place.replace("51.5", "-36.8").replace("-0.1", "174.7").replace('"UK"', '"AU"')
    text = place + WALNUT.replace("hens = 12", f"hens = 12\n{key} = 2026-12-22")
    found = read_profile(text.encode(), "hens.toml", EVENING)
    assert isinstance(found, Household) is has_come, found
