"""S1–S6 of FAULTS.md: evenings without dusk, dusk after midnight, poles and the date line.

The sun itself is held against JPL in tests/reference; here each evening goes on to phone and feed.
"""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from astral import LocationInfo, sun
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduler.alerts.delivery import Outgoing
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.pursue import pursue
from scheduler.alerts.reminded_evening import Evening
from scheduler.cares.door_fold import door
from scheduler.cares.records import NO_RECORDS
from scheduler.channels.push import PushChannel
from scheduler.journal.store import Journal, open_journal
from scheduler.light.sun import CIVIL_DEG, At
from scheduler.profile.coordinates import SOUTHERNMOST_DEG
from scheduler.service.almanac import Almanac
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.watch.worded import worded
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, House
from tests.light.height import elevation_deg
from tests.sinks.push import PushSink
from tests.unhurried import UNHURRIED, unhurried

Build = Callable[..., House]
WRITTEN_AT = datetime(2026, 1, 1, 12, tzinfo=UTC)
DAY = timedelta(days=1)
UNTIL_DUSK = '[lockup]\nbasis = "civil dusk"\ncap = "none"\n'
ANA = '[[person]]\nname = "Ana"\npush = "https://push.example.org/ana"\n'
TROMSO = (69.65, 18.96, "Europe/Oslo")
REYKJAVIK = (64.15, -21.94, "Atlantic/Reykjavik")
PLACES = [
    TROMSO,
    REYKJAVIK,
    (61.22, -149.9, "America/Anchorage"),
    (1.87, -157.4, "Pacific/Kiritimati"),
    (-27.15, -109.43, "Pacific/Easter"),
    (64.18, -51.7, "America/Nuuk"),
    (60.6, 24.9, "Europe/Helsinki"),
    (-13.83, -171.8, "Pacific/Apia"),
    (43.8, 87.6, "Asia/Shanghai"),
    (-43.95, -176.55, "Pacific/Chatham"),
    (51.88, -176.65, "America/Adak"),
    (-54.8, -68.3, "America/Argentina/Ushuaia"),
    (21.31, -157.86, "Pacific/Honolulu"),
    (34.05, -118.24, "America/Los_Angeles"),
    (65.01, 25.47, "Europe/Helsinki"),
    (30.04, 31.24, "Africa/Cairo"),
    (33.89, 35.5, "Asia/Beirut"),
    (78.22, 15.64, "Arctic/Longyearbyen"),
    (-70.0, 76.0, "Antarctica/Davis"),
    (51.5, -0.13, "Europe/London"),
]


def _site(latitude: float, longitude: float, zone: str | None) -> str:
    named = f'timezone = "{zone}"\n' if zone else ""
    return (
        f'[site]\nname = "Yard"\nlatitude = {latitude}\nlongitude = {longitude}\n{named}'
        '[climate]\ncoldest_month_low = "-9 °C"\nwarmest_month_high = "16 °C"\n'
    )


def _almanac(text: str) -> Almanac:
    found = read_profile(text.encode(), "test", WRITTEN_AT)
    assert isinstance(found, Household), found
    return Almanac(
        household=found, records=NO_RECORDS, ways=frozenset({"push"}), key=bytes(range(32))
    )


def _evenings(almanac: Almanac, first: date, days: int) -> Iterator[Evening]:
    """The one evening of each date."""
    for number in range(days):
        (evening,) = almanac.planned(first + number * DAY, ())
        yield evening


def _assert_in_order(evening: Evening, noon: datetime, following_noon: datetime) -> None:
    """One lock-up, a ladder that never goes back, all of it between two noons."""
    instants = [step.at for step in evening.steps]
    assert instants == sorted(instants)
    assert [step.at for step in evening.steps if step.kind == "now"] == [evening.lock_up]
    assert noon.astimezone(ZoneInfo(evening.zone)).date() == evening.day
    assert noon < evening.lock_up < evening.latest < evening.let_out < following_noon
    assert instants[-1] < evening.let_out


