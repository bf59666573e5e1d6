"""C1–C11 of FAULTS.md: clocks that are behind, ahead, set, and zones that change.

On the house's day: `now` 16:18:29, `next` 16:33:40.
"""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from importlib import resources
from pathlib import Path
from zoneinfo import ZoneInfo

import apscheduler.schedulers.base as metronome_clock
import pytest

from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.revision import Revision
from scheduler.journal.store import open_journal
from scheduler.light.sun import HalfDay
from scheduler.light.wall import first_in
from scheduler.machine.clock import Readings
from scheduler.service.almanac import Almanac
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.watch import metronome as service_metronome
from scheduler.watch.metronome import Guard, Metronome
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, House
from tests.sinks.waiting import PATIENCE_S
from tests.unhurried import unhurried

Build = Callable[..., House]
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
AGAIN = "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
NEXT = "Nobody has said it is shut: Walnut, 12 hens, due 16:33"
UNKNOWN = "Duskfold does not know what time it is: watch the door yourself"
ANA = '[[person]]\nname = "Ana"\npush = "https://push.example.org/ana"\n'
EVERYBODY = "Is the door shut? Walnut, 12 hens, due 16:33"
FAR = datetime(2098, 6, 1, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


# The product's housekeeping comes every five minutes; here with each tick.
HOUSEKEEPING = """
import sys
sys.argv = sys.argv[3:]
from scheduler.watch import metronome
metronome._HOUSEKEEPING_S = 0.0
from tests.faults.root import main
sys.exit(main())
"""


@pytest.fixture
def house(build: Build) -> House:
    """The usual house with a shorter tick."""
    return build(period_s=0.03)


def trust(house: House) -> str:
    assert house.pulse
    return house.pulse.trust


def next_tick(house: House) -> None:
    """Waits for one that has read the clock after now."""
    since_s = house.readings.boot_s
    house.wait(lambda: house.pulse and house.pulse.boot_s >= since_s, "no tick")


@pytest.mark.parametrize("wrong", [datetime(1970, 1, 1, 0, 5, tzinfo=UTC), None], ids=str)
@unhurried
def test_c1_a_clock_that_is_behind_is_not_believed(house: House, wrong: datetime | None) -> None:
    house.start()
    house.at("16:19")
    assert house.phone("ana") == [NOW]
    house.stop()
    over = "SELECT count(*) FROM delivery WHERE state IN ('dead', 'missed')"
    planned = "SELECT day, subject_id FROM evening ORDER BY day"
    before, evenings = house.rows(over), house.rows(planned)
    right = house.now
    house.set_clock(wrong or right - timedelta(days=30))
    house.start()
    house.settle()
    assert trust(house) == "untrusted"
    assert house.phone("ana")[1:] == [UNKNOWN]
    assert any("This machine's clock seems wrong" in fault for fault in house.faults)
    assert house.rows(over) == before
    assert house.rows(planned) == evenings, "planned by a clock that nobody believes"
    house.set_clock(right + timedelta(minutes=15), wall_only=True)
    next_tick(house)
    assert trust(house) == "trusted", "not within one tick"
    house.settle()
    house.wait(lambda: house.faults == [], "health stays bad")
    assert house.phone("kim") == [UNKNOWN, NEXT]


@unhurried
def test_c1_a_door_can_be_shut_while_the_time_is_unknown(house: House) -> None:
    house.start()
    house.at("16:19")
    house.stop()
    right = house.now
    house.set_clock(right - timedelta(days=30))
    house.start()
    assert trust(house) == "untrusted"
    house.say(count=12, evening=house.now.date())
    assert house.rows("SELECT count(*) FROM closing") == [(1,)]
    house.settle()
    assert house.phone("ana") == [NOW, UNKNOWN], "planned by a clock that nobody believes"
    house.set_clock(right, wall_only=True)
    house.say(count=12)
    house.at("16:35")
    assert house.phone("kim") == [UNKNOWN]


@unhurried
def test_c1_a_button_shuts_the_door_of_its_evening_whatever_the_clock_says(house: House) -> None:
    house.start()
    house.at("16:19")
    house.stop()
    right = house.now
    house.set_clock(right - timedelta(days=30))
    house.start()
    assert trust(house) == "untrusted"
    [event] = [one for one in house.phone_events("ana") if one.said["title"] == NOW]
    assert house.push.press(event) == 200
    house.wait(lambda: house.rows("SELECT 1 FROM closing"), "the answer was not kept")
    assert house.rows("SELECT evening, count FROM closing") == [(house.day.isoformat(), 12)]
    assert house.rows("SELECT day FROM evening") == [(house.day.isoformat(),)], "planned"
    house.set_clock(right, wall_only=True)
    house.at("16:35")
    assert NEXT not in house.phone("kim")


@unhurried
def test_c1_a_hatch_date_does_not_keep_the_watch_from_starting(build: Build) -> None:
    hatched = ONE_COOP + "hatched = 2026-12-01\n"
    house = build(body=SITE + hatched + QUIET_MORNINGS + PEOPLE, period_s=0.03)
    house.start()
    house.at("16:19")
    house.stop()
    right = house.now
    house.set_clock(datetime(1970, 1, 1, 0, 5, tzinfo=UTC))
    house.start()
    house.settle()
    assert house.phone("ana") == [NOW, UNKNOWN]
    assert house.pulse
    assert (house.pulse.trust, house.pulse.profile_problems) == ("untrusted", 0)
    house.write_profile(house.body.replace("hens = 12", "hens = 11"))
    house.wait(lambda: house.pulse and house.pulse.profile_number == 2, "not taken over")
    house.set_clock(right, wall_only=True)
    house.settle()
    house.wait(lambda: house.faults == [], "health stays bad")


@unhurried
def test_c1_a_synchronised_clock_is_believed_below_the_floor(house: House) -> None:
    house.start()
    house.at("16:19")
    house.stop()
    # What was remembered came from a wrong time; the network says what is right.
    house.set_clock(house.local("12:30", date(2026, 12, 20)), synchronised=True)
    house.start()
    assert trust(house) == "trusted"


@unhurried
def test_c1_a_clock_that_is_behind_is_believed_once_it_is_synchronised(house: House) -> None:
    house.start()
    house.at("16:19")
    house.stop()
    back = house.local("12:30", date(2026, 12, 20))
    house.set_clock(back)
    house.start()
    assert trust(house) == "untrusted"
    house.set_clock(house.now, wall_only=True, synchronised=True)
    next_tick(house)
    assert trust(house) == "trusted"


@unhurried
@pytest.mark.parametrize("wrong", [datetime(1970, 1, 1, 9, tzinfo=UTC), FAR], ids=["c1", "c2"])
def test_c1_c2_what_is_under_way_and_published_outlives_a_wrong_clock(
    build: Build, wrong: datetime
) -> None:
    house = build(wrap=[sys.executable, "-c", HOUSEKEEPING])
    house.start()
    for clock in ("16:19", "16:27"):
        house.at(clock)
    house.smtp.script("RCPT", "450 4.2.0 later", address="kim@example.org", always=True)
    house.at("16:34")
    house.wait(lambda: _revisions(house), "nothing was published")
    house.stop()
    right, published = house.now, _revisions(house)
    kept = "SELECT day, step, person_id, channel, state FROM delivery WHERE day LIKE '2026-%'"
    before = house.rows(kept)
    assert "pending" in {row[-1] for row in before}
    assert house.mails() == []
    house.set_clock(wrong)
    house.start()
    for _ in range(15):  # housekeeping would need less
        next_tick(house)
    assert house.rows(kept) == before, "forgotten, or ended"
    assert _revisions(house) == published, "published by a clock that nobody believes"
    house.smtp.heal()
    house.set_clock(right + timedelta(minutes=2), wall_only=True)
    house.settle()
    assert [title for title in house.phone("ana") if title != UNKNOWN] == [NOW, AGAIN]
    assert [title for title in house.phone("kim") if title != UNKNOWN] == [NEXT]
    assert [one.parsed["Subject"] for one in house.mails()][-1].startswith("Lock up Walnut")
    house.at("16:44")
    assert house.phone("ana")[-1] == house.phone("kim")[-1] == EVERYBODY


def _revisions(house: House) -> dict[str, Revision]:
    with house.journal() as journal:
        return dict(journal.revisions("orchard"))


def test_c2_booted_in_2098_then_set_right(house: House) -> None:
    right = house.local("15:40")
    house.set_clock(FAR)
    house.start()
    house.settle()
    assert trust(house) == "doubtful"
    first = house.rows("SELECT min(day), max(day) FROM delivery WHERE operation = 'send'")[0]
    house.set_clock(right, wall_only=True)
    house.settle()
    assert trust(house) == "trusted"
    house.at("15:50")
    house.at("16:19")
    assert NOW in house.phone("ana")
    beyond = "SELECT count(*) FROM delivery WHERE day > '2026-12-21' AND day NOT LIKE '2098-%'"
    assert house.rows(beyond) == [(0,)]
    assert all(day is None or day.startswith("2098-") for day in first)
    expired = (
        "SELECT count(*) FROM delivery WHERE day LIKE '2026-%' AND state IN ('dead', 'missed')"
    )
    assert house.rows(expired) == [(0,)]


def test_c3_an_hour_forward_across_dusk_alerts_at_once_and_once(house: House) -> None:
    house.start()
    house.at("15:30")
    house.set_clock(house.local("16:30"), wall_only=True)
    house.settle()
    told = house.phone("ana")
    assert [title for title in told if title.startswith("Lock up")] == [
        "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
    ]
    house.at("16:32")
    assert house.phone("ana") == told
    assert house.log.count("clock.stepped way=forward") == 1


def test_c4_an_hour_back_sends_nothing_twice_and_goes_on(house: House) -> None:
    house.start()
    house.at("15:50")
    house.at("16:19")
    told = house.phone("ana")
    house.set_clock(house.local("15:19"), wall_only=True)
    house.settle()
    for clock in ("15:48:30", "16:18:40"):
        house.at(clock)
        assert house.phone("ana") == told
    house.at("16:27")
    assert len(house.phone("ana")) == len(told) + 1
    house.at("16:34")
    assert house.phone("kim") == [NEXT]


class SetBack(datetime):
    """The machine's clock, an hour behind what it showed before."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> "SetBack":
        """As datetime's own, an hour earlier."""
        return super().now(tz) - HOUR


@dataclass
class MachineClock:
    """What the guard reads: the same clock that the scheduler goes by."""

    kind: type[datetime] = datetime

    def read(self) -> Readings:
        """Only the time of day was set."""
        awake_s = time.monotonic()
        return Readings(wall=self.kind.now(UTC), boot_s=awake_s, monotonic_s=awake_s)


@pytest.mark.parametrize("guarded", [True, False])
def test_c4_the_guard_pulls_the_beat_of_a_clock_that_was_set_back(
    monkeypatch: pytest.MonkeyPatch, *, guarded: bool
) -> None:
    # Measured: without the guard the interval job waits as long as the clock was set back.
    beats, clock, died = threading.Semaphore(0), MachineClock(), list[str]()
    metronome = Metronome(beats.release, lambda: None, period_s=0.05)
    guard = Guard(
        clock,
        still_s=0.9,
        incomplete_s=PATIENCE_S,
        begun_s=time.monotonic,
        complete_s=time.monotonic,
        beat_now=metronome.beat_now,
        die=died.append,
    )
    metronome.start()
    try:
        assert beats.acquire(timeout=PATIENCE_S)
        if guarded:
            guard.start()
        monkeypatch.setattr(metronome_clock, "datetime", SetBack)
        monkeypatch.setattr(service_metronome, "now", lambda: SetBack.now(UTC))
        while beats.acquire(blocking=False) or beats.acquire(timeout=0.06):
            clock.kind = datetime  # the last beats that were under way
        clock.kind = SetBack
        went_on = [beats.acquire(timeout=2.0 if guarded else 0.2) for _ in range(5)]
        assert went_on == [guarded] * 5
        assert died == []
    finally:
        monkeypatch.undo()
        if guarded:
            guard.stop()
        metronome.stop()


@unhurried
def test_c5_a_clock_that_swings_repeats_nothing_and_fills_no_log(house: House) -> None:
    house.start()
    house.at("16:19")
    base, told = house.now, house.phone("ana")
    for number in range(50):
        swing = timedelta(minutes=5 if number % 2 else -5)
        house.set_clock(base + swing, wall_only=True)
        next_tick(house)
    house.set_clock(base, wall_only=True)
    house.settle()
    assert [title for title in house.phone("ana") if title == NOW] == [NOW]
    assert len(house.phone("ana")) - len(told) <= 1  # at 16:24 the half-way reminder may be due
    assert house.log.count("clock.stepped way=forward") == 1
    assert house.log.count("clock.stepped way=back") == 1
    house.at("16:34")
    assert house.phone("kim") == [NEXT]


def test_c6_a_slow_drift_is_no_step(house: House) -> None:
    house.start()
    for _ in range(20):
        house.set_clock(house.now + timedelta(milliseconds=400), wall_only=True)
        next_tick(house)
    house.at("16:19")
    assert house.phone("ana")[-1] == NOW
    assert "clock.stepped" not in house.log


@pytest.mark.parametrize(
    ("zone", "day", "wall", "expected"),
    [
        # The clock jumps from 22:00 to 23:00, from 00:00 to 01:00: the first instant after the gap.
        ("Pacific/Easter", date(2026, 9, 5), "22:30", "23:00"),
        ("America/Nuuk", date(2026, 3, 28), "23:30", "00:00"),
        ("Asia/Beirut", date(2026, 3, 28), "00:30", "01:00"),
        ("Africa/Cairo", date(2026, 4, 23), "00:30", "01:00"),
    ],
)
def test_c7_a_bound_in_the_gap_means_the_first_instant_after_it(
    zone: str, day: date, wall: str, expected: str
) -> None:
    # Zones whose clocks change in the evening, dates from tzdata.
    local = ZoneInfo(zone)
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=local).astimezone(UTC)
    half = HalfDay(noon, noon + timedelta(hours=16))
    at = datetime.strptime(wall, "%H:%M").time()  # noqa: DTZ007 - a time of day has no zone
    found = first_in(half, at, local)
    assert found is not None
    assert f"{found.astimezone(local):%H:%M}" == expected


