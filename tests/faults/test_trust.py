"""A1, A2, A5, A7 of FAULTS.md: who could silence the reminders, and a time that was wrong.

On the house's day: heads-up 15:48, `now` 16:18:29, `next` 16:33:40.
"""

from collections.abc import Callable
from datetime import timedelta

import pytest

from scheduler.journal import memos
from scheduler.service.report_health import report_health
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, House
from tests.sinks.push import Reply

Build = Callable[..., House]
DAY = timedelta(days=1)
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
AGAIN = "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
NEXT = "Nobody says it is shut: Walnut, 12 hens, due 16:33"
KEPT = "The changed profile is not in force; the old one is"
NOBODY = SITE + ONE_COOP + QUIET_MORNINGS
MAIL_ONLY = """
[[person]]
name = "Kim"
mail = "kim@example.org"
[mail]
host = "127.0.0.1"
port = {mail}
user = "{user}"
from = "coop@example.net"
"""
NO_SERVER = '[[person]]\nname = "Kim"\nmail = "kim@example.org"\n'
ANA = '[[person]]\nname = "Ana"\npush = "{push}/ana-{secret}"\n'
ANA_BY_MAIL = '[[person]]\nname = "Ana"\nmail = "ana@example.org"\n'
SILENCING = {
    "everybody taken out": (PEOPLE, ""),
    "mail server taken out": (MAIL_ONLY, NO_SERVER),
    "push became mail": (ANA, ANA_BY_MAIL),
}


def told(house: House) -> list[str]:
    """What anybody read, by push and by mail."""
    mails = [str(mail.parsed["Subject"]) for mail in house.smtp.accepted.all()]
    return [*house.phone("ana"), *house.phone("kim"), *mails]


def health_of(house: House) -> tuple[str, ...]:
    return report_health(house.data, house.household(), house.readings).faults


@pytest.mark.parametrize(("before", "after"), SILENCING.values(), ids=SILENCING)
def test_a1_a_profile_that_leaves_nobody_reachable_is_not_followed(
    build: Build, before: str, after: str
) -> None:
    house = build(body=NOBODY + before, period_s=0.03)
    house.start()
    house.at("12:40")
    house.write_profile(NOBODY + after)
    house.wait(lambda: house.pulse and house.pulse.not_followed, "followed")
    house.settle()
    assert told(house) != [], "those whom the old one reaches are not told"
    assert "profile.not_followed nobody_reachable=True" in house.log
    assert any("nobody could be told by it" in fault for fault in health_of(house))
    # A restart changes nothing: the last accepted one stays in force.
    house.stop()
    house.start()
    house.settle()
    assert any("nobody could be told by it" in fault for fault in health_of(house))
    for clock in ("16:19", "16:27", "16:34"):
        house.at(clock)
    assert NOW in house.phone("ana") or any("Lock up" in one for one in told(house))
    house.write_profile(NOBODY + before.replace("Ana", "Ann"))
    house.wait(lambda: house.faults == [], "health stayed bad")


def test_a1_a_site_that_never_reached_anybody_runs_without_reminders(build: Build) -> None:
    house = build(body=NOBODY, needs_somebody=False, period_s=0.03)
    house.start()
    house.at("16:00")
    assert [fault for fault in health_of(house) if "nobody can be told" in fault]
    house.write_profile(NOBODY + PEOPLE)
    house.wait(lambda: house.pulse and house.pulse.profile_number == 2, "not followed")
    house.settle()
    for clock in ("16:19", "16:27", "16:34"):
        house.at(clock)
    assert house.phone("ana")[-2:] == [NOW, AGAIN]
    assert house.phone("kim") == [NEXT]
    assert health_of(house) == ()


def test_a1_a_watch_alone_says_that_nobody_can_be_told(build: Build) -> None:
    house = build(body=NOBODY)
    house.start(ready=False)
    assert house.ended() == 2
    assert "nobody can be told" in house.log


def test_a1_an_evening_with_a_door_and_nobody_to_tell_is_reported_later(build: Build) -> None:
    # As an earlier version left it: it followed the profile that silenced it.
    house = build(body=NOBODY + PEOPLE, needs_somebody=False, period_s=0.03)
    house.start()
    house.at("12:40")
    house.stop()
    house.write_profile(NOBODY)
    with house.journal() as journal, journal.writing() as writing:
        memos.accept(writing.connection, "orchard", house.household().text, house.now)
    house.start()
    for clock in ("16:19", "16:34", "22:30"):
        house.at(clock)
    house.at("12:30", house.day + DAY)
    assert told(house) == []
    house.write_profile(NOBODY + PEOPLE)
    house.wait(lambda: house.phone("ana"), "never reported")
    house.settle()
    report = "No reminder went out on the evening of Mon 21 Dec"
    assert house.phone("ana").count(report) == house.phone("kim").count(report) == 1


def test_a7_a_report_that_nobody_could_get_for_a_day_is_told_when_somebody_can(
    build: Build,
) -> None:
    house = build(body=NOBODY + ANA, period_s=0.03)
    house.start()
    house.at("12:40")
    house.stop()
    house.push.script(Reply(status=500), always=True)
    second, third = house.day + DAY, house.day + 2 * DAY
    house.day = second
    house.set_clock(house.local("12:30"))
    house.start(ready=False)
    house.wait(lambda: house.rows("SELECT 1 FROM delivery WHERE step = 'missed'"), "not reported")
    house.set_clock(house.local("16:20"))
    house.say(count=12)
    house.day = third
    house.set_clock(house.local("13:30"))
    gone = "SELECT 1 FROM delivery WHERE step = 'missed' AND state NOT IN ('pending', 'sending')"
    house.wait(lambda: house.rows(gone), "still tried")
    house.push.heal()
    house.set_clock(house.local("13:50"))
    report = "No reminder went out on the evening of Mon 21 Dec"
    house.wait(lambda: report in house.phone("ana"), "never reported")
    house.push.wait_streams()
    house.settle()
    assert house.phone("ana").count(report) == 1