def _title_and_text(
    journal: Journal, household: Household, day: date, part: str = "lockup"
) -> tuple[str, str]:
    """SUMMARY and DESCRIPTION of that date's event in the feed."""
    now = datetime.combine(day, time(10), UTC)
    feed = publish(journal, household, FeedRequest(first=day, days=1), now)[0]
    whole = feed.content.decode().replace("\r\n ", "")
    [event] = [one for one in whole.split("BEGIN:VEVENT")[1:] if f"UID:{part}-walnut-{day}" in one]
    found = dict(re.findall(r"(SUMMARY|DESCRIPTION):(.*)\r\n", event))
    return found["SUMMARY"], found["DESCRIPTION"].replace("\\,", ",")


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    """A journal for feeds, beside the watch's."""
    opened = open_journal(tmp_path / "feeds.sqlite3")
    yield opened
    opened.close()


@pytest.mark.parametrize(
    ("day", "clock", "latest", "reason"),
    [
        pytest.param(date(2027, 6, 20), "22:30", "22:50", "22:30, the latest bedtime", id="s1"),
        pytest.param(date(2026, 12, 21), "16:00", "16:20", "There is no dusk today", id="s2"),
    ],
)
@unhurried
def test_s1_s2_a_bright_and_a_dark_polar_day_have_a_lock_up_by_the_clock(  # noqa: PLR0913, PLR0917 - the columns of the table
    build: Build, journal: Journal, day: date, clock: str, latest: str, reason: str
) -> None:
    body = _site(*TROMSO) + ONE_COOP + QUIET_MORNINGS + PEOPLE
    house = build(body=body, zone=ZoneInfo("Europe/Oslo"), day=day, period_s=0.03)
    house.start()
    house.at(f"{clock}:05")
    assert house.phone("ana") == [f"Lock up now: Walnut, 12 hens, by {latest}"]
    house.say(count=12)
    house.at(f"{latest}:30")
    assert house.phone("kim") == [], "it was shut"
    title, text = _title_and_text(journal, house.household(), day)
    assert title == f"Lock up · 12 hens · {clock}"
    assert f"Shut by {latest}" in text
    assert reason in text, "the feed does not say that the clock stands in for the sun"


def test_s1_where_no_cap_is_wanted_the_bright_night_still_ends(journal: Journal) -> None:
    almanac = _almanac(_site(*TROMSO) + UNTIL_DUSK + ONE_COOP + ANA)
    [evening] = _evenings(almanac, date(2027, 6, 20), 1)
    assert almanac.coops(date(2027, 6, 20))[0].lock_up.basis == "fallback"
    assert f"{evening.lock_up.astimezone(ZoneInfo('Europe/Oslo')):%d %H:%M}" == "20 22:30"
    _, text = _title_and_text(journal, almanac.household, date(2027, 6, 20))
    assert "clock sets the time" in text


def test_s3_a_dusk_after_midnight_belongs_to_the_evening_before(
    build: Build, journal: Journal
) -> None:
    wednesday, thursday = date(2027, 5, 12), date(2027, 5, 13)
    body = _site(*REYKJAVIK) + UNTIL_DUSK + ONE_COOP + QUIET_MORNINGS + PEOPLE
    zone = ZoneInfo("Atlantic/Reykjavik")
    house = build(body=body, zone=zone, day=wednesday, period_s=0.03)
    house.start()
    house.at("23:31")
    house.at("00:01", thursday)
    assert house.phone("ana") == [
        "Lock up at 00:00 (Thu): Walnut, 12 hens, by 00:20 (Thu)",
        "Lock up now: Walnut, 12 hens, by 00:20 (Thu)",
    ]
    house.say(count=12)
    assert house.rows("SELECT evening FROM closing") == [(wednesday.isoformat(),)]
    house.at("23:38")
    house.at("00:08", thursday + DAY)
    assert house.phone("ana")[-2:] == [
        "Lock up at 00:07 (Fri): Walnut, 12 hens, by 00:27 (Fri)",
        "Lock up now: Walnut, 12 hens, by 00:27 (Fri)",
    ]
    days = house.rows("SELECT day FROM evening ORDER BY day")
    assert days == [(wednesday.isoformat(),), (thursday.isoformat(),)]
    title, text = _title_and_text(journal, house.household(), wednesday)
    assert title == "Lock up · 12 hens · 00:00 (Thu)"
    assert "Shut by 00:20 (Thu)" in text


