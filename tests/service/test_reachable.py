"""Who could be told tonight, and what every page says while nobody can."""

import json
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path

import pytest

from scheduler.journal.history import LastTry
from scheduler.machine.clock import Readings
from scheduler.profile.values import Profile
from scheduler.service.health.banner import banner
from scheduler.service.health.tick_file import (
    HEALTH_NAME,
    OwnPulse,
    Pulse,
    is_beating,
    read_pulse,
    write_pulse,
)
from scheduler.service.reachable import Lack, Reach, reaches_anybody, ways_of, who_can_be_told
from tests.alerts.orchard import ANA, BEN, CLEO, DAY, SITE, WALNUT, WINTER, at, household

MAIL = """
[mail]
host = "mail.example.net"
from = "coop@example.net"
"""
READINGS = Readings(wall=at("16:00"), boot_s=100.0, monotonic_s=100.0)


def profile(*people: str) -> Profile:
    return household(SITE + WALNUT + "".join(people)).profile


def reach(who: Profile, tries: dict[tuple[str, str], LastTry] | None = None) -> Reach:
    known = {(*one, ""): last for one, last in (tries or {}).items()}
    return who_can_be_told(who, ways_of(who), known, None)


def tried(outcome: str, reason: str = "", address: str | None = None, hour: int = 12) -> LastTry:
    when = datetime(2026, 12, 21, hour, tzinfo=UTC)
    return LastTry(at=when, outcome=outcome, reason=reason, address=address)


def ticked(**more: object) -> Pulse:
    usual: dict[str, object] = {
        "wall": at("16:00").isoformat(),
        "boot_s": 95.0,
        "complete_boot_s": 95.0,
        "trust": "trusted",
        "profile_number": 1,
    }
    return Pulse(**usual | more)  # type: ignore[arg-type] # of many kinds


def pulse(folder: Path, **more: object) -> None:
    write_pulse(folder, ticked(**more))


def said(reached: Reach, who: Profile, folder: Path) -> list[str]:
    return [one.kind for one in banner(read_pulse(folder), who, reached, READINGS)]


def test_everybody_s_ways_in_the_profile_s_order() -> None:
    found = reach(profile(ANA, BEN, CLEO, MAIL))
    assert [way.said for way in found.working] == [
        "Ana by push", "Ana by mail", "Ben by push", "Cleo by mail",
    ]  # fmt: skip
    assert (found.without, found.cut_off) == ((), ())


def test_mail_without_a_mail_server_is_no_way() -> None:
    found = reach(profile(CLEO))
    assert (found.working, found.without) == ((), ("Cleo",))


def test_a_refused_address_is_no_way_until_the_profile_has_another() -> None:
    who = profile(ANA, BEN)
    refused = tried("bad address", "not allowed", "https://push.example.org/ben")
    found = reach(who, {("ben", "push"): refused})
    assert [way.said for way in found.working] == ["Ana by push"]
    assert found.cut_off == ("Ben",)
    moved = profile(ANA, BEN.replace("org/ben", "org/new"))
    assert reach(moved, {("ben", "push"): refused}).cut_off == ()


def test_what_the_mail_server_holds_against_us_it_holds_against_every_mail() -> None:
    who = profile(ANA, CLEO, MAIL)
    wrong = tried("misconfigured", "wrong password", hour=13)
    found = reach(who, {("ana", "mail"): wrong, ("cleo", "mail"): tried("sent")})
    assert found.cut_off == ("Cleo",)
    later = {("ana", "mail"): wrong, ("cleo", "mail"): tried("sent", hour=14)}
    assert reach(who, later).cut_off == ()


def test_all_well_says_nothing(tmp_path: Path) -> None:
    who = profile(ANA)
    pulse(tmp_path)
    assert said(reach(who), who, tmp_path) == []


def test_nobody_to_tell_is_said_first(tmp_path: Path) -> None:
    who = profile()
    pulse(tmp_path, profile_problems=1, not_followed="nobody could be told by it")
    assert said(reach(who), who, tmp_path) == ["nobody", "not-followed"]


def test_every_way_refused_is_nobody_to_tell(tmp_path: Path) -> None:
    who = profile(ANA.replace('mail = "ana@example.org"', ""))
    pulse(tmp_path)
    found = reach(who, {("ana", "push"): tried("bad address", "not allowed")})
    assert said(found, who, tmp_path) == ["nobody"]
    [cause] = banner(read_pulse(tmp_path), who, found, READINGS)
    assert (
        cause.what == "No reminders go out, because nobody can be told (Ana by push: not allowed)."
    )


def test_one_of_two_refused_is_said_by_name(tmp_path: Path) -> None:
    who = profile(ANA, BEN)
    pulse(tmp_path)
    found = reach(who, {("ben", "push"): tried("bad address", "not allowed")})
    [cause] = banner(read_pulse(tmp_path), who, found, READINGS)
    assert cause.what == "Ben cannot be told (push: not allowed)."


