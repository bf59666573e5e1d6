"""What a keeper says at the command line of a door, and what health and test-alert answer."""

import json
import os
import re
import socket
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from freezegun import freeze_time
from sqlalchemy import select
from typer.testing import CliRunner, Result

from scheduler.alerts.delivery import Delivery, Key
from scheduler.alerts.step import decode
from scheduler.cli import running
from scheduler.cli.app import app
from scheduler.journal import access, closings, deliveries, memos, tables
from scheduler.journal.store import open_journal
from scheduler.machine.clock import now
from scheduler.machine.systemd import notify
from scheduler.service.agree_clock import take_agreement
from scheduler.service.people.access import invite, sign_in
from tests.sinks.authority import Authority
from tests.sinks.push import PushSink, Reply
from tests.sinks.smtp import PASSWORD, USER, SmtpSink

SITE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
[climate]
coldest_month_low = "-2 °C"
warmest_month_high = "24 °C"
"""
ONE = '[[coop]]\nname = "Walnut"\n[[flock]]\nname = "Girls"\nhens = 12\n'
TWO = (
    '[[coop]]\nname = "Walnut"\n[[coop]]\nname = "Barn"\n'
    '[[flock]]\nname = "Girls"\ncoop = "walnut"\nhens = 12\n'
    '[[flock]]\nname = "Others"\ncoop = "barn"\nhens = 8\n'
)
PEOPLE = (
    '[[person]]\nname = "Ana"\npush = "http://127.0.0.1:9/ana-topic"\n'
    '[[person]]\nname = "Kim"\nmail = "kim@example.org"\n'
)
EARLY = running  # imported before a test stops the clock, or pydantic reads a false date
# What waits for a server goes by the time that passes.
WAITING = ["scheduler.channels", "scheduler.watch.take_back_held"]
DUSK = "2026-12-21T16:20:00Z"  # lock-up 16:18, latest 16:33


@pytest.fixture(autouse=True)
def _somewhere_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DUSKFOLD_PROFILE", str(tmp_path / "duskfold.toml"))
    monkeypatch.setenv("DUSKFOLD_DATA", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "400")  # what is said, not where it is broken
    declare(SITE + ONE + PEOPLE)


def declare(text: str) -> None:
    Path("duskfold.toml").write_text(text, encoding="utf-8")


def run(*arguments: str, at: str = DUSK) -> Result:
    with freeze_time(at, ignore=WAITING):
        return CliRunner().invoke(app, list(arguments))


def said(result: Result) -> list[dict[str, object]]:
    assert result.exit_code == 0, result.output
    found: list[dict[str, object]] = json.loads(result.stdout)["said"]
    return found


def test_closed_without_a_count_is_kept_as_not_counted() -> None:
    told = run("closed", "--by", "Ana").output
    assert told == "Walnut: Ana shut the door at 16:20, not counted, but it looks like all.\n"
    assert said(run("closed", "--json"))[0]["count"] is None


def test_one_hen_alone_is_not_all_of_them() -> None:
    declare((SITE + ONE + PEOPLE).replace("hens = 12", "hens = 1"))
    told = run("closed", "--count", "1", "--by", "Ana").output
    assert told == "Walnut: Ana shut the door at 16:20, 1 in.\n"
    told = run("dead", "--count", "1", "--by", "Ana").output
    assert told.startswith("Walnut: 1 dead. It is no longer expected.")


def test_closed_at_another_time_by_somebody_else() -> None:
    result = run("closed", "--count", "12", "--by", "kim", "--at", "16:05")
    assert result.output == "Walnut: Kim shut the door at 16:05, all 12 in.\n"


def held_for_ana(server: str) -> str:
    """Ana's message lies at that server and is to ring at 16:38; its id."""
    at = datetime(2026, 12, 21, 12, 0, tzinfo=UTC)
    key = Key(site_id="orchard", subject_id="walnut", day=at.date(), step=decode("hold"), opening=0,
              person_id="ana", channel="push")  # fmt: skip
    one = Delivery(key=replace(key, step=decode("hold-1")), operation="hold",
                   rings_at=at.replace(hour=16, minute=38), due_at=at,
                   useful_until=at.replace(hour=16, minute=38), state="sent",
                   address=f"{server}/ana-topic")  # fmt: skip
    Path("data").mkdir(mode=0o700)
    journal = open_journal(Path("data/journal.sqlite3"))
    with journal.writing() as writing:
        deliveries.add(writing.connection, [one])
    journal.close()
    return key.message_id


