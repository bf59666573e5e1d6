"""Phones of people's own in an evening: who counts as told, and what goes out beside them."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.crew import Contact, Way, crew_of
from scheduler.alerts.delivery import QUIET, ChannelName
from scheduler.alerts.not_shown import SHOWN_WITHIN
from scheduler.alerts.phone import Phone, Rang, Subscription
from scheduler.alerts.pursue import next_instant
from scheduler.profile.ringing_phone import RingingPhone
from tests.alerts.orchard import (
    ANA,
    BEN,
    BOTH,
    MINUTE,
    SITE,
    TEXT,
    WALNUT,
    Ledger,
    Written,
    almanac,
    at,
    household,
    said,
)

A, B, C = "a" * 16, "b" * 16, "c" * 16
EVERY: frozenset[ChannelName] = frozenset({"phone", "push", "mail"})
ONE = SITE + WALNUT + ANA + BEN


def rings(
    phone_id: str, who: str = "ana", *, proven: bool = True, shows: bool = False
) -> RingingPhone:
    return RingingPhone(id=phone_id, person_id=who, is_proven=proven, says_shown=shows)


def with_phones(*phones: RingingPhone, text: str = ONE) -> Ledger:
    days = almanac(text, EVERY)
    known = days.household.with_phones(phones, at("12:00").date())
    days = replace(days, household=known)
    (evening,) = days.planned(at("12:00").date(), ())
    return Ledger(evening, days.noon(at("12:00").date()))


def handed(kept: Ledger, when: datetime, shown: datetime | None = None) -> None:
    """The phones' push services took everything that went out; the phones showed it, or not."""
    kept.rows = [
        replace(row, handed_at=row.handed_at or when, shown_at=row.shown_at or shown)
        if row.key.channel == "phone" and row.state == "sent"
        else row
        for row in kept.rows
    ]


def contact(*phones: RingingPhone, text: str = ONE) -> Contact:
    return crew_of(household(text).profile.with_phones(phones), EVERY, None)[0]


def test_a_phone_that_is_known_to_ring_comes_before_everything_else() -> None:
    assert contact(rings(A)).first_ways == (("phone", A),)
    assert contact(rings(A)).addresses[0] == ("phone", A)


def test_one_that_is_not_known_to_ring_rings_together_with_the_next_way() -> None:
    push: Way = ("push", "https://push.example.org/ana")
    assert contact(rings(A, proven=False)).first_ways == (("phone", A), push)
    both = contact(rings(A, proven=False), rings(B))
    assert both.first_ways == (("phone", B), ("phone", A))
    alone = SITE + WALNUT + '[[person]]\nname = "Ana"\n'
    assert contact(rings(A, proven=False), text=alone).first_ways == (("phone", A),)


def test_without_the_channel_there_is_no_phone() -> None:
    profile = household(ONE).profile.with_phones((rings(A),))
    assert not crew_of(profile, BOTH, None)[0].phones


def test_each_step_rings_every_phone_and_from_again_on_every_way() -> None:
    kept = with_phones(rings(A), rings(B))
    assert kept.timetable("12:00", "16:30") == [
        "15:49 heads-up ana phone",
        "15:49 heads-up ana phone",
        "16:19 now ana phone",
        "16:19 now ana phone",
        "16:27 again ana phone",
        "16:27 again ana phone",
        "16:27 again ana push",
        "16:27 again ana mail",
    ]


def test_what_a_phone_that_tells_has_not_shown_in_90_seconds_takes_the_next_way() -> None:
    kept = with_phones(rings(A, shows=True))
    kept.timetable("12:00", "16:18")
    handed(kept, at("15:49"))
    assert kept.sent(at("16:19")) == ["now ana phone"]
    handed(kept, at("16:19"))
    late = at("16:19") + SHOWN_WITHIN
    assert next_instant(kept.night(), at("16:19")) == late
    assert kept.sent(late - timedelta(seconds=1)) == []
    assert kept.sent(late) == ["now ana push"]
    assert kept.sent(late + MINUTE) == []


