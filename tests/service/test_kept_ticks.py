"""What a ticked job is called once its house, or its flock, has left the profile."""

from datetime import date

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.done_and_waiting import TaskKey
from scheduler.service.household.open_profile import Household
from scheduler.service.jobs.kept_ticks import title_of
from tests.alerts.orchard import HAZEL, SITE, WALNUT
from tests.conftest import declared


def test_a_tick_is_told_with_its_house_even_when_that_is_gone(catalogue: Catalogue) -> None:
    def told(text: str, care_id: str, subject_id: str) -> str:
        household = Household(profile=declared(SITE + text), catalogue=catalogue)
        return title_of(household, TaskKey(care_id, subject_id, date(2027, 10, 19)))

    assert told(WALNUT, "egg-collection", "walnut") == "Collect the eggs"
    assert told(WALNUT + HAZEL, "egg-collection", "walnut") == "Collect the eggs (Walnut)"
    assert told(WALNUT, "egg-collection", "orchard-pen") == "Collect the eggs (Orchard Pen)"
    assert told(WALNUT, "let-out", "orchard-pen") == "Let out (Orchard Pen)"
    assert told(WALNUT, "clock-change", "orchard") == (
        "Clocks go forward or back tonight: door clock, lamp timer"
    )
    moved = "Moving Pullets in tonight? Change the profile before noon"
    assert told(WALNUT, "mixing-move", "pullets") == moved
