"""What is wrong with the reminders is one list: banner, Status, `health`, `tonight.json` agree."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from html import unescape
from pathlib import Path
from typing import cast

import pytest

from scheduler.alerts.delivery import (
    ChannelName,
    Delivery,
    Key,
    Matter,
    Message,
    Outcome,
    OutcomeKind,
)
from scheduler.alerts.outcome import Next
from scheduler.alerts.step import decode
from scheduler.cli.compose import Session
from scheduler.cli.screens.health import show
from scheduler.journal import claims, deliveries, outcomes
from scheduler.journal.outcomes import CameOf
from scheduler.service.data_place import DataPlace
from scheduler.service.health.report_health import Health, report_health
from scheduler.service.health.tick_file import HEALTH_NAME, Pulse, write_pulse
from tests.faults.house import SITE, TWO_COOPS, WINTER, House, household
from tests.web.front import Front, front, link_of

RELY = "Do not rely on the reminders now"
SENT = Outcome(kind="sent")


def failed(kind: OutcomeKind, reason: str) -> Outcome:
    return Outcome(kind=kind, reason=reason)


REFUSED = failed("bad address", "not allowed (403)")
PASSED = failed("transient", "the connection was refused")
PASSWORD = failed("misconfigured", "wrong password")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What is done, and what is to be said: `counts` as a fault, `noted` as a note."""

    pulse: Mapping[str, object] | None = field(default_factory=dict)
    tries: Sequence[tuple[str, ChannelName, Outcome]] = ()
    counts: str = ""
    noted: str = ""


CASES = {
    "all is well": Case(),
    "not running": Case(pulse=None, counts="The reminders are not running."),
    "silent": Case(pulse={"boot_s": 1.0}, counts="have not been heard from since"),
    "stopped": Case(pulse={"stopped": True}, counts="not running. They were stopped on"),
    "clock behind": Case(pulse={"trust": "untrusted"}, counts="a time that is already past"),
    "clock ahead": Case(pulse={"trust": "doubtful"}, counts="far ahead of what it showed before"),
    "not written": Case(
        pulse={"complete_boot_s": None, "fault": "disk full"}, counts="what they do: disk full."
    ),
    "a house without a plan": Case(pulse={"unplanned": ("Walnut",)}, counts="reminders for Walnut"),
    "not followed": Case(pulse={"not_followed": "nobody"}, counts="is not in force: nobody."),
    "a wrong profile": Case(pulse={"profile_problems": 2}, counts="cannot be used, so the old one"),
    "deaf": Case(pulse={"deaf": "no line"}, counts="Answers from phones do not arrive: no line."),
    "one of two ways refused": Case(
        tries=[("kim", "push", REFUSED)], noted="Nothing reaches Kim by push: not allowed (403)."
    ),
    "one of two ways failed": Case(
        tries=[("kim", "mail", PASSED)],
        noted="The last message to Kim by mail did not get through: the connection was refused.",
    ),
    "a retry has mended it": Case(tries=[("kim", "mail", PASSED), ("kim", "mail", SENT)]),
    "whoever is on duty is refused": Case(
        tries=[("ana", "push", REFUSED)], counts="Ana cannot be told (push: not allowed (403))."
    ),
    "the last to whoever is on duty failed": Case(
        tries=[("ana", "push", PASSED)],
        counts="The last messages to Ana did not get through (push: the connection was refused).",
    ),
    "both ways of one": Case(
        tries=[("kim", "push", PASSED), ("kim", "mail", PASSWORD)],
        counts="The last messages to Kim did not get through (push: the connection was refused; ",
    ),
    "nothing gets through": Case(
        tries=[("ana", "push", PASSED), ("kim", "push", PASSED), ("kim", "mail", PASSED)],
        counts="The last messages did not get through (Ana by push: the connection",
    ),
    "every way refused": Case(
        tries=[("ana", "push", REFUSED), ("kim", "push", REFUSED), ("kim", "mail", PASSWORD)],
        counts="No reminders go out, because nobody can be told (Ana by push: not allowed (403); ",
    ),
}


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    with household(tmp_path_factory.mktemp("one")) as house, front(house, published=False) as found:
        yield found
        forget(house)  # nothing of it was ever on the wire, as the house would ask at its end


def forget(house: House) -> None:
    """Leaves nothing of what was attempted."""
    with house.journal() as journal, journal.writing() as writing:
        for table in ("attempt", "delivery"):
            writing.connection.exec_driver_sql(f"DELETE FROM {table}")  # noqa: S608 - of two names


def attempt(house: House, number: int, person: str, channel: ChannelName, came: Outcome) -> None:
    """A message to that person, and what came of it."""
    key = Key(
        site_id="orchard", subject_id="orchard", day=WINTER, step=decode(f"note-{number}"),
        opening=0, person_id=person, channel=channel,
    )  # fmt: skip
    matter = Matter(words=Message(title="Note", body="Note", stem="Note"))
    useful = house.now + timedelta(days=1)
    one = Delivery(key=key, matter=matter, due_at=house.now, useful_until=useful)
    with house.journal() as journal, journal.writing() as writing:
        deliveries.add(writing.connection, [one])
        [claimed] = claims.claim(writing.connection, "orchard", channel, house.now, 1)
        follows = Next(state="sent" if came.kind == "sent" else "dead")
        outcomes.settle(writing.connection, [CameOf(claimed, came, follows, house.now)])


