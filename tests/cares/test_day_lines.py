"""The lines of a coop's day: which there are, in which order, with the site's clock."""

from collections.abc import Callable
from datetime import date

from scheduler.cares.coop_day import coop_day
from scheduler.cares.day_lines import DayLine, day_lines
from scheduler.cares.records import NO_RECORDS
from scheduler.light.sun import sky_over
from scheduler.profile.values import Profile
from scheduler.wording.cares.door_times import CallIn

WINTER, SUMMER = date(2026, 12, 21), date(2026, 6, 21)
PLACE = """
[site]
name = "Orchard"
latitude = {latitude}
longitude = -0.1
timezone = "Europe/London"
region = "UK"
{rules}
[[coop]]
name = "Walnut"
ranging = "{ranging}"
{inside}
[[flock]]
name = "Girls"
hens = 12
others = {others}
"""
LAMP = """
[coop.light]
programme = true
[[coop.drinker]]
inside = true
[[coop.feeder]]
inside = true
"""
Declare = Callable[[str], Profile]


def lines(  # noqa: PLR0913 - what the tests vary
    declare: Declare,
    day: date,
    *,
    latitude: float = 51.5,
    rules: str = "",
    ranging: str = "supervised",
    inside: str = "",
    others: int = 0,
) -> dict[str, DayLine]:
    profile = declare(
        PLACE.format(latitude=latitude, rules=rules, ranging=ranging, inside=inside, others=others)
    )
    coop = coop_day(profile, sky_over(profile), profile.coop[0], day, NO_RECORDS)
    return {line.key: line for line in day_lines(profile, coop)}


def test_every_day_has_its_four_times_in_order(declare: Declare) -> None:
    found = lines(declare, WINTER)
    assert list(found) == ["let-out", "range", "lock-up", "latest"]
    assert found["lock-up"].label == "Lock up"
    assert found["lock-up"].time == "16:18"
    assert found["lock-up"].reason.startswith("The sun is 4° below the horizon")
    assert found["latest"].reason == "The door must not be open after this (civil dusk)."
    assert found["range"].time == "from 14:53"


def test_without_free_range_the_line_says_why(declare: Declare) -> None:
    found = lines(declare, WINTER, ranging="run only")["range"]
    assert (found.time, found.reason) == ("none", "They stay in the run.")


def test_the_lamp_comes_first_and_the_others_last(declare: Declare) -> None:
    found = lines(declare, WINTER, inside=LAMP, others=2)
    assert next(iter(found)) == "lamp"
    assert " to " in found["lamp"].time
    assert list(found)[-1] == "others"
    assert found["others"].reason == CallIn.others()
    assert "lamp" not in lines(declare, SUMMER, inside=LAMP)


def test_a_latest_after_midnight_names_its_day(declare: Declare) -> None:
    late = "[lockup]\nbasis = 'sunset'\nafter_sunset = '90 min'\ncap = 'none'"
    found = lines(declare, SUMMER, latitude=60.0, rules=late)
    assert found["latest"].time.endswith("(Mon)")