@pytest.mark.parametrize("rule", ["", UNTIL_DUSK], ids=["by default", "until dusk"])
@pytest.mark.parametrize("place", PLACES[: None if UNHURRIED else 4], ids=lambda place: place[2])
def test_s4_no_evening_is_lost_or_doubled_at_the_edge_of_the_bright_nights(
    place: tuple[float, float, str], rule: str
) -> None:
    almanac = _almanac(_site(*place) + rule + ONE_COOP + ANA)
    first = date(2026, 12, 1)
    nights = list(_evenings(almanac, first, 366))
    for evening, following in pairwise(nights):
        noon, following_noon = almanac.noon(evening.day), almanac.noon(following.day)
        assert following_noon - noon < timedelta(hours=24, minutes=2)
        _assert_in_order(evening, noon, following_noon)
        assert evening.let_out < following.lock_up
        for step in (*evening.steps, *following.steps):
            assert step in evening.steps or step.at > evening.let_out, "two evenings at once"
    edges = [
        one.day
        for one, other in pairwise(nights)
        if isinstance(almanac.coops(one.day)[0].dusk, At)
        != isinstance(almanac.coops(other.day)[0].dusk, At)
    ]
    # Where a bright season begins it also ends; north of 60.5° there is one.
    assert len(edges) % 2 == 0
    assert bool(edges) == (abs(place[0]) > 60.5)


@settings(max_examples=60 if UNHURRIED else 8)
@given(
    latitude=st.floats(-91, 91, allow_subnormal=False),
    longitude=st.floats(-181, 181, allow_subnormal=False),
    day=st.dates(date(2026, 12, 1), date(2028, 12, 1)),
)
@example(latitude=90.0, longitude=0.0, day=date(2027, 6, 21))
@example(latitude=-90.0, longitude=180.0, day=date(2027, 3, 20))
@example(latitude=90.0, longitude=-180.0, day=date(2027, 9, 23))
@example(latitude=0.0, longitude=180.0, day=date(2027, 3, 20))
@example(latitude=-17.8, longitude=-180.0, day=date(2027, 3, 20))
@example(latitude=90.1, longitude=0.0, day=date(2027, 3, 20))
@example(latitude=0.0, longitude=-180.1, day=date(2027, 3, 20))
def test_s5_anywhere_there_is_an_evening_or_a_clear_refusal(
    tmp_path_factory: pytest.TempPathFactory, latitude: float, longitude: float, day: date
) -> None:
    text = _site(latitude, longitude, None) + ONE_COOP + ANA
    found = read_profile(text.encode(), "test", WRITTEN_AT)
    if isinstance(found, tuple):
        beyond = {"latitude": abs(latitude) > 90, "longitude": abs(longitude) > 180}
        wrong = {str(problem.key[-1]) for problem in found}
        if not any(beyond.values()):
            may = {"latitude", "timezone"} if latitude < SOUTHERNMOST_DEG else {"timezone"}
            assert wrong <= may, "refused for something else than the ice or the open sea"
        else:
            assert wrong == {key for key, is_beyond in beyond.items() if is_beyond}
        assert all(problem.accepted and problem.line for problem in found)
        return
    assert abs(latitude) <= 90
    assert abs(longitude) <= 180
    almanac = Almanac(household=found, records=NO_RECORDS, ways=frozenset({"push"}), key=b"")
    evening, following = _evenings(almanac, day, 2)
    _assert_in_order(evening, almanac.noon(day), almanac.noon(day + DAY))
    assert evening.let_out < following.lock_up
    journal = open_journal(tmp_path_factory.mktemp("sky") / "feeds.sqlite3")
    try:
        title, _ = _title_and_text(journal, found, day)
    finally:
        journal.close()
    assert title.startswith("Lock up · 12 hens · ")


def test_s5_the_pole_s_reminder_reaches_the_phone(build: Build) -> None:
    body = _site(90, 0, "UTC") + ONE_COOP + QUIET_MORNINGS + PEOPLE
    house = build(body=body, zone=ZoneInfo("UTC"), period_s=0.03)
    house.start()
    house.at("16:01")
    assert house.phone("ana") == ["Lock up now: Walnut, 12 hens, by 16:20"]


