"""T2, T3: nothing is asked for that a bird of that age cannot do, and no feed that harms it.

Layer feed from 18 weeks: J. C. Hermes, PNW 477; its calcium harms younger birds (textbook, from
memory). Six weeks of heat and twelve without ranging are common practice, no source.
"""

import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import get_args

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_lines import day_lines
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.free_range import FreeRange
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.cares.usual_day import usual_day
from scheduler.feeds.planned_events import events
from scheduler.husbandry.figures import figures
from scheduler.husbandry.growth import feed_for, feed_kind
from scheduler.profile.flock import RaisedBy
from scheduler.profile.values import Profile

Declare = Callable[[str], Profile]
DAY = timedelta(days=1)
TODAY = date(2025, 7, 5)
WEEKS = (1 / 7, *range(1, 9), 9, 11, 12, 13, 15, 17, 18, 19, 25)
PLACE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
[rounds]
keen = true
lines = 20
[[coop]]
name = "Pen"
type = "ark"
[coop.run]
netting = "electric"
"""
OUT_OF_REACH = (
    r"perch|let out|nest|\bark\b|free range|ranging|grain|dust bath|moult|bird in hand|volts?\b"
)


def flock(weeks: float, birds: str = "young = 6", more: str = "", name: str = "Few") -> str:
    hatched = TODAY - timedelta(days=round(weeks * 7))
    return f'[[flock]]\nname = "{name}"\n{birds}\nhatched = {hatched}\n{more}\n'


def raised(by: str) -> str:
    if by == "bought":
        return f'raised_by = "bought"\narrived = {TODAY - DAY}'
    return f'raised_by = "{by}"' if by else ""


def day_of(profile: Profile, catalogue: Catalogue, day: date = TODAY) -> DayPlan:
    return plan(profile, NO_RECORDS, day, day, catalogue).days[0]


def everything_said(profile: Profile, day: DayPlan) -> str:
    """All jobs, times, events and figures of the day, as one text."""
    said = [text for task in day.tasks for text in (task.title, task.why)]
    said += [f"{one.label} {one.time} {one.reason}" for one in day_lines(profile, day.coops[0])]
    window = plan(profile, NO_RECORDS, day.day, day.day, ())
    said += [f"{event.title} {event.description}" for event in events(window)]
    at = usual_day(profile, day.day)
    said += [f"{one.label} {one.note}" for one in figures(profile, profile.coop[0], at)]
    return "\n".join(said)


@pytest.mark.parametrize("birds", ["young = 6", "hens = 6", "hens = 5\nroosters = 1"])
@pytest.mark.parametrize("by", ["", "brooder", "bought"])
@pytest.mark.parametrize("hatched", [date(2025, 1, 10), date(2025, 7, 4)])
def test_t3_chicks_on_heat_are_not_let_out_nor_perched_nor_worked_as_hens(
    declare: Declare, catalogue: Catalogue, hatched: date, by: str, birds: str
) -> None:
    came = f'raised_by = "bought"\narrived = {hatched}' if by == "bought" else raised(by)
    text = f'[[flock]]\nname = "Few"\n{birds}\nhatched = {hatched}\n{came}\n'
    profile = declare(PLACE + text)
    for day in plan(profile, NO_RECORDS, hatched, hatched + 41 * DAY, catalogue).days:
        (coop,) = day.coops
        assert coop.kept_in == "on heat"
        assert coop.free_range == "on heat"
        assert feed_kind(profile.flock, day.day) == "chick starter"
        said = everything_said(profile, day).lower()
        said = re.sub(r"let out not today[^\n]*|no ranging[^\n.]*|free range none", "", said)
        assert not (found := re.search(OUT_OF_REACH, said)), (day.day, found)
        titles = " ".join(task.title for task in day.tasks).lower()
        assert not (found := re.search(r"shade|comb|egg|layer|\bice\b", titles)), (day.day, found)
        assert {"water", "feed"} <= {task.care_id for task in day.tasks}


@pytest.mark.parametrize("by", ["", "brooder", "bought"])
def test_t3_chicks_have_every_step_of_the_brooder_whoever_raised_them(
    declare: Declare, catalogue: Catalogue, by: str
) -> None:
    profile = declare(PLACE + flock(1 / 7, more=raised(by)))
    planned = plan(profile, NO_RECORDS, TODAY - DAY, TODAY + 45 * DAY, catalogue)
    due = {task.care_id for day in planned.days for task in day.tasks}
    assert {f"brooder-heat-{week}" for week in range(6)} <= due
    assert {"chick-look", "chick-space-1", "chick-space-5", "off-heat", "grower-feed"} <= due
    assert "hen-chicks-start" not in due


def test_t3_chicks_bought_at_ten_days_begin_with_the_heat_of_their_age(
    declare: Declare, catalogue: Catalogue
) -> None:
    more = f'raised_by = "bought"\narrived = {TODAY}'
    profile = declare(PLACE + flock(10 / 7, more=more))
    assert not [
        t for t in day_of(profile, catalogue, TODAY - 3 * DAY).tasks if t.subject == "flock"
    ]
    care_ids = {task.care_id for task in day_of(profile, catalogue).tasks}
    assert {"brooder-heat-1", "chick-space-1", "quarantine-start", "quarantine-day"} <= care_ids
    assert not care_ids & {"brooder-heat-0", "brooder-heat-2", "settle-in"}
    (warmth,) = (
        one
        for one in figures(profile, profile.coop[0], usual_day(profile, TODAY))
        if one.key == "brooder"
    )
    # Colorado State Ext. 2.502: 88 to 90 °F in the second week.
    assert warmth.value == pytest.approx((88 - 32) / 1.8)


@pytest.mark.parametrize("weeks", WEEKS)
@pytest.mark.parametrize("beside", ["", "hens = 6", "hens = 6\nroosters = 1"])
@pytest.mark.parametrize("by", [*get_args(RaisedBy), ""])
def test_t2_no_day_gives_layer_feed_to_a_house_with_a_bird_under_eighteen_weeks(
    declare: Declare, catalogue: Catalogue, weeks: float, beside: str, by: str
) -> None:
    old = f'[[flock]]\nname = "Old"\n{beside}\n' if beside else ""
    profile = declare(PLACE + old + flock(weeks, more=raised(by)))
    titles = " ".join(task.title.lower() for task in day_of(profile, catalogue).tasks)
    fed = feed_for(profile.flock, TODAY)
    if weeks < 18 or "roosters" in beside:
        assert fed == ("starter" if weeks < 6 else "grower")
        assert "layer feed" not in titles
        if beside:
            assert "oyster shell apart for hens" in feed_kind(profile.flock, TODAY)
    else:
        assert fed == "layer"
        assert ("layer feed" in titles) is (weeks == 18)


def test_t2_old_hens_beside_nine_weeks_old_are_not_due_layer_feed_but_shell_apart(
    declare: Declare, catalogue: Catalogue
) -> None:
    text = PLACE + flock(18, "hens = 6", name="Old") + flock(9, more='raised_by = "hen"')
    care_ids = {task.care_id for task in day_of(declare(text), catalogue).tasks}
    assert "layer-feed" not in care_ids
    assert "shell-apart" in care_ids
    # The day on which the youngest is of an age brings the feed for all.
    grown = day_of(declare(text), catalogue, TODAY + 9 * 7 * DAY)
    assert "layer-feed" in {task.care_id for task in grown.tasks}


@pytest.mark.parametrize(("weeks", "feed"), [(3, "chick starter"), (9, "grower")])
def test_t2_young_that_move_in_with_layers_change_the_feed_that_day(
    declare: Declare, catalogue: Catalogue, weeks: int, feed: str
) -> None:
    more = f'arrived = {TODAY}\nraised_by = "hen"'
    text = PLACE + '[[flock]]\nname = "Old"\nhens = 6\n' + flock(weeks, more=more)
    titles = [task.title for task in day_of(declare(text), catalogue).tasks]
    assert f"Same feed for all with Few: {feed}, shell apart" in titles


@pytest.mark.parametrize("weeks", WEEKS)
@pytest.mark.parametrize("by", [*get_args(RaisedBy), ""])
def test_t3_at_every_age_times_and_jobs_fit_it(
    declare: Declare, catalogue: Catalogue, weeks: float, by: str
) -> None:
    profile = declare(PLACE + flock(weeks, more=raised(by)))
    day = day_of(profile, catalogue)
    (coop,) = day.coops
    care_ids = {task.care_id for task in day.tasks}
    under_hen = by == "hen"
    assert (coop.kept_in is None) is (weeks >= 6 or under_hen)
    if weeks < 12 or by == "bought":
        assert not isinstance(coop.free_range, FreeRange)
    if weeks < 6:
        reasons = " ".join(line.reason for line in day_lines(profile, coop))
        assert "perch" not in reasons
    if weeks < 18:
        assert not care_ids & {
            "egg-collection",
            "egg-collection-morning",
            "nest-glance",
            "nest-refresh",
            "egg-log",
        }
        assert not care_ids & {"shell-and-grit", "nest-change"}
    else:
        assert "egg-collection" in care_ids


def test_t3_under_a_housing_order_chicks_stay_where_it_is_warm(
    declare: Declare, catalogue: Catalogue
) -> None:
    order = Records(reports=(Report(kind="order", spell=Spell(first=TODAY)),))
    profile = declare(PLACE.replace("[coop.run]", '[coop.run]\ntype = "secure"') + flock(3))
    day = plan(profile, order, TODAY, TODAY, catalogue).days[0]
    assert day.coops[0].kept_in == "on heat"
    lines = {line.key: line for line in day_lines(profile, day.coops[0])}
    assert lines["let-out"].time == "not today"
    assert "covered run" not in lines["range"].reason


@pytest.mark.parametrize(
    ("birds", "kept_in", "ranges"),
    [
        ("young = 8\n", "age unknown", False),
        ("hens = 3\nyoung = 8\n", None, False),
        ('young = 8\nage = "pullet"\n', None, True),
        ("hens = 3\n", None, True),
    ],
)
def test_young_of_whom_nobody_has_said_how_old_they_are_stay_in(
    declare: Declare, catalogue: Catalogue, birds: str, kept_in: str | None, *, ranges: bool
) -> None:
    place = PLACE.replace('type = "ark"', 'type = "ark"\nranging = "all day"')
    profile = declare(f'{place}[[flock]]\nname = "Few"\n{birds}')
    [coop] = plan(profile, NO_RECORDS, TODAY, TODAY, catalogue).days[0].coops
    assert coop.kept_in == kept_in
    assert isinstance(coop.free_range, FreeRange) is ranges
    lines = {line.key: line for line in day_lines(profile, coop)}
    why = (
        "They stay in: nobody has said how old the young ones are. "
        "Say when they hatched, or their age."
    )
    assert (lines["range"].reason == why) is not ranges
    assert (lines["let-out"].time == "not today") is (kept_in is not None)
