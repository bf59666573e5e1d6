from collections.abc import Callable
from datetime import date, time
from itertools import pairwise
from pathlib import Path

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_plan import Plan
from scheduler.cares.months import months, vent_spans, year_from
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.profile.values import Profile
from tests.conftest import declared
from tests.unhurried import unhurried

CONFIG = Path(__file__).parents[2] / "config"
TODAY = date(2026, 11, 25)


def _year(profile: Profile, catalogue: Catalogue) -> Plan:
    first, last = year_from(TODAY)
    return plan(profile, NO_RECORDS, first, last, catalogue)


def _of(name: str) -> Profile:
    return declared((CONFIG / f"{name}.toml").read_text(), TODAY)


def test_the_year_is_twelve_months_from_the_first() -> None:
    assert year_from(TODAY) == (date(2026, 11, 1), date(2027, 10, 31))
    assert year_from(date(2028, 2, 29)) == (date(2028, 2, 1), date(2029, 1, 31))


def test_the_months_hold_every_change_of_the_plan(catalogue: Catalogue) -> None:
    planned = _year(_of("two-coops-three-flocks"), catalogue)
    summed = months(planned)
    assert [month.first.month for month in summed] == [11, 12, *range(1, 11)]
    told = [task for month in summed for task in month.changes]
    assert told == [task for day in planned.days for task in day.seasons]
    assert all(task.day.month == month.first.month for month in summed for task in month.changes)


def test_the_months_of_one_house_hold_nothing_of_another(catalogue: Catalogue) -> None:
    planned = _year(_of("two-coops-three-flocks"), catalogue)
    every = [task for day in planned.days for task in day.seasons]
    mine: list[int] = []
    for coop in planned.profile.coop:
        own = {coop.id, planned.profile.site.id}
        own |= {flock.id for flock in planned.profile.flocks_of(coop.id)}
        summed = months(planned, coop)
        changes = [task for month in summed for task in month.changes]
        assert changes == [task for task in every if task.subject_id in own]
        mine.append(len(changes))
        days = [one for day in planned.days for one in day.coops if one.coop_id == coop.id]
        local = [one.lock_up.instant.astimezone(planned.profile.site.zone) for one in days]
        for month in summed:
            of_it = [at.time() for at in local if at.month == month.first.month]
            assert (month.earliest, month.latest) == (min(of_it), max(of_it))
    assert all(0 < count < len(every) for count in mine)


def test_a_lock_up_after_midnight_is_the_latest_of_its_month(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    profile = declare(
        '[site]\nname = "S"\nlatitude = 60\nlongitude = 6\ntimezone = "Europe/Oslo"\n'
        '[lockup]\nbasis = "civil dusk"\ncap = "none"\n'
        '[[coop]]\nname = "C"\n[[flock]]\nname = "F"\nhens = 6\n'
    )
    may = next(month for month in months(_year(profile, catalogue)) if month.first.month == 5)
    assert may.earliest > time(22)
    assert may.latest < time(2)


@pytest.mark.parametrize("name", ["annotated", "two-coops-three-flocks", "southern-ark"])
@unhurried
def test_vents_stand_at_one_setting_on_every_date(name: str, catalogue: Catalogue) -> None:
    planned = _year(_of(name), catalogue)
    for coop in planned.profile.coop:
        spans = list(vent_spans(planned, coop))
        if not coop.vent:
            assert spans == []
            continue
        assert (spans[0].first, spans[-1].last) == (planned.days[0].day, planned.days[-1].day)
        assert all((b.first - a.last).days == 1 for a, b in pairwise(spans))
        told = {
            task.day: task.title
            for day in planned.days
            for task in day.seasons
            if task.subject_id == coop.id and task.title.startswith("Vents: ")
        }
        assert {span.first for span in spans[1:]} == told.keys()
        for span in spans[1:]:  # what to do against the damp of the season may follow
            assert told[span.first].split(". ")[0] == f"Vents: {span.words}"


def test_the_vents_are_as_open_on_the_last_day_as_a_year_before(catalogue: Catalogue) -> None:
    # The averages are the same each year, so the circle closes.
    planned = _year(_of("annotated"), catalogue)
    first, *_, last = vent_spans(planned, planned.profile.coop[0])
    assert first.words == last.words