def test_a11_closed_takes_the_held_message_back_while_the_reminders_are_dead() -> None:
    with PushSink() as sink:
        declare(SITE + ONE + PEOPLE.replace("http://127.0.0.1:9", sink.url))
        rings = datetime(2026, 12, 21, 16, 38, tzinfo=UTC)
        held = {"sequence_id": held_for_ana(sink.url), "delay": str(rings.timestamp())}
        sink.publish("ana-topic", held)
        result = run("closed", "--count", "12")
        assert (result.exit_code, result.stderr) == (
            0,
            (
                "The reminders are not running, so the alarm that the push server held for Ana was "
                "cancelled from here.\n"
            ),
        )
        assert sink.held == {}
        assert run("closed", "--count", "12").stderr == "", "there is nothing left to take back"


def test_a11_closed_says_that_it_will_ring_when_it_cannot_be_taken_back() -> None:
    held_for_ana("http://127.0.0.1:9")
    result = run("closed", "--count", "12")
    assert result.exit_code == 0
    assert result.stdout.startswith(
        "Walnut: somebody at the terminal shut the door at 16:20, all 12 in."
    )
    assert result.stderr == (
        "The reminders are not running and the push server could not be told, so it will alert "
        "Ana at 16:38 although the door is shut.\n"
    )


def test_a11_nothing_is_said_to_ring_that_no_push_server_was_ever_handed() -> None:
    early = ("closed", "--count", "12", "--yes")
    assert run(*early, at="2026-12-21T12:30:00Z").stderr == ""
    assert run("undo", at="2026-12-21T12:31:00Z").stderr == ""
    assert run(*early, at="2026-12-21T12:32:00Z").stderr == ""


def test_closed_means_the_evening_before_until_the_let_out() -> None:
    late = json.loads(run("closed", "--json", at="2026-12-22T07:30:00Z").stdout)
    assert (late["evening"], late["late"]) == ("2026-12-21", False)
    past = run("closed", "--evening", "2026-12-19", "--count", "12")
    assert past.output.endswith(
        "Noted for the evening of 2026-12-19, though they have been let out.\n"
    )
    short = run("closed", "--count", "11", "--evening", "2026-12-19")
    assert "11 of 12 in. Look for them, then say found, dead" in short.output


def test_a_count_above_the_flock_is_taken() -> None:
    result = run("closed", "--count", "13")
    assert result.exit_code == 0
    assert "13 in, but only 12 belong there. Count them again." in result.output


def test_a_count_above_the_flock_names_who_was_said_to_be_dead() -> None:
    run("closed", "--count", "11", at="2026-12-21T16:20:00Z")
    run("dead", at="2026-12-21T16:30:00Z")
    told = run("closed", "--count", "12", at="2026-12-22T16:20:00Z").output
    assert "1 was said to be dead on Mon 21 Dec. If that is wrong: duskfold undo" in told
    assert "--evening 2026-12-21." in told
    told = run("undo", "--evening", "2026-12-21", at="2026-12-22T16:21:00Z").output
    assert '"1 dead" is taken back. That evening: 12 expected, 1 missing.' in told
    assert "expected" not in run("today", at="2026-12-22T16:22:00Z").output


def test_hours_early_is_asked_once_and_taken_with_yes() -> None:
    early = run("closed", at="2026-12-21T12:30:00Z")
    assert early.exit_code == 2
    assert "Lock-up is not until 16:18. Are they already in for the night?" in early.output
    assert run("closed", "--yes", at="2026-12-21T12:30:00Z").exit_code == 0


def test_hours_early_nobody_is_asked_where_stdin_is_closed() -> None:
    program = (
        "from scheduler.cli import running; from scheduler.cli.app import app\n"
        "from freezegun import freeze_time\n"
        "with freeze_time('2026-12-21T12:30:00Z'): app(['closed'])"
    )
    early = subprocess.run(
        ["/bin/sh", "-c", 'exec "$@" <&-', "sh", sys.executable, "-c", program],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    )
    assert early.returncode == 2
    assert early.stderr.startswith("Lock-up is not until 16:18")
    assert "Traceback" not in early.stderr


@pytest.mark.parametrize("ending", ["found", "not-found", "dead", "elsewhere"])
def test_a_short_count_starts_the_search_and_each_ending_ends_it(ending: str) -> None:
    short = run("closed", "--count", "10")
    assert "10 of 12 in. Make sure those that are in are shut in, then look" in short.output
    assert run(ending).exit_code == 0
    tonight = json.loads(run("health", "--json").stdout)["tonight"]
    assert [one["state"] for one in tonight] == ["shut"]