def test_what_cannot_be_handed_over_for_as_long_takes_the_next_way() -> None:
    kept = with_phones(rings(A))
    kept.timetable("12:00", "16:18")
    kept.tick(at("16:19"), send=False)
    late = [one.key.channel for one in kept.tick(at("16:21"), send=False).add]
    assert late == ["push"]


def test_a_heads_up_is_not_loud_and_waits_for_no_receipt() -> None:
    kept = with_phones(rings(A, shows=True))
    kept.timetable("12:00", "15:49")
    handed(kept, at("15:49"))
    assert kept.timetable("15:50", "16:00") == []


@pytest.mark.parametrize(
    ("phones", "shown"),
    [
        ([rings(A)], None),  # it never told: silence means nothing
        ([rings(A, shows=True)], "16:19"),
        ([rings(A, shows=True), rings(B)], "16:19"),
    ],
)
def test_otherwise_it_waits_for_the_next_step(
    phones: list[RingingPhone], shown: str | None
) -> None:
    kept = with_phones(*phones)
    kept.timetable("12:00", "16:19")
    handed(kept, at("16:19"), at(shown) if shown else None)
    assert kept.timetable("16:20", "16:26") == []


def test_a_receipt_stops_no_ladder() -> None:
    kept = with_phones(rings(A, shows=True))
    for minute in range(60):
        kept.tick(at("15:50") + minute * MINUTE)
        handed(kept, at("15:50") + minute * MINUTE, at("15:50") + minute * MINUTE)
    steps = {row.key.step.kind for row in kept.rows if row.key.channel == "phone"}
    assert {"now", "again", "everybody"} <= steps


def test_once_shut_a_phone_that_rang_is_told_quietly_on_whichever_it_was_said() -> None:
    kept = with_phones(rings(A), rings(C, "ben"), text=TEXT)
    kept.timetable("12:00", "16:34")
    kept.say(said(count=12, clock="16:35", who="Ana"))
    found = [one for one in kept.tick(at("16:36")).add if one.key.channel == "phone"]
    told = {(str(one.key.step), one.key.person_id, one.priority) for one in found}
    assert told == {("clear-again", "ana", QUIET), ("shut", "ben", QUIET)}
    (cleared,) = [
        row for row in kept.rows if row.key.step.kind == "clear" and row.operation == "send"
    ]
    assert cleared.message.title == "Ana shut the door at 16:35, all 12 in. Nothing to do."
    assert kept.sent(at("16:40")) == []


def test_opened_again_before_it_went_out_nothing_says_that_all_is_shut() -> None:
    kept = with_phones(rings(A))
    kept.timetable("12:00", "16:34")
    kept.say(said(count=12, clock="16:35", who="Ana"))
    kept.tick(at("16:36"), send=False)
    kept.say(said("reopened", clock="16:37", who="Ana"))
    kept.tick(at("16:37"))
    assert {
        row.state for row in kept.rows if row.key.step.kind == "clear" and _is_to_phone(row)
    } == {"dropped"}


def _is_to_phone(row: Written) -> bool:
    return row.key.channel == "phone"


SUBSCRIPTION = Subscription(endpoint="https://x", p256dh="p", auth="a", key_id="k")
NOW = datetime(2026, 12, 21, 16, tzinfo=UTC)


@given(
    rang=st.sampled_from([None, "yes", "silent", "no"]),
    days=st.none() | st.integers(min_value=0, max_value=60),
)
def test_a_phone_is_proven_by_a_yes_or_a_receipt_of_30_days_until_it_is_said_not_to_ring(
    rang: Rang | None, days: int | None
) -> None:
    arrived = None if days is None else NOW - timedelta(days=days)
    phone = Phone(
        id=A, person_id="ana", session="s", label="iPhone", subscription=SUBSCRIPTION,
        made_at=NOW, arrived_at=arrived, rang=rang,
    )  # fmt: skip
    heard = days is not None and days < 30
    assert phone.is_proven(NOW) == (rang == "yes" or (rang is None and heard))
    assert "https://x" not in repr(phone)
