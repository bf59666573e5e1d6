"""Somebody cannot be reached: N5 and N7 of FAULTS.md."""

from dataclasses import replace
from datetime import timedelta

import pytest

from scheduler.alerts.delivery import ChannelName, Delivery, Key, Matter, Outcome, OutcomeKind
from scheduler.alerts.step import decode
from scheduler.journal.claims import Claimed
from scheduler.watch.relay import relays
from tests.alerts.orchard import WINTER, at, evenings
from tests.told import words

CREW = evenings()[0].crew  # Ana by push and mail, Ben by push, Cleo by mail
NOW = at("16:19")
MATTER = Matter(unheard=True)


def failed(person: str, channel: ChannelName, step: str = "now") -> Claimed:
    key = Key(site_id="orchard", subject_id="walnut", day=WINTER, step=decode(step), opening=1,
              person_id=person, channel=channel)  # fmt: skip
    return Claimed(
        row_id=1, key=key, operation="send", priority=4, matter=MATTER, attempt=1,
        maybe_before=False,
        began_at=NOW, due_at=NOW, useful_until=at("+08:30"), lease_until=NOW, address="somewhere",
    )  # fmt: skip


def relayed(one: Claimed, kind: OutcomeKind = "bad address") -> list[Delivery]:
    outcome = Outcome(kind=kind, reason="the address is refused")
    return list(relays(one, outcome, CREW, NOW))


def shown(found: list[Delivery]) -> list[str]:
    return [f"{one.key.step} {one.key.person_id} {one.key.channel}" for one in found]


def test_n5_a_refused_address_goes_on_by_other_ways_and_to_the_next_person() -> None:
    found = relayed(failed("ana", "mail"))
    assert shown(found) == [
        "now ana push",
        "now-for-ana ben push",
        "trouble-mail-ana ben push",
        "trouble-mail-ana cleo mail",
    ]
    other_way, passed_on, trouble, _ = found
    assert (other_way.matter, other_way.priority) == (MATTER, 4)
    assert passed_on.matter == replace(MATTER, not_by="mail")
    assert {one.due_at for one in found} == {NOW}
    assert other_way.useful_until == passed_on.useful_until == at("+08:30")
    assert other_way.key.opening == 1
    assert words(trouble).title == "Reminders by mail are not reaching Ana"
    assert "the address is refused" in words(trouble).body
    assert "example.org" not in words(trouble).body
    assert (trouble.key.subject_id, trouble.useful_until) == ("orchard", NOW + timedelta(hours=12))


@pytest.mark.parametrize(
    ("person", "channel", "following"),
    [("ben", "push", "cleo mail"), ("cleo", "mail", "ana push"), ("ana", "push", "ben push")],
)
def test_after_the_last_person_comes_the_first(
    person: str, channel: ChannelName, following: str
) -> None:
    found = shown(relayed(failed(person, channel)))
    assert f"now-for-{person} {following}" in found


def test_k5_an_emergency_that_cannot_reach_whoever_is_on_duty_goes_to_the_next() -> None:
    found = relayed(failed("ana", "push", "urgent-heat-1"))
    assert shown(found)[:2] == ["urgent-heat-1 ana mail", "urgent-heat-1-for-ana ben push"]


def test_a4_whoever_refuses_as_well_passes_it_on_until_all_were_asked() -> None:
    found = relayed(failed("ben", "push", "now-for-ana"))
    assert shown(found) == [
        "now-for-ana cleo mail",
        "trouble-push-ben ana push",
        "trouble-push-ben cleo mail",
    ]
    assert found[0].matter == MATTER, "by which way it did not get through stands in it already"
    found = relayed(failed("cleo", "mail", "now-for-ana"))
    assert shown(found) == ["trouble-mail-cleo ana push", "trouble-mail-cleo ben push"]


def test_a4_what_is_wrong_with_one_server_leaves_the_others_of_its_channel() -> None:
    far = tuple(
        replace(one, addresses=tuple((way, f"{one.person_id} {way}") for way, _ in one.addresses))
        for one in CREW
    )
    outcome = Outcome(kind="misconfigured", reason="somewhere else")
    one = replace(failed("ana", "push"), address="ana push")
    found = list(relays(one, outcome, far, NOW, lambda _, to: to))
    assert shown(found) == [
        "now ana mail",
        "now-for-ana ben push",
        "trouble-push-ana ana mail",
        "trouble-push-ana ben push",
        "trouble-push-ana cleo mail",
    ]
    assert words(found[2]).title == "Reminders by push are not reaching Ana"


def test_a4_news_of_a_broken_way_finds_the_other_way_of_whoever_it_is_for() -> None:
    found = shown(relayed(failed("ana", "push", "trouble-push-ben")))
    assert found[0] == "trouble-push-ben ana mail"


def test_n7_a_wrong_password_is_told_to_all_by_ways_that_work() -> None:
    found = relayed(failed("cleo", "mail"), "misconfigured")
    assert shown(found) == [
        "now-for-cleo ana push",
        "trouble-mail-all ana push",
        "trouble-mail-all ben push",
    ]
    assert words(found[-1]).title == "Reminders by mail are not reaching anybody"


def test_n7_over_and_over_it_is_the_same_message() -> None:
    first = relayed(failed("cleo", "mail"), "misconfigured")[-1]
    second = relayed(failed("ana", "mail", "again"), "misconfigured")[-1]
    assert first.key == second.key


@pytest.mark.parametrize("step", ["shut", "brief", "search-first", "left-123000"])
def test_what_is_no_reminder_goes_on_by_the_other_ways_of_the_same_person_alone(
    step: str,
) -> None:
    found = shown(relayed(failed("ana", "push", step)))
    trouble = ["trouble-push-ana ben push", "trouble-push-ana cleo mail"]
    assert found == [f"{step} ana mail", *trouble]


def test_who_has_left_the_profile_is_replaced_by_the_first() -> None:
    found = relayed(failed("dora", "push"))
    assert shown(found)[0] == "now-for-dora ana push"
    assert words(found[1]).title == "Reminders by push are not reaching dora"


def test_alone_there_is_nobody_else() -> None:
    (ana, *_) = CREW
    alone = (replace(ana, addresses=ana.addresses[:1]),)
    outcome = Outcome(kind="bad address")
    assert list(relays(failed("ana", "push"), outcome, alone, NOW)) == []
