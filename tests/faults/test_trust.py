"""A1, A2, A5, A7 of FAULTS.md: who could silence the reminders, and a time that was wrong.

On the house's day: heads-up 15:48, `now` 16:18:29, `next` 16:33:40.
"""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scheduler.journal import memos
from scheduler.service.agree_clock import agree_clock
from scheduler.service.data_place import DataPlace
from scheduler.service.health.report_health import report_health
from scheduler.service.health.tick_file import HEALTH_NAME
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, WINTER, House
from tests.sinks.push import Reply
from tests.unhurried import unhurried

Build = Callable[..., House]
DAY = timedelta(days=1)
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
AGAIN = "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
NEXT = "Nobody has said it is shut: Walnut, 12 hens, due 16:33"
KEPT = "The changed profile is not in force: the old one still is"
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


def boot(house: House, at: datetime, *, synchronised: bool = False) -> None:
    """A power cut, and the machine boots with that time."""
    if house.process is not None:
        house.kill()
    house.set_clock(at, synchronised=synchronised)
    (house.data / HEALTH_NAME).unlink(missing_ok=True)  # its seconds are those of another boot
    house.start()
    house.settle()


def health_of(house: House) -> tuple[str, ...]:
    return report_health(DataPlace(house.data), house.household(), house.readings).faults


@pytest.mark.parametrize(("before", "after"), SILENCING.values(), ids=SILENCING)
@unhurried
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
    house.wait(lambda: health_of(house) == (), "health stays bad")


def test_a1_a_watch_alone_says_that_nobody_can_be_told(build: Build) -> None:
    house = build(body=NOBODY)
    house.start(ready=False)
    assert house.ended() == 2
    assert "nobody can be told" in house.log


@unhurried
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


@unhurried
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


@unhurried
@pytest.mark.parametrize("hours", [9, 5])
def test_a2_a_wrong_clock_in_one_boot_leaves_tonight_s_ladder_whole(
    build: Build, hours: int
) -> None:
    house = build(period_s=0.03)
    house.start()
    house.at("13:00")
    boot(house, house.local("14:20") + timedelta(hours=hours))
    early = told(house)
    assert len(early) >= 2, "nothing was sent too early"
    boot(house, house.local("14:20"), synchronised=True)
    assert told(house) == early, "sent twice needlessly"
    house.wait(lambda: health_of(house) == (), "health stays bad")
    evening = house.nights()[-1].evening
    for step in evening.steps:
        house.set_clock(step.at + timedelta(seconds=2), synchronised=True)
        house.settle()
    calls = {(str(step.name), person) for step in evening.steps for person in step.people}
    gone = house.rows(
        "SELECT step, person_id, channel, attempts FROM delivery "
        "WHERE operation = 'send' AND state = 'sent' AND day = ?",
        house.day.isoformat(),
    )
    assert calls <= {(step, person) for step, person, _, _ in gone}, "the ladder has gaps"
    twice = [row for row in gone if row[3] > 1]
    assert twice, "what went out too early did not come again"
    assert all(row[3] == 2 for row in twice)


@unhurried
def test_a2_a_mail_that_went_out_too_early_comes_again_under_another_id(build: Build) -> None:
    house = build(body=NOBODY + MAIL_ONLY, period_s=0.03)
    boot(house, house.local("14:20") + timedelta(hours=2, minutes=20))  # 16:40: `next`
    [early] = house.mails()
    boot(house, house.local("14:20"), synchronised=True)
    for clock in ("15:49", "16:19", "16:27", "16:34"):
        house.set_clock(house.local(clock), synchronised=True)
        house.settle()
    mails = house.mails()
    assert len(mails) == 5
    assert len({mail.message_id for mail in mails}) == 5, "a mailbox drops the second of an id"
    assert mails[-1].parsed["Subject"] == early.parsed["Subject"]


def test_a2_an_evening_that_was_opened_too_early_follows_the_profile(build: Build) -> None:
    house = build(period_s=0.03)
    boot(house, house.local("14:20") + timedelta(hours=9))
    house.write_profile(house.body.replace("hens = 12", "hens = 11"))
    boot(house, house.local("14:20"), synchronised=True)
    house.set_clock(house.local("16:19"), synchronised=True)
    house.settle()
    assert NOW.replace("12 hens", "11 hens") in house.phone("ana")


@unhurried
def test_a5_a_clock_a_year_ahead_is_followed_but_nothing_is_judged_by_it(build: Build) -> None:
    house = build(period_s=0.03)
    house.start()
    house.at("12:40")
    right = house.now
    house.day = house.day.replace(year=2027)
    boot(house, house.local("12:40"))
    assert house.pulse
    assert house.pulse.trust == "doubtful"
    assert any("may be wrong" in fault for fault in health_of(house))
    assert told(house) == [], "an evening was judged by it"
    house.set_clock(house.local("16:19"))
    house.settle()
    asked = "Is it 16:19 on Tuesday 21 December 2027? Duskfold's clock says so"
    assert sorted(house.phone("ana")) == [asked, NOW]
    assert house.phone("kim") == [asked]
    house.day = WINTER
    boot(house, right, synchronised=True)
    house.wait(lambda: health_of(house) == (), "health stays bad")
    house.set_clock(house.local("16:19"), synchronised=True)
    house.settle()
    assert sorted(house.phone("ana")) == [asked, NOW, NOW]
    house.set_clock(house.local("12:30", house.day + DAY), synchronised=True)
    house.settle()
    assert not any("No reminder" in one for one in told(house)), "evenings that were none"


def test_a5_a_clock_far_ahead_counts_once_somebody_agrees(build: Build) -> None:
    house = build(period_s=0.03)
    house.start()
    house.at("12:40")
    house.day += 3 * DAY
    boot(house, house.local("12:40"))
    assert house.pulse
    assert (house.pulse.trust, told(house)) == ("doubtful", [])
    with house.journal() as journal:
        agree_clock(journal, "orchard", house.now)
    house.wait(lambda: house.pulse and house.pulse.trust == "trusted", "not agreed")
    house.settle()
    assert "No reminders went out on 3 evenings since Mon 21 Dec" in house.phone("ana")
    house.wait(lambda: health_of(house) == (), "health stays bad")


def test_a1_a_profile_that_cannot_be_read_at_a_start_gives_way_to_the_last_one(
    build: Build,
) -> None:
    house = build()
    house.start()
    house.kill()
    house.profile_path.unlink()
    house.profile_path.mkdir()  # the permissions of a file do not stop root
    house.start()
    assert any("cannot be used" in fault for fault in house.faults)
    house.at("16:19")
    assert any("Lock up now" in title for title in house.phone("ana"))
    house.profile_path.rmdir()
    house.write_profile(house.body)
    house.wait(lambda: house.faults == [], "the profile was not read again")