@pytest.mark.parametrize(
    ("place", "day", "bedtime", "first_pass"),
    [
        # Set back from 22:00 to 21:00, and from midnight to 23:00 (tzdata).
        pytest.param(
            ("Pacific/Easter", -27.15, -109.43), date(2026, 4, 4), "21:50",
            datetime(2026, 4, 5, 2, 50, tzinfo=UTC), id="Easter",
        ),
        pytest.param(
            ("Asia/Beirut", 33.89, 35.5), date(2026, 10, 24), "23:30",
            datetime(2026, 10, 24, 20, 30, tzinfo=UTC), id="Beirut",
        ),
    ],
)  # fmt: skip
def test_c8_a_bedtime_that_the_clock_shows_twice_comes_once(
    place: tuple[str, float, float], day: date, bedtime: str, first_pass: datetime
) -> None:
    household = at_place(place, f'bedtime = "{bedtime}"\n')
    zone = household.profile.site.zone
    assert first_pass.astimezone(zone).replace(tzinfo=None) == (
        (first_pass + HOUR).astimezone(zone).replace(tzinfo=None)
    ), "the clock does not show it twice"
    almanac = Almanac(household=household, records=NO_RECORDS, ways=frozenset({"push"}), key=b"")
    [evening] = almanac.planned(day, ())
    assert [step.at for step in evening.steps if step.kind == "bedtime"] == [first_pass]
    assert len({step.name for step in evening.steps}) == len(evening.steps)
    assert sorted(step.at for step in evening.steps) == [step.at for step in evening.steps]


