"""People's own phones in an evening: R1 to R8 of FAULTS.md."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import timedelta

import pytest

from scheduler.journal import access
from scheduler.journal.phones import phones as phones_of
from scheduler.service.health.phones_heard import of_phones
from scheduler.service.people import phones
from tests.faults.house import ONE_COOP, QUIET_MORNINGS, SITE, TOPIC_SECRET
from tests.faults.house_here import HouseHere
from tests.faults.phones import Rung, give, served
from tests.sinks.push import Reply
from tests.sinks.push_service import PushService

HOUSE = (
    SITE
    + ONE_COOP
    + QUIET_MORNINGS
    + """
[[person]]
name = "Ana"
push = "{push}/ana-{secret}"
[[person]]
name = "Kim"
mail = "kim@example.org"
[mail]
host = "127.0.0.1"
port = {mail}
user = "{user}"
from = "coop@example.net"
"""
)


@pytest.fixture
def house(build_here: Callable[..., HouseHere]) -> Iterator[HouseHere]:
    with ExitStack() as stack:
        built = build_here(body=HOUSE)
        built.start()
        built.kill()
        stack.enter_context(served(built))
        yield built
        built.kill()


@pytest.fixture
def service(house: HouseHere) -> PushService:
    assert house.phones_at
    return house.phones_at


def begun(house: HouseHere, service: PushService, *, tells: bool = True, said: bool = True) -> Rung:
    """Ana's phone; it has rung once, and the reminders run."""
    phone = give(house, service, "ana", tells=tells)
    if said:
        phone.say("yes")
    house.start()
    return phone


def titles(phone: Rung) -> list[str]:
    return [str(one.notification["title"]) for one in phone.browser.got.all()]


def test_r1_a_phone_that_rings_is_told_alone_and_its_button_ends_the_evening(
    house: HouseHere, service: PushService
) -> None:
    phone = begun(house, service)
    house.at("15:49")
    house.at("16:19")
    assert titles(phone) == [
        "Lock up at 16:18: Walnut, 12 hens, by 16:33", "Lock up now: Walnut, 12 hens, by 16:33"
    ]  # fmt: skip
    assert house.phone("ana") == []
    now = phone.browser.got.all()[-1]
    assert [one["label"] for one in now.notification["data"]["answers"]] == [
        "All 12 in, door shut", "Door shut, not counted",
    ]  # fmt: skip
    assert now.headers["Urgency"] == "high"
    assert phone.press(now, 0)
    house.at("16:21")
    quiet = phone.browser.got.all()[-1].notification
    assert quiet["title"].startswith("Ana shut the door at 16:19, all 12 in")
    assert quiet["silent"] is True
    assert quiet["tag"] == now.notification["tag"]
    house.at("17:30")
    assert len(titles(phone)) == 3


def test_r2_no_receipt_for_90_seconds_brings_the_next_way_and_a_receipt_stops_no_ladder(
    house: HouseHere, service: PushService
) -> None:
    phone = begun(house, service)
    house.at("15:49")
    phone.look()  # from now on it is known to tell
    house.at("16:19")
    house.at("16:19:59")
    assert house.phone("ana") == []
    house.at("16:20:45")
    assert len(house.phone("ana")) == 1, "the push app, at once"
    phone.look()
    for clock in ("16:27", "16:34", "16:44", "16:59"):
        house.at(clock)
        phone.look()
    steps = {row[0] for row in house.rows("SELECT step FROM delivery WHERE channel = 'phone'")}
    assert {"again", "everybody-1", "everybody-2"} <= steps


def test_r3_a_phone_that_its_service_has_forgotten_ends_and_others_are_told_at_once(
    house: HouseHere, service: PushService
) -> None:
    phone = begun(house, service)
    phone.browser.gone = True
    house.at("15:49")
    assert len(house.phone("ana")) == 1, "by her push app"
    told = [str(mail.parsed["subject"]) for mail in house.mails()]
    assert "Reminders by phone alert are not reaching Ana" in told
    assert house.rows("SELECT ended_why FROM phone") == [("gone",)]
    house.at("16:19")
    assert titles(phone) == []


def test_r4_a_phone_that_nobody_has_tried_rings_together_with_the_next_way(
    house: HouseHere, service: PushService
) -> None:
    phone = begun(house, service, said=False)
    house.at("15:49")
    assert len(titles(phone)) == len(house.phone("ana")) == 1


