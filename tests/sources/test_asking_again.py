"""When a weather service is asked again: by an injected clock, never sooner than it wants."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.sources.asking_again import NEVER_ASKED, after
from scheduler.sources.forecast_port import Answer, Fresh, RefusalKind, Refused, Unchanged, refused
from tests.sources.forecast_rigs import NOW

HOUR = timedelta(hours=1)
FRESH = Fresh(body=b"", expires=NOW + HOUR)


def test_a_new_one_may_be_asked_at_once() -> None:
    assert NEVER_ASKED.may_ask(NOW)
    assert not NEVER_ASKED.is_second_try(NOW)


@pytest.mark.parametrize("answer", [FRESH, Unchanged(expires=NOW + HOUR)])
def test_it_is_not_asked_before_expires(answer: Answer) -> None:
    standing = after(NEVER_ASKED, answer, NOW, 0.5)
    assert not standing.may_ask(NOW + timedelta(minutes=59))
    assert standing.may_ask(NOW + HOUR)


def test_403_is_asked_once_and_not_hourly() -> None:
    standing = after(NEVER_ASKED, refused("not let in", until_restart=True), NOW, 0.5)
    assert not any(standing.may_ask(NOW + hours * HOUR) for hours in range(24 * 60))
    assert not standing.is_second_try(NOW + HOUR)


def test_429_waits_as_long_as_it_is_told() -> None:
    standing = after(NEVER_ASKED, refused("throttled", 7200.0), NOW, 0.5)
    assert not standing.may_ask(NOW + timedelta(minutes=119))
    assert standing.may_ask(NOW + 2 * HOUR)


def test_429_without_a_time_waits_an_hour_doubling_to_a_day() -> None:
    standing, waited = NEVER_ASKED, []
    for _ in range(8):
        standing = after(standing, refused("throttled"), NOW, 0.5)
        assert standing.not_before is not None
        waited.append((standing.not_before - NOW) / HOUR)
    assert waited == [1, 2, 4, 8, 16, 24, 24, 24]
    assert after(standing, FRESH, NOW, 0.5).throttled == 0


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("kind", ["broken", "no connection"])
def test_5xx_is_tried_once_more_within_5_to_15_minutes_then_next_round(
    share: float, kind: RefusalKind
) -> None:
    fault = Refused(kind=kind, reason="it is away")
    first = after(NEVER_ASKED, fault, NOW, share)
    assert not first.is_second_try(NOW + timedelta(minutes=4, seconds=59))
    assert first.is_second_try(NOW + timedelta(minutes=15))
    second = after(first, fault, NOW + timedelta(minutes=15), share)
    assert not second.is_second_try(NOW + 100 * HOUR)
    assert second.may_ask(NOW + HOUR)


def test_in_the_next_round_a_broken_one_gets_its_second_try_again() -> None:
    first = after(NEVER_ASKED, refused("broken"), NOW, 0.0)
    second = after(first, refused("broken"), NOW + timedelta(minutes=5), 0.0)
    third = after(second, refused("broken"), NOW + 3 * HOUR, 0.0)
    assert third.is_second_try(NOW + 3 * HOUR + timedelta(minutes=5))


def test_a_second_try_waits_at_least_as_long_as_it_is_told() -> None:
    standing = after(NEVER_ASKED, refused("broken", 3600.0), NOW, 0.0)
    assert not standing.is_second_try(NOW + timedelta(minutes=30))
    assert standing.is_second_try(NOW + HOUR)


def test_outside_the_area_is_asked_again_after_a_day() -> None:
    standing = after(NEVER_ASKED, refused("outside", 86_400.0), NOW, 0.5)
    assert not standing.may_ask(NOW + 23 * HOUR)
    assert standing.may_ask(NOW + 24 * HOUR)


answers = st.sampled_from(
    [
        FRESH,
        refused("broken"),
        refused("throttled", 60.0),
        refused("throttled"),
        refused("garbled"),
        refused("moved"),
    ]
)


@given(st.lists(answers, max_size=40), st.floats(0, 1))
def test_whatever_comes_it_is_never_asked_twice_within_five_minutes(
    told: list[Answer], share: float
) -> None:
    standing, asked = NEVER_ASKED, list[int]()
    for minute in range(24 * 60):
        now = NOW + timedelta(minutes=minute)
        a_round = minute % 180 == 7 and standing.may_ask(now)
        if told and (a_round or standing.is_second_try(now)):
            standing = after(standing, told.pop(), now, share)
            asked.append(minute)
    assert all(later - earlier >= 5 for earlier, later in pairwise(asked))
    assert len(asked) <= 2 * 24 * 60 / 180


def test_a_service_that_will_end_is_known_until_it_says_so_no_more() -> None:
    ending = after(NEVER_ASKED, replace(FRESH, deprecated=True), NOW, 0.5)
    assert ending.ending == "it says that it will stop answering this version of Duskfold"
    assert ending.refusal is None
    for answer in (Unchanged(), refused("broken"), refused("throttled")):
        assert after(ending, answer, NOW, 0.5).is_ending
        assert not after(NEVER_ASKED, answer, NOW, 0.5).is_ending
    assert after(ending, FRESH, NOW, 0.5).ending == ""