def test_birds_elsewhere_are_not_expected_the_next_evening_until_they_are_back() -> None:
    run("closed", "--count", "10")
    run("elsewhere", "--count", "2")
    assert said(run("closed", "--json", at="2026-12-22T16:20:00Z"))[0]["expected"] == 10
    run("elsewhere", "--back", "--count", "2", at="2026-12-22T18:00:00Z")
    assert said(run("closed", "--json", at="2026-12-23T16:20:00Z"))[0]["expected"] == 12


def test_two_houses_need_a_name_with_a_count() -> None:
    declare(SITE + TWO + PEOPLE)
    refused = run("closed", "--count", "12")
    assert refused.exit_code == 2
    assert "accepted: a count for one of them, with --coop: walnut, barn" in refused.output
    assert run("closed", "--coop", "Barn", "--count", "8").output.startswith("Barn: somebody")
    assert [one["coop"] for one in said(run("closed", "--json"))] == ["walnut"]


@pytest.mark.parametrize(
    ("arguments", "accepted"),
    [
        (
            ("closed", "--coop", "wallnut"),
            'found "wallnut"; accepted: Walnut. Did you mean "Walnut"',
        ),
        (("closed", "--by", "Anna"), 'found "Anna"; accepted: Ana, Kim. Did you mean "Ana"'),
        (("closed", "--at", "25:00"), "accepted: a time of day such as"),
        (("closed", "--count", "-1"), "accepted: a whole number from 0"),
        (("found",), "birds that were said to be missing. No birds are missing from Walnut."),
        (("dead",), "--count: found no number; accepted: a number of birds, 1 or more"),
        (("reopened",), "accepted: a door that somebody said was shut"),
        (
            ("elsewhere", "--back"),
            "duskfold elsewhere --back: found no birds elsewhere; accepted:",
        ),
        (("test-alert", "Bob"), 'NAME: found "Bob"; accepted: Ana, Kim.'),
        (
            ("test-alert", "Kim"),
            "no message can reach Kim. Name the server that sends the mail ([mail])",
        ),
    ],
)
def test_what_cannot_be_taken_is_refused_with_what_can(
    arguments: tuple[str, ...], accepted: str
) -> None:
    refused = run(*arguments)
    assert refused.exit_code == 2
    assert accepted in refused.output
    assert run("found").exit_code == 2, "something was kept"


def test_everything_that_cannot_be_read_is_told_at_once_with_the_nearest_spelling() -> None:
    odd = ("--coop", "wallnut", "--by", "Anna", "--at", "16.30", "--evening", "20/12/2026")
    refused = run("closed", *odd, "--count", "nine")
    assert refused.exit_code == 2
    coop, at, evening, count, by = refused.output.splitlines()
    said = 'duskfold closed: --evening: found "20/12/2026"; accepted: a date such as 2026-12-21.'
    assert evening == f"{said} Did you mean 2026-12-20?"
    assert count.startswith('duskfold closed: --count: found "nine"; accepted: a whole number from')
    assert by == 'duskfold closed: --by: found "Anna"; accepted: Ana, Kim. Did you mean "Ana"?'
    assert at.startswith('duskfold closed: --at: found "16.30"; accepted: a time of day such as')
    assert at.endswith('Did you mean "16:30"?')
    assert coop.startswith('duskfold closed: --coop: found "wallnut"; accepted: Walnut. Did you')
    alone = run("closed", "--at", "16.30").output
    assert alone.endswith('Did you mean "16:30"?\n')


def test_a_time_still_to_come_is_not_taken_for_yesterdays() -> None:
    ahead = run("closed", "--at", "17:30", at="2026-12-21T16:32:00Z")
    assert ahead.exit_code == 2
    assert 'found "17:30", which has not come yet today; accepted: a time up to' in ahead.output
    assert "If you mean yesterday, add --evening." in ahead.output
    after_midnight = run("closed", "--at", "23:50", at="2026-12-22T00:30:00Z")
    assert after_midnight.exit_code == 0, after_midnight.output


def test_k3_a_missing_bird_is_ended_on_any_later_day() -> None:
    run("closed", "--count", "11")
    run("not-found")
    wednesday = "2026-12-23T16:30:00Z"
    assert run("closed", "--count", "11", "--by", "Ana", at=wednesday).output == (
        "Walnut: Ana shut the door at 16:30, 11 in. 1 still missing since Mon 21 Dec.\n"
    )
    assert run("given-up", at=wednesday).output == (
        "Walnut: 1 given up for lost. It is no longer expected. Now 11 expected.\n"
    )


def test_k2_what_cannot_be_is_asked_about() -> None:
    refused = run("dead", "--count", "13")
    assert refused.exit_code == 2
    assert "Only 12 are left in Walnut. How many do you mean?" in refused.output