@pytest.mark.parametrize("how", ["signed out", "left the profile"])
def test_r5_whose_phone_it_was_is_told_nothing_there_any_more(
    house: HouseHere, service: PushService, how: str
) -> None:
    phone = begun(house, service)
    house.at("15:49")
    if how == "signed out":
        phone.sign_out()
    else:
        house.write_profile(HOUSE.replace("Ana", "Bo").replace("/ana-", "/bo-"))
        house.left.add((house.day, "ana"))
        house.settle()
        house.settle()  # a file is read once it stays as it is
    house.at("16:19")
    house.at("16:27")
    assert len(titles(phone)) == 1
    assert house.phone("bo" if how != "signed out" else "ana")


def test_r6_our_own_fault_ends_no_phone(house: HouseHere, service: PushService) -> None:
    phone = begun(house, service)
    service.script(Reply(status=403), always=True)
    house.at("15:49")
    assert house.rows("SELECT ended_at FROM phone") == [(None,)]
    assert house.phone("ana")[-1].startswith("Lock up at 16:18")
    service.heal()
    house.at("16:19")
    assert titles(phone)


def test_r7_an_answer_from_out_of_reach_counts_from_when_it_was_pressed_and_loses_to_news(
    house: HouseHere, service: PushService
) -> None:
    phone = begun(house, service)
    house.at("16:19")
    now = phone.browser.got.all()[-1]
    pressed = house.local("16:20")
    house.at("16:27")
    assert phone.press(now, 0, at=pressed)
    [(at,)] = house.rows("SELECT at FROM closing")
    assert at == int(pressed.timestamp())
    assert not phone.press(now, 0, at=pressed), "once"
    house.say("reopened", who="Kim")
    house.at("16:30")
    newer = phone.browser.got.all()[-1]
    house.say("closed", count=11, who="Kim")
    assert not phone.press(newer, 0, at=house.local("16:29"))
    house.at("16:32")
    assert house.rows("SELECT count(*) FROM closing WHERE kind = 'closed'") == [(2,)]


def test_r8_without_its_key_pair_nothing_is_rung_and_every_other_way_goes_on(
    house: HouseHere, service: PushService
) -> None:
    phone = give(house, service, "ana")
    phone.say("yes")
    (house.data / "vapid.key").unlink()
    house.start()
    house.at("15:49")
    assert len(house.phone("ana")) == 1
    assert titles(phone) == []
    assert TOPIC_SECRET not in house.log


def test_r3_two_phones_that_both_fail_are_as_one_that_does(
    house: HouseHere, service: PushService
) -> None:
    first, second = give(house, service, "ana"), begun(house, service)
    first.say("yes")
    service.script(Reply(status=403), always=True)
    house.at("15:49")
    assert house.phone("ana")[-1].startswith("Lock up at 16:18")
    told = [str(mail.parsed["subject"]) for mail in house.mails()]
    assert any("phone alert" in subject for subject in told)
    service.heal()
    first.browser.gone = True
    house.at("16:19")
    assert len(titles(second)) == 1, "the other one has it: nobody else is called"
    assert [subject for subject in house.phone("ana") if "now" in subject] == []


def test_r8_a_key_pair_that_cannot_be_read_any_more_is_kept_as_it_was(
    house: HouseHere, service: PushService
) -> None:
    phone = begun(house, service)
    house.at("15:49")
    (house.data / "vapid.key").write_text("damaged")
    house.at("16:19")
    assert len(titles(phone)) == 2


def test_r10_a_phone_that_stays_silent_is_not_proven_by_another_address(
    house: HouseHere, service: PushService
) -> None:
    phone = give(house, service, "ana")
    phone.say("silent")
    browser = service.phone()
    with house.journal() as journal:
        renewed = phones.add(
            journal,
            "orchard",
            person_id="ana",
            session=phone.session,
            label="iPhone, Safari",
            subscription=browser.subscription(phone.kept.subscription.key_id),
            now=house.now,
        )
        with journal.reading() as connection:
            known = phones_of(connection, "orchard")
    assert [one.id for one in known] == [renewed.id]
    assert known[0].rang == "silent"
    assert house.rows("SELECT endpoint, auth FROM phone WHERE ended_at IS NOT NULL") == [("", "")]


def test_r10_a_phone_that_tells_keeps_its_session_and_one_that_does_not_is_named_in_time(
    house: HouseHere, service: PushService
) -> None:
    phone = begun(house, service)
    house.at("15:49")
    with house.journal() as journal, journal.reading() as connection:
        [before] = access.sessions(connection, "orchard")
    phone.look()
    with house.journal() as journal, journal.reading() as connection:
        [after] = access.sessions(connection, "orchard")
        later = house.now + timedelta(days=80)
        named = [one.what for one in of_phones(connection, house.household().profile, later)]
    assert (after.seen_at, before.seen_at) == (house.now, None)
    assert after.until >= house.now + timedelta(days=365)
    assert any("stops ringing on" in what for what in named)
