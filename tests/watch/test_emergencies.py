"""An emergency says how bad it is and who says so; a worse one is told again, an ended one ends."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduler.alerts.delivery import LOUD, QUIET, Outcome, Outgoing
from scheduler.cares.done_and_waiting import TaskKey
from scheduler.cares.records import PredatorGrade, Records, Report, Sign, Spell
from scheduler.messages.emergency import Reported, Urgent, emergency
from scheduler.messages.site_news import of_site
from scheduler.service import diary_export
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Refused, Speaker
from scheduler.service.jobs import kept_ticks
from scheduler.service.reports import report
from scheduler.service.reports.emergencies import Call, calls_on
from tests.alerts.orchard import ANA, BEN, BOTH, HAZEL, KEY, SITE, TEXT, WALNUT, household, said
from tests.faults.driven import DAY, MINUTE, Driven, driven, memory_folder

__all__ = ["memory_folder"]
SUMMER = date(2027, 7, 20)
ZONE = ZoneInfo("Europe/London")


def at(clock: str, day: date = SUMMER) -> datetime:
    return datetime.combine(day, time.fromisoformat(clock), ZONE).astimezone(UTC)


def heat(air_c: float | None, clock: str, who: str = "Ana", days: int = 1) -> Report:
    spell = Spell(first=SUMMER, last=SUMMER + (days - 1) * DAY)
    return Report(kind="heat", spell=spell, air_c=air_c, made_at=at(clock), said_by=who)


def days(*reports: Report, text: str = TEXT) -> Almanac:
    return Almanac(household=household(text), records=Records(reports=reports), ways=BOTH, key=KEY)


def told(almanac: Almanac) -> list[tuple[str, str]]:
    """Each call of the summer's day: its step and title."""
    return [(str(one.step), title_of(almanac, one)) for one in calls_on(almanac, SUMMER)]


def title_of(almanac: Almanac, call: Call) -> str:
    return of_site(call.matter(almanac, "", call.at)).title


JOB = "Heat emergency: cool water, shade, moving air"


# What it says


@pytest.mark.parametrize(
    ("region", "degrees"), [('region = "UK"', "38\u00a0°C"), ('region = "US"', "100\u00a0°F")]
)
def test_it_says_the_degrees_in_the_persons_units_and_who_says_so(
    region: str, degrees: str
) -> None:
    almanac = days(heat(38.0, "11:50"), text=TEXT.replace('region = "UK"', region))
    call, _ = calls_on(almanac, SUMMER)
    message = of_site(call.matter(almanac, "", call.at))
    assert message.title.startswith("Heat emergency: cool water, shade, moving")
    assert message.title.endswith(f" ({degrees}, says Ana)")
    assert len(message.title) <= 80
    clock = "11:50 am" if degrees.endswith("F") else "11:50"
    assert message.body.startswith(f"Ana reported at {clock}: heat of {degrees} on Tue 20 Jul.\n")


def test_on_a_later_day_it_says_on_which_day_it_was_reported() -> None:
    almanac = days(heat(38.0, "10:00", days=2))
    (midday,) = calls_on(almanac, SUMMER + DAY)
    body = of_site(midday.matter(almanac, "", midday.at)).body
    assert body.startswith("Ana reported at 10:00 on Tue 20 Jul: heat of 38\u00a0°C from ")


def test_the_walk_at_midday_names_the_worst_that_was_reported() -> None:
    almanac = days(heat(36.0, "07:00", "Ben"), heat(38.0, "07:10"), heat(34.0, "07:20", "Cleo"))
    assert told(almanac)[-1] == ("urgent-midday", f"{JOB}, now (38\u00a0°C, says Ana)")


@pytest.mark.parametrize("others", [0, 2])
@pytest.mark.parametrize("who", ["", "Ana", "Wilhelmina Featherstonehaugh"])
@pytest.mark.parametrize("degrees", ["", "100.4 °F"])
@pytest.mark.parametrize("what", [JOB, "W" * 90])
def test_what_when_and_how_bad_stand_in_the_first_80_characters(
    others: int, who: str, degrees: str, what: str
) -> None:
    jobs = [Urgent(what=what, when="tomorrow at 10:30 pm", why="w")] * (others + 1)
    known = Reported(words="heat", degrees=degrees, who=who, clock="10:40")
    title = emergency(jobs, [known]).title
    assert len(title) <= 80
    for part in (what[:15], "tomorrow at 10:30 pm", degrees, who[:10]):
        assert part in title


# What is worse


def test_a_report_that_is_worse_by_three_degrees_is_told_of_again() -> None:
    first = heat(38.0, "08:00")
    assert [step for step, _ in told(days(first, heat(40.9, "09:00", "Ben")))] == [
        "urgent-heat-070000",
        "urgent-midday",
    ]
    step, title = told(days(first, heat(41.0, "09:00", "Ben")))[1]
    assert step == "urgent-heat-080000"
    assert title.startswith(f"{JOB}, today at 1")
    assert title.endswith(" (41\u00a0°C, says Ben)")


