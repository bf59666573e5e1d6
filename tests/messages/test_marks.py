"""Marks stand for words: whoever has read the same is not told again, whoever has not is."""

from dataclasses import replace
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts import marks
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.search_call import SearchCall
from scheduler.alerts.step import SEARCH_KINDS
from scheduler.cares.closing import Closing
from scheduler.messages.all_clear import all_clear
from scheduler.messages.call_to_search import call_to_search
from tests.alerts.orchard import ANA, HAZEL, MINUTE, SITE, WALNUT, at, evenings, night_of, said
from tests.messages.test_messages import states

[EVENING] = evenings(SITE + WALNUT + HAZEL + ANA)
KINDS = ("closed", "closed", "found", "dead", "given-up", "elsewhere", "not-found", "back")
CALLS = [
    SearchCall(which=which, unheard=unheard, again=again)
    for which in SEARCH_KINDS
    for unheard, again in ((False, False), (True, False), (False, True))
]


@st.composite
def anything_said(draw: st.DrawFn, *, last_count: st.SearchStrategy[int | None]) -> Night:
    """Both houses shut, with counts, and what was said of their birds since, in any order."""
    closings: list[Closing] = []
    for coop, flock in (("walnut", 12), ("hazel", 6)):
        now = at("16:30")
        count = draw(last_count)
        first = said(count=count, coop=coop, flock=flock, who=draw(st.sampled_from(["Ana", "Ben"])))
        closings.append(replace(first, some_missing=count is None and draw(st.booleans())))
        for _ in range(draw(st.integers(0, 3))):
            now += draw(st.integers(1, 900)) * MINUTE
            one = said(
                draw(st.sampled_from(KINDS)), count=draw(st.integers(1, 12)), coop=coop, flock=flock
            )
            closings.append(replace(one, at=now, who=draw(st.sampled_from(["Ana", "Cleo"]))))
    return night_of(EVENING, states(EVENING, *closings))


COUNTS = st.sampled_from([None, 4, 6, 11, 12, 13])


def of_houses(night: Night) -> list[str]:
    """What the body says of each house, without who said what since."""
    lines = all_clear(night).body.split("\n")
    return [line for line in lines if line.startswith(("Walnut:", "Hazel:"))]


@given(one=anything_said(last_count=COUNTS), other=anything_said(last_count=COUNTS))
def test_two_all_clears_with_one_mark_have_the_same_words(one: Night, other: Night) -> None:
    if one.is_searched or other.is_searched or one.is_open or other.is_open:
        return
    if marks.of_all_clear(one) == marks.of_all_clear(other):
        assert all_clear(one).title == all_clear(other).title
        assert of_houses(one) == of_houses(other)
    elif "2 houses" not in all_clear(one).title:  # which counts none of theirs
        told = {(all_clear(each).title, all_clear(each).body) for each in (one, other)}
        assert len(told) == 2, "a mark that differs where the words do not tells twice"


@given(
    one=anything_said(last_count=COUNTS),
    other=anything_said(last_count=COUNTS),
    call=st.sampled_from(CALLS),
    is_linked=st.booleans(),
)
def test_two_calls_to_search_have_one_mark_just_where_they_have_the_same_words(
    one: Night, other: Night, call: SearchCall, *, is_linked: bool
) -> None:
    if not (one.is_searched and other.is_searched):
        return
    base_url = "https://coop.example" if is_linked else ""
    one, other = replace(one, base_url=base_url), replace(other, base_url=base_url)
    told = {(m.title, m.body) for m in (call_to_search(each, call) for each in (one, other))}
    assert (len(told) == 1) == (marks.of_search(one, call) == marks.of_search(other, call))


def test_the_mark_of_an_all_clear_does_not_hang_on_who_said_the_last_word() -> None:
    shut, found = said(count=11), said("found", "16:40", 1, who="Ana")
    again = replace(found, who="Ben", at=found.at + timedelta(minutes=9))
    hazel = said(count=6, coop="hazel", flock=6)
    one, other = (night_of(EVENING, states(EVENING, shut, hazel, last)) for last in (found, again))
    assert marks.of_all_clear(one) == marks.of_all_clear(other)
    assert all_clear(one).body != all_clear(other).body