@pytest.mark.parametrize(("tick_s", "told"), [(0.4, []), (60.0, ["silent"])])
def test_a_tick_that_began_after_the_reader_s_clock_was_read_is_one_of_this_boot(
    tmp_path: Path, tick_s: float, told: list[str]
) -> None:
    who = profile(ANA)
    later_s = READINGS.boot_s + tick_s
    pulse(tmp_path, boot_s=later_s, complete_boot_s=later_s)
    assert said(reach(who), who, tmp_path) == told


def test_a_dead_watch_a_wrong_clock_and_deaf_ears_are_said(tmp_path: Path) -> None:
    who = profile(ANA)
    assert said(reach(who), who, tmp_path) == ["not-running"]
    pulse(tmp_path, boot_s=1.0, complete_boot_s=1.0, trust="untrusted", deaf="no connection")
    assert said(reach(who), who, tmp_path) == ["silent", "clock-behind", "deaf"]


def test_reminders_that_were_asked_to_stop_are_not_said_to_run(tmp_path: Path) -> None:
    who, mine = profile(ANA), OwnPulse(tmp_path)
    mine.beat(ticked(boot_s=80.0, complete_boot_s=80.0))
    mine.beat(ticked())
    assert said(reach(who), who, tmp_path) == []  # and so it stays after a kill: no mark
    mine.stop(READINGS)
    [cause] = banner(read_pulse(tmp_path), who, reach(who), READINGS)
    assert cause.kind == "not-running"
    assert cause.what == "The reminders are not running. They were stopped on Mon 21 Dec, 16:00."
    assert not is_beating(read_pulse(tmp_path), READINGS)
    OwnPulse(tmp_path).beat(ticked(boot_s=99.0, complete_boot_s=99.0))  # started again
    assert said(reach(who), who, tmp_path) == []


def test_a_tick_of_a_newer_version_is_one_all_the_same(tmp_path: Path) -> None:
    lack = Lack(channel="mail", place="", why="gone")
    told = asdict(ticked(lacks=(lack,))) | {"mood": "fine"}
    told["lacks"] = [asdict(lack) | {"mood": "fine"}]
    (tmp_path / HEALTH_NAME).write_text(json.dumps(told), encoding="utf-8")
    assert read_pulse(tmp_path) == ticked(lacks=(lack,))


def test_a_process_that_is_stopped_leaves_no_mark_while_another_runs(tmp_path: Path) -> None:
    who, mine, other = profile(ANA), OwnPulse(tmp_path), OwnPulse(tmp_path)
    mine.beat(ticked(boot_s=80.0, complete_boot_s=80.0))
    other.beat(ticked(boot_s=85.0, complete_boot_s=85.0))
    mine.beat(ticked(boot_s=95.0, complete_boot_s=95.0))
    mine.beat(ticked(boot_s=96.0, complete_boot_s=96.0))
    mine.stop(READINGS)
    assert said(reach(who), who, tmp_path) == []
    other.beat(ticked(boot_s=99.0, complete_boot_s=99.0))
    mine.stop(READINGS)  # the file is the other's
    assert said(reach(who), who, tmp_path) == []


@pytest.mark.parametrize(
    ("boot_s", "complete_boot_s", "told"),
    [
        (1.0, 1.0, ["silent"]),  # merely stopped: no word of the disk
        (1000.0, 1.0, ["silent", "not-written"]),
        (READINGS.boot_s, READINGS.boot_s - 1000.0, ["not-written"]),
        (READINGS.boot_s, None, ["not-written"]),
    ],
)
def test_the_disk_is_blamed_only_where_ticks_went_on_unwritten(
    tmp_path: Path, boot_s: float, complete_boot_s: float | None, told: list[str]
) -> None:
    who = profile(ANA)
    pulse(tmp_path, boot_s=boot_s, complete_boot_s=complete_boot_s)
    assert said(reach(who), who, tmp_path) == told


def test_no_remedy_on_a_page_is_a_command(tmp_path: Path) -> None:
    who = profile()
    causes = [*banner(read_pulse(tmp_path), who, reach(who), READINGS)]
    pulse(tmp_path, boot_s=1.0, complete_boot_s=1.0, trust="untrusted", profile_problems=2)
    causes += banner(read_pulse(tmp_path), who, reach(who), READINGS)
    assert len(causes) >= 6
    assert all(one.what.endswith(".") and one.remedy.endswith(".") for one in causes)
    assert not any("duskfold " in one.what + one.remedy for one in causes)


def test_a_sitter_can_be_told_on_their_days_and_the_household_hangs_on_no_sitter() -> None:
    sitter = f'role = "sitter"\nlast_day = {WINTER}\n'
    both = profile(ANA.replace("push", "#").replace("mail =", "#"), BEN + sitter)
    ways = ways_of(both)
    today, tomorrow = (who_can_be_told(both, ways, {}, day) for day in (WINTER, WINTER + DAY))
    assert ([way.name for way in today.working], today.without) == (["Ben"], ("Ana",))
    assert (tomorrow.working, tomorrow.without) == ((), ("Ana",))
    assert not reaches_anybody(both)
    assert reaches_anybody(profile(ANA, BEN + sitter))