def at_place(place: tuple[str, float, float], reminders: str = "") -> Household:
    """The usual coop, elsewhere."""
    zone, latitude, longitude = place
    site = SITE.replace("Europe/London", zone).replace("51.5", str(latitude))
    site = site.replace("-0.1", str(longitude))
    body = site + ONE_COOP + QUIET_MORNINGS + reminders + ANA
    found = read_profile(body.encode(), "test", datetime(2026, 1, 1, 12, tzinfo=UTC))
    assert isinstance(found, Household), found
    return found


@pytest.mark.parametrize(
    ("place", "day", "bedtime", "rings", "later"),
    [
        # From 23:00 to 00:00: 23:30 does not come, midnight is the first instant after the gap.
        pytest.param(
            ("America/Nuuk", 64.18, -51.7), date(2027, 3, 27), "23:30",
            datetime(2027, 3, 28, 1, 0, tzinfo=UTC), datetime(2027, 3, 28, 2, 0, tzinfo=UTC),
            id="c7",
        ),
        # From 22:00 back to 21:00: 21:50 comes at 02:50 UTC and at 03:50 UTC.
        pytest.param(
            ("Pacific/Easter", -27.15, -109.43), date(2027, 4, 3), "21:50",
            datetime(2027, 4, 4, 2, 50, tzinfo=UTC), datetime(2027, 4, 4, 3, 50, tzinfo=UTC),
            id="c8",
        ),
    ],
)  # fmt: skip
def test_c7_c8_a_bedtime_in_the_hour_that_the_clock_skips_or_repeats_rings_once(  # noqa: PLR0913, PLR0917 - the columns of the table
    build: Build,
    place: tuple[str, float, float],
    day: date,
    bedtime: str,
    rings: datetime,
    later: datetime,
) -> None:
    zone, latitude, longitude = place
    site = SITE.replace("Europe/London", zone).replace("51.5", str(latitude))
    site = site.replace("-0.1", str(longitude))
    body = site + ONE_COOP + QUIET_MORNINGS + f'bedtime = "{bedtime}"\n' + PEOPLE
    house = build(body=body, zone=ZoneInfo(zone), day=day, period_s=0.03)
    house.start()

    def bedtimes() -> int:
        return sum(title.startswith("NOT CONFIRMED: ") for title in house.phone("ana"))

    house.set_clock(rings - timedelta(seconds=30))
    house.settle()
    assert bedtimes() == 0
    for at in (rings + timedelta(seconds=2), later + timedelta(seconds=2)):
        house.set_clock(at)
        house.settle()
        assert bedtimes() == 1