def arrange(pages: Front, case: Case) -> None:
    house = pages.house
    forget(house)
    for number, (person, channel, came) in enumerate(case.tries):
        attempt(house, number, person, channel, came)
    if case.pulse is None:
        (house.data / HEALTH_NAME).unlink(missing_ok=True)
        return
    boot_s = house.readings.boot_s
    usual = Pulse(
        wall=house.now.isoformat(), boot_s=boot_s, complete_boot_s=boot_s, trust="trusted",
        profile_number=1, oldest_tick_s=600.0,
    )  # fmt: skip
    told = dict(case.pulse)
    if "boot_s" in told:
        told["boot_s"] = boot_s - 900.0
    write_pulse(house.data, replace(usual, **told))  # type: ignore[arg-type] # of many kinds


class Asked:
    """A run of `duskfold health` that found this."""

    household_in_force = None  # only asked what is not given

    def __init__(self, health: Health) -> None:
        self.health = health

    def report_health(self) -> Health:
        return self.health

    def secrets_not_given(self, _: None) -> tuple[str, ...]:
        return ()


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_every_outlet_says_the_same(
    pages: Front, case: Case, capsys: pytest.CaptureFixture[str]
) -> None:
    arrange(pages, case)
    house = pages.house
    health = report_health(DataPlace(house.data), pages.household(), house.readings)
    counts = [one for one in health.causes if one.counts]
    assert [case.counts in one.what for one in counts] == [True] * bool(case.counts)
    # No watch has run here: nothing would ring if it stopped, which is said of each case alike.
    notes = [one for one in health.notes if "If this machine stopped now" not in one]
    assert [case.noted in one for one in notes] == [True] * bool(case.noted)
    status = unescape(pages.get("/status", who="ana").text)
    week = unescape(pages.get("/week", who="ana").text)
    assert (RELY in status, RELY in week) == (bool(counts), bool(counts))
    assert (case.counts in status, case.counts in week) == (True, True)
    assert case.noted in status
    for path in ("/nonsense", "/"):  # to a stranger: that, and not why
        stranger = unescape(pages.get(path).text)
        assert (RELY in stranger) == bool(counts), path
        assert not case.counts or case.counts not in stranger, path
    told = json.loads(pages.get(pages.tonight()).text)
    assert told["reliable"] is not bool(counts)
    assert told["faults"] == [one.what for one in counts]
    try:
        show(cast("Session", Asked(health)), json=False)
        ended = 0
    except SystemExit as ending:
        ended = int(str(ending.code))
    assert ended == bool(counts)
    said = " ".join(capsys.readouterr().out.split())
    assert case.counts in said
    assert case.noted in said


def test_every_page_of_an_error_says_that_nobody_can_be_told(tmp_path: Path) -> None:
    nobody = SITE + TWO_COOPS + '[[person]]\nname = "Ana"\n'
    with household(tmp_path, body=nobody) as house, front(house, published=False) as pages:
        arrange(pages, Case())
        elsewhere = pages.ask("POST", "/jobs", {"Sec-Fetch-Site": "cross-site"})
        large = pages.post("/jobs", {"job": "x" * 9000}, who="ana")
        replies = {
            404: pages.get("/nonsense"),
            403: elsewhere,
            405: pages.ask("DELETE", "/week"),
            413: large,
        }
        for status, reply in replies.items():
            assert reply.status == status
            assert RELY in reply.text, status
        welcome = pages.get(pages.invitation("ana")).text
        assert "Nobody can be told about it right now." in welcome
        assert "hears of it" not in welcome
        journal, aside = house.data / "journal.sqlite3", house.data / "aside"
        journal.rename(aside)
        unread = pages.get("/week", who="ana")
        aside.rename(journal)
        assert unread.status == 503
        assert RELY in unread.text


def test_whoever_presses_too_often_reads_on_a_page_what_to_do(pages: Front) -> None:
    arrange(pages, CASES["not running"])
    for _ in range(31):
        reply = pages.post("/add", {"kind": "nonsense"}, who="kim")
    assert reply.status == 429
    assert reply.headers["retry-after"] == "600"
    assert RELY in reply.text
    assert "You have pressed that too often" in reply.text


@pytest.mark.parametrize("doubted", ["clock ahead", "clock behind"])
def test_the_banner_of_a_doubted_clock_leads_to_where_it_is_answered(
    pages: Front, doubted: str
) -> None:
    arrange(pages, CASES[doubted])
    assert 'href="/status/clock"' in pages.get("/status", who="ana").text
    assert '<a href="/status">Say so on Status</a>' in pages.get("/week", who="ana").text
    link = link_of(pages)
    assert "Say so on Status" not in pages.get(link).text, "who is not signed in cannot"


def test_a_test_that_lacks_a_secret_names_no_variable(tmp_path: Path) -> None:
    with household(tmp_path, environment={"DUSKFOLD_MAIL_PASSWORD": ""}) as house:
        with front(house, published=False) as pages:
            sent = pages.post("/status/test", {}, who="kim")
            reply = pages.get(sent.headers["location"], who="kim")
        assert "Mail: not sent. The password of the mail server is missing." in reply.text
        assert "DUSKFOLD_" not in reply.text
