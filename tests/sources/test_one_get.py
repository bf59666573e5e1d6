"""Until when an answer stands, whatever clock is wrong."""

from datetime import timedelta
from email.message import Message

import pytest

from scheduler.sources.one_get import expires
from tests.sources.forecast_rigs import NOW

DATE = "Sat, 28 Nov 2026 14:12:00 GMT"
IN_30 = "Sat, 28 Nov 2026 14:42:00 GMT"


def headers(**told: str) -> Message:
    message = Message()
    for name, value in told.items():
        message[name.replace("_", "-")] = value
    return message


@pytest.mark.parametrize("days", [-1, 0, 1])
def test_a_clock_wrong_by_a_day_still_asks_again_in_half_an_hour(days: int) -> None:
    now = NOW + timedelta(days=days)
    assert expires(headers(Date=DATE, Expires=IN_30), now) == now + timedelta(minutes=30)


@pytest.mark.parametrize(
    ("told", "minutes"),
    [
        ({"Expires": IN_30}, 30),
        ({"Cache_Control": "public, max-age=600, s-maxage=3600", "Expires": IN_30}, 10),
        ({"Cache_Control": "max-age=99999999999999"}, 24 * 60),
        ({"Cache_Control": "max-age=soon", "Expires": IN_30}, 30),
        ({"Expires": "Sat, 28 Nov 2026 10:00:00 GMT"}, 0),
        ({"Expires": "Sat, 28 Nov 2099 10:00:00 GMT"}, 24 * 60),
    ],
)
def test_it_stands_for_a_day_at_most_and_never_backwards(
    told: dict[str, str], minutes: int
) -> None:
    assert expires(headers(**told), NOW) == NOW + timedelta(minutes=minutes)


@pytest.mark.parametrize("told", [{}, {"Expires": "0"}, {"Expires": "tomorrow"}])
def test_without_a_promise_there_is_none(told: dict[str, str]) -> None:
    assert expires(headers(**told), NOW) is None