@unhurried
def test_c9_another_zone_on_the_day_keeps_the_slot_and_alerts_once(house: House) -> None:
    house.start()
    house.at("16:19")
    told = house.phone("ana")
    house.write_profile(house.body.replace("Europe/London", "Europe/Lisbon"))
    house.wait(lambda: house.pulse and house.pulse.profile_number == 2, "it was not taken over")
    house.at("16:20")
    assert house.phone("ana") == told
    journal = open_journal(house.folder / "feeds.sqlite3")
    try:
        london = publish(journal, house.household(), FeedRequest(), house.now)
        house.write_profile(house.body.replace("Europe/Lisbon", "Europe/Madrid"))
        sequences = {uid: one.sequence for uid, one in journal.revisions("orchard").items()}
        publish(journal, house.household(), FeedRequest(), house.now + HOUR)
        after = {uid: one.sequence for uid, one in journal.revisions("orchard").items()}
    finally:
        journal.close()
    assert london
    moved = [uid for uid in sequences if uid in after and after[uid] != sequences[uid]]
    assert moved
    assert all(after[uid] > sequences[uid] for uid in moved)


def test_c9_a_time_by_the_clock_moves_with_the_zone_and_is_not_told_twice(build: Build) -> None:
    body = SITE + '[lockup]\nnot_after = "16:00"\n' + ONE_COOP + QUIET_MORNINGS + PEOPLE
    house = build(body=body, period_s=0.03)
    house.start()
    with house.journal() as journal:
        publish(journal, house.household(), FeedRequest(first=house.day, days=2), house.now)
        before = journal.revisions("orchard")
        house.at("14:40")
        assert house.phone("ana") == []
        # 16:00 in Madrid is 15:00 in London: the heads-up is due ten minutes ago.
        house.write_profile(body.replace("Europe/London", "Europe/Madrid"))
        house.wait(lambda: house.pulse and house.pulse.profile_number == 2, "not taken over")
        house.settle()
        assert house.phone("ana") == ["Lock up at 16:00: Walnut, 12 hens, by 16:30"]
        publish(journal, house.household(), FeedRequest(first=house.day, days=2), house.now)
        after = journal.revisions("orchard")
    uid = f"lockup-walnut-{house.day}@orchard"
    assert after.keys() == before.keys(), "a slot was lost or made anew"
    assert after[uid].sequence > before[uid].sequence
    assert before[uid].event.start - after[uid].event.start == HOUR  # type: ignore[operator] # both are instants
    house.at("15:01")
    told = house.phone("ana")
    assert len(told) == 2
    # And back, when `now` has gone out: it is the same evening.
    house.write_profile(body)
    house.wait(lambda: house.pulse and house.pulse.profile_number == 3, "not taken over")
    house.at("15:10")
    assert house.phone("ana") == told
    house.at("16:01")
    assert [title for title in house.phone("ana") if title.startswith("Lock up now")] == told[1:]


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneData:
    """A zone that the package does not have, so that the system's data decide."""

    folder: Path

    @property
    def path(self) -> Path:
        """Its one file."""
        return self.folder / "Orchard" / "Time"

    @property
    def body(self) -> str:
        """The usual profile in this zone."""
        site = SITE.replace("Europe/London", "Orchard/Time")
        return site + ONE_COOP + QUIET_MORNINGS + PEOPLE

    def put(self, name: str) -> None:
        """From now on it is as that European zone."""
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self.path.write_bytes((resources.files("tzdata.zoneinfo") / "Europe" / name).read_bytes())