def test_k2_what_was_said_is_taken_back() -> None:
    run("dead", "--count", "2")
    assert run("undo").output == 'Walnut: "2 dead" is taken back. Now 12 expected.\n'
    refused = run("undo")
    assert refused.exit_code == 2
    assert refused.output == (
        "duskfold undo: Nothing was changed: somebody at the terminal already took back what was "
        "said of Walnut (2 dead), on Mon 21 Dec at 16:20. The door no longer counts "
        "as shut.\n"
    )


def test_found_says_that_all_are_in() -> None:
    run("closed", "--count", "11", "--by", "Ana")
    assert run("found", at="2026-12-21T16:24:00Z").output == "Walnut: found. All 12 in.\n"


def test_undo_of_a_second_count_says_that_the_first_is_kept() -> None:
    run("closed", "--count", "12", "--by", "Kim")
    run("closed", "--count", "11", "--by", "Ana", at="2026-12-21T16:24:00Z")
    assert run("undo", at="2026-12-21T16:26:00Z").output == (
        'Walnut: "shut, 11 in" is taken back. Still on record: Kim shut the door at 16:20, '
        "12 in. Now 12 expected.\n"
    )
    told = run("undo", at="2026-12-21T16:28:00Z").output
    assert told == 'Walnut: "shut, 12 in" is taken back. Now 12 expected.\n'


def test_undo_without_an_evening_reaches_back_a_day_and_says_what_it_would_take_back() -> None:
    run("closed", "--count", "11", "--by", "Kim")
    refused = run("undo", at="2026-12-22T16:20:01Z")
    assert refused.exit_code == 2
    assert refused.output == (
        "duskfold undo: found nothing said in the last 24 hours; accepted: --evening 2026-12-21, "
        "to take back what was said last. That would take back what Kim said: Walnut, shut, 11 "
        "in. Until then it stands.\n"
    )
    assert run("undo", at="2026-12-22T16:20:00Z").output.startswith('Walnut: "shut')


def test_undo_takes_back_at_once_what_was_said_late_of_an_evening_before() -> None:
    run("closed", "--count", "11", "--evening", "2026-12-19", "--at", "16:20")
    told = run("undo", at="2026-12-21T16:26:00Z").output
    assert told.startswith('Walnut: "shut, 11 in" is taken back. That evening: 12 expected.\n')


def test_undo_that_asks_for_an_evening_says_what_each_house_would_lose() -> None:
    declare(SITE + TWO + PEOPLE)
    run("closed", "--coop", "walnut", "--count", "11", "--by", "Kim")
    run("closed", "--coop", "barn", "--count", "8", "--by", "Kim")
    told = run("undo", at="2026-12-22T16:20:01Z").output
    assert "That would take back what Kim said: Walnut, shut, 11 in, and Barn, shut, 8 in." in told


def test_undo_of_an_earlier_evening_does_not_speak_as_if_something_were_kept() -> None:
    run("closed", "--evening", "2026-12-19", "--count", "11")
    told = run("undo", "--evening", "2026-12-19", at="2026-12-23T12:00:00Z").output
    assert told == (
        'Walnut: "shut, 11 in" is taken back. That evening: 12 expected.\n'
        "Taken back for the evening of 2026-12-19, though they have been let out.\n"
    )


def test_nobody_in_particular_says_it_where_several_could() -> None:
    assert said(run("closed", "--json"))[0]["by"] == "somebody at the terminal"
    declare(SITE + ONE + PEOPLE.partition('[[person]]\nname = "Kim"')[0])
    assert said(run("closed", "--count", "12", "--json"))[0]["by"] == "Ana"


@pytest.mark.parametrize(
    ("evening", "told"),
    [
        (
            "1900-01-01",
            "accepted: an evening in the last 60 days. That is too long ago to note now",
        ),
        (
            "2026-10-21",
            "accepted: an evening in the last 60 days. That is too long ago to note now",
        ),
        ("2026-11-30", "No birds lived in Walnut then. The first came on 1 December 2026."),
    ],
)
def test_an_evening_that_nobody_can_know_is_refused(evening: str, told: str) -> None:
    declare(SITE + ONE.replace("hens = 12", "hens = 12\narrived = 2026-12-01") + PEOPLE)
    for more in ([], ["--at", "16:30"]):
        refused = run("closed", "--count", "12", "--evening", evening, *more)
        assert (refused.exit_code, refused.exception.__class__) == (2, SystemExit), refused.output
        assert more or told in refused.output
    assert run("undo", "--evening", evening).exit_code == 2
    assert run("closed", "--count", "12", "--evening", "2026-12-01").exit_code == 0


