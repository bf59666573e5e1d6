"""The evening's sky is small, has the sun's own colours, and says what the cards say."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from importlib.resources import as_file, files
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest
from skyfield.api import load, load_file, wgs84

from scheduler.cares.coop_day import coop_day
from scheduler.cares.free_range import FreeRange
from scheduler.cares.records import NO_RECORDS
from scheduler.light.sun import At, Never, sky_over
from scheduler.machine.signing_key import signing_key
from scheduler.web.evening_cards import tonight
from scheduler.web.household_now import Lookout
from scheduler.web.render import Renderer
from scheduler.web.request_and_answer import Visit
from scheduler.web.sky_picture import HouseTimes, SkyEvening, Strip, colour, sky_of, strip
from tests.conftest import SMALL, declared
from tests.faults.house import ONE_COOP, TWO_COOPS, House, household

MOST_BYTES = 6000
MINUTE = timedelta(minutes=1)
WINTER, SUMMER = date(2026, 12, 21), date(2026, 6, 21)
PLACES = {
    "london-winter": (51.5, -0.1, "Europe/London", WINTER),
    "london-summer": (51.5, -0.1, "Europe/London", SUMMER),
    "tromso-winter": (69.6, 19.0, "Europe/Oslo", WINTER),
    "tromso-summer": (69.6, 19.0, "Europe/Oslo", SUMMER),
    "tromso-january": (69.6, 19.0, "Europe/Oslo", date(2026, 1, 25)),  # up for two hours
    "quito": (0.0, -78.5, "America/Guayaquil", date(2026, 3, 21)),
    "christchurch": (-43.5, 172.6, "Pacific/Auckland", date(2026, 1, 10)),
}
each_place = pytest.mark.parametrize("place", PLACES)


def evening_at(place: str) -> SkyEvening:
    latitude_deg, longitude_deg, zone, day = PLACES[place]
    text = SMALL.replace("51.5", str(latitude_deg)).replace("-0.1", str(longitude_deg))
    profile = declared(text.replace("Europe/London", zone))
    planned = coop_day(profile, sky_over(profile), profile.coop[0], day, NO_RECORDS)
    ranging = planned.free_range
    house = HouseTimes(
        names=("Walnut",),
        call_in=ranging.call_in if isinstance(ranging, FreeRange) else None,
        lock_up=planned.lock_up.instant,
        latest=planned.lock_up.latest,
    )
    return SkyEvening(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        zone=ZoneInfo(zone),
        region="UK",
        day=day,
        sunset=planned.sunset,
        houses=(house,),
    )


def midway(evening: SkyEvening) -> datetime:
    return evening.start + (evening.end - evening.start) / 2


def drawn(sky: Strip) -> ET.Element:
    assert len(sky.svg.encode()) < MOST_BYTES
    assert "style=" not in sky.svg
    return ET.fromstring(sky.svg)  # noqa: S314 - our own


def stops(sky: Strip, part: str) -> list[tuple[float, str]]:
    [gradient] = [o for o in drawn(sky).iter("linearGradient") if o.attrib["id"] == f"sky-{part}"]
    return [(float(one.attrib["offset"]), one.attrib["stop-color"]) for one in gradient]


def across(sky: Strip) -> dict[str, float]:
    """How far along the strip each mark stands, in percent."""
    marks = [one for one in drawn(sky).iter("svg") if "mark" in one.get("class", "")]
    return {one.attrib["class"].split()[1]: float(one.attrib["x"][:-1]) for one in marks}


def rgb(written: str) -> tuple[int, ...]:
    return tuple(bytes.fromhex(written[1:]))


def shown(sky: Strip, part: str, share: float) -> list[float]:
    """The colour that a browser shows there: it goes straight from stop to stop."""
    (left, before), (right, then) = next(
        pair for pair in pairwise(stops(sky, part)) if pair[1][0] >= share
    )
    along = (share - left) / (right - left)
    return [a + along * (b - a) for a, b in zip(rgb(before), rgb(then), strict=True)]


@each_place
def test_the_strip_is_small_and_every_mark_stands_at_its_time(place: str) -> None:
    evening = evening_at(place)
    now = midway(evening)
    sky = strip(evening, now)
    [house] = evening.houses
    due = {"lock-up": house.lock_up, "latest": house.latest, "now": now}
    if house.call_in:
        due["call-in"] = house.call_in
    span = evening.end - evening.start
    assert across(sky) == pytest.approx(
        {what: (at - evening.start) / span * 100 for what, at in due.items()}, abs=0.01
    )
    picture = drawn(sky)
    assert picture.attrib["data-from"] == str(int(evening.start.timestamp()))
    assert picture.attrib["data-to"] == str(int(evening.end.timestamp()))


def test_it_runs_from_two_hours_before_sunset_to_half_an_hour_after_shut_by() -> None:
    evening = evening_at("london-winter")
    # Sunset in London on 21 December: 15:53, as in test_year_picture.
    at = datetime(2026, 12, 21, 13, 53, tzinfo=UTC)
    assert abs(evening.start - at) < 2 * MINUTE
    assert evening.end == evening.houses[0].latest + 30 * MINUTE
    polar = evening_at("tromso-winter")
    assert polar.start == polar.houses[0].lock_up - timedelta(hours=2)


def test_a_lock_up_long_before_sunset_is_on_the_strip() -> None:
    evening = evening_at("london-summer")
    early = evening.start - timedelta(hours=3)
    house = HouseTimes(names=("W",), call_in=None, lock_up=early, latest=early + 20 * MINUTE)
    assert all(
        0 < x < 100 for x in across(strip(replace(evening, houses=(house,)), early)).values()
    )


@pytest.fixture(scope="module")
def altitude_deg() -> Iterator[Callable[[SkyEvening, datetime], float]]:
    """The altitude of the sun's centre by JPL's DE421, without refraction."""
    scale = load.timescale(builtin=True)
    with as_file(files("skyfield_data") / "data" / "de421.bsp") as path:
        planets: Any = load_file(str(path))

    def found(evening: SkyEvening, at: datetime) -> float:
        place = planets["earth"] + wgs84.latlon(evening.latitude_deg, evening.longitude_deg)
        seen = place.at(scale.from_datetime(at)).observe(planets["sun"]).apparent()
        return float(seen.altaz()[0].degrees)

    yield found
    planets.close()  # an ephemeris left open is a ResourceWarning at exit


@each_place
@pytest.mark.parametrize("part", ["high", "low"])
def test_everywhere_it_has_the_colour_of_the_sun_of_that_moment(
    place: str, part: Any, altitude_deg: Callable[[SkyEvening, datetime], float]
) -> None:
    evening = evening_at(place)
    sky = strip(evening, evening.start)
    assert len(stops(sky, part)) <= 10
    for n in range(21):
        share = n / 20
        then = altitude_deg(evening, evening.start + share * (evening.end - evening.start))
        ours = shown(sky, part, share)
        assert ours == pytest.approx(rgb(colour(then, part, 0.0)), abs=6), (share, then)


def test_day_is_bright_dusk_is_warm_and_night_is_dark() -> None:
    brightness = [sum(rgb(colour(at, "high", 0.0))) for at in (6, 0, -4, -6, -12, -18)]
    assert brightness == sorted(brightness, reverse=True)
    red, _, blue = rgb(colour(0.0, "low", 0.0))
    assert red > blue + 100
    assert colour(60, "low", 0.0) == colour(20, "low", 0.0)
    assert colour(-60, "high", 0.0) == colour(-18, "high", 0.0)


def test_it_is_greyer_under_cloud_and_says_so() -> None:
    clear = evening_at("london-winter")
    grey = [strip(replace(clear, cloud=cloud), midway(clear)) for cloud in (0.0, 0.5, 1.0)]
    for share in (0.1, 0.4, 0.7, 0.9):
        spread = [max(c) - min(c) for c in (shown(sky, "low", share) for sky in grey)]
        assert spread[0] > spread[1] > spread[2]
    assert [sky.cloudy for sky in grey] == ["", "", "Cloudy"]
    assert [bool(drawn(sky).findall("g[@class='clouds']")) for sky in grey] == [False, False, True]


def test_where_the_sun_does_not_cross_the_horizon_the_words_say_so() -> None:
    # In Tromsø the sun stays down around 21 December and up around 21 June (any almanac).
    for place, side, said in (
        ("tromso-winter", "below", "The sun does not rise today."),
        ("tromso-summer", "above", "The sun does not set today."),
    ):
        evening = evening_at(place)
        assert isinstance(evening.sunset, Never)
        assert evening.sunset.side == side
        assert strip(evening, midway(evening)).sun == said
    assert strip(evening_at("london-winter"), datetime(2026, 12, 21, tzinfo=UTC)).sun == (
        "Sunset 15:53"
    )


def test_the_sun_sinks_along_its_path_and_is_there_while_now_is() -> None:
    evening = evening_at("london-winter")
    assert isinstance(evening.sunset, At)

    def height(at: datetime) -> float:
        [sun] = drawn(strip(evening, at)).findall("svg[@class='sun']")
        return float(sun.attrib["y"])

    falling = [height(evening.start + n * 20 * MINUTE) for n in range(7)]
    assert falling == sorted(falling)
    assert height(evening.sunset.instant) == pytest.approx(97, abs=1)  # 0.8° below the horizon
    for outside in (evening.start - MINUTE, evening.end + MINUTE):
        sky = strip(evening, outside)
        assert sky.now is None
        assert "now" not in across(sky)
        assert drawn(sky).findall("svg[@class='sun']") == []


def test_pins_that_would_cover_each_other_hang_at_different_heights() -> None:
    evening = evening_at("london-winter")
    [house] = evening.houses
    close = replace(house, call_in=house.lock_up - MINUTE, latest=house.lock_up + MINUTE)
    pins = [
        one
        for one in drawn(strip(replace(evening, houses=(close,)), evening.start)).iter("svg")
        if one.find("path[@class='glyph']") is not None
    ]
    heights = [float(one.attrib["y"]) for one in pins]
    assert all(b - a >= 22 for a, b in pairwise(sorted(heights)))
    assert len(heights) == 3


# -- of a household ---------------------------------------------------------------------------


def visit_at(house: House, clock: str) -> Visit:
    with house.journal():
        pass
    key = signing_key(house.data, {})
    lookout = Lookout(house.profile_path, house.place, key)
    now = house.local(clock)
    return Visit(now=now, standing=lookout.standing(now), lookout=lookout)


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with household(tmp_path) as made:
        yield made


def test_the_words_beside_it_are_the_times_of_the_card(house: House) -> None:
    visit = visit_at(house, "15:30")
    [card] = tonight(visit)
    sky = sky_of(visit, [card])
    assert sky
    [told] = sky.houses
    assert told.names == ()
    times = {fact.label: fact.when for fact in told.facts}
    assert (times["Lock up"], times["Shut by"]) == (card.lock_up, card.latest)
    assert sky.now
    assert sky.now.when == "15:30"
    page = Renderer()._templates.from_string(  # noqa: SLF001 - the macro alone, as a page has it
        '{% import "sky.html" as skies %}{{ skies.strip(sky) }}'
    )
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page.render(sky=sky)))
    for said in (f"Lock up{card.lock_up}", f"Shut by{card.latest}", "Now15:30", "Sunset 15:53"):
        assert said in text
    visit.lookout.close()


def test_houses_are_named_only_where_their_times_differ(house: House) -> None:
    house.write_profile(house.body.replace(ONE_COOP, TWO_COOPS))
    visit = visit_at(house, "15:30")
    cards = tonight(visit)
    sky = sky_of(visit, cards)
    assert len(cards) == 2
    assert sky
    assert [told.names for told in sky.houses] == [()]
    visit.lookout.close()


def test_without_a_card_there_is_no_strip(house: House) -> None:
    visit = visit_at(house, "15:30")
    assert sky_of(visit, ()) is None
    visit.lookout.close()


def test_of_other_houses_the_lock_up_is_marked_and_all_is_told() -> None:
    evening = evening_at("london-winter")
    [first] = evening.houses
    later = replace(first, names=("Barn",), lock_up=first.lock_up + 9 * MINUTE)
    sky = strip(replace(evening, houses=(first, later)), midway(evening))
    assert [told.names for told in sky.houses] == [("Walnut",), ("Barn",)]
    assert across(sky)["other"] == pytest.approx(across(sky)["lock-up"] + 900 / 190, abs=0.1)