def test_heat_and_frost_ring_for_nobody_until_their_degrees_are_known() -> None:
    bare = heat(None, "09:00")
    assert told(days(bare)) == []
    assert told(days(replace(bare, kind="frost"))) == []
    assert [step for step, _ in told(days(bare, heat(38.0, "10:00")))][:1] == ["urgent-heat-090000"]


def test_it_is_measured_against_what_was_told_of_not_step_by_step() -> None:
    reports = [heat(38.0 + n, f"0{n + 4}:00") for n in range(5)]
    steps = [step for step, _ in told(days(*reports))]
    assert steps == ["urgent-heat-030000", "urgent-heat-060000", "urgent-midday"]


def test_what_was_known_since_yesterday_is_told_of_when_it_gets_much_worse() -> None:
    before = replace(heat(38.0, "08:00"), made_at=at("18:00", SUMMER - DAY))
    assert told(days(before, heat(40.0, "09:00")))[0][0] == "urgent-midday"
    assert told(days(before, heat(41.0, "09:00")))[0][0] == "urgent-heat-080000"


@pytest.mark.parametrize(("air_c", "rings"), [(40.0, False), (41.0, True)])
def test_what_is_reported_of_tomorrow_rings_once_more_only_where_it_is_much_worse(
    air_c: float, rings: bool
) -> None:
    tomorrow = replace(hot(air_c, SUMMER + DAY), made_at=at("18:00"))
    steps = [step for step, _ in told(days(heat(38.0, "15:00"), tomorrow))]
    assert ("urgent-heat-170000" in steps) is rings


def test_what_is_urgent_in_another_house_is_told_as_well() -> None:
    ill = Report(
        kind="illness",
        spell=Spell(first=SUMMER),
        house_id="walnut",
        signs=("breathing",),
        made_at=at("08:00"),
    )
    hazel = replace(ill, house_id="hazel", made_at=at("09:00"))
    again = replace(ill, signs=("swollen-head",), made_at=at("10:00"))
    almanac = days(ill, hazel, again, text=SITE + WALNUT + HAZEL + ANA)
    assert [step for step, _ in told(almanac)] == ["urgent-illness-070000", "urgent-illness-080000"]


@pytest.mark.parametrize(
    ("one", "what"),
    [
        (Report(kind="order", spell=Spell(first=SUMMER - 2 * DAY)), "Housing order: keep birds in"),
        (
            Report(
                kind="illness",
                spell=Spell(first=SUMMER - 9 * DAY),
                house_id="walnut",
                signs=("swollen-head",),
            ),
            "Ill birds: call your vet",
        ),
        (
            Report(kind="predator", grade="got-at", spell=Spell(first=SUMMER - 5 * DAY)),
            "Count the birds and check",
        ),
    ],
    ids=["order", "illness", "predator"],
)
def test_what_began_days_before_it_was_reported_is_told_of_on_the_day_it_is(
    one: Report, what: str
) -> None:
    late = replace(one, made_at=at("08:00"), said_by="Ben")
    [(step, title)] = told(days(late))
    assert step == f"urgent-{one.kind}-070000"
    assert title.startswith(what)
    assert ", now (says Ben)" in title
    # Said on its first day and put back today, it is told of today as well.
    put_back = replace(late, made_at=at("08:00", one.spell.first), again_at=at("09:00"))
    assert told(days(put_back))[0][0] == f"urgent-{one.kind}-080000"
    assert told(days(replace(put_back, again_at=None))) == []


# Houses without birds


def test_a_house_that_a_statement_has_emptied_has_no_emergency() -> None:
    away = replace(said("elsewhere", count=12), evening=SUMMER - DAY)
    alone, two = SITE + WALNUT + ANA, SITE + WALNUT + HAZEL + ANA
    assert calls_on(days(heat(38.0, "08:00"), text=alone), SUMMER, [away]) == ()
    both = days(heat(38.0, "08:00"), text=two)
    assert "Walnut" not in calls_on(both, SUMMER)[0].lines[0][1].text
    assert calls_on(both, SUMMER, [away])[0].lines[0][1].text.endswith("(Hazel)")


def test_the_days_of_reports_are_planned_once(monkeypatch: pytest.MonkeyPatch) -> None:
    almanac, planned = days(heat(38.0, "08:00"), heat(39.0, "08:10")), list[date]()
    plain = Almanac.planned_by

    def counted(self: Almanac, records: Records, day: date, empty: frozenset[str]) -> object:
        planned.append(day)
        return plain(self, records, day, empty)

    monkeypatch.setattr(Almanac, "planned_by", counted)
    first = calls_on(almanac, SUMMER)
    asked = len(planned)
    assert calls_on(almanac, SUMMER) == first
    assert len(planned) == asked


# That it is over