def test_a_reopened_door_is_open_again() -> None:
    run("closed")
    assert run("reopened").output == "Walnut: the door is open again. The reminders go on.\n"
    assert json.loads(run("health", "--json").stdout)["tonight"][0]["state"] == "open"


def test_a_door_of_an_evening_that_is_over_has_no_reminders_that_go_on() -> None:
    before = "2026-12-20"
    run("closed", "--evening", before)
    told = run("reopened", "--evening", before).output
    assert told.startswith("Walnut: the door was opened again.\n"), told


def test_the_search_goes_on_while_one_is_still_looked_for() -> None:
    run("closed", "--count", "10")
    told = run("not-found", "--count", "1").output
    assert told.startswith("Walnut: 1 not found. Keep looking for the others. "), told
    ended = run("not-found").output
    assert ended.startswith("Walnut: not found. Stop looking for tonight. "), ended


def test_watch_refuses_a_profile_that_can_tell_nobody() -> None:
    declare(SITE + ONE)
    nobody = run("watch")
    assert nobody.exit_code == 2
    assert "[[person]]: found nobody; accepted: at least one person with push or mail" in (
        nobody.output
    )
    declare(SITE + ONE + '[[person]]\nname = "Kim"\nmail = "kim@example.org"\n')
    assert "found no way to tell Kim; accepted: push, or mail with a [mail] table" in (
        run("watch").output
    )


def test_watch_refuses_to_start_where_a_missing_secret_leaves_nobody() -> None:
    mail = '[mail]\nhost = "127.0.0.1"\nuser = "coop"\nfrom = "coop@example.net"\n'
    declare(SITE + ONE + '[[person]]\nname = "Kim"\nmail = "kim@example.org"\n' + mail)
    refused = run("watch")
    assert refused.exit_code == 2
    assert "the secret mail-password is missing" in refused.output
    assert "nobody can be told" in refused.output
    assert "Traceback" not in refused.output


def test_health_without_a_watch_says_so() -> None:
    result = run("health")
    assert result.exit_code == 1
    assert "The reminders are not running. To start them: duskfold serve\n" in result.output


def test_health_shows_what_goes_to_each_service_that_the_profile_names() -> None:
    assert "forecast" not in run("health").output.casefold()
    assert json.loads(run("health", "--json").stdout)["forecast"] == []
    declare(SITE + ONE + '[forecast]\nsources = ["met-norway"]\n')
    lines = run("health").output.splitlines()
    begins = lines.index("For the forecast, MET Norway is sent exactly this:")
    url = "https://api.met.no/weatherapi/locationforecast/2.0/complete?lat=51.50&lon=-0.10"
    assert lines[begins + 1] == f"  GET {url}"
    assert lines[begins + 2] == "  User-Agent: Duskfold/0.1.0"
    said = " ".join(" ".join(lines).split())
    assert "Weather forecast: data from MET Norway (CC BY 4.0), processed" in said
    assert "Climate: ERA5, Copernicus Climate Change Service (CC BY 4.0)" in said
    told = json.loads(run("health", "--json").stdout)["forecast"]
    agent = {"User-Agent": "Duskfold/0.1.0", "Accept-Encoding": "gzip"}
    asked = {"method": "GET", "url": url, "headers": agent}
    assert told == [{"source": "met-norway", "requests": [asked]}]


def test_a5_somebody_agrees_that_the_clock_is_right() -> None:
    result = run("health", "--agree-clock", "--yes")
    assert result.exit_code == 0
    assert result.output.startswith("Noted: it is 16:20 on Monday 21 December 2026 at Orchard.")
    journal = open_journal(Path("data/journal.sqlite3"))
    with journal.writing() as writing:
        assert str(take_agreement(writing.connection, "orchard")) == "2026-12-21 16:20:00+00:00"
        assert take_agreement(writing.connection, "orchard") is None
    journal.close()


def test_a5_a_program_that_agrees_gets_no_prose() -> None:
    result = run("health", "--agree-clock", "--yes", "--json")
    assert json.loads(result.stdout) == {"agreed": "2026-12-21T16:20:00Z"}


@pytest.mark.parametrize(
    ("command", "asked"),
    [
        ("health --agree-clock", "Is it 16:20 on Monday 21 December 2026 at Orchard?"),
        ("links --sign-out Ana", "This signs Ana out on every device."),
        ("links --renew Ana", "This ends all of Ana's addresses"),
        ("links --renew-answers", "This ends the buttons on every message sent so far."),
    ],
)
def test_what_cannot_be_taken_back_asks_first(command: str, asked: str) -> None:
    before = run("links", "--json").output
    refused = run(*command.split())
    assert refused.exit_code == 2
    assert refused.output.startswith(asked)
    assert refused.output.endswith("If so, run it again with --yes.\n")
    assert run("links", "--json").output == before
    assert run(*command.split(), "--yes").exit_code == 0


