"""T8, T9: over 12 climates and 3 sizes of house nothing that is said of the air contradicts itself.

What `figures`, `check`, the plan of the year and the year's picture say is set side by side.
"""

from datetime import date, timedelta
from functools import cache
from itertools import product

import pytest

from scheduler.cares.catalogue import read
from scheduler.cares.day_plan import Plan
from scheduler.cares.months import vent_spans
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.cares.usual_day import air_lines, usual_day, vent_settings
from scheduler.cares.vent_seasons import CHANGES, season_on, seasons
from scheduler.climate.curve import averages
from scheduler.husbandry.air import TARGET_HUMIDITY
from scheduler.husbandry.figures import figures
from scheduler.husbandry.housing import criteria
from scheduler.husbandry.keeper_words import figure_words
from scheduler.profile.package_data import catalogue as package_catalogue
from scheduler.profile.phrase import plain, say
from scheduler.profile.values import Profile
from tests.conftest import declared

FIRST = date(2026, 1, 1)
YEAR = [FIRST + timedelta(days=n) for n in range(365)]
# Twelve lows, highs and humidities of the climate map (climate.md), whole degrees and per cent.
CLIMATES = {
    "Houston": (
        29.76,
        -95.37,
        "America/Chicago",
        [7, 9, 13, 17, 20, 23, 25, 25, 22, 17, 12, 8],
        [18, 20, 23, 27, 30, 33, 34, 34, 32, 28, 23, 19],
        [78, 76, 73, 72, 70, 68, 66, 65, 67, 71, 75, 78],
    ),
    "Phoenix": (
        33.45,
        -112.07,
        "America/Phoenix",
        [6, 8, 11, 14, 19, 24, 28, 28, 24, 17, 10, 6],
        [19, 22, 26, 31, 36, 40, 42, 42, 38, 32, 25, 20],
        [53, 49, 38, 28, 24, 27, 34, 39, 40, 40, 44, 49],
    ),
    "London": (
        51.51,
        -0.13,
        "Europe/London",
        [3, 2, 3, 5, 8, 12, 14, 13, 11, 8, 5, 3],
        [7, 8, 11, 14, 18, 21, 23, 23, 20, 15, 11, 8],
        [88, 83, 78, 75, 74, 72, 72, 73, 77, 83, 88, 91],
    ),
    "Bergen": (
        60.39,
        5.32,
        "Europe/Oslo",
        [1, 1, 1, 4, 7, 11, 13, 13, 10, 7, 4, 2],
        [3, 4, 6, 9, 14, 17, 19, 18, 15, 11, 7, 4],
        [87, 85, 81, 78, 76, 78, 81, 83, 85, 85, 86, 87],
    ),
    "Manila": (
        14.6,
        120.98,
        "Asia/Manila",
        [22, 23, 23, 24, 25, 25, 25, 25, 24, 24, 24, 23],
        [31, 31, 33, 34, 34, 33, 32, 32, 32, 32, 31, 31],
        [81, 78, 74, 73, 75, 80, 83, 84, 82, 80, 81, 82],
    ),
    "Duluth": (
        46.79,
        -92.1,
        "America/Chicago",
        [-15, -14, -8, -1, 6, 12, 14, 14, 10, 4, -4, -12],
        [-6, -3, 3, 11, 18, 24, 26, 26, 21, 13, 4, -3],
        [96, 90, 78, 69, 66, 69, 73, 75, 75, 78, 85, 93],
    ),
    "Madrid": (
        40.42,
        -3.7,
        "Europe/Madrid",
        [1, 2, 4, 7, 11, 15, 18, 18, 14, 9, 5, 2],
        [11, 12, 15, 19, 24, 30, 33, 33, 28, 21, 14, 11],
        [76, 70, 65, 61, 55, 47, 39, 40, 49, 64, 76, 80],
    ),
    "Nairobi": (
        -1.29,
        36.82,
        "Africa/Nairobi",
        [14, 15, 15, 15, 14, 13, 12, 12, 13, 14, 15, 14],
        [27, 28, 28, 27, 25, 24, 24, 26, 27, 27, 26, 26],
        [60, 58, 60, 64, 68, 66, 62, 57, 57, 60, 63, 63],
    ),
    "Melbourne": (
        -37.81,
        144.96,
        "Australia/Melbourne",
        [15, 15, 13, 11, 8, 6, 6, 7, 8, 9, 11, 13],
        [27, 27, 24, 21, 17, 14, 14, 15, 18, 20, 23, 25],
        [60, 61, 64, 69, 75, 79, 79, 75, 69, 64, 61, 60],
    ),
    "Oulu": (
        65.01,
        25.47,
        "Europe/Helsinki",
        [-12, -12, -9, -3, 4, 9, 11, 10, 6, 1, -4, -8],
        [-5, -5, -1, 5, 13, 19, 21, 19, 13, 7, 1, -3],
        [99, 95, 87, 76, 68, 67, 72, 80, 87, 92, 95, 98],
    ),
    "Denver": (
        39.74,
        -104.99,
        "America/Denver",
        [-8, -6, -3, 1, 6, 11, 15, 14, 9, 2, -4, -8],
        [6, 8, 11, 16, 22, 27, 31, 31, 26, 18, 11, 7],
        [60, 57, 51, 48, 47, 47, 47, 45, 45, 48, 54, 59],
    ),
    "Osaka": (
        34.69,
        135.5,
        "Asia/Tokyo",
        [2, 2, 5, 10, 15, 21, 25, 25, 22, 16, 9, 4],
        [9, 11, 15, 20, 25, 29, 32, 33, 30, 24, 17, 12],
        [70, 67, 65, 66, 69, 73, 76, 76, 75, 74, 73, 72],
    ),
}
HOUSES = {
    "4 hens": (4, "1.2 m x 90 cm", "1.1 m", ("10 cm x 40 cm", "1 m"), ("10 cm x 20 cm", 2)),
    "12 hens": (12, "1.6 m x 2.2 m", "1.9 m", ("30 cm x 60 cm", "1.7 m"), ("20 cm x 40 cm", 3)),
    "50 hens": (50, "4 m x 5 m", "2.3 m", ("50 cm x 1 m", "2 m"), ("50 cm x 80 cm", 3)),
}
PLACE = """
[site]
name = "Orchard"
latitude = {latitude}
longitude = {longitude}
timezone = "{zone}"
[climate]
lows = {lows}
highs = {highs}
humidity = {humidity}
[[coop]]
name = "Walnut"
floor = "{floor}"
height = "{height}"
[coop.perches]
length = "20 m"
[[coop.vent]]
size = "{high_size}"
height = "{high_at}"
steps = 2
[[coop.vent]]
size = "{low_size}"
place = "low"
height = "20 cm"
steps = {low_steps}
[[flock]]
name = "Girls"
hens = {hens}
hatched = 2024-03-01
"""
CASES = pytest.mark.parametrize(("climate", "house"), list(product(CLIMATES, HOUSES)), ids=str)