@pytest.fixture
def zone_data(tmp_path: Path) -> ZoneData:
    """London's, for now."""
    data = ZoneData(folder=tmp_path / "zones")
    data.put("London")
    return data


@pytest.fixture
def orchard(build: Build, zone_data: ZoneData) -> House:
    """A house in the zone of the data."""
    environment = {"PYTHONTZPATH": str(zone_data.folder)}
    return build(body=zone_data.body, environment=environment, period_s=0.03, cold=True)


@unhurried
def test_c10_new_zone_data_plan_anew_and_tell_nothing_twice(
    orchard: House, zone_data: ZoneData
) -> None:
    house = orchard
    house.start()
    house.at("15:49")
    house.at("16:19")
    house.stop()
    zone_data.put("Madrid")
    house.start()
    assert house.phone("ana") == ["Lock up at 16:18: Walnut, 12 hens, by 16:33", NOW]
    house.at("16:27")
    house.at("16:34")
    assert len(house.phone("ana")) == 3, "told again"
    assert house.phone("kim") == ["Nobody has said it is shut: Walnut, 12 hens, due 17:33"]
    house.write_profile(zone_data.body.replace("Orchard/Time", "Europe/London"))  # for the oracle


@unhurried
def test_c10_missing_zone_data_stop_nothing_that_runs_and_refuse_the_start(
    orchard: House, zone_data: ZoneData
) -> None:
    house = orchard
    house.start()
    zone_data.path.unlink()
    house.write_profile(zone_data.body.replace("hens = 12", "hens = 13"))
    house.wait(lambda: house.pulse and house.pulse.profile_number == 2, "what is loaded was lost")
    house.at("16:19")
    assert house.phone("ana") == [NOW.replace("12", "13")]
    house.stop()
    house.start(ready=False)
    assert house.ended() == 2
    assert 'site.timezone: found "Orchard/Time"' in house.log
    house.write_profile(zone_data.body.replace("Orchard/Time", "Europe/London"))  # for the oracle


