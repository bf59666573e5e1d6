"""The sun at a site: one transit, one morning and one evening for every civil date.

A date's half-days are bounded by solar noon and solar midnight, so a dusk at 00:40 belongs to the
evening before and none is lost or doubled. Positions are astral's `sun_declination` and
`eq_of_time` (NOAA's low-precision ephemeris), taken at the ends of each half-day and interpolated
between: over twelve hours both are straight to 0.0002° and 0.03 s. Against JPL DE421 a crossing
is within 10 s up to 60° of latitude and within 40 s up to 70°, away from grazing evenings.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache
from math import acos, asin, cos, degrees, radians, sin, tan
from typing import Literal, NamedTuple

from astral.sun import eq_of_time, sun_declination

from scheduler.profile.site import standard_offset_h
from scheduler.profile.values import Profile

SUNSET_DEG = -0.833  # upper limb on a sea horizon: 34' refraction and 16' radius (USNO)
CIVIL_DEG = -6.0  # civil twilight ends (USNO)
_PARALLAX_DEG = 8.794 / 3600  # of the sun at the horizon (IAU 1976): it stands that much lower

_DAY_S = 86_400.0
_WHOLE_DAY = timedelta(days=1)
_EPOCH_ORDINAL = date(1970, 1, 1).toordinal()
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_J2000_UNIX_S = 946_728_000.0  # 2000-01-01 12:00
_CENTURY_S = 36_525 * _DAY_S
_SETTLED_S = 0.2
_ROUNDS = 12

Half = Literal["morning", "evening"]


@dataclass(frozen=True, slots=True)
class At:
    """The sun passes the angle at this instant, aware UTC."""

    instant: datetime


@dataclass(frozen=True, slots=True)
class Never:
    """The sun does not pass the angle in this half-day: it stays above or below it."""

    side: Literal["above", "below"]


Crossing = At | Never


@dataclass(frozen=True, slots=True)
class HalfDay:
    """The morning or evening of a civil date, from one end of the sun's daily arc to the other."""

    start: datetime
    end: datetime

    def __contains__(self, instant: datetime) -> bool:
        """Both ends belong to the half-day."""
        return self.start <= instant <= self.end


class _Sample(NamedTuple):
    """Where the sun is at an end of a half-day; declination in radians, times in seconds."""

    at_s: float
    declination: float
    equation_s: float


@dataclass(frozen=True, slots=True)
class Sky:
    """The sun over one place; `day_shift` pairs the place's mean noons with its civil dates."""

    latitude_deg: float
    longitude_deg: float
    day_shift: int

    @classmethod
    def over(cls, latitude_deg: float, longitude_deg: float, zone: tzinfo) -> "Sky":
        """The sky whose transit of D is the true noon belonging to local mean noon of D."""
        day_shift = round((standard_offset_h(zone) - longitude_deg / 15) / 24)
        return cls(latitude_deg, longitude_deg, day_shift)

    def transit(self, day: date) -> datetime:
        """The instant at which the sun stands highest on `day`."""
        return _datetime(_transit(self, day.toordinal()).at_s)

    def morning(self, day: date) -> HalfDay:
        """From halfway after the transit of the day before to the transit of `day`."""
        return HalfDay(self._midnight(day.toordinal() - 1), self.transit(day))

    def evening(self, day: date) -> HalfDay:
        """From the transit of `day` to halfway before the next."""
        return HalfDay(self.transit(day), self._midnight(day.toordinal()))

    def _midnight(self, ordinal: int) -> datetime:
        return _datetime(_midnight_after(self, ordinal).at_s)

    def crossing(self, day: date, half: Half, angle_deg: float) -> Crossing:
        """When the centre of the sun passes `angle_deg` (no refraction) in that half of `day`.

        There is a crossing exactly when the elevation is at least the angle at the noon end and
        at most the angle at the midnight end.
        """
        arc = _arc(self, day.toordinal(), half)
        if arc.noon_elevation_deg < angle_deg:
            return Never("below")
        if arc.midnight_elevation_deg > angle_deg:
            return Never("above")
        return At(_datetime(arc.passes_at_s(angle_deg)))

    def elevation_deg(self, at: datetime) -> float:
        """How high the centre of the sun stands at that instant (no refraction)."""
        at_s = (at - _EPOCH).total_seconds()
        ordinal = _EPOCH_ORDINAL + round((at_s - _mean_noon_s(self, _EPOCH_ORDINAL)) / _DAY_S)
        # The ends of a half-day lie up to 17 minutes from mean noon and midnight: it is straight
        # that much beyond them, too.
        half: Half = "evening" if at_s >= _mean_noon_s(self, ordinal) else "morning"
        return _arc(self, ordinal, half).elevation_deg(at_s)

    def daylight(self, day: date) -> timedelta:
        """Sunrise to sunset; nothing in the polar night, 24 h under the midnight sun."""
        return _daylight(self, day)


def sky_over(profile: Profile) -> Sky:
    """The sun at the profile's site."""
    site = profile.site
    return Sky.over(site.latitude_deg, site.longitude_deg, site.zone)


def visible_limb_deg(horizon_deg: float) -> float:
    """The elevation of the sun's centre when its upper limb meets a hill of `horizon_deg`.

    Refraction after Bennett 1982 (formula from memory), scaled to the 34' of a sea horizon.
    """
    if horizon_deg <= 0:
        return SUNSET_DEG

    def bennett_arcmin(apparent_deg: float) -> float:
        return 1 / tan(radians(apparent_deg + 7.31 / (apparent_deg + 4.4)))

    refraction_deg = 34 / 60 * bennett_arcmin(horizon_deg) / bennett_arcmin(0)
    return horizon_deg - (-SUNSET_DEG - 34 / 60) - refraction_deg


