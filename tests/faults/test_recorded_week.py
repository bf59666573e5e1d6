"""W10 of FAULTS.md: a cold front, a heat wave and a storm, as a household lives through them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path

import pytest

from scheduler.alerts.reminded_evening import Evening
from scheduler.cares.decided import DecidedDay
from scheduler.service.weather.ask import Services
from scheduler.sources.met_norway import MetNorway
from scheduler.watch.site_messages import next_note
from scheduler.watch.weather_watch import WeatherWatch
from tests.conftest import SMALL
from tests.faults.driven import DAY, MINUTE, Arrived, Driven, driven
from tests.faults.recorded_week import FIRST, HOUR, WeekServer, midnight
from tests.sinks.authority import Authority
from tests.sources.forecast_rigs import client
from tests.unhurried import unhurried

pytestmark = [pytest.mark.slow, unhurried]

PROFILE = (
    SMALL
    + '[[person]]\nname = "Ana"\npush = "https://push.example.net/ana-8c1f9e2b77aa"\n'
    + '[forecast]\nsources = ["met-norway"]\ncontact = "sam@example.org"\n'
)
DAYS = 10
MILD, FRONT, FROST, FROST_2, THAW, WARM, HOT, HOTTEST, STORM, AFTER = (
    FIRST + n * DAY for n in range(DAYS)
)


@dataclass
class Lived:
    """What was planned, shown and told, day by day."""

    titles: dict[date, list[frozenset[str]]] = field(default_factory=dict)  # by look, of that day
    told: list[tuple[datetime, str, str]] = field(default_factory=list)  # when, title, text
    evenings: dict[date, Evening] = field(default_factory=dict)
    clear: dict[date, Evening] = field(default_factory=dict)  # as if under a clear sky
    decided: dict[date, DecidedDay] = field(default_factory=dict)
    asked: int = 0

    def on(self, day: date, words: str) -> list[datetime]:
        """When on that day a message with these words came."""
        return [at for at, title, text in self.told if at.date() == day and words in title + text]

    def heads_up(self, day: date) -> str:
        """The text of that evening's first reminder."""
        (text,) = [
            text
            for at, title, text in self.told
            if at.date() == day and title.startswith("Lock up at ")
        ]
        return text

    def days_of(self, words: str) -> list[date]:
        """The days on which the last look showed a job with these words."""
        return [day for day, looks in self.titles.items() if any(words in one for one in looks[-1])]


def live(folder: Path, authority: Authority) -> Lived:
    """Ana shuts the door two minutes after lock-up, and does the jobs without ticking them."""
    begins = midnight(FIRST) + 6 * HOUR
    lived = Lived()
    with (
        WeekServer(authority.server(), begins) as server,
        driven(folder, PROFILE, begins) as house,
    ):
        port = MetNorway(client=client(authority), server=server.url)
        watch = WeatherWatch(
            ticker=house.running,
            folder=folder / "data" / "forecast",
            make_services=lambda: Services(ports={"met-norway": port}),
            share=lambda: 0.5,
        )
        for at in instants(house, begins, begins + DAYS * DAY):
            server.now = at
            house.at(at)
            watch.turn(at)
            look(house, lived, at)
            for evening in house.evenings(at.date()):
                if at == evening.lock_up + 2 * MINUTE:
                    house.say("closed", "Ana", count=12)
                    house.at(at + MINUTE / 4)
        lived.told = [(one.at, *words(one)) for one in house.messages()]
        lived.asked = len(server.asked.all())
    return lived


def words(one: Arrived) -> tuple[str, str]:
    return one.outgoing.message.title, one.outgoing.message.body


def look(house: Driven, lived: Lived, at: datetime) -> None:
    """Notes what that day's plan shows."""
    day = house.running.household.today(at)
    almanac = house.running.almanac
    shown = frozenset(task.title for task in almanac.plan_of(day).tasks)
    lived.titles.setdefault(day, []).append(shown)
    (lived.evenings[day],) = house.evenings(day)
    if day not in lived.clear:
        plain = replace(almanac, records=almanac.records.without_weather)
        (lived.clear[day],) = plain.planned(day, ())
    if decided := almanac.records.weather_on(day):
        lived.decided[day] = decided


def instants(house: Driven, first: datetime, last: datetime) -> Iterator[datetime]:
    """Every half hour, and whenever something is due."""
    at = first
    while at < last:
        yield at
        evenings = [one for n in (-1, 0) for one in house.evenings(at.date() + n * DAY)]
        due = [step.at for one in evenings for step in one.steps]
        due += [one.lock_up + 2 * MINUTE for one in evenings]
        due.append(next_note(house.running.almanac, at))
        at = min([at + HOUR / 2, *(one for one in due if one > at)])


