"""The pictures of the air are small, whole, and show what the tables beside them say."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from xml.etree import ElementTree as ET

import pytest

from scheduler.cares.records import NO_RECORDS, Records
from scheduler.climate.curve import averages
from scheduler.climate.month_air import day_air
from scheduler.climate.weather import Reading
from scheduler.profile.values import Profile
from scheduler.service.weather.outlook import Outlook, degrees, outlook
from scheduler.web.air_picture import air_picture
from scheduler.web.week_picture import week_picture
from tests.conftest import SMALL, declared
from tests.weather_decided import decided

DAY = timedelta(days=1)
FIRST = date(2026, 12, 20)
NOW = datetime(2026, 12, 20, 15, tzinfo=UTC)
MOST_BYTES = 6000
PLACES = {
    "temperate": SMALL,
    "tropical": SMALL.replace("51.5", "1.3").replace("24 °C", "32 °C").replace("-2 °C", "24 °C"),
    "north": SMALL.replace("51.5", "65").replace("-2 °C", "-38 °C"),
    "US": SMALL.replace('"UK"', '"US"'),
}


def week(profile: Profile, records: Records = NO_RECORDS) -> list[Outlook]:
    return [outlook(profile, records, FIRST + n * DAY, NOW) for n in range(7)]


def drawn(picture: str) -> ET.Element:
    assert len(picture.encode()) < MOST_BYTES
    assert "style=" not in picture
    return ET.fromstring(picture)  # noqa: S314 - our own


def texts(picture: ET.Element) -> list[str]:
    return [one.text or "" for one in picture.iter("text")]


@pytest.mark.parametrize("place", PLACES)
def test_a_week_has_a_bar_a_day_within_the_picture_with_both_ends_written(place: str) -> None:
    profile = declared(PLACES[place])
    days = week(profile, Records(weather=tuple(decided(FIRST + n * DAY) for n in range(3))))
    picture = drawn(week_picture(profile, days))
    bars = picture.findall("rect")
    assert [one.attrib["class"] for one in bars] == ["known"] * 3 + ["usual"] * 4
    width, height = map(float, picture.attrib["viewBox"].split()[2:])
    for one in bars:
        x, y, wide, high = (float(one.attrib[name]) for name in ("x", "y", "width", "height"))
        assert 0 < x < x + wide < width
        assert 0 < y < y + high < height
    written = texts(picture)
    for day in days:
        assert degrees(profile, day.low_c.value) in written
        assert degrees(profile, day.high_c.value) in written
    heights = [float(one.attrib["y"]) for one in picture.iter("text")]
    assert min(heights) > 9
    assert max(heights) <= height


def test_a_colder_night_is_drawn_lower_and_freezing_where_it_is() -> None:
    profile = declared(SMALL)
    weather = tuple(decided(FIRST + n * DAY, low_c=2.0 - 2 * n) for n in range(7))
    picture = drawn(week_picture(profile, week(profile, Records(weather=weather))))
    feet = [float(one.attrib["y"]) + float(one.attrib["height"]) for one in picture.findall("rect")]
    assert feet == sorted(feet)
    [freezing] = picture.findall("path[@class='freezing']")
    at = float(re.findall(r"M0,([\d.]+)", freezing.attrib["d"])[0])
    assert feet[1] == pytest.approx(at, abs=0.2)  # the second night is of 0 °C


def test_a_week_of_one_temperature_and_one_upside_down_are_drawn() -> None:
    profile = declared(SMALL)
    flat = Reading(value=5.0)
    days = [replace(one, low_c=flat, high_c=flat) for one in week(profile)]
    assert len(drawn(week_picture(profile, days)).findall("rect")) == 7
    days[0] = replace(days[0], high_c=Reading(value=-20.0))
    drawn(week_picture(profile, days))


@pytest.mark.parametrize("place", PLACES)
def test_a_year_has_both_bands_and_the_chance_of_frost(place: str) -> None:
    profile = declared(PLACES[place])
    yearly = averages(profile)
    dates = [date(2026, 11, 1) + n * DAY for n in range(365)]
    picture = drawn(air_picture([(day, day_air(yearly, day)) for day in dates], profile.units))
    for name in ("spread", "usual", "frost"):
        [path] = picture.findall(f"path[@class='{name}']")
        pairs = re.findall(r"(-?[\d.]+),(-?[\d.]+)", path.attrib["d"])
        points = [(float(x), float(y)) for x, y in pairs]
        assert len(points) > 50
        width, height = map(float, picture.attrib["viewBox"].split()[2:])
        assert all(0 <= x <= width and 0 <= y <= height for x, y in points)
    assert len([one for one in texts(picture) if one in {"Nov", "Jul"}]) == 2
    assert ("°F" in "".join(texts(picture))) is (place == "US")