def use_a_link(person: str) -> None:
    """A device of that person is signed in, past the page."""
    now = datetime.fromisoformat(DUSK)
    journal = open_journal(Path("data/journal.sqlite3"))
    secret = invite(journal, "orchard", person, now).rpartition("/")[2]
    assert sign_in(journal, "orchard", secret, "", now)
    journal.close()


def let_in() -> tuple[list[str], list[str]]:
    """Whose sessions there are, and whose unused sign-in links."""
    journal = open_journal(Path("data/journal.sqlite3"))
    with journal.reading() as connection:
        people = connection.scalars(select(tables.session.c.person_id)).all()
        unused = tables.invitation.c.used_at.is_(None)
        links = connection.scalars(select(tables.invitation.c.person_id).where(unused)).all()
    journal.close()
    return sorted(people), sorted(links)


def test_two_things_at_once_about_links_are_refused_and_neither_is_done() -> None:
    before = run("links", "Robin").output
    refused = run("links", "Robin", "--renew", "Kim")
    assert refused.exit_code == 2
    assert "found NAME and --renew; accepted: one at a time" in refused.output
    assert run("links", "Robin").output == before


def test_all_devices_of_one_are_signed_out_with_the_links_that_nobody_has_used() -> None:
    run("closed", "--by", "Ana")  # makes the data folder
    for person in ("ana", "ana", "kim"):
        use_a_link(person)
    for person in ("ana", "kim"):
        assert run("links", "--sign-in", person).exit_code == 0
    assert let_in() == (["ana", "ana", "kim"], ["ana", "kim"])
    assert run("links", "--sign-out", "Ana", "--yes").output == "Ana is signed out on 2 devices.\n"
    assert let_in() == (["kim"], ["kim"])
    again = run("links", "--sign-out", "ana", "--json", "--yes")
    assert json.loads(again.stdout) == {"person": "ana", "devices": 0}
    assert run("links", "--sign-out", "kim", "--yes").output == "Kim is signed out on 1 device.\n"
    refused = run("links", "--sign-out", "Anna")
    assert refused.exit_code == 2
    assert "Ana" in refused.output


def test_a_shared_screen_is_signed_in_taken_back_and_signed_out_by_its_name() -> None:
    run("closed", "--by", "Ana")  # makes the data folder
    made = run("links", "--screen", "By the door")
    assert made.output.startswith(
        "This link signs By the door in on one device, once, within 15 minutes:"
    )
    assert "links --take-back 'By the door'\n" in made.output
    use_a_link("screen:Kitchen")
    assert let_in() == (["screen:Kitchen"], ["screen:By the door"])
    back = run("links", "--take-back", "by the door")
    assert back.output == "Cancelled 1 sign-in link for By the door.\n"
    out = run("links", "--sign-out", "kitchen", "--yes", "--json")
    assert json.loads(out.stdout) == {"screen": "Kitchen", "devices": 1}
    assert let_in() == ([], [])
    refused = run("links", "--sign-out", "Kitchen")
    assert (refused.exit_code, "accepted: Robin, Kim" in refused.output) == (2, False)
    for name in ("ana", "", "x" * 34):
        refused = run("links", "--screen", name)
        assert refused.exit_code == 2
        assert f'duskfold links: --screen: found "{name}"; accepted: ' in refused.output
    assert let_in() == ([], [])


def test_s16_renewing_somebody_s_links_signs_them_out_too() -> None:
    run("closed", "--by", "Ana")  # makes the data folder
    for person in ("ana", "kim"):
        use_a_link(person)
        assert run("links", "--sign-in", person).exit_code == 0
    assert run("links", "--renew", "Ana", "--yes").exit_code == 0
    assert let_in() == (["kim"], ["kim"])


def test_a_broken_profile_keeps_nobody_from_closing_the_door() -> None:
    run("closed", "--count", "10")  # makes the journal
    journal = open_journal(Path("data/journal.sqlite3"))
    with journal.writing() as writing:
        memos.accept(writing.connection, "orchard", Path("duskfold.toml").read_text(), now())
    journal.close()
    declare(SITE.replace("51.5", "91.5") + ONE)
    result = run("closed", "--count", "12")
    assert result.exit_code == 0
    assert result.output.count("the one the reminders use is used instead") == 1
    assert "Walnut: somebody at the terminal shut the door at 16:20, all 12 in." in result.output