@pytest.fixture(scope="module")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Lived:
    """The ten days, lived once for all that is asked of them."""
    return live(tmp_path_factory.mktemp("week"), Authority())


def test_w10_jobs_come_on_the_days_whose_weather_asks_for_them(lived: Lived) -> None:
    assert lived.days_of("Ice: free the drinkers") == [FROST, FROST_2]
    assert lived.days_of("Heat: shade, cool water") == [WARM, HOT, HOTTEST]
    assert lived.days_of("Heat emergency") == [HOT, HOTTEST]
    assert lived.days_of("Storm: secure or take down netting") == [STORM]
    assert not lived.days_of("Snow")
    assert not lived.days_of("not needed")


def test_w10_the_heads_up_of_the_evening_before_tells_what_to_expect(lived: Lived) -> None:
    told = {day: lived.heads_up(day) for day in (FIRST + n * DAY for n in range(DAYS))}
    assert [day for day, text in told.items() if "Frost possible tonight" in text] == [FRONT, FROST]
    assert [day for day, text in told.items() if "Heat tomorrow" in text] == [THAW, WARM, HOT]
    assert [day for day, text in told.items() if "A storm is forecast" in text] == [HOTTEST]
    assert (
        "Frost possible tonight, down to about -1\u00a0°C. Tomorrow: Ice: free the drinkers."
        in told[FRONT]
    )
    assert "Storm: secure or take down netting, cover the feed" in told[HOTTEST]


def test_w10_an_emergency_is_told_at_once_and_again_before_the_hot_hours(lived: Lived) -> None:
    for day in (HOT, HOTTEST):
        (at_once,) = lived.on(day - DAY, "Heat emergency: cool water, shade,…, tomorrow")
        assert at_once < midnight(day - DAY) + 7 * HOUR
        (again,) = lived.on(day, "Heat emergency: cool water, shade, moving air, now")
        assert midnight(day) + 10 * HOUR < again < midnight(day) + 13 * HOUR
    told = [text for _, title, text in lived.told if "Heat emergency" in title]
    # As the service says, not as it is blended with the year.
    assert len(told) == 4
    assert all(re.search(r"heat of 3[567]\s°C", text) for text in told), told
    (storm,) = lived.on(HOTTEST, "Storm: secure or take down netting, cover…, tomorrow")
    assert storm < lived.evenings[HOTTEST].lock_up
    titles = [title for _, title, _ in lived.told]
    assert sum("emergency" in one or "Storm" in one for one in titles) == 5


def test_w10_frost_and_plain_heat_have_no_message_of_their_own(lived: Lived) -> None:
    """Ten days with a brief, a heads-up and a call to lock up; let-outs only on hot mornings."""
    others = [
        (at.date(), title)
        for at, title, _ in lived.told
        if not title.startswith(("Today: ", "Lock up at ", "Lock up now"))
        and "emergency" not in title
        and "Storm" not in title
    ]
    assert [day for day, _ in others] == [WARM, HOT, HOTTEST]
    assert all(title.startswith("Let out Walnut") for _, title in others)


def test_w10_under_cloud_now_comes_earlier_and_lock_up_and_latest_stay(lived: Lived) -> None:
    early = {day: one.dark_minutes_early for day, one in lived.evenings.items()}
    assert {day: minutes for day, minutes in early.items() if minutes} == {FRONT: 9, STORM: 18}
    for day, evening in lived.evenings.items():
        clear = lived.clear[day]
        assert (evening.lock_up, evening.doors) == (clear.lock_up, clear.doors)
        for one, usual in zip(evening.steps, clear.steps, strict=True):
            first = one.kind in {"heads-up", "now"}
            assert usual.at - one.at == (early[day] * MINUTE if first else 0 * MINUTE)
        if day in {FRONT, STORM}:
            assert f"Cloudy: dark about {early[day]} minutes early." in lived.heads_up(day)
            (now,) = lived.on(day, "Lock up now")
            assert now == evening.lock_up - early[day] * MINUTE


def test_w10_nothing_flaps_though_every_issue_errs_the_other_way(lived: Lived) -> None:
    for day, looks in lived.titles.items():
        changes = [two ^ one for one, two in pairwise(looks) if one != two]
        assert len(changes) <= 2, (day, changes)
        assert not any(day > MILD for _ in changes), (day, changes)


def test_w10_the_service_is_asked_no_more_than_every_half_hour(lived: Lived) -> None:
    assert DAYS * 24 < lived.asked <= DAYS * 48