@pytest.mark.parametrize(
    ("place", "day"),
    [
        (REYKJAVIK, date(2026, 5, 12)),
        ((61.22, -149.9, "America/Anchorage"), date(2026, 5, 17)),
        (TROMSO, date(2026, 4, 27)),
    ],
    ids=["reykjavik", "anchorage", "tromso"],
)
def test_s6_the_library_raises_on_an_ordinary_evening_that_is_told_all_the_same(
    place: tuple[float, float, str], day: date
) -> None:
    latitude, longitude, name = place
    zone = ZoneInfo(name)
    observer = LocationInfo("", "", name, latitude, longitude).observer
    with pytest.raises(ValueError, match="Unable to find a dusk"):
        sun.dusk(observer, day, tzinfo=zone)
    with PushSink() as sink:
        almanac = _almanac(_site(*place) + UNTIL_DUSK + ONE_COOP + ANA)
        coop = almanac.coops(day)[0]
        assert isinstance(coop.dusk, At)
        assert coop.lock_up.basis == "civil_dusk"
        # The dusk is one: a moment later it is darker than civil twilight, before it was lighter.
        sky = almanac._sky(day)  # noqa: SLF001 - the sky that the evening came from
        minute = timedelta(minutes=1)
        assert elevation_deg(sky, coop.dusk.instant - minute) > CIVIL_DEG
        assert elevation_deg(sky, coop.dusk.instant + minute) < CIVIL_DEG
        [evening] = almanac.planned(day, ())
        assert evening.lock_up == coop.dusk.instant
        assert _shown(sink, almanac, evening) == [_expected(evening, zone)]


@pytest.mark.parametrize(
    "place",
    [
        (34.05, -118.24, "America/Los_Angeles"),
        (39.74, -104.99, "America/Denver"),
        (21.31, -157.86, "Pacific/Honolulu"),
    ],
    ids=lambda place: place[2],
)
def test_s6_the_evening_is_the_one_of_its_date_where_the_library_gives_the_one_before(
    place: tuple[float, float, str],
) -> None:
    latitude, longitude, name = place
    zone = ZoneInfo(name)
    observer = LocationInfo("", "", name, latitude, longitude).observer
    almanac = _almanac(_site(*place) + UNTIL_DUSK + ONE_COOP + ANA)
    step = 1 if UNHURRIED else 15
    for day in [date(2026, 1, 1) + number * DAY for number in range(0, 365, step)]:
        assert sun.dusk(observer, day).astimezone(zone).date() == day - DAY
        [evening] = almanac.planned(day, ())
        assert evening.lock_up.astimezone(zone).date() == day
        # And as the library has it when it is asked in the right zone, here far from the poles.
        there = sun.dusk(observer, day, tzinfo=zone)
        assert abs(evening.lock_up - there) < timedelta(minutes=2)


def _shown(sink: PushSink, almanac: Almanac, evening: Evening) -> list[str]:
    """What Ana's phone shows of `now`, decided and sent by the real functions."""
    night = Night(
        evening=evening,
        states={
            one.coop_id: door((), one.coop_id, evening.day, one.birds) for one in evening.doors
        },
        rows=(),
        noon=almanac.noon(evening.day),
        zone=almanac.household.profile.site.zone,
        key=almanac.key,
    )
    channel = PushChannel({}, "answers", lambda: evening.lock_up)
    for one in pursue(night, evening.lock_up).add:
        if (one.operation, one.state) == ("send", "pending"):
            outgoing = Outgoing(
                operation="send",
                message=worded(one, {}, lambda _: [night], evening.lock_up).say(),
                address=f"{sink.url}/ana",
                person_name="Ana",
                message_id=one.key.message_id,
                thread_id=one.key.thread_id,
            )
            assert channel.deliver(outgoing).kind == "sent"
    return [str(event.said["title"]) for event in sink.shown("ana")]


def _expected(evening: Evening, zone: ZoneInfo) -> str:
    """The title of `now`, from the instant alone."""
    local = evening.latest.astimezone(zone)
    weekday = "" if local.date() == evening.day else f" ({local:%a})"
    return f"Lock up now: Walnut, 12 hens, by {local:%H:%M}{weekday}"
