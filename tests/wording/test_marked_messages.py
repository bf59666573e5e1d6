"""In a made language every message speaks it alone: no word stands in one that has no key."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta, timezone
from typing import Any, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.delivery import ChannelName, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.search_call import SearchCall
from scheduler.alerts.step import SEARCH_KINDS
from scheduler.cares.records import ReportKind
from scheduler.messages import ways_out
from scheduler.messages.all_clear import all_clear
from scheduler.messages.answers import not_taken, of_another_evening, renewed_since, shut_buttons
from scheduler.messages.brief import Brief
from scheduler.messages.call_to_search import call_to_search
from scheduler.messages.emergency import Reported, Urgent
from scheduler.messages.evening import briefly
from scheduler.messages.news import emptied, news
from scheduler.messages.reminders import held, reminder
from scheduler.messages.site_news import SAYINGS
from tests.alerts.orchard import night_of
from tests.messages.test_marks import COUNTS, anything_said
from tests.messages.test_messages import any_evening, states
from tests.wording.marked import strange

# Names, a channel's, what else is given; the program's own name is the same in every language.
KNOWN = ("Walnut", "Hazel", "Ana", "Ben", "Cleo", "Duskfold", "push", "service", "given", "Given")
ONE = {
    bool: True,
    int: 2,
    date: date(2026, 12, 21),
    str: "given",
    "channel": "push",
    "how": "copy",
    Brief: Brief(
        site_name="given",
        lock_up="16:18",
        jobs=9,
        minutes=20,
        worries=("given",),
        walks=("given",) * 9,
        seasons=("given",),
        link="given",
    ),
    Sequence[Urgent]: [Urgent(what="given", when="given", why="given")] * 2,
    Sequence[Reported]: [Reported(words="given", degrees="38 °C", who="Ana", clock="16:18")],
    ReportKind: "heat",
    ChannelName: "push",
    str | None: "given",
    Sequence[str]: ["given", "given"],
    Sequence[tuple[str, Sequence[date]]]: [("Ana", [date(2026, 12, 21)] * 3)],
    tuple[str, str] | None: ("Ana", "Ben"),
    tuple[str, str]: ("Ana", "Ben"),
}


pytestmark = pytest.mark.usefixtures("_in_other_letters")


def strangers(message: Message) -> list[str]:
    """The words of it that no language could bring."""
    labels = [button.label for button in message.buttons]
    text = "\n".join([message.title, message.body, message.stem, *labels])
    return strange(text, KNOWN)


@given(night=anything_said(last_count=COUNTS), is_linked=st.booleans())
def test_of_an_evening_on_which_anything_was_said(night: Night, *, is_linked: bool) -> None:
    night = replace(night, base_url="https://coop.example" if is_linked else "")
    told = [emptied(night.evening.doors, by_link=is_linked), briefly(night)]
    if any(state.news and state.state == "open" for state in night.states.values()):
        told.append(news(night))
    told += [not_taken(night, state) for state in night.states.values()]
    if not night.is_open:
        told.append(all_clear(night))
    if night.is_searched:
        told += [call_to_search(night, SearchCall(which=which)) for which in SEARCH_KINDS]
    for one in told:
        assert strangers(one) == [], one


@given(evening=any_evening())
def test_of_a_door_that_is_open(evening: Any) -> None:
    doors = tuple(replace(door, name="Walnut") for door in evening.doors)
    evening = replace(evening, doors=doors)
    night = night_of(evening, states(evening), timezone(timedelta(hours=1)))
    told = [reminder(night, step, "ana") for step in evening.steps]
    told += [held(night), of_another_evening(evening, taken=True, waits=True)]
    told += [replace(held(night), buttons=shut_buttons(night, "ana"))]
    for one in told:
        assert strangers(one) == [], one


@pytest.mark.parametrize("key", sorted(SAYINGS))
def test_of_the_site(key: str) -> None:
    hints = get_type_hints(SAYINGS[key])
    hints.pop("return")
    values = {name: ONE[name if name in ONE else hint] for name, hint in hints.items()}
    one = SAYINGS[key](**values)
    assert strangers(one) == [], one


def test_the_others() -> None:
    for one in (
        ways_out.test("Ana"),
        ways_out.relayed(Message("given", "given"), "Ana", "push"),
        renewed_since("given"),
        briefly(None),
    ):
        assert strangers(one) == [], one
