"""What a keeper is told about a time says what set it."""

from collections.abc import Callable
from datetime import date

import pytest

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.light.sun import sky_over
from scheduler.profile.values import Profile

WINTER, SUMMER = date(2026, 12, 21), date(2026, 6, 21)
PLACE = """
[site]
name = "Orchard"
latitude = {latitude}
longitude = -0.1
timezone = "Europe/London"
region = "{region}"
{rules}
[[coop]]
name = "Walnut"
ranging = "{ranging}"
[coop.run]
type = "{run}"
[[flock]]
name = "Girls"
hens = 12
roosters = 1
"""

Declare = Callable[[str], Profile]


def place(  # noqa: PLR0913 - what the tests vary
    declare: Declare,
    rules: str = "",
    *,
    latitude: float = 51.5,
    region: str = "UK",
    run: str = "open",
    ranging: str = "supervised",
) -> Profile:
    return declare(
        PLACE.format(latitude=latitude, region=region, rules=rules, run=run, ranging=ranging)
    )


def on(profile: Profile, day: date, records: Records = NO_RECORDS) -> CoopDay:
    return coop_day(profile, sky_over(profile), profile.coop[0], day, records)


@pytest.mark.parametrize(
    ("rules", "latitude", "day", "said"),
    [
        ("", 51.5, WINTER, "The sun is 4° below the horizon"),
        ("[lockup]\nbasis = 'angle'\nangle = 2\ncap = 'none'", 51.5, WINTER, "2° above the hor"),
        ("", 60.0, SUMMER, "It is 22:30, the latest bedtime."),
        ("[lockup]\nbasis = 'sunset'", 51.5, WINTER, "It is 40 min after sunset"),
        ("[lockup]\nbasis = 'sunset'\nafter_sunset = '-10 min'", 51.5, WINTER, "10 min before sun"),
        ("[lockup]\nbasis = 'visible sunset'", 51.5, WINTER, "after the sun goes behind the hill"),
        ("[lockup]\nbasis = 'civil dusk'", 51.5, WINTER, "It is civil dusk"),
        ("[lockup]\nnot_after = '21:00'", 51.5, SUMMER, "It is 21:00: you asked for no later."),
        ("[lockup]\nnot_before = '16:30'", 51.5, WINTER, "You lock up no earlier than 16:30."),
        ("[lockup]\nnot_before = '21:00'", 51.5, WINTER, "must not stay open that long"),
        (
            "[lockup]\nbasis = 'angle'\nangle = -12\ncap = 'none'",
            57.0,
            SUMMER,
            "after sunset, which comes bef",
        ),
        ("", 70.0, WINTER, "There is no dusk today"),
        ("", 70.0, SUMMER, "The sun is still up: call them in with feed."),
    ],
)
def test_the_lock_up_is_explained_by_what_set_it(
    declare: Declare, rules: str, latitude: float, day: date, said: str
) -> None:
    profile = place(declare, rules, latitude=latitude)
    assert said in reasons.why_lock_up(profile, on(profile, day))


def test_the_sun_is_not_said_to_be_up_after_sunset(declare: Declare) -> None:
    profile = place(declare)
    assert "still up" not in reasons.why_lock_up(profile, on(profile, WINTER))


@pytest.mark.parametrize(
    ("rules", "run", "latitude", "day", "said"),
    [
        ("", "secure", 51.5, WINTER, "Civil dawn, into a secure run."),
        ("[letout]\nbasis = 'civil dawn'\nafter = '20 min'", "open", 51.5, WINTER, "civil dawn."),
        ("", "open", 51.5, WINTER, "30 min after sunrise"),
        ("[letout]\nbasis = 'visible sunrise'", "open", 51.5, WINTER, "the sun is over the hill"),
        ("", "open", 51.5, SUMMER, "Not before 06:30"),
        ("[letout]\nnot_after = '08:00'", "open", 51.5, WINTER, "Not after 08:00"),
        ("", "open", 70.0, WINTER, "The sun does not rise, so the clock"),
        ("", "secure", 70.0, SUMMER, "It never gets dark, so the clock"),
    ],
)
def test_the_let_out_is_explained_by_what_set_it(  # noqa: PLR0913, PLR0917 - columns of the table
    declare: Declare, rules: str, run: str, latitude: float, day: date, said: str
) -> None:
    profile = place(declare, rules, latitude=latitude, run=run)
    assert said in reasons.why_let_out(profile, on(profile, day))


@pytest.mark.parametrize(
    ("ranging", "latitude", "day", "records", "said"),
    [
        ("supervised", 51.5, WINTER, NO_RECORDS, "Stay in sight until the door is latched"),
        ("all day", 51.5, WINTER, NO_RECORDS, "Out all day. Call them in with feed at 15:4"),
        ("run only", 51.5, WINTER, NO_RECORDS, "They stay in the run."),
        (
            "supervised",
            51.5,
            WINTER,
            Records(reports=(Report(kind="predator", spell=Spell(first=WINTER)),)),
            "a predator got at them",
        ),
        (
            "supervised",
            51.5,
            WINTER,
            Records(reports=(Report(kind="order", spell=Spell(first=WINTER)),)),
            "a housing order",
        ),
        (
            "supervised",
            51.5,
            WINTER,
            Records(
                reports=(
                    # In another house: they would meet on the same ground.
                    Report(
                        kind="illness",
                        spell=Spell(first=WINTER),
                        house_id="pen",
                        signs=("deaths",),
                    ),
                )
            ),
            (
                "All houses stay in the run: ill birds were noted, with signs that may have to be "
                "reported. Once that is cleared up, end the report."
            ),
        ),
        ("supervised", 70.0, WINTER, NO_RECORDS, "there is no sunset today"),
    ],
)
def test_free_range_time_or_its_absence_is_explained(  # noqa: PLR0913, PLR0917 - as above
    declare: Declare, ranging: str, latitude: float, day: date, records: Records, said: str
) -> None:
    profile = place(declare, ranging=ranging, latitude=latitude)
    assert said in reasons.why_range(profile, on(profile, day, records))


def test_the_latest_is_civil_dusk_or_counted_from_the_lock_up(declare: Declare) -> None:
    profile = place(declare)
    assert reasons.why_latest(on(profile, WINTER)) == "civil dusk"
    northern = place(declare, latitude=60.0)
    assert reasons.why_latest(on(northern, SUMMER)) == "30 min after lock-up"


def test_birds_are_counted_apart_with_the_right_plural(declare: Declare) -> None:
    profile = place(declare)
    assert reasons.birds(profile.flock, "US") == "12 hens, 1 rooster"
    assert reasons.birds(profile.flock, "UK") == "12 hens, 1 cockerel"


def test_clock_times_follow_the_region(declare: Declare) -> None:
    profile = place(declare, "[lockup]\nnot_after = '21:00'", region="US")
    assert "It is 9:00 pm" in reasons.why_lock_up(profile, on(profile, SUMMER))


def test_a_us_keeper_reads_of_roosts(declare: Declare) -> None:
    profile = place(declare, region="US")
    assert "on the roost" in reasons.why_lock_up(profile, on(profile, WINTER))


def test_a_lock_up_held_to_its_latest_says_so(declare: Declare) -> None:
    profile = place(declare, "[lockup]\nnot_before = '21:00'")
    assert reasons.why_latest(on(profile, WINTER)) in {"civil dusk", "the lock-up itself"}