def people(*those: str) -> str:
    """The profile with these people, each reached by push alone."""
    text = "".join((SITE, WALNUT, *those)).replace('mail = "ana@example.org"\n', "")
    for name in ("ana", "ben"):
        text = text.replace(f"/{name}", f"/{name}-8c1f9e2b77aa")
    return text


@contextmanager
def house(folder: Path) -> Iterator[Driven]:
    """Ana is on duty; Ben and Ana may both say how hot it is."""
    with driven(folder, people(ANA, BEN), at("09:00")) as found:
        found.at(at("09:00"))
        yield found


def make(home: Driven, air_c: float, clock: str, who: str, days: int = 1) -> int:
    home.at(at(clock))
    told_of = replace(heat(air_c, clock, who, days), made_at=None)
    number = report.make(home.journal, "orchard", told_of, home.clock.at)
    home.at(home.clock.at + MINUTE / 4)
    return number


def speaker(home: Driven, who: str) -> Speaker:
    return Speaker(who=who, now=home.clock.at, today=home.running.household.today(home.clock.at))


def heard(home: Driven, since: datetime) -> list[tuple[str, int, str]]:
    return [
        (one.outgoing.person_name, one.outgoing.message.priority, one.outgoing.message.title)
        for one in home.messages()
        if one.at >= since and "eat" in one.outgoing.message.title
    ]


def test_whoever_was_told_hears_quietly_and_once_that_it_is_over(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben")
        assert [one[:2] for one in heard(home, at("09:00"))] == [("Ana", LOUD)]
        home.at(at("10:00"))
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        for minutes in (1, 2, 180):
            home.at(at("10:00") + minutes * MINUTE)
        title = "Ben took back the report of heat: no longer urgent"
        assert heard(home, at("10:00")) == [("Ana", QUIET, title)]


def test_an_emergency_that_is_put_back_is_told_again(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben", days=2)
        home.at(at("10:00"))
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("10:01"))
        report.again(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("10:02"))
        assert [one[:2] for one in heard(home, at("10:00"))] == [("Ana", QUIET), ("Ana", LOUD)]


@pytest.mark.parametrize("back_by", ["Ana", "Ben"])
def test_whoever_puts_a_report_back_is_not_rung_for_their_own_word(
    memory_folder: Path, back_by: str
) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben", days=2)
        home.at(at("10:00"))
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("10:01"))
        report.again(home.journal, "orchard", number, speaker(home, back_by))
        home.at(at("10:02"))
        rung = [one[0] for one in heard(home, at("10:01")) if one[1] == LOUD]
        assert rung == ([] if back_by == "Ana" else ["Ana"])
        home.at(at("13:30"))
        assert ("Ana", LOUD) in [one[:2] for one in heard(home, at("13:00"))], "the midday walk"