@cache
def told(climate: str, house: str) -> Profile:
    latitude, longitude, zone, lows, highs, humidity = CLIMATES[climate]
    hens, floor, height, high, low = HOUSES[house]
    return declared(
        PLACE.format(
            latitude=latitude,
            longitude=longitude,
            zone=zone,
            lows=[f"{each} °C" for each in lows],
            highs=[f"{each} °C" for each in highs],
            humidity=humidity,
            floor=floor,
            height=height,
            high_size=high[0],
            high_at=high[1],
            low_size=low[0],
            low_steps=low[1],
            hens=hens,
        )
    )


@cache
def year(climate: str, house: str) -> Plan:
    """The year's changes of the vents; the other jobs would only take time."""
    cares = tuple(care for care in read(package_catalogue()) if care.id in CHANGES)
    return plan(told(climate, house), NO_RECORDS, YEAR[0], YEAR[-1], cares)


@CASES
def test_the_setting_of_today_is_that_of_the_plan_and_of_the_picture(
    climate: str, house: str
) -> None:
    profile, planned = told(climate, house), year(climate, house)
    spans = list(vent_spans(planned, profile.coop[0]))
    stands = {
        span.first + timedelta(days=n): span.words
        for span in spans
        for n in range((span.last - span.first).days + 1)
    }
    settings = dict(vent_settings(profile, profile.coop[0], FIRST))
    yearly = averages(profile)
    for day in YEAR:
        assert settings[season_on(yearly, day)].words == stands[day], day
    for day in YEAR[::90]:
        lines = air_lines(profile, profile.coop[0], day)
        (now,) = (line for line in lines if line.label.endswith(" (now)"))
        setting = settings[season_on(yearly, day)]
        assert now.label.startswith(season_on(yearly, day))
        helps = say(setting.helps, profile.units)
        assert now.text == f"{setting.words}. {helps}".strip()
        assert "humidity on a still night" in now.sums