class _Arc:
    """Half of the sun's daily arc, with the position interpolated between its ends."""

    __slots__ = (
        "_cos_latitude",
        "_direction",
        "_mean_noon_s",
        "_midnight",
        "_noon",
        "_sin_latitude",
        "midnight_elevation_deg",
        "noon_elevation_deg",
    )

    def __init__(self, sky: Sky, ordinal: int, half: Half) -> None:
        self._mean_noon_s = _mean_noon_s(sky, ordinal)
        self._noon = _transit(sky, ordinal)
        self._midnight = _midnight_after(sky, ordinal if half == "evening" else ordinal - 1)
        self._direction = 240.0 if half == "evening" else -240.0
        self._sin_latitude = sin(radians(sky.latitude_deg))
        self._cos_latitude = cos(radians(sky.latitude_deg))
        self.noon_elevation_deg = self.elevation_deg(self._noon.at_s)
        self.midnight_elevation_deg = self.elevation_deg(self._midnight.at_s)

    def _position(self, at_s: float) -> tuple[float, float]:
        noon, midnight = self._noon, self._midnight
        share = (at_s - noon.at_s) / (midnight.at_s - noon.at_s)
        declination = noon.declination + share * (midnight.declination - noon.declination)
        return declination, noon.equation_s + share * (midnight.equation_s - noon.equation_s)

    def elevation_deg(self, at_s: float) -> float:
        """The elevation at those Unix seconds, in this half of the arc."""
        declination, equation_s = self._position(at_s)
        hour_angle = radians((at_s - self._mean_noon_s + equation_s) / 240)
        sine = self._sin_latitude * sin(declination)
        sine += self._cos_latitude * cos(declination) * cos(hour_angle)
        return degrees(asin(min(1.0, max(-1.0, sine)))) - _PARALLAX_DEG

    def passes_at_s(self, angle_deg: float) -> float:
        """Unix seconds of the crossing, by a fixed point that starts from the quarter-day."""
        sin_angle = sin(radians(angle_deg + _PARALLAX_DEG))
        at_s = (self._noon.at_s + self._midnight.at_s) / 2
        for _ in range(_ROUNDS):
            declination, equation_s = self._position(at_s)
            cos_hour = sin_angle - self._sin_latitude * sin(declination)
            cos_hour /= self._cos_latitude * cos(declination)
            if not -1 <= cos_hour <= 1:
                break
            before_s = at_s
            at_s = self._mean_noon_s - equation_s + self._direction * degrees(acos(cos_hour))
            if abs(at_s - before_s) < _SETTLED_S:
                first_s, last_s = sorted((self._noon.at_s, self._midnight.at_s))
                return min(max(at_s, first_s), last_s)
        return self._bisect(angle_deg)

    def _bisect(self, angle_deg: float) -> float:
        # Grazing evenings: the fixed point leaves the arc or does not settle.
        above_s, below_s = self._noon.at_s, self._midnight.at_s
        while abs(above_s - below_s) > _SETTLED_S:
            middle_s = (above_s + below_s) / 2
            if self.elevation_deg(middle_s) >= angle_deg:
                above_s = middle_s
            else:
                below_s = middle_s
        return (above_s + below_s) / 2


def _century(at_s: float) -> float:
    return (at_s - _J2000_UNIX_S) / _CENTURY_S


def _datetime(at_s: float) -> datetime:
    return _EPOCH + timedelta(seconds=at_s)


def _mean_noon_s(sky: Sky, ordinal: int) -> float:
    hours = 12 - (sky.longitude_deg + 360 * sky.day_shift) / 15
    return (ordinal - _EPOCH_ORDINAL) * _DAY_S + hours * 3600


@lru_cache(maxsize=4096)
def _transit(sky: Sky, ordinal: int) -> _Sample:
    mean_noon_s = _mean_noon_s(sky, ordinal)
    # One round suffices: the equation of time moves at most 30 s a day, 0.3 s in its own 17 min.
    estimate_s = mean_noon_s - eq_of_time(_century(mean_noon_s)) * 60
    century = _century(estimate_s)
    equation_s = eq_of_time(century) * 60
    declination = radians(sun_declination(century))
    return _Sample(mean_noon_s - equation_s, declination, equation_s)


@lru_cache(maxsize=4096)
def _midnight_after(sky: Sky, ordinal: int) -> _Sample:
    at_s = (_transit(sky, ordinal).at_s + _transit(sky, ordinal + 1).at_s) / 2
    century = _century(at_s)
    return _Sample(at_s, radians(sun_declination(century)), eq_of_time(century) * 60)


_arc = lru_cache(maxsize=64)(_Arc)


@lru_cache(maxsize=1024)
def _daylight(sky: Sky, day: date) -> timedelta:
    rise = sky.crossing(day, "morning", SUNSET_DEG)
    sets = sky.crossing(day, "evening", SUNSET_DEG)
    if Never("below") in (rise, sets):
        return timedelta()
    start = rise.instant if isinstance(rise, At) else sky.morning(day).start
    end = sets.instant if isinstance(sets, At) else sky.evening(day).end
    return min(end - start, _WHOLE_DAY)