def test_an_undone_end_whose_last_day_has_not_passed_rings_for_nothing(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben", days=3)
        home.at(at("14:00"))
        report.end(home.journal, "orchard", number, SUMMER, speaker(home, "Ben"))
        home.at(at("14:01"))
        report.again(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("14:02"))
        assert heard(home, at("14:01")) == []
        (known,) = home.running.almanac.records.reports
        assert known.stands_since == known.made_at
        assert SUMMER + 2 * DAY in known.spell
        home.at(at("09:00", SUMMER + DAY))
        report.end(home.journal, "orchard", number, SUMMER, speaker(home, "Ben"))
        home.at(at("09:01", SUMMER + DAY))
        report.again(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("09:02", SUMMER + DAY))
        later = heard(home, at("09:00", SUMMER + DAY))
        assert [one[:2] for one in later] == [("Ana", QUIET), ("Ana", LOUD)], "it was over"


def test_an_end_says_so_where_nothing_urgent_is_left(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        first = make(home, 38.0, "09:30", "Ben", days=3)
        second = make(home, 38.0, "09:40", "Ana", days=3)
        home.at(at("09:00", SUMMER + DAY))
        report.end(home.journal, "orchard", first, SUMMER, speaker(home, "Ben"))
        home.at(at("09:01", SUMMER + DAY))
        assert heard(home, at("09:00", SUMMER + DAY)) == [], "Ana's word still stands"
        report.end(home.journal, "orchard", second, SUMMER, speaker(home, "Ben"))
        home.at(at("09:02", SUMMER + DAY))
        title = "The heat is over, says Ben: no longer urgent"
        assert heard(home, at("09:00", SUMMER + DAY)) == [("Ana", QUIET, title)]


def test_whoever_reported_it_hears_that_somebody_else_ended_it(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben")
        report.over(home.journal, "orchard", number, speaker(home, "Cleo"))
        home.at(at("10:00"))
        title = "The heat is over, says Cleo: no longer urgent"
        found = sorted(heard(home, at("10:00")))
        assert found == [("Ana", QUIET, title), ("Ben", QUIET, title)]
        warm = make(home, 30.0, "10:30", "Ben")  # nothing urgent
        report.over(home.journal, "orchard", warm, speaker(home, "Ana"))
        home.at(at("10:31"))
        assert len(heard(home, at("10:00"))) == 2


def test_what_is_taken_back_when_its_days_have_passed_is_no_news(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        over, passed = (make(home, 38.0, clock, "Ben") for clock in ("09:30", "10:30"))
        report.undo(home.journal, "orchard", over, speaker(home, "Ben"))
        home.at(at("08:00", SUMMER + DAY))
        report.undo(home.journal, "orchard", passed, speaker(home, "Ben"))
        home.at(at("08:01", SUMMER + DAY))
        assert heard(home, at("08:00", SUMMER + DAY)) == []


def test_whoever_ends_it_need_not_be_told_so(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben")
        report.undo(home.journal, "orchard", number, speaker(home, "Ana"))
        home.at(at("10:00"))
        assert [one[:2] for one in heard(home, at("09:00"))] == [("Ana", LOUD), ("Ben", QUIET)]


def test_whoever_reports_it_is_not_rung_for_it_but_reminded_at_midday(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ana")
        make(home, 38.0, "09:35", "Ben")
        home.at(at("09:40"))
        report.undo(home.journal, "orchard", number, speaker(home, "Ana"))
        home.at(at("09:41"))
        assert heard(home, at("09:00")) == [], "Ben says no more than Ana knew"
        home.at(at("13:30"))
        assert [one[:2] for one in heard(home, at("09:00"))] == [("Ana", LOUD)]


@pytest.mark.parametrize(("ticked_at", "rings"), [("12:30", False), ("10:00", True)])
def test_the_midday_walk_is_not_rung_for_what_was_ticked_in_the_hour_before(
    memory_folder: Path, ticked_at: str, rings: bool
) -> None:
    with house(memory_folder) as home:
        make(home, 38.0, "09:30", "Ben")
        home.at(at(ticked_at))
        key = TaskKey("heat-emergency", "walnut", SUMMER)
        kept_ticks.mark(home.journal, "orchard", [key], speaker(home, "Ana"))
        home.at(at("13:30"))
        assert bool(heard(home, at("13:00"))) is rings
        kept_ticks.take_back(home.journal, "orchard", [key], speaker(home, "Ana"))
        home.at(at("13:31"))
        assert len(heard(home, at("13:00"))) == 1, "once, or when the tick is taken back"


def test_what_somebody_else_puts_back_rings_for_whoever_had_reported_it(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ana")
        # Nothing has ticked in between: only the instant differs.
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        report.again(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("09:40"))
        assert [one[:2] for one in heard(home, at("09:00"))] == [("Ana", LOUD)]


def test_what_is_left_when_one_of_two_reports_is_taken_back_is_no_news(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        first = make(home, 38.0, "09:30", "Ben")
        make(home, 38.0, "09:40", "Cleo")
        report.undo(home.journal, "orchard", first, speaker(home, "Ben"))
        for minutes in (1, 2, 60):
            home.at(at("09:41") + minutes * MINUTE)
        assert [one[:2] for one in heard(home, at("09:00"))] == [("Ana", LOUD)]


def test_what_was_taken_back_before_it_was_told_leaves_the_other_to_tell(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        first, second = heat(38.0, "09:30", "Ben"), heat(38.0, "09:31", "Cleo")
        home.clock.go_to(at("09:32"))
        number, _ = [
            report.make(home.journal, "orchard", one, made_at)
            for one in (first, second)
            if (made_at := one.made_at)
        ]
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("09:33"))
        ((_, loud, title),) = heard(home, at("09:00"))
        assert loud == LOUD
        assert title.endswith("says Cleo)")


def test_five_degrees_fahrenheit_are_much_worse_where_those_are_used() -> None:
    reports = heat(35.0, "08:00"), heat(68 / 1.8, "09:00"), heat(37.2, "08:30")
    american = TEXT.replace('region = "UK"', 'region = "US"')
    steps = ["urgent-heat-070000", "urgent-midday"]
    assert [step for step, _ in told(days(*reports))] == steps
    steps.insert(1, "urgent-heat-080000")
    assert [step for step, _ in told(days(*reports, text=american))] == steps


def test_whoever_heard_that_it_was_over_hears_that_it_holds_again(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben")
        report.over(home.journal, "orchard", number, speaker(home, "Cleo"))
        home.at(at("10:00"))
        assert sorted(one[0] for one in heard(home, at("10:00"))) == ["Ana", "Ben"]
        report.again(home.journal, "orchard", number, speaker(home, "Cleo"))
        for minutes in (1, 2, 60):
            home.at(at("10:00") + minutes * MINUTE)
        found = sorted(heard(home, at("10:01")))
        assert [one[:2] for one in found] == [("Ana", LOUD), ("Ben", QUIET)]
        assert found[1][2] == "Cleo put the report of heat back: urgent again"
        since = home.clock.at
        put_first(home, BEN, ANA)  # Ana was rung for it: no need to hear so when off duty
        assert [one[:2] for one in heard(home, since + MINUTE)] == [("Ben", LOUD)]


# What nobody could be told in time


def test_what_was_reported_while_nothing_ran_is_told_when_it_runs_again(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        since = len(home.messages())
        for one, clock in ((predator("got-at"), "09:10"), (hot(38.0), "09:20")):
            report.make(home.journal, "orchard", one, at(clock))
        home.stop()
        home.clock.go_to(at("13:20"))
        home.start()
        for minutes in (0, 1, 200, 400):
            home.at(at("13:20") + minutes * MINUTE)
        urgent = [
            (key.person_id, str(key.step), one.outgoing.message.body.count(" Do it now. "))
            for one in home.messages()[since:]
            if (key := home.key_of(one.outgoing.message_id)) and str(key.step).startswith("urgent")
        ]
        # Four hours late; the heat is told by the walk at midday, which is due.
        assert urgent == [("ana", "urgent-predator-081000", 2), ("ana", "urgent-midday", 1)]


@pytest.mark.parametrize(
    ("said_at", "days", "back", "is_told"),
    [
        ("09:20", 1, at("18:00"), True),
        ("09:20", 1, at("21:30"), False),  # after twelve hours
        ("19:00", 1, at("00:30", SUMMER + DAY), False),  # that day is over
        ("19:00", 2, at("00:30", SUMMER + DAY), True),
    ],
)
def test_what_nobody_was_told_of_in_time_is_told_while_it_is_of_use(
    memory_folder: Path, said_at: str, days: int, back: datetime, is_told: bool
) -> None:
    with house(memory_folder) as home:
        made = replace(heat(38.0, said_at, "Cleo", days), made_at=None)
        report.make(home.journal, "orchard", made, at(said_at))
        home.stop()
        home.clock.go_to(back)
        home.start()
        home.at(back)
        rung = [one[:2] for one in heard(home, back) if one[1] == LOUD]
        assert rung == [("Ana", LOUD)] * is_told


def test_what_could_not_get_out_for_hours_is_still_told(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        works = home.channel("push").meaning
        home.channel("push").meaning = lambda _: Outcome(kind="transient", reason="no network")
        said_of(home, predator("got-at"))
        for minutes in range(0, 270, 45):
            home.at(at("09:00") + minutes * MINUTE)
        since = len(home.messages())
        home.channel("push").meaning = works
        for minutes in (0, 15, 30):
            home.at(at("13:30") + minutes * MINUTE)
        (message,) = [one.outgoing.message for one in home.messages()[since:] if one.loud]
        assert message.title.startswith("Count the birds and check each one for wounds")


# Who comes on duty while it holds


def put_first(home: Driven, *those: str) -> None:
    home.write_profile(people(*those))
    for _ in range(2):
        home.at(home.clock.at + MINUTE)


def test_whoever_is_put_first_while_it_holds_is_rung_for_it_once(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        make(home, 38.0, "09:30", "Cleo")
        put_first(home, BEN, ANA)
        put_first(home, ANA, BEN)
        put_first(home, BEN, ANA)
        assert [one[:2] for one in heard(home, at("09:00"))] == [("Ana", LOUD), ("Ben", LOUD)]


def test_whoever_is_put_first_after_the_walk_of_midday_is_rung_for_both_with_one_word(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        make(home, 38.0, "11:50", "Cleo")  # of use until 14:50, the walk till before that
        home.at(at("13:10"))
        put_first(home, BEN, ANA)
        for clock in ("14:00", "14:40", "14:49"):
            home.at(at(clock))
        (rung,) = heard(home, at("13:11"))
        assert rung == ("Ben", LOUD, f"{JOB}, now (38\u00a0°C, says Cleo)")


def test_whoever_is_put_first_when_the_walk_is_over_is_rung_while_the_report_is_of_use(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        make(home, 38.0, "11:50", "Cleo")
        for clock in ("13:10", "14:40"):
            home.at(at(clock))
        put_first(home, BEN, ANA)
        assert [one[:2] for one in heard(home, at("14:40"))] == [("Ben", LOUD)]


def test_whoever_is_put_first_when_it_rings_no_more_reads_of_it(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        make(home, 38.0, "09:30", "Cleo")
        for clock in ("13:10", "16:30"):  # the walk of midday was announced, and is over
            home.at(at(clock))
        put_first(home, BEN, ANA)
        moved = [one.outgoing.message for one in home.messages() if one.at > at("16:30")]
        assert {one.priority for one in moved} == {QUIET}
        assert all(one.body.endswith(f" Urgent today: {JOB}.") for one in moved)
        key = TaskKey("heat-emergency", "walnut", SUMMER)
        kept_ticks.mark(home.journal, "orchard", [key], speaker(home, "Ana"))
        put_first(home, ANA, BEN)
        assert "Urgent" not in home.messages()[-1].outgoing.message.body


def test_whoever_is_put_first_is_not_rung_for_what_was_ticked_since(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        make(home, 38.0, "09:30", "Cleo")
        home.at(at("09:40"))
        key = TaskKey("heat-emergency", "walnut", SUMMER)
        kept_ticks.mark(home.journal, "orchard", [key], speaker(home, "Ana"))
        put_first(home, BEN, ANA)
        assert [one[:2] for one in heard(home, at("09:00"))] == [("Ana", LOUD)]
        kept_ticks.take_back(home.journal, "orchard", [key], speaker(home, "Ana"))
        home.at(home.clock.at + MINUTE)
        assert [one[:2] for one in heard(home, at("09:40"))] == [("Ben", LOUD)]


def test_who_has_the_evening_under_way_is_rung_though_another_has_them_from_tomorrow(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        (evening,) = home.evenings(SUMMER)
        home.at(evening.lock_up)
        put_first(home, BEN, ANA)
        (moved, _) = [one for one in home.messages() if "is on duty" in one.outgoing.message.title]
        assert moved.outgoing.message.title == "From tomorrow Ben is on duty instead of Ana"
        (number,) = said_of(home, predator("got-at"))
        assert urgent_for(home) == ["ana"]
        report.undo(home.journal, "orchard", number, speaker(home, "Cleo"))
        home.at(evening.let_out + MINUTE)
        said_of(home, predator("tried"))
        assert urgent_for(home) == ["ana", "ben"]


def urgent_for(home: Driven) -> list[str]:
    """Who was rung for a predator, in order."""
    keys = [home.key_of(one.outgoing.message_id) for one in home.messages()]
    return [key.person_id for key in keys if key and str(key.step).startswith("urgent-predator")]


def without_ana(outgoing: Outgoing) -> Outcome:
    return Outcome(kind="bad address" if "/ana" in outgoing.address else "sent", reason="gone")


@pytest.mark.parametrize(("who", "rung_at"), [("Cleo", "09:31"), ("Ana", "13:30")])
def test_whoever_it_was_passed_on_to_is_rung_no_second_time_and_hears_that_it_is_over(
    memory_folder: Path, who: str, rung_at: str
) -> None:
    with house(memory_folder) as home:
        home.channel("push").meaning = without_ana
        number = make(home, 38.0, "09:30", who)  # Ana is reminded of her own at midday
        home.at(at(rung_at))
        put_first(home, BEN, ANA)
        assert [one[:2] for one in heard(home, at("09:00"))] == [("Ben", LOUD)]
        report.undo(home.journal, "orchard", number, speaker(home, "Cleo"))
        home.at(home.clock.at + MINUTE)
        assert [one[:2] for one in heard(home, home.clock.at)] == [("Ben", QUIET)]


# That part of it is over


def said_of(home: Driven, *reports: Report) -> list[int]:
    """Each is reported a minute after the other, and told; their numbers."""
    numbers = []
    for one in reports:
        numbers.append(report.make(home.journal, "orchard", one, home.clock.at))
        home.at(home.clock.at + MINUTE)
    return numbers


def told_since(home: Driven, since: datetime) -> list[tuple[str, int, str, str]]:
    return [
        (one.outgoing.person_name, message.priority, message.title, message.body)
        for one in home.messages()
        if one.at > since and (message := one.outgoing.message).title.startswith("Ben ")
    ]


def predator(grade: PredatorGrade) -> Report:
    spell = Spell(first=SUMMER, last=SUMMER + 13 * DAY)
    return Report(kind="predator", spell=spell, grade=grade, said_by="Cleo")


def test_whoever_was_told_of_the_graver_of_two_hears_what_of_them_still_holds(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        _, graver = said_of(home, predator("tried"), predator("got-at"))
        since = home.clock.at
        report.undo(home.journal, "orchard", graver, speaker(home, "Ben"))
        for minutes in (1, 2, 60, 1430):
            home.at(since + minutes * MINUTE)
        ((who, priority, title, body),) = told_since(home, since)
        assert (who, priority) == ("Ana", QUIET)
        assert title == "Ben took back a report of a predator: another still holds"
        assert body.startswith(
            "It was: predator that got at the birds on Tue 20 Jul, until Mon 2 Aug. "
            "Still reported: predator that tried to get in on Tue 20 Jul, until Mon 2 Aug. "
            "Still urgent: "
        )


def hot(air_c: float, first: date = SUMMER) -> Report:
    return Report(kind="heat", spell=Spell(first=first, last=first), air_c=air_c, said_by="Cleo")


def ill(sign: Sign) -> Report:
    spell = Spell(first=SUMMER)
    return Report(kind="illness", spell=spell, house_id="walnut", signs=(sign,), said_by="Cleo")


@pytest.mark.parametrize(
    ("stands", "goes", "is_told"),
    [
        (hot(38.0), hot(41.0), True),
        (hot(41.0), hot(38.0), False),
        (hot(38.0), hot(40.0), False),  # it was not told of
        (hot(38.0, SUMMER + DAY), hot(38.0), True),
        (predator("got-at"), predator("tried"), False),
    ],
)
def test_only_what_was_worse_than_what_holds_is_news_when_it_has_gone(
    memory_folder: Path, stands: Report, goes: Report, is_told: bool
) -> None:
    with house(memory_folder) as home:
        _, number = said_of(home, stands, goes)
        since = home.clock.at
        report.over(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(since + MINUTE)
        title = f"Ben ended a report of {'heat' if goes.air_c else 'a predator'}"
        assert [one[2] for one in told_since(home, since)] == [
            f"{title}: another still holds"
        ] * is_told


@pytest.mark.parametrize(
    ("until", "is_urgent"), [(SUMMER, False), (SUMMER + DAY, True)], ids=["today", "tomorrow, too"]
)
def test_what_has_been_ticked_is_not_said_to_be_still_urgent(
    memory_folder: Path, until: date, is_urgent: bool
) -> None:
    with house(memory_folder) as home:
        milder = replace(hot(36.0), spell=Spell(first=SUMMER, last=until))
        _, number = said_of(home, milder, hot(40.0))
        key = TaskKey("heat-emergency", "walnut", SUMMER)
        kept_ticks.mark(home.journal, "orchard", [key], speaker(home, "Ana"))
        since = home.clock.at
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(since + MINUTE)
        ((_, _, _, body),) = told_since(home, since)
        assert "Still reported: heat of 36\u00a0°C" in body
        assert ("Still urgent: Heat emergency" in body) == is_urgent


def test_whoever_was_told_of_the_worst_hears_of_its_end_however_near_what_was_not_told(
    memory_folder: Path,
) -> None:
    with house(memory_folder) as home:
        *_, number = said_of(home, hot(35.0), hot(37.0), hot(39.0))
        titles = " ".join(one.outgoing.message.title for one in home.messages())
        assert [f"({c}\u00a0°C" in titles for c in (35, 37, 39)] == [True, False, True]
        since = home.clock.at
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        for minutes in (1, 2, 60):
            home.at(since + minutes * MINUTE)
        ((who, _, title, body),) = told_since(home, since)
        assert (who, title) == ("Ana", "Ben took back a report of heat: another still holds")
        assert body.startswith(
            "It was: heat of 39\u00a0°C on Tue 20 Jul. Still reported: heat of 35\u00a0°C "
        )


def test_that_the_last_of_them_is_over_names_none_whose_end_was_told(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        milder, hotter = said_of(home, hot(38.0), hot(41.0))
        since = home.clock.at
        for number in (hotter, milder):
            report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
            home.at(home.clock.at + MINUTE)
        first, last = told_since(home, since)
        assert first[3].startswith(
            "It was: heat of 41\u00a0°C on Tue 20 Jul. Still reported: heat of 38\u00a0°C "
        )
        assert last[3].startswith("It was: heat of 38\u00a0°C on Tue 20 Jul. If ")


def test_what_was_taken_back_before_it_got_out_is_told_no_more(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        said_of(home, hot(35.0), hot(37.0))
        works, since = home.channel("push").meaning, home.clock.at
        home.channel("push").meaning = lambda _: Outcome(kind="transient", reason="no network")
        (number,) = said_of(home, hot(39.0))
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(home.clock.at + MINUTE)
        home.channel("push").meaning = works
        for minutes in (5, 30):
            home.at(since + minutes * MINUTE)
        assert [one for one in heard(home, since) if one[1] == LOUD] == []


@pytest.mark.parametrize(
    ("mild", "bad", "what", "taken_back"),
    [
        (replace(hot(30.0), air_c=None), hot(38.0), "heat", False),
        (hot(30.0), hot(38.0), "heat", True),
        (ill("limping"), ill("breathing"), "ill birds", False),
    ],
)
def test_nothing_is_said_to_be_over_while_a_milder_report_of_its_kind_holds(
    memory_folder: Path, mild: Report, bad: Report, what: str, taken_back: bool
) -> None:
    with house(memory_folder) as home:
        _, number = said_of(home, mild, bad)
        since = home.clock.at
        finish = report.undo if taken_back else report.over
        finish(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(since + MINUTE)
        ((_, _, title, body),) = told_since(home, since)
        done = "took back" if taken_back else "ended"
        assert title == f"Ben {done} a report of {what}: no longer urgent"
        still = "heat" if mild.kind == "heat" else "1 ill bird (limping or lame)"
        assert f" Still reported: {still}" in body


def test_of_ill_birds_in_two_houses_each_is_named_with_its_own(memory_folder: Path) -> None:
    with driven(memory_folder, people(HAZEL, ANA, BEN), at("09:00")) as home:
        home.at(at("09:00"))
        _, number = said_of(home, ill("breathing"), replace(ill("breathing"), house_id="hazel"))
        since = home.clock.at
        report.undo(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(since + MINUTE)
        ((_, _, title, body),) = told_since(home, since)
        assert title == "Ben took back a report of ill birds: another still holds"
        assert "20 Jul, in Hazel. Still reported:" in body
        assert "20 Jul, in Walnut. Still urgent:" in body


# That it is over on the day on which it began


@pytest.mark.parametrize("days", [1, 3])
def test_what_is_over_on_its_first_day_ends_now_and_can_come_back(
    memory_folder: Path, days: int
) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben", days=days)
        home.at(at("10:00"))
        ended = report.over(home.journal, "orchard", number, speaker(home, "Ben"))
        assert isinstance(ended, Report)
        assert SUMMER not in ended.spell
        home.at(at("10:01"))
        assert not home.running.almanac.plan_of(SUMMER).rounds[0].lines[0].urgent
        title = "The heat is over, says Ben: no longer urgent"
        assert heard(home, at("10:00")) == [("Ana", QUIET, title)]
        pages = diary_export.pages(home.journal, home.running.household)
        rows = [diary_export.row(one) for page in pages for one in page]
        assert [(row[1], row[2], row[5]) for row in rows] == [
            ("2027-07-20", "heat", "Ben"),
            ("2027-07-20", "heat ended", "Ben"),
        ]
        last = SUMMER + timedelta(days=days - 1)
        assert [row[10] for row in rows] == [f"{last}", "2027-07-19"]
        assert rows[1][14] == "Heat from Tue 20 Jul: it is over, on the same day"
        report.again(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("10:02"))
        assert [one[:2] for one in heard(home, at("10:02"))] == [("Ana", LOUD)]


@pytest.mark.parametrize(
    ("today", "said"),
    [
        (True, "Ben says today is the last day of a housing order"),
        (False, "The housing order has ended, says Ben: no longer urgent"),
    ],
)
def test_an_order_whose_last_day_is_today_has_not_ended_yet(
    memory_folder: Path, today: bool, said: str
) -> None:
    with house(memory_folder) as home:
        home.at(at("09:30"))
        order = Report(kind="order", spell=Spell(first=SUMMER), said_by="Ben")
        number = report.make(home.journal, "orchard", order, home.clock.at)
        home.at(at("09:31"))
        home.at(at("10:00", SUMMER + DAY))
        by = speaker(home, "Ben")
        if today:
            report.end(home.journal, "orchard", number, by.today, by)
        else:
            report.over(home.journal, "orchard", number, by)
        home.at(at("10:01", SUMMER + DAY))
        message = home.messages()[-1].outgoing.message
        assert message.title == said
        assert message.body.startswith("It holds until tonight. ") is today
        assert (" Let out again as planned: Walnut." in message.body) is not today


def test_whoever_put_a_report_back_hears_that_somebody_ended_it(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ana", days=2)
        report.undo(home.journal, "orchard", number, speaker(home, "Ana"))
        home.at(at("10:00"))
        report.again(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("10:02"))
        report.undo(home.journal, "orchard", number, speaker(home, "Ana"))
        home.at(at("10:04"))
        assert [one[:2] for one in heard(home, at("10:03"))] == [("Ben", QUIET)]


def test_what_was_over_before_another_report_rings_for_that_one(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        number = make(home, 38.0, "09:30", "Ben")
        home.at(at("10:00"))
        report.over(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(at("10:01"))
        make(home, 38.0, "11:00", "Ben")
        assert [one[1] for one in heard(home, at("09:00"))] == [LOUD, QUIET, LOUD]


def test_that_it_is_over_names_the_worst_of_what_was_ended(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        numbers = [
            make(home, air_c, clock, "Ben", days=2)
            for air_c, clock in ((34.0, "09:10"), (41.0, "09:20"), (36.0, "09:30"))
        ]
        for number in numbers:
            report.over(home.journal, "orchard", number, speaker(home, "Ben"))
        home.at(home.clock.at + MINUTE)
        (last,) = [one for one in home.messages() if "over" in one.outgoing.message.title]
        assert (
            "It was: heat of 41\u00a0°C from Tue 20 Jul to Wed 21 Jul."
            in last.outgoing.message.body
        )


def test_an_order_ends_with_its_first_day_and_no_report_before_it(memory_folder: Path) -> None:
    with house(memory_folder) as home:
        order = Report(kind="order", spell=Spell(first=SUMMER))
        number = report.make(home.journal, "orchard", order, home.clock.at)
        by = speaker(home, "Ben")
        at_once = report.over(home.journal, "orchard", number, by)
        assert isinstance(at_once, Refused)
        assert at_once.found == "an order that began today"  # never a date that nobody wrote
        later = make(home, 38.0, "09:30", "Ben", days=3)
        by = replace(speaker(home, "Ben"), today=SUMMER + DAY)
        refused = report.end(home.journal, "orchard", later, SUMMER - DAY, by)
        assert isinstance(refused, Refused)
        assert "undo" in refused.hint
