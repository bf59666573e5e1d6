"""How high the sun stands, by astral's parts alone: what crossings are held against."""

from datetime import UTC, datetime, timedelta
from math import asin, cos, degrees, radians, sin

from astral.sun import eq_of_time, sun_declination

from scheduler.light.sun import Sky

_J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
_PARALLAX_DEG = 8.794 / 3600  # of the sun at the horizon (IAU 1976): it stands that much lower


def elevation_deg(sky: Sky, instant: datetime) -> float:
    """Height of the sun's centre above the horizon, without refraction."""
    since = instant - _J2000
    century = since / timedelta(days=36_525)
    hour_angle_deg = since / timedelta(minutes=4) + eq_of_time(century) / 4 + sky.longitude_deg
    latitude, declination = radians(sky.latitude_deg), radians(sun_declination(century))
    sine = sin(latitude) * sin(declination)
    sine += cos(latitude) * cos(declination) * cos(radians(hour_angle_deg % 360))
    return degrees(asin(min(1.0, max(-1.0, sine)))) - _PARALLAX_DEG
