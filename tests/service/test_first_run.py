"""Whatever is typed in a first run is refused beside a field, or makes a profile that loads."""

from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.service.first_run.read_answers import first_wrong, household_of, wrong_in
from scheduler.service.first_run.so_far import SoFar
from scheduler.service.first_run.steps import FIELDS, LOOK_OVER, kind_and_number, steps_of
from scheduler.service.household.exposure import with_topic
from tests.web.first_house import STEPS

NOON = datetime(2026, 12, 21, 12, tzinfo=UTC)
LONDON = {"typed": "51.5, -0.1", "latitude": "51.5000", "longitude": "-0.1000"}
USUAL = SoFar(steps={**STEPS, "place": LONDON})
TYPED = st.one_of(
    st.text(max_size=100),
    st.sampled_from(["", "Ana", "ana", "a, b, c", "12", "0", "https://push.example.net", "none"]),
    st.sampled_from(["push", "mail", "later", "anywhere", "all day", "2026-04-01", '"""', "\\"]),
)


@st.composite
def answers(draw: st.DrawFn) -> SoFar:
    """The usual answers, but for some steps in which anything was typed."""
    so_far = USUAL
    for step in draw(st.sets(st.sampled_from([*STEPS, "house-2", "mail"]), max_size=4)):
        if step != "place":
            names = FIELDS[kind_and_number(step)[0]]
            typed = {name: draw(TYPED) for name in names}
            if step.startswith("reach"):
                typed["push"] = with_topic(typed["server"])
            so_far = so_far.answered(step, typed)
    return so_far


@given(answers())
def test_what_nothing_is_said_of_makes_a_household(so_far: SoFar) -> None:
    wrong = {step: wrong_in(so_far, step, NOON) for step in steps_of(so_far)}
    assert all(text for each in wrong.values() for text in each.values())
    assert (household_of(so_far, NOON) is None) <= any(wrong.values())
    if first_wrong(so_far, NOON) is None:
        assert household_of(so_far, NOON)


@given(st.text(min_size=1, max_size=80), st.sampled_from(["you", "others"]))
def test_a_name_is_kept_as_it_was_typed_or_refused_where_it_stands(name: str, field: str) -> None:
    so_far = USUAL.answered("people", {"you": "Ana", "others": "", field: name})
    household = household_of(so_far, NOON)
    if wrong_in(so_far, "people", NOON) or household is None:
        assert wrong_in(so_far, "people", NOON)
    else:
        assert household.profile.person


def test_steps_follow_from_what_was_answered() -> None:
    alone = USUAL.answered("people", {"you": "Ana", "others": ""})
    assert "duty" not in steps_of(alone)
    mailed = alone.answered("reach-1", {"how": "mail", "mail": "ana@example.org"})
    assert steps_of(mailed)[-2:] == ("mail", LOOK_OVER)
    assert steps_of(USUAL)[-2:] == ("duty", LOOK_OVER)
    assert set(STEPS["duty"]) <= set(WEEKDAYS)
