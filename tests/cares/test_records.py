"""Reports that overlap: they add up to the worst that still holds."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.catalogue import Catalogue, in_force
from scheduler.cares.changed import effect_of
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.due import Dates
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, ReportKind, Spell
from scheduler.cares.triggers import Recorded, WeatherSign
from scheduler.climate.curve import averages
from scheduler.light.sun import sky_over
from scheduler.profile.coop import Coop
from scheduler.profile.door_rules import LockUpRule
from scheduler.profile.flock import Flock
from scheduler.profile.site import Climate, Site
from scheduler.profile.values import Profile
from tests.weather_decided import decided

DAY = timedelta(days=1)
MONDAY = date(2026, 7, 20)
WINTER = date(2026, 12, 21)


def orchard(rule: LockUpRule | None = None) -> Profile:
    return Profile(
        units="metric",
        site=Site(
            name="Orchard",
            id="orchard",
            latitude_deg=51.5,
            longitude_deg=-0.1,
            zone=UTC,
            region="UK",
        ),
        climate=Climate(coldest_month_low_c=7.0, warmest_month_high_c=24.0),  # rarely any frost
        lockup=rule or LockUpRule(),
        coop=(Coop(name="Walnut", id="walnut"),),
        flock=(Flock(name="Girls", id="girls", coop="walnut", hens=12),),
    )


def told(
    kind: ReportKind, air_c: float | None = None, first: date = MONDAY, days: int = 1
) -> Report:
    spell = Spell(first=first, last=first + (days - 1) * DAY)
    return Report(kind=kind, spell=spell, air_c=air_c)


def day_of(catalogue: Catalogue, *reports: Report, day: date = MONDAY) -> DayPlan:
    return plan(orchard(), Records(reports=reports), day, day, catalogue).days[0]


def jobs(catalogue: Catalogue, *reports: Report, day: date = MONDAY) -> set[str]:
    return {task.care_id for task in day_of(catalogue, *reports, day=day).tasks}


def test_what_was_decided_of_a_day_stands_there_by_its_day() -> None:
    frost, mild = decided(WINTER), decided(WINTER + DAY, low_c=5.0)
    known = Records(weather=(frost, mild))
    assert known.weather_on(WINTER) == frost
    assert known.weather_on(WINTER + DAY) == mild
    assert known.weather_on(WINTER + 2 * DAY) is None
    assert NO_RECORDS.weather_on(WINTER) is None


def test_records_that_differ_in_the_weather_are_not_the_same_nor_found_for_each_other() -> None:
    report = told("frost", -8.0)
    known = Records(reports=(report,), weather=(decided(WINTER),))
    again = Records(reports=(report,), weather=(decided(WINTER),))
    assert known.is_same(again)
    assert {known: "a plan"}[again] == "a plan"
    for other in (known.without_weather, replace(known, weather=(decided(WINTER, -4.0),))):
        assert not known.is_same(other)
        assert other not in {known: "a plan"}
    assert known.without_weather == Records(reports=(report,))


# K1


@pytest.mark.parametrize(
    ("worse", "care_id"),
    [(told("heat", 36.0), "heat-emergency"), (told("frost", -15.0), "comb-look")],
)
def test_k1_a_milder_report_of_the_same_day_does_not_undo_a_worse_one(
    catalogue: Catalogue, worse: Report, care_id: str
) -> None:
    one_tap = told(worse.kind)
    assert care_id in jobs(catalogue, worse)
    assert care_id not in jobs(catalogue, one_tap)
    assert care_id in jobs(catalogue, worse, one_tap)
    assert care_id in jobs(catalogue, one_tap, worse)


SPELLS = st.builds(
    lambda first, days: Spell(
        first=MONDAY + first * DAY, last=None if days is None else MONDAY + (first + days) * DAY
    ),
    st.integers(-16, 3),
    st.one_of(st.none(), st.integers(0, 15)),
)
REPORTS = st.one_of(
    st.builds(
        Report,
        kind=st.sampled_from(["heat", "frost"]),
        spell=SPELLS,
        air_c=st.one_of(st.none(), st.floats(-20, 45)),
    ),
    st.builds(
        Report,
        kind=st.just("predator"),
        spell=SPELLS,
        grade=st.sampled_from(["nearby", "tried", "got-at"]),
    ),
    st.builds(Report, kind=st.sampled_from(["snow", "storm", "order"]), spell=SPELLS),
)


@given(reports=st.lists(REPORTS, max_size=5), days=st.integers(0, 3))
def test_k1_what_is_due_is_what_any_report_alone_makes_due(
    catalogue: Catalogue, reports: list[Report], days: int
) -> None:
    # So that ending or undoing one of them, one made by one tap included, leaves the others.
    profile, day = orchard(), MONDAY + days * DAY
    cares = in_force(profile, catalogue)
    sky, yearly = sky_over(profile), averages(profile)

    def due(*some: Report) -> set[str]:
        dates = Dates(profile, sky, yearly, Records(reports=some), cares)
        reported = (care for care in cares if isinstance(care.due, Recorded | WeatherSign))
        return {care.id for care in reported if dates.due(care, day)}

    assert due(*reports) == due().union(*(due(report) for report in reports))


# Predators


@pytest.mark.parametrize(
    ("grade", "care_ids", "early", "kept_in"),
    [
        ("nearby", {"predator-locks"}, False, False),
        ("tried", {"predator-locks", "predator-repair"}, True, False),
        ("got-at", {"predator-locks", "predator-repair", "predator-count"}, True, True),
    ],
)
def test_each_grade_of_a_predator_asks_for_more(
    catalogue: Catalogue, grade: str, care_ids: set[str], *, early: bool, kept_in: bool
) -> None:
    spell = Spell(first=WINTER, last=WINTER + 13 * DAY)
    visit = Report(kind="predator", spell=spell, grade=grade)  # type: ignore[arg-type] # of the three
    found = day_of(catalogue, visit, day=WINTER)
    assert {task.care_id for task in found.tasks if task.care_id.startswith("predator")} == care_ids
    assert (found.coops[0].lock_up.basis == "predator") is early
    assert (found.coops[0].free_range == "predator") is kept_in
    assert jobs(catalogue, visit, day=WINTER + 14 * DAY) == jobs(catalogue, day=WINTER + 14 * DAY)


def test_a_visit_that_is_ended_sooner_asks_for_nothing_more(catalogue: Catalogue) -> None:
    ended = Report(kind="predator", spell=Spell(first=WINTER, last=WINTER + DAY), grade="got-at")
    after = day_of(catalogue, ended, day=WINTER + 2 * DAY)
    usual = day_of(catalogue, day=WINTER + 2 * DAY)
    assert after == usual


@pytest.mark.parametrize("not_before", ["16:20", "16:40", "18:00"])
def test_t22_after_a_predator_not_before_does_not_hold_the_door_open(
    catalogue: Catalogue, not_before: str
) -> None:
    held = LockUpRule(not_before=datetime.strptime(not_before, "%H:%M").time())  # noqa: DTZ007 - of the clock
    profile = orchard(held)
    visit = Report(kind="predator", spell=Spell(first=WINTER, last=WINTER), grade="tried")
    (coop,) = plan(profile, Records(reports=(visit,)), WINTER, WINTER, catalogue).days[0].coops
    (usual,) = plan(profile, NO_RECORDS, WINTER, WINTER, catalogue).days[0].coops
    assert usual.lock_up.basis == "not_before"
    sunset = usual.sunset.instant  # type: ignore[union-attr] # London has one
    assert coop.lock_up.instant - sunset <= timedelta(minutes=10)
    assert coop.lock_up.basis == "predator"
    assert coop.lock_up.latest >= coop.lock_up.instant


# Orders


def test_an_order_is_asked_about_each_fortnight_until_it_ends() -> None:
    order = Report(kind="order", spell=Spell(first=MONDAY))
    asked = [n for n in range(60) if order.is_asked_about(MONDAY + n * DAY)]
    assert asked == [14, 28, 42, 56]
    kept = Report(kind="order", spell=Spell(first=MONDAY), confirmed_on=MONDAY + 15 * DAY)
    assert [n for n in range(16, 60) if kept.is_asked_about(MONDAY + n * DAY)] == [29, 43, 57]
    over = Report(kind="order", spell=Spell(first=MONDAY, last=MONDAY + 40 * DAY))
    assert not [n for n in range(60) if over.is_asked_about(MONDAY + n * DAY)]


# K10


def test_k10_what_is_urgent_comes_first_and_shares_no_line(catalogue: Catalogue) -> None:
    spell = Spell(first=WINTER, last=WINTER)
    reports = (
        Report(kind="storm", spell=spell),
        Report(kind="predator", spell=spell, grade="got-at"),
        Report(kind="order", spell=Spell(first=WINTER)),
        Report(kind="frost", spell=spell, air_c=-12.0),
        Report(kind="snow", spell=spell),
    )
    for walk in day_of(catalogue, *reports, day=WINTER).rounds:
        urgent = [line for line in walk.lines if line.urgent]
        assert list(walk.lines[: len(urgent)]) == urgent
        assert all(len({task.care_id for task in line.tasks}) == 1 for line in urgent)
        assert len(walk.lines) - len(urgent) <= orchard().rounds.lines
    morning = day_of(catalogue, *reports, day=WINTER).rounds[0]
    assert {task.care_id for line in morning.lines if line.urgent for task in line.tasks} == {
        "comb-look",
        "order-start",
        "predator-count",
        "predator-repair",
        "snow-clear",
        "storm-ready",
    }


def test_k10_what_the_averages_ask_for_all_winter_is_not_urgent(catalogue: Catalogue) -> None:
    cold = orchard().model_copy(
        update={"climate": Climate(coldest_month_low_c=-15.0, warmest_month_high_c=20.0)}
    )
    day = date(2026, 1, 15)
    tasks = plan(cold, NO_RECORDS, day, day, catalogue).days[0].tasks
    assert "comb-look" in {task.care_id for task in tasks}
    assert not [task for task in tasks if task.urgent]


# K11


def effect(
    catalogue: Catalogue, report: Report, *others: Report, today: date = WINTER
) -> list[str]:
    return list(effect_of(report, Records(reports=others), orchard(), catalogue, today))


def test_k11_the_answer_lists_what_changes(catalogue: Catalogue) -> None:
    frost = told("frost", -9.0, WINTER, days=2)
    assert effect(catalogue, frost) == [
        "Check combs, wattles and toes for frostbite (morning, Mon 21 Dec to Tue 22 Dec).",
        "Ice: free the drinkers (morning, Mon 21 Dec to Tue 22 Dec).",
        "Ice again: check the drinkers (midday, Mon 21 Dec to Tue 22 Dec).",
        "Frost: collect the eggs at midday too (midday, Mon 21 Dec to Tue 22 Dec).",
    ]
    visit = Report(
        kind="predator", spell=Spell(first=WINTER, last=WINTER + 13 * DAY), grade="got-at"
    )
    said = effect(catalogue, visit)
    assert "No free range Mon 21 Dec to Sun 3 Jan. They stay in: a predator got at them." in said
    assert [line for line in said if line.startswith("Lock up at 16:0")]


def test_k11_an_order_says_that_an_open_run_stays_shut(catalogue: Catalogue) -> None:
    said = effect(catalogue, Report(kind="order", spell=Spell(first=WINTER)))
    assert "No let-out from Mon 21 Dec on: the run has no roof." in said
    assert [line for line in said if line.startswith("No free range from Mon 21 Dec on.")]


@pytest.mark.parametrize(
    ("last", "days"),
    [
        (None, "from Mon 21 Dec on"),
        (WINTER + 30 * DAY, "Mon 21 Dec to Wed 20 Jan"),
        (WINTER + 13 * DAY, "Mon 21 Dec to Sun 3 Jan"),
        (WINTER + DAY, "Mon 21 Dec to Tue 22 Dec"),
        (WINTER, "today"),
    ],
)
def test_k11_no_end_is_said_that_is_only_the_end_of_the_look_ahead(
    catalogue: Catalogue, last: date | None, days: str
) -> None:
    said = effect(catalogue, Report(kind="order", spell=Spell(first=WINTER, last=last)))
    assert f"No let-out {days}: the run has no roof." in said
    assert f"Housing order: clean boots, feed and water under cover (morning, {days})." in said


def test_k11_what_comes_into_a_walk_that_is_over_is_still_to_do(catalogue: Catalogue) -> None:
    def eggs(days: int, clock: str) -> str:
        now = datetime.fromisoformat(f"{WINTER}T{clock}:00+01:00")
        frost, none = told("frost", -9.0, WINTER, days=days), Records()
        said = effect_of(frost, none, orchard(), catalogue, WINTER, now=now)
        [line] = [one for one in said if one.startswith("Frost: collect the eggs")]
        return line.partition(" (")[2]

    assert eggs(1, "09:00") == "midday, today)."
    assert eggs(1, "15:55") == "still to do today)."
    assert eggs(2, "15:55") == "still to do today, then midday, Tue 22 Dec)."
    assert eggs(2, "09:00") == "midday, Mon 21 Dec to Tue 22 Dec)."


def test_k11_what_began_before_today_is_told_from_today_on(catalogue: Catalogue) -> None:
    for last, days in (
        (None, "from today on"),
        (WINTER + 30 * DAY, "today to Wed 20 Jan"),
        (WINTER + 2 * DAY, "today"),
    ):
        order = Report(kind="order", spell=Spell(first=WINTER, last=last))
        said = effect(catalogue, order, today=WINTER + 2 * DAY)
        assert f"No let-out {days}: the run has no roof." in said


@pytest.mark.parametrize(
    ("report", "said"),
    [
        (
            told("frost", 2.2, WINTER),
            "Nothing changes in the plan: checks for ice begin at 0\u00a0°C.",
        ),
        (
            told("heat", 20.0, WINTER),
            "Nothing changes in the plan: shade and water for heat begin at 27\u00a0°C.",
        ),
        (
            told("storm", None, WINTER - 9 * DAY),
            "Nothing changes in the plan: those days are over.",
        ),
    ],
)
def test_k11_what_changes_nothing_promises_nothing(
    catalogue: Catalogue, report: Report, said: str
) -> None:
    assert effect(catalogue, report) == [said]


def test_k11_what_another_report_has_brought_already_is_not_promised_again(
    catalogue: Catalogue,
) -> None:
    storm = told("storm", None, WINTER)
    alone = "This alone changes nothing in the plan. Also reported:"
    (said,) = effect(catalogue, storm, storm)
    assert said.startswith(f"{alone} storm ")
    worse, milder = told("heat", 36.0, WINTER), told("heat", 26.7, WINTER)
    worse, gone = replace(worse, said_by="Ben"), told("heat", 36.0, WINTER - 9 * DAY)
    (said,) = effect(catalogue, milder, worse, gone)
    assert said.startswith(f"{alone} heat of 36\u00a0°C "), "26.7 °C asks for shade, too, at first"
    assert said.endswith(" (says Ben).")