@CASES
def test_a_job_says_what_the_figures_say_of_its_season(climate: str, house: str) -> None:
    profile, planned = told(climate, house), year(climate, house)
    jobs = [task for day in planned.days for task in day.tasks if task.care_id in CHANGES]
    settings = dict(vent_settings(profile, profile.coop[0], FIRST))
    for job in jobs:
        setting = settings[CHANGES[job.care_id][0]]
        assert job.title.startswith(f"Vents: {setting.words}")
        assert ("amp nights" in job.title) is (setting.dry_by != "dry")
        assert ("nlarge" in job.title) is (setting.dry_by in {"enlarge", "larger helps"})
        assert ("wet bedding" in job.title) is (
            setting.dry_by in {"enlarge", "larger helps", "bedding"}
        )
        assert say(setting.helps, profile.units) in job.why


@CASES
def test_only_seasons_that_there_are_are_listed_and_each_of_them_comes(
    climate: str, house: str
) -> None:
    profile = told(climate, house)
    listed = {season for season, _ in vent_settings(profile, profile.coop[0], FIRST)}
    yearly = averages(profile)
    assert listed == set(seasons(yearly)) == {season_on(yearly, day) for day in YEAR}
    jobs = {t.care_id for day in year(climate, house).days for t in day.tasks}
    assert {CHANGES[care_id][0] for care_id in jobs & CHANGES.keys()} <= listed
    if climate == "Manila":
        assert listed == {"hot"}
    if climate == "Nairobi":
        assert "cold" not in listed


@CASES
def test_the_figure_of_a_day_and_the_season_that_holds_it_agree(climate: str, house: str) -> None:
    profile = told(climate, house)
    coop = profile.coop[0]
    settings = dict(vent_settings(profile, coop, FIRST))
    for day in YEAR[::20]:
        setting = settings[season_on(averages(profile), day)]
        found = figures(profile, coop, usual_day(profile, day))
        (wanted,) = (one for one in found if one.key == "air-moisture")
        assert "outside" in " ".join(map(plain, wanted.inputs))
        if wanted.value is None:
            assert plain(wanted.note) == "airing alone won't dry it: change the wet bedding"
            assert figure_words(wanted, profile.units).amount == "no amount is enough"
            assert "change wet bedding" in str(setting.helps)
        else:
            assert plain(wanted.note) == ""
            # Never more than the sum for a hot day, at which a house is as open as it can be.
            assert wanted.value < 25 * profile.flock[0].hens
        if setting.dry_by == "dry":
            assert wanted.value is not None
            assert setting.night is not None
            assert setting.night.humidity <= TARGET_HUMIDITY


@CASES
def test_the_check_and_the_figures_agree_on_the_size_of_the_vents(climate: str, house: str) -> None:
    profile = told(climate, house)
    coop = profile.coop[0]
    hottest_c = max(CLIMATES[climate][4])
    verdicts = {
        one.key: one.verdict for one in criteria(profile, coop, "backyard", FIRST, hottest_c)
    }
    settings = dict(vent_settings(profile, coop, FIRST))
    told_to = {season: str(setting.helps) for season, setting in settings.items()}
    if "cold" in settings:
        small = "The high vents are under" in told_to["cold"]
        assert small is (verdicts["vents-winter"] == "short")
    if verdicts["vents-winter"] == verdicts["vents-summer"] == "comfortable":
        assert all("nlarge" not in text and "larger" not in text for text in told_to.values())
