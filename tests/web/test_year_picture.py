import re
from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_plan import Plan
from scheduler.cares.months import year_from
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.profile.values import Profile
from scheduler.web.year_picture import year_picture
from tests.conftest import declared
from tests.unhurried import unhurried

CONFIG = Path(__file__).parents[2] / "config"
TODAY = date(2026, 11, 25)
NAMES = sorted(path.stem for path in CONFIG.glob("*.toml"))
SITE = '[site]\nname = "S"\nlatitude = {}\nlongitude = 20\ntimezone = "Europe/Oslo"\n'
BIRDS = '[[coop]]\nname = "C"\n[[flock]]\nname = "F"\nhens = 6\n'
CLOCK_LEFT, CLOCK_WIDTH = 36, 192
DAY_HEIGHT, TOP = 1.6, 34

Points = list[tuple[float, float]]


def _year(profile: Profile, catalogue: Catalogue) -> Plan:
    first, last = year_from(TODAY)
    return plan(profile, NO_RECORDS, first, last, catalogue)


def _drawn(planned: Plan) -> ET.Element:
    text = year_picture(planned, planned.profile.coop[0], TODAY)
    return ET.fromstring(text)  # noqa: S314 - our own


def _points(picture: ET.Element, name: str) -> Points:
    [path] = picture.findall(f"path[@class='{name}']")
    found = re.findall(r"([\d.]+),([\d.]+)", path.attrib["d"])
    return [(float(x), float(y)) for x, y in found]


def _hours(points: Points, day: date, first: date, last_hour: int = 24) -> list[float]:
    """The hours that are drawn at the height of the date."""
    y = TOP + (day - first).days * DAY_HEIGHT
    at = [x for x, height in points if abs(height - y) < 0.06]
    return [(x - CLOCK_LEFT) * last_hour / CLOCK_WIDTH for x in at]


def test_daylight_is_drawn_as_the_almanac_has_it(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    # London on 21 December: 08:04 and 15:53, from memory.
    profile = declare(
        '[site]\nname = "S"\nlatitude = 51.5\nlongitude = -0.13\ntimezone = "Europe/London"\n'
        + BIRDS
    )
    planned = _year(profile, catalogue)
    picture = _drawn(planned)
    hours = _hours(_points(picture, "day"), date(2026, 12, 21), planned.days[0].day)
    assert min(hours) == pytest.approx(8 + 4 / 60, abs=0.05)
    assert max(hours) == pytest.approx(15 + 53 / 60, abs=0.05)


@pytest.mark.parametrize("name", NAMES)
@unhurried
def test_every_lock_up_is_drawn_at_its_date_and_hour(name: str, catalogue: Catalogue) -> None:
    planned = _year(declared((CONFIG / f"{name}.toml").read_text(), TODAY), catalogue)
    zone, coop_id = planned.profile.site.zone, planned.profile.coop[0].id
    points = _points(_drawn(planned), "lockup")
    assert len(points) == len(planned.days) + 1
    for day, (x, y) in zip(planned.days, points, strict=False):
        coop = next(one for one in day.coops if one.coop_id == coop_id)
        local = coop.lock_up.instant.astimezone(zone)
        hour = (x - CLOCK_LEFT) * 24 / CLOCK_WIDTH
        assert hour == pytest.approx(local.hour + local.minute / 60, abs=0.03), day.day
        assert y == pytest.approx(TOP + (day.day - planned.days[0].day).days * DAY_HEIGHT, abs=0.06)


@pytest.mark.parametrize("name", NAMES)
@unhurried
def test_the_picture_is_small_and_its_notes_stand_apart(name: str, catalogue: Catalogue) -> None:
    planned = _year(declared((CONFIG / f"{name}.toml").read_text(), TODAY), catalogue)
    picture = _drawn(planned)
    assert len(ET.tostring(picture)) < 40_000
    assert not picture.findall(".//*[@style]")
    notes = [one for one in picture.findall("text") if float(one.attrib["x"]) >= 250]
    mine = {planned.profile.coop[0].id, planned.profile.site.id} | {
        flock.id for flock in planned.profile.flocks_of(planned.profile.coop[0].id)
    }
    changes = {
        (task.day, task.short)
        for day in planned.days
        for task in day.seasons
        if task.subject_id in mine
    }
    assert len(notes) == len(changes)
    heights = [float(one.attrib["y"]) for one in notes]
    assert all(b - a >= 11 for a, b in pairwise(heights))
    height = float(picture.attrib["viewBox"].split()[3])
    assert not heights or heights[-1] < height


def test_the_sun_that_stays_up_or_down_is_drawn_so(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    # At 70° N the sun stays up around 21 June and down around 21 December (any almanac).
    planned = _year(declare(SITE.format(70) + BIRDS), catalogue)
    day = _points(_drawn(planned), "day")
    first = planned.days[0].day
    assert _hours(day, date(2026, 12, 21), first) == []
    summer = _hours(day, date(2027, 6, 21), first)
    assert (min(summer), max(summer)) == (0, 24)


def test_an_evening_after_midnight_lies_to_the_right_of_it(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    basis = '[lockup]\nbasis = "civil dusk"\ncap = "none"\n'
    planned = _year(declare(SITE.format(60).replace("20", "6") + basis + BIRDS), catalogue)
    zone = planned.profile.site.zone
    late = [
        one
        for day in planned.days
        for one in day.coops
        if one.lock_up.latest.astimezone(zone).date() > one.day
    ]
    picture = _drawn(planned)
    assert late
    for one in late:
        local = one.lock_up.latest.astimezone(zone)
        [hour] = _hours(_points(picture, "latest"), one.day, planned.days[0].day, 26)
        assert hour == pytest.approx(24 + local.hour + local.minute / 60, abs=0.05)


def test_a_chosen_date_has_a_line_at_its_height_and_a_grip_as_large_as_a_thumb(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    planned = _year(declare(SITE.format(50) + BIRDS), catalogue)
    text = year_picture(planned, planned.profile.coop[0], TODAY, date(2027, 3, 4))
    picture = ET.fromstring(text)  # noqa: S314 - our own
    chosen = picture.find("g[@class='chosen']")
    assert chosen is not None
    middle = TOP + ((date(2027, 3, 4) - planned.days[0].day).days + 0.5) * DAY_HEIGHT
    assert chosen.attrib["transform"] == f"translate(0 {middle:.1f})"
    reach = chosen.find("circle[@class='reach']")
    assert reach is not None
    # A phone of 390 px leaves the picture 344 of them.
    assert float(reach.attrib["r"]) * 2 * 344 / float(picture.attrib["viewBox"].split()[2]) > 46
    assert "chosen" not in year_picture(planned, planned.profile.coop[0], TODAY)


def test_names_are_escaped(declare: Callable[[str], Profile], catalogue: Catalogue) -> None:
    profile = declare(SITE.format(50) + BIRDS.replace('"C"', "\"<b>&'C'</b>\""))
    planned = _year(profile, catalogue)
    title = _drawn(planned).find("title")
    assert title is not None
    assert "<b>&'C'</b>" in (title.text or "")


def test_today_is_marked_in_its_own_year_alone(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    planned = _year(declare(SITE.format(50) + BIRDS), catalogue)
    coop = planned.profile.coop[0]
    assert 'class="today"' in year_picture(planned, coop, TODAY)
    assert 'class="today"' not in year_picture(planned, coop, TODAY - timedelta(days=30))
