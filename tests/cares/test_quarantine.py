"""Birds that were bought: thirty days apart, tended last, without ranging or mixing."""

from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise

import pytest

from scheduler.cares import reasons
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_lines import day_lines
from scheduler.cares.plan import DayPlan, Plan, plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.feeds.event import job_events, lockup_events
from scheduler.profile.values import Profile

Declare = Callable[[str], Profile]
DAY = timedelta(days=1)
CAME = date(2025, 4, 1)
LAST = CAME + 29 * DAY
PLACE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
"""
PEN = '[[coop]]\nname = "Pen"\n'
PULLETS = """
[[flock]]
name = "Pullets"
coop = "pen"
hens = 4
arrived = 2025-04-01
hatched = 2025-01-14
raised_by = "bought"
"""
TEXT = PLACE + PEN + PULLETS


def days(profile: Profile, catalogue: Catalogue, first: date, last: date) -> Plan:
    return plan(profile, NO_RECORDS, first, last, catalogue)


def dates_of(planned: Plan, care_id: str) -> list[date]:
    return [day.day for day in planned.days for task in day.tasks if task.care_id == care_id]


def pen(day: DayPlan) -> object:
    return next(coop.free_range for coop in day.coops if coop.coop_id == "pen")


@pytest.mark.parametrize("ranging", ["supervised", "all day", "run only"])
def test_k4_the_day_of_the_quarantine_stands_with_the_house_and_in_the_round(
    declare: Declare, catalogue: Catalogue, ranging: str
) -> None:
    profile = declare(PLACE + PEN + f'ranging = "{ranging}"\n' + PULLETS)
    planned = days(profile, catalogue, CAME, LAST)
    for number, day in enumerate(planned.days, 1):
        coop = next(one for one in day.coops if one.coop_id == "pen")
        line = day_lines(profile, coop)[0]
        assert (line.key, line.time) == ("quarantine", f"day {number} of 30")
        assert line.reason == (
            "Tend Pullets last, in other boots. No ranging, no mixing before Thu 1 May."
        )
        morning = day.rounds[0]
        assert morning.lines[-1].text == f"Quarantine, day {number} of 30: tend Pullets last"
        assert f"day {number} of 30" in next(
            event.description for event in job_events(profile, day) if "Morning" in event.title
        )
        assert "quarantine" not in {line.key for line in day_lines(profile, day.coops[0])}


def test_k4_there_is_no_ranging_no_mixing_and_no_outing_in_quarantine(
    declare: Declare, catalogue: Catalogue
) -> None:
    # They come of age to see the others, and to be put with them, within the thirty days.
    planned = days(declare(TEXT), catalogue, CAME, LAST + 10 * DAY)
    in_it, after = planned.days[:30], planned.days[30:]
    assert {pen(day) for day in in_it} == {"quarantine"}
    assert "quarantine" not in {pen(day) for day in after}
    for care_id in ("mixing-see", "mixing-together", "mixed-feed", "settle-over"):
        assert not [day for day in dates_of(planned, care_id) if day <= LAST], care_id
    assert dates_of(planned, "settle-over") == [LAST + DAY]
    assert dates_of(planned, "quarantine-over") == [LAST + DAY]


@pytest.mark.parametrize("ranging", ["supervised", "run only"])
def test_k4_a_first_outing_is_never_on_a_day_without_ranging(
    declare: Declare, catalogue: Catalogue, ranging: str
) -> None:
    own = PULLETS.replace('raised_by = "bought"\n', "").replace("2025-01-14", "2024-01-14")
    profile = declare(PLACE + PEN + f'ranging = "{ranging}"\n' + own)
    order = Report(kind="order", spell=Spell(first=CAME + 10 * DAY, last=CAME + 20 * DAY))
    records = Records(reports=(order,))
    planned = plan(profile, records, CAME, CAME + 60 * DAY, catalogue)
    expected = [CAME + 21 * DAY] if ranging == "supervised" else []
    assert dates_of(planned, "settle-over") == expected


def test_k4_no_outing_ends_a_quarantine_in_which_signs_to_be_reported_were_noted(
    declare: Declare, catalogue: Catalogue
) -> None:
    noted = Report(
        kind="illness",
        spell=Spell(first=CAME + 9 * DAY, last=LAST + 4 * DAY),
        house_id="pen",
        signs=("breathing",),
    )
    told = Records(reports=(noted,))
    planned = plan(declare(TEXT), told, CAME, LAST + 10 * DAY, catalogue)
    assert {pen(day) for day in planned.days[30:34]} == {"ill birds"}
    assert {day.coops[0].free_range for day in planned.days[9:34]} == {"ill birds"}
    assert dates_of(planned, "settle-over") == [LAST + 5 * DAY]


def test_k4_for_a_week_after_it_they_do_not_range_with_the_others(
    declare: Declare, catalogue: Catalogue
) -> None:
    # Its end says so: "Then wire between for a week before they mix".
    apart = "Not out with the other birds before Thu 8 May: they see each other through wire first."

    def said(text: str, house: str, day: date) -> bool:
        profile = declare(text)
        [one] = days(profile, catalogue, day, day).days
        coop = next(coop for coop in one.coops if coop.coop_id == house)
        told = reasons.why_range(profile, coop).endswith(apart)
        events = [event for event in lockup_events(profile, one) if house in event.houses]
        assert told is any(apart in event.description for event in events)
        return told

    week = [LAST + n * DAY for n in range(9)]
    assert [said(TEXT, "pen", day) for day in week] == [False, *[True] * 7, False]
    assert not any(said(TEXT, "walnut", day) for day in week)
    joined = PLACE + PULLETS.replace('coop = "pen"', 'coop = "walnut"')
    assert not any(said(joined, "walnut", day) for day in week)
    kept_in = TEXT.replace('name = "Walnut"', 'name = "Walnut"\nranging = "run only"')
    assert not any(said(kept_in, "pen", day) for day in week)


def test_k4_they_are_let_out_after_the_others_at_a_time_of_their_own(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = declare(TEXT)
    planned = days(profile, catalogue, CAME - DAY, LAST + DAY)
    for day in planned.days[1:31]:
        old, new = day.coops
        assert new.let_out.basis == "quarantine"
        assert new.let_out.instant - old.let_out.instant == timedelta(minutes=20)
        assert "tended last" in reasons.why_let_out(profile, new)
        titles = [event.title for event in lockup_events(profile, day)]
        assert len([title for title in titles if title.startswith("Let out")]) == 2
    over = planned.days[31]
    assert over.coops[0].let_out == over.coops[1].let_out
    for before, after in pairwise(planned.days):
        for one, following in zip(before.coops, after.coops, strict=True):
            assert one.let_out.instant < one.lock_up.instant < following.let_out.instant


def test_k4_they_wait_for_birds_that_an_order_keeps_in_and_for_no_empty_house(
    declare: Declare, catalogue: Catalogue
) -> None:
    roofed = PEN + '[coop.run]\ntype = "secure"\n'
    order = Records(reports=(Report(kind="order", spell=Spell(first=CAME)),))
    day = plan(declare(PLACE + roofed + PULLETS), order, CAME, CAME, catalogue).days[0]
    kept, new = day.coops
    assert (kept.kept_in, new.kept_in) == ("housing order", None)
    assert new.let_out.instant == day.rounds[0].start + timedelta(minutes=20)
    said = reasons.why_let_out(declare(PLACE + roofed + PULLETS), new)
    assert said == (
        "After the other birds have been seen to, whether or not they are let out: those in "
        "quarantine are tended last."
    )
    later = PLACE.replace("hens = 12", "hens = 12\narrived = 2025-04-20")
    empty, alone = days(declare(later + roofed + PULLETS), catalogue, CAME, CAME).days[0].coops
    assert alone.let_out.basis != "quarantine"
    assert alone.let_out.instant < empty.let_out.instant


def test_k4_birds_that_are_all_in_quarantine_have_nobody_to_wait_for(
    declare: Declare, catalogue: Catalogue
) -> None:
    alone = declare(
        PLACE.replace("hens = 12", 'hens = 12\narrived = 2025-04-01\nraised_by = "bought"')
    )
    (day,) = days(alone, catalogue, CAME, CAME).days
    assert day.coops[0].let_out.basis != "quarantine"


# K7


@pytest.mark.parametrize("ranging", ["supervised", "run only"])
def test_k7_under_an_order_birds_without_a_roofed_run_are_not_let_out(
    declare: Declare, catalogue: Catalogue, ranging: str
) -> None:
    order = Records(reports=(Report(kind="order", spell=Spell(first=CAME)),))
    text = PLACE.replace('name = "Walnut"', f'name = "Walnut"\nranging = "{ranging}"')
    for run, out in (("", False), ("open", False), ("secure", True)):
        roof = f'[coop.run]\ntype = "{run}"\n' if run else ""
        profile = declare(text.replace("[[flock]]", roof + "[[flock]]"))
        day = plan(profile, order, CAME, CAME, catalogue).days[0]
        lines = {line.key: line for line in day_lines(profile, day.coops[0])}
        let_outs = [e for e in lockup_events(profile, day) if e.title.startswith("Let out")]
        assert (lines["let-out"].time == "not today") is not out
        assert bool(let_outs) is out
        assert lines["range"].reason == (
            "They stay in the covered run: a housing order is in force."
            if out
            else "They stay in the house: a housing order is in force."
        )


def test_birds_that_are_let_out_into_their_run_are_not_to_be_kept_in_by_a_job(
    declare: Declare, catalogue: Catalogue
) -> None:
    [day] = days(declare(TEXT), catalogue, CAME, CAME).days
    coop = next(one for one in day.coops if one.coop_id == "pen")
    assert coop.kept_in is None
    [settled] = [task for task in day.tasks if task.care_id == "settle-in"]
    assert settled.title == "Settle Pullets: lift them onto the perch after dark"
    assert settled.why.startswith("A week of the house and its run alone, without ranging,")