def test_test_alert_sends_over_every_way_and_says_what_came_of_it(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    authority = Authority()
    monkeypatch.setenv("SSL_CERT_FILE", str(authority.file(tmp_path)))
    monkeypatch.setenv("DUSKFOLD_MAIL_PASSWORD", PASSWORD)
    with PushSink() as push, SmtpSink(authority) as smtp:
        declare(
            SITE
            + ONE
            + f'[[person]]\nname = "Ana"\npush = "{push.url}/ana"\nmail = "ana@example.org"\n'
            + f'[mail]\nhost = "127.0.0.1"\nport = {smtp.port}\nuser = "{USER}"\n'
            + 'from = "coop@example.net"\n'
        )
        # The certificates are of today, so this one command runs on the machine's clock.
        result = CliRunner().invoke(app, ["test-alert", "ana", "--json"])
        assert result.exit_code == 0, result.output
        assert [one["outcome"] for one in json.loads(result.stdout)["channels"]] == ["sent", "sent"]
        assert push.wait_shown("ana")[0].said["title"].startswith("Duskfold test")
        assert smtp.accepted.wait()[0].recipient == "ana@example.org"
        push.script(Reply(status=403))
        refused = CliRunner().invoke(app, ["test-alert", "ana"])
        assert refused.exit_code == 1
        assert "the address was refused" in refused.output


def test_test_alert_asks_for_no_secret_of_ways_that_are_not_theirs() -> None:
    with PushSink() as push:
        declare(
            SITE
            + ONE
            + f'[[person]]\nname = "Ana"\npush = "{push.url}/ana"\n'
            + '[[person]]\nname = "Kim"\nmail = "kim@example.org"\n'
            + f'[mail]\nhost = "127.0.0.1"\nuser = "{USER}"\nfrom = "coop@example.net"\n'
        )
        assert run("test-alert", "ana").exit_code == 0
    missing = run("test-alert", "kim")
    assert missing.exit_code == 1
    assert "the secret mail-password is missing" in missing.output
    health = " ".join(run("health").output.split())
    assert "mail-password is missing" in health
    assert "Kim cannot be told in any other way." in health


def test_the_supervisor_hears_what_it_is_told(tmp_path: Path) -> None:
    # sd_notify(3): a datagram to the socket that NOTIFY_SOCKET names.
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
        ear.bind(str(tmp_path / "notify"))
        ear.settimeout(5)
        notify("READY=1", {"NOTIFY_SOCKET": str(tmp_path / "notify")})
        assert ear.recv(100) == b"READY=1"
    notify("WATCHDOG=1", {"NOTIFY_SOCKET": str(tmp_path / "gone")})
    notify("WATCHDOG=1", {})


def test_k3_a_missing_bird_stands_in_health_and_today_until_it_is_ended() -> None:
    run("closed", "--count", "11")
    run("not-found")
    [walnut] = json.loads(run("health", "--json").stdout)["tonight"]
    assert (walnut["state"], walnut["missing"]) == ("shut", 1)
    assert "shut, 1 not found yet" in run("health").output
    assert "\n  1 not found yet.\n" in run("today").output
    later = "2026-12-23T12:00:00Z"
    told = " ".join(run("today", at=later).output.split())
    assert "12 hens in the profile 1 still missing since Mon 21 Dec: 11 expected. Found" in told
    run("dead", at=later)
    assert "missing" not in (today := run("today", at=later).output)
    assert "Walnut: 12 hens in the profile\n  1 dead or given up for lost: 11 expected.\n" in today
    late = run("found", "--count", "1", "--evening", "2026-12-21", at=later)
    assert late.exit_code == 2
    assert re.search(r"nothing was changed. Since then: .* said on .* 1 died", late.output)


def test_k6_light_has_no_times_for_a_house_without_birds() -> None:
    declare(SITE + TWO.replace("hens = 8", "hens = 8\narrived = 2026-12-23") + PEOPLE)
    shown = run("light", "--coop", "barn", "--from", "2026-12-22", "--to", "2026-12-23").output
    *_, without, with_birds = shown.splitlines()
    assert without.count("no birds") == 4
    assert "16:1" in with_birds
    ahead = ("--date", "2026-12-22", "--json")
    of_light = json.loads(run("light", "--coop", "barn", *ahead).output)
    [of_today] = [
        one for one in json.loads(run("today", *ahead).output)["coops"] if one["coop"] == "barn"
    ]
    for facts in (of_light, of_today):
        assert (facts["letout"], facts["letout_none"]) == (None, "nobody slept there")
        assert (facts["range_from"], facts["range_none"]) == (None, "no birds")


def taken_over(text: str) -> None:
    """The profile is in force, as when the reminders have taken it over."""
    declare(text)
    Path("data").mkdir(mode=0o700, exist_ok=True)
    journal = open_journal(Path("data/journal.sqlite3"))
    with journal.writing() as writing:
        memos.accept(writing.connection, "orchard", text, datetime(2026, 12, 21, 12, tzinfo=UTC))
    journal.close()


def test_today_asks_after_a_door_that_nobody_confirmed_last_night() -> None:
    taken_over(SITE + TWO + PEOPLE)
    run("closed", "--coop", "barn")
    morning = "2026-12-22T09:00:00Z"
    asked = run("today", at=morning).output
    assert "\nWalnut: nobody said that the door was shut last night. " in asked
    assert "Barn: nobody said" not in asked
    assert "nobody said" not in run("today", at="2026-12-22T17:00:00Z").output
    assert "nobody said" not in run("today", "--date", "2026-12-23", at=morning).output
    run("closed", "--coop", "walnut", "--evening", "2026-12-21", at=morning)
    assert "nobody said" not in run("today", at=morning).output


def test_today_asks_after_no_door_of_before_there_were_reminders() -> None:
    taken_over(SITE + ONE + PEOPLE)
    assert "nobody said" not in run("today", at="2026-12-21T12:30:00Z").output


def test_a_door_is_shut_for_the_site_that_the_reminders_watch_though_its_name_is_another() -> None:
    taken_over(SITE + ONE + PEOPLE)
    declare((SITE + ONE + PEOPLE).replace('"Orchard"', '"Meadow"'))
    result = run("closed", "--json", "--by", "Ana")
    assert said(result)[0]["coop"] == "walnut"
    assert 'Write id = "orchard" there, or an id of its own' in result.stderr
    # An id of its own is another place, with a diary of its own.
    declare((SITE + ONE + PEOPLE).replace('"Orchard"', '"Meadow"\nid = "meadow"'))
    assert run("closed", "--by", "Kim").stderr == ""
    journal = open_journal(Path("data/journal.sqlite3"))
    with journal.reading() as connection:
        said_of = {site: closings.closings(connection, site) for site in ("orchard", "meadow")}
    journal.close()
    assert {site: [one.who for one in told] for site, told in said_of.items()} == {
        "orchard": ["Ana"],
        "meadow": ["Kim"],
    }


def test_check_asks_of_a_person_who_was_renamed_until_it_is_answered() -> None:
    renamed = (SITE + ONE + PEOPLE).replace('"Kim"', '"Kimberly"')
    taken_over(renamed)
    journal = open_journal(Path("data/journal.sqlite3"))
    with journal.writing() as writing:
        at = datetime(2026, 12, 21, 12, tzinfo=UTC)
        access.keep_only(writing.connection, "orchard", ["ana", "kim"], at)
        access.keep_only(
            writing.connection, "orchard", ["ana", "kimberly"], at, {"kim": "kimberly"}
        )
    journal.close()
    assert (
        '"kim" is gone and Kimberly is new. If only the name has changed, write id = "kim" beside '
        "it in [[person]], and the old addresses, links and sign-ins go on."
    ) in run("check").output
    declare(renamed.replace('"Kimberly"', '"Kimberly"\nid = "kim"'))
    assert "is new. If" not in run("check").output


def test_check_asks_who_may_only_have_another_name_before_the_profile_is_taken_over() -> None:
    taken_over(SITE + ONE + PEOPLE)
    renamed = (SITE + ONE + PEOPLE).replace('"Kim"', '"Kimberly"')
    # Somebody else comes at the same time: who is told in the same way is the one.
    declare(renamed + '[[person]]\nname = "Sam"\nmail = "sam@example.org"\n')
    asked = run("check")
    assert asked.exit_code == 0
    assert (
        "Kim is gone and Kimberly is new, so the addresses, links and sign-ins of that name end "
        'with Kim. If only the name has changed, write id = "kim" beside it in [[person]].'
    ) in asked.output
    declare((SITE + ONE + PEOPLE).replace('"Orchard"', '"Meadow"'))
    assert (
        "The site was Orchard and is Meadow, and has no id. If only the name has changed, write "
        'id = "orchard" beside it in [site]. If it is another place, give it an id of its own.'
    ) in run("check").output
    declare(renamed.replace('"Kimberly"', '"Kimberly"\nid = "kim"'))
    assert "is new" not in run("check").output