@unhurried
def test_c10_the_system_s_zone_data_is_not_asked(tmp_path: Path) -> None:
    # The program brings its own (tzdata), so the system's may be missing or old.
    done = subprocess.run(
        [sys.executable, "-m", "scheduler", "-p", "config/annotated.toml", "today", "--json"],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONTZPATH": str(tmp_path), "TZDIR": str(tmp_path)},
    )
    assert done.returncode == 0, done.stderr
    assert '"lockup"' in done.stdout


@unhurried
def test_c11_the_process_s_own_zone_changes_plan_evenings_and_feeds_by_no_byte(
    tmp_path: Path,
) -> None:
    first, said = date(2027, 3, 20), []
    zones = ("UTC", "Pacific/Apia", "America/Nuuk", "Pacific/Easter")
    for zone in zones:
        with pytest.MonkeyPatch.context() as patch:
            patch.setenv("TZ", zone)
            time.tzset()
            said.append(_everything(tmp_path / zone.replace("/", "-"), first))
        time.tzset()
    assert len(said) == len(zones)
    assert all(one == said[0] for one in said)


def _everything(folder: Path, first: date) -> tuple[object, ...]:
    """Plan, evenings and feed bytes over the nights of both clock changes of Nuuk and London."""
    household = at_place(("America/Nuuk", 64.18, -51.7), 'bedtime = "23:30"\n')
    almanac = Almanac(household=household, records=NO_RECORDS, ways=frozenset({"push"}), key=b"")
    days = [first + timedelta(days=number) for number in range(14)]
    folder.mkdir()
    journal = open_journal(folder / "feeds.sqlite3")
    try:
        at = datetime(first.year, first.month, first.day, 23, 30, tzinfo=UTC)
        feeds = publish(journal, household, FeedRequest(first=first), at)
    finally:
        journal.close()
    return (
        plan(household.profile, NO_RECORDS, first, days[-1], household.catalogue),
        [almanac.planned(day, ()) for day in days],
        {feed.name: feed.content for feed in feeds},
    )


def test_c11_the_reminders_do_not_go_by_the_process_s_own_zone(build: Build) -> None:
    house = build(environment={"TZ": "Pacific/Apia"}, period_s=0.03)
    house.start()
    for clock in ("16:19", "16:27", "16:34"):
        house.at(clock)
    assert house.phone("ana") == [NOW, AGAIN]
    assert house.phone("kim") == [NEXT]


@pytest.mark.parametrize("ahead", [timedelta(hours=9), timedelta(days=2)], ids=str)
def test_c3_a_clock_that_ran_ahead_and_is_set_right_leaves_the_evening_whole(
    house: House, ahead: timedelta
) -> None:
    house.start()
    house.at("15:00")
    right = house.now
    house.set_clock(right + ahead, wall_only=True)
    house.settle()
    house.set_clock(right + timedelta(minutes=1), wall_only=True)
    house.settle()
    told = len(house.phone("ana"))
    house.at("15:50")
    house.at("16:19")
    assert house.phone("ana")[told:] == ["Lock up at 16:18: Walnut, 12 hens, by 16:33", NOW]
    house.at("16:34")
    assert house.phone("kim")[-1] == NEXT
