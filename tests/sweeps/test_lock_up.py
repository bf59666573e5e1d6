"""One let-out and one lock-up for each date at many places, checked with DE421 through the light.

What the sun does is checked in test_sun_de421.py; here is what follows from it, every date of two
years, with the default rules.
"""

from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise

import pytest

from scheduler.cares.coop_day import coop_day
from scheduler.cares.records import NO_RECORDS
from scheduler.light.sun import sky_over
from scheduler.profile.coordinates import SOUTHERNMOST_DEG
from scheduler.profile.values import Profile

PLACES = [
    ("equator", 0.0, 9.45, "Africa/Libreville"),
    ("kiritimati", 1.87, -157.4, "Pacific/Kiritimati"),
    ("apia", -13.83, -171.8, "Pacific/Apia"),
    ("honolulu", 21.31, -157.86, "Pacific/Honolulu"),
    ("easter", -27.15, -109.43, "Pacific/Easter"),
    ("cape town", -33.92, 18.42, "Africa/Johannesburg"),
    ("forty", 40.03, -86.1, "America/Indiana/Indianapolis"),
    ("shanghai time at 87 E", 43.8, 87.6, "Asia/Shanghai"),
    ("chatham", -43.95, -176.55, "Pacific/Chatham"),
    ("london", 51.5, -0.13, "Europe/London"),
    ("adak", 51.88, -176.65, "America/Adak"),
    ("ushuaia", -54.8, -68.3, "America/Argentina/Ushuaia"),
    ("anchorage", 61.22, -149.9, "America/Anchorage"),
    ("reykjavik", 64.15, -21.94, "Atlantic/Reykjavik"),
    ("nuuk", 64.18, -51.7, "America/Nuuk"),
    ("oulu", 65.01, 25.47, "Europe/Helsinki"),
    ("tromso", 69.65, 18.96, "Europe/Oslo"),
    ("seventy south", -70.0, 76.0, "Antarctica/Davis"),
]
YEARS = [date(2026, 1, 1) + timedelta(days=n) for n in range(731)]


@pytest.mark.parametrize(("name", "latitude", "longitude", "zone"), PLACES)
def test_one_lock_up_a_date_in_order(
    declare: Callable[[str], Profile], name: str, latitude: float, longitude: float, zone: str
) -> None:
    # A profile does not lie in Antarctica, but the polar night of the south has no other place.
    written = max(latitude, SOUTHERNMOST_DEG)
    profile = declare(
        f'[site]\nname = "{name}"\nlatitude = {written}\nlongitude = {longitude}\n'
        f'timezone = "{zone}"\n[[coop]]\nname = "A"\n[[flock]]\nname = "B"\nhens = 6\n'
    )
    site = profile.site.model_copy(update={"latitude_deg": latitude})
    profile = profile.model_copy(update={"site": site})
    sky = sky_over(profile)
    days = [coop_day(profile, sky, profile.coop[0], day, NO_RECORDS) for day in YEARS]
    for day, following in pairwise(days):
        assert day.let_out.instant < day.lock_up.instant < day.lock_up.latest
        assert day.lock_up.latest < following.let_out.instant
        assert day.lock_up.latest - day.lock_up.instant <= timedelta(minutes=30)
    for day in days:
        local = day.lock_up.instant.astimezone(profile.site.zone)
        assert local.date() == day.day, "by default nobody stays up past 22:30"
        assert day.let_out.instant.astimezone(profile.site.zone).date() == day.day
