"""A12: from memory the same people, pauses and caps as with a journal."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

import pytest

from scheduler.alerts.delivery import Delivery, Key, Outcome, State
from scheduler.alerts.outcome import MOST_COPIES
from scheduler.alerts.step import decode
from scheduler.watch.without_journal import Unwritten
from tests.alerts.orchard import WINTER, at

NOW = at("16:19")
MINUTE = timedelta(minutes=1)


def made(step: str = "now", person: str = "ana", state: State = "pending") -> Delivery:
    key = Key(site_id="orchard", subject_id="walnut", day=WINTER, step=decode(step), opening=0,
              person_id=person, channel="mail")  # fmt: skip
    return Delivery(key=key, due_at=NOW, useful_until=at("+08:00"), state=state)


def nothing(_: Delivery, outcome: Outcome, when: datetime) -> Iterable[Delivery]:
    del outcome, when
    return ()


def tries(kind: str, until: datetime) -> list[datetime]:
    """When it is tried until then, each time with that outcome, looked at every half minute."""
    kept, found, now = Unwritten(), list[datetime](), NOW
    kept.add([made()])
    while now < until:
        for one in kept.take(now):
            found.append(now)
            kept.settle(one, Outcome(kind=kind), now, nothing)  # type: ignore[arg-type] # a kind
        now += MINUTE / 2
    return found


def test_a12_a_wrong_password_is_tried_every_quarter_of_an_hour() -> None:
    assert tries("misconfigured", at("17:00")) == [at("16:19"), at("16:34"), at("16:49")]


def test_a12_what_may_have_arrived_is_tried_four_times_at_most() -> None:
    found = tries("unknown", at("+08:00"))
    assert len(found) == MOST_COPIES
    pauses = [after - before for before, after in pairwise(found)]
    assert pauses == sorted(pauses)


def test_a12_what_fails_is_tried_again_with_growing_pauses() -> None:
    found = tries("transient", at("17:19"))
    assert 8 < len(found) < 20


def test_what_is_known_is_not_added_again_and_nothing_is_taken_twice() -> None:
    kept = Unwritten()
    kept.add([made(), made(state="missed"), made("next", "kim", "missed")])
    assert kept.take(NOW) == (made(),)
    kept.add([made()])
    assert kept.take(NOW) == ()
    assert sorted(row.state for row in kept.rows()) == ["missed", "sending"]


def test_what_a_later_step_takes_the_place_of_is_not_sent() -> None:
    kept = Unwritten()
    kept.add([made()])
    kept.drop([made().key])
    assert kept.take(NOW) == ()


def test_what_is_of_no_use_any_more_is_not_sent() -> None:
    kept = Unwritten()
    kept.add([made()])
    assert kept.take(at("+08:00")) == ()
    assert [row.state for row in kept.rows()] == ["missed"]


def test_what_is_passed_on_goes_out_as_well() -> None:
    kept, second = Unwritten(), replace(made(), key=replace(made().key, person_id="kim"))
    kept.add([made()])
    [one] = kept.take(NOW)
    kept.settle(one, Outcome(kind="bad address"), NOW, lambda *_: (second,))
    assert kept.take(NOW) == (second,)


@pytest.mark.parametrize("came_back", [True, False])
def test_what_comes_back_while_the_journal_is_written_is_written_next(*, came_back: bool) -> None:
    kept = Unwritten()
    kept.add([made(), made("next")])
    first, second = kept.take(NOW)
    kept.settle(first, Outcome(kind="sent"), NOW, nothing)
    written = kept.gone()
    assert [str(one.key.step) for one, _, _ in written] == ["now"]
    if came_back:
        kept.settle(second, Outcome(kind="sent"), NOW, nothing)
    kept.forget(written)
    assert [row.state for row in kept.rows()] == ["sent" if came_back else "sending"]
    assert len(kept.gone()) == came_back
