"""An update between heads-up and "now": the base's program begins the evening, this one ends it.

What the household holds from the program before must go on working: buttons, links, sign-ins,
calendars, the return topic, what the push server holds. Nothing comes twice, nothing is lost.
"""

import json
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from signal import SIGKILL
from typing import Any
from urllib.parse import urlsplit

import pytest

from tests.faults.house import (
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    ROOT,
    SITE,
    TOPIC_SECRET,
    House,
)
from tests.recorder.__main__ import BASE, NoHistory, checked_out
from tests.sinks.authority import Authority
from tests.sinks.push import Event, PushSink
from tests.sinks.smtp import PASSWORD, USER, SmtpSink
from tests.unhurried import unhurried

pytestmark = [pytest.mark.slow, unhurried]
WEB = '[web]\nbase_url = "https://hens.example.org"\n'
BODY = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE + WEB
KEY = "5J" * 21 + "5"
NOON = datetime.fromisoformat("2026-12-21T12:30:00+00:00")
HEADS_UP = datetime.fromisoformat("2026-12-21T15:48:30+00:00")  # lock-up is at 16:18
UPDATED = HEADS_UP + timedelta(minutes=12)
END = datetime.fromisoformat("2026-12-21T18:00:00+00:00")
LEASE = timedelta(minutes=3)
Build = Callable[..., House]


@pytest.fixture(scope="session")
def before() -> Iterator[Path]:
    """The program as it was at the base."""
    with ExitStack() as stack:
        try:
            checkout = stack.enter_context(checked_out(BASE))
        except (NoHistory, OSError) as fault:
            pytest.skip(f"the history is not here: git fetch --unshallow ({fault})")
        yield checkout


@dataclass
class Household:
    """A household whose program is exchanged, between servers that stay."""

    folder: Path
    push: PushSink
    smtp: SmtpSink
    ca_file: Path
    at: datetime = NOON

    def __post_init__(self) -> None:
        text = BODY.replace("{push}", self.push.url).replace("{mail}", str(self.smtp.port))
        text = text.replace("{secret}", TOPIC_SECRET).replace("{user}", USER)
        (self.folder / "duskfold.toml").write_text(text)
        self.data.mkdir(mode=0o700)
        (self.data / "signing.key").write_text(KEY)
        (self.data / "signing.key").chmod(0o600)

    @property
    def data(self) -> Path:
        """Where the program keeps everything."""
        return self.folder / "data"

    def under(self, checkout: Path, *ask: tuple[Any, ...]) -> list[Any]:
        """That checkout's program runs, is asked that and dies; its answers."""
        given = {
            "profile": str(self.folder / "duskfold.toml"),
            "data": str(self.data),
            "at": self.at.isoformat(),
            "boot_s": 1000.0 + (self.at - NOON).total_seconds(),
            "secrets": {"DUSKFOLD_MAIL_PASSWORD": PASSWORD},
            "ask": ask,
        }
        ran = subprocess.run(
            [sys.executable, "-m", "tests.recorder.stage"],
            cwd=checkout,
            env={"SSL_CERT_FILE": str(self.ca_file), "LC_ALL": "C.UTF-8"},
            input=json.dumps(given),
            capture_output=True,
            text=True,
            check=False,
        )
        assert ran.returncode == 0, ran.stderr
        self.at = max([self.at, *(_instant(one) for one in ask if one[0] in {"go", "claim"})])
        return list(json.loads(ran.stdout))

    @property
    def rang(self) -> list[Event]:
        """What rang on the phones, in order."""
        return [one for one in self.push.events.all() if one.event == "message"]

    @property
    def heard(self) -> list[tuple[str, str, str]]:
        """Everything that reached somebody: where, its id, its words."""
        pushes = [
            (one.topic, str(one.said["sequence_id"]), f"{one.said['title']}\n{one.text}")
            for one in self.rang
        ]
        mails = [
            (one.recipient, one.message_id, one.wire.decode()) for one in self.smtp.mails.all()
        ]
        return sorted(pushes + mails)

    @property
    def ids(self) -> list[tuple[str, str]]:
        """Where each message came, and its id."""
        return [(where, message_id) for where, message_id, _ in self.heard]

    @property
    def held(self) -> dict[tuple[str, str], tuple[float, str]]:
        """What the push server would ring by itself: for whom, by which id, when, its title."""
        return {key: (at, one.said["title"]) for key, (at, one) in self.push.held.items()}


def _instant(one: tuple[Any, ...]) -> datetime:
    return datetime.fromisoformat(one[1])


@contextmanager
def _household(folder: Path) -> Iterator[Household]:
    authority = Authority()
    folder.mkdir()
    with PushSink() as push, SmtpSink(authority) as smtp:
        yield Household(folder=folder, push=push, smtp=smtp, ca_file=authority.file(folder))


@pytest.fixture
def household(tmp_path: Path) -> Iterator[Household]:
    """Ana by push, Kim by push and mail, one house of twelve, 21 December."""
    with _household(tmp_path / "household") as found:
        yield found


def minutes(since: datetime, until: datetime, step: int = 5) -> list[tuple[str, str]]:
    """A look every so many minutes from then to then."""
    count = (until - since) // timedelta(minutes=step)
    return [("go", (since + timedelta(minutes=step * n)).isoformat()) for n in range(count + 1)]


def until_heads_up(household: Household, checkout: Path) -> None:
    """That program runs from noon to the heads-up and is killed after it."""
    household.under(checkout, ("start",), *minutes(NOON, HEADS_UP), ("go", HEADS_UP.isoformat()))
    assert len(household.rang) == 1, "no heads-up"


# -- the evening itself ------------------------------------------------------------------------


@dataclass(frozen=True)
class Evening:
    """What reached people, and what the push server would ring at the end."""

    heard: list[tuple[str, str, str]]
    held: dict[tuple[str, str], tuple[float, str]]


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory: pytest.TempPathFactory) -> Evening:
    """The evening as it is without an update, started and killed as often."""
    with _household(tmp_path_factory.mktemp("undisturbed") / "household") as household:
        until_heads_up(household, ROOT)
        household.under(ROOT, ("start",), *minutes(UPDATED, END))
        assert len(household.heard) > 8, "not much of an evening"
        return Evening(heard=household.heard, held=household.held)


def test_the_evening_is_the_same_as_without_an_update(
    household: Household, before: Path, undisturbed: Evening
) -> None:
    until_heads_up(household, before)
    household.under(ROOT, ("start",), *minutes(UPDATED, END))
    # The same messages to the same people; in the words of the program that sends them.
    assert household.ids == [(where, message_id) for where, message_id, _ in undisturbed.heard]
    assert {key: rings_s for key, (rings_s, _) in household.held.items()} == {
        key: rings_s for key, (rings_s, _) in undisturbed.held.items()
    }


def test_what_the_push_server_holds_stays_one_message_until_the_door_is_shut(
    household: Household, before: Path
) -> None:
    until_heads_up(household, before)
    held = household.held
    assert {topic.partition("-")[0] for topic, _ in held} == {"ana", "kim"}
    household.under(ROOT, ("start",), ("go", UPDATED.isoformat()))
    assert household.held == held
    household.under(ROOT, ("start",), ("say", "closed", "--count", "12"), *minutes(UPDATED, END))
    assert household.held == {}
    assert not [one for one in household.rang if "delay" in one.said], "it rang though all was shut"


def test_killed_after_the_claim_the_message_goes_out_once_and_the_evening_is_whole(
    household: Household, before: Path, undisturbed: Evening
) -> None:
    household.under(before, ("start",), *minutes(NOON, HEADS_UP), ("claim", HEADS_UP.isoformat()))
    assert household.rang == []
    held = household.held
    assert held
    soon = (HEADS_UP + timedelta(seconds=10)).isoformat()
    household.under(ROOT, ("start",), ("go", soon))
    assert household.rang == [], "the lease of the program before was not kept"
    assert household.held == held
    household.under(ROOT, ("start",), ("go", (HEADS_UP + LEASE).isoformat()))
    assert len(household.rang) == 1
    household.under(ROOT, ("start",), *minutes(UPDATED, END))
    assert household.ids == [(where, message_id) for where, message_id, _ in undisturbed.heard]
    assert household.held == undisturbed.held


# -- what people hold of the program before ----------------------------------------------------


@dataclass(frozen=True)
class Held:
    """What one person has from the program before, and what this one says to it."""

    links: dict[str, str]  # an evening's page, by where its link stands
    answered: dict[str, tuple[int, dict[str, str], str]]
    feeds: dict[str, tuple[str, str]]  # by path: as it was, as it is
    tonight: tuple[int, dict[str, str], str]
    addresses: tuple[str, str]


@pytest.fixture(scope="module")
def held(before: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Held]:
    """Signed in, subscribed and reminded under the program before, and asked under this one."""
    with _household(tmp_path_factory.mktemp("held") / "household") as household:
        until_heads_up(household, before)
        shown, links = household.under(
            before, ("say", "links", "--sign-in", "Ana"), ("say", "links", "--json")
        )
        sign_in = _path(r"/sign-in/\S+", shown[1])
        paths = [urlsplit(one["url"]).path for one in json.loads(links[1])["links"]]
        calendars = [path for path in paths if path.endswith(".ics")]
        [tonight] = [path for path in paths if path.startswith("/tonight/") and "ana" in links[1]][
            :1
        ]
        entered, *were = household.under(
            before,
            ("visit", sign_in, {}, ""),
            *(("visit", path, None, "") for path in calendars),
        )
        cookie = entered[1]["set-cookie"].partition(";")[0]
        unfolded = "".join(body.replace("\r\n ", "") for _, _, body in were)
        today = rf"/evening/{NOON.date()}"
        pages = {
            "message": urlsplit(household.rang[0].said["click"]).path,
            "calendar": _path(rf"{today}/ana/[\w-]+", unfolded),
        }
        ask = {
            "signed in": ("visit", "/", None, cookie),
            "stranger": ("visit", "/", None, cookie.replace("=", "=x")),
            **{name: ("visit", path, None, "") for name, path in pages.items()},
            "tonight": ("visit", tonight, None, ""),
            "addresses": ("say", "links", "--json"),
        }
        feeds = [("visit", path, None, "") for path in calendars]
        # The calendars are published anew first.
        household.at = UPDATED
        _, _, *said = household.under(
            ROOT, ("start",), ("go", UPDATED.isoformat()), *ask.values(), *feeds
        )
        answered = dict(zip(ask, said, strict=False))
        are = said[len(ask) :]
        yield Held(
            links=pages,
            answered=answered,
            feeds={
                path: (was[2], now[2]) for path, was, now in zip(calendars, were, are, strict=True)
            },
            tonight=answered["tonight"],
            addresses=(links[1], answered["addresses"][1]),
        )


def _path(pattern: str, text: str) -> str:
    found = re.search(pattern, text)
    assert found, text
    return found[0]


def test_who_was_signed_in_stays_signed_in(held: Held) -> None:
    status, _, page = held.answered["signed in"]
    assert status == 200
    assert "<h2" in page
    assert held.answered["stranger"][0] == 403


@pytest.mark.parametrize("where", ["message", "calendar"])
def test_a_link_from_before_opens_the_evening(held: Held, where: str) -> None:
    status, _, page = held.answered[where]
    assert status == 200
    assert f'action="{held.links[where]}"' in page, "nothing can be answered there"


def test_every_calendar_address_is_the_same_and_answers(held: Held) -> None:
    was, now = held.addresses
    assert json.loads(now) == json.loads(was)
    assert len(held.feeds) > 5
    assert held.tonight[0] == 200
    assert json.loads(held.tonight[2])["version"] == 1


def test_every_event_keeps_its_identity_and_no_number_falls(held: Held) -> None:
    for path, (was, now) in held.feeds.items():
        assert _numbers(was), path
        assert _numbers(now).keys() == _numbers(was).keys(), path
        # An event whose words are others has another number, once; none falls.
        assert all(int(number) >= int(_numbers(was)[uid]) for uid, number in _numbers(now).items())


def _numbers(calendar: str) -> dict[str, str]:
    """The SEQUENCE of each event by its UID."""
    found = {}
    for event in calendar.replace("\r\n ", "").split("BEGIN:VEVENT\r\n")[1:]:
        lines = dict(line.partition(":")[::2] for line in event.splitlines())
        found[lines["UID"]] = lines.get("SEQUENCE", "")
    return found


def test_what_is_answered_by_a_link_from_before_counts(household: Household, before: Path) -> None:
    until_heads_up(household, before)
    link = urlsplit(household.rang[0].said["click"]).path
    *_, page = household.under(ROOT, ("start",), ("visit", link, None, ""))
    form = re.search(rf'<form[^>]*action="{link}".*?</form>', page[2], re.DOTALL)
    assert form
    fields = dict(re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"', form[0]))
    fields |= dict(re.findall(r'<button[^>]*name="([^"]+)" value="([^"]*)"', form[0])[:1])
    rang = len(household.rang)
    [said, *_] = household.under(
        ROOT, ("visit", link, fields, ""), ("start",), *minutes(UPDATED, END)
    )
    assert said[0] == 303
    assert not [one for one in household.rang[rang:] if one.said.get("priority", 3) >= 4]
    assert household.held == {}


def test_a_button_from_before_is_heard_over_the_same_return_topic(
    build: Build, before: Path
) -> None:
    house = build(body=BODY, checkout=before)
    house.start()
    house.set_clock(HEADS_UP)
    house.settle()
    old = house.phone_events("ana")[-1]
    assert house.stop() == 0
    house.checkout = ROOT
    house.start()
    house.at("16:19")
    new = house.phone_events("ana")[-1]
    assert new.id != old.id
    assert {one["url"] for one in new.said["actions"]} == {
        one["url"] for one in old.said["actions"]
    }
    assert house.push.press(old) == 200
    house.wait(lambda: house.rows("SELECT count(*) FROM closing") == [(1,)], "it was not heard")
    house.at("16:50")
    assert [one.id for one in house.phone_events("ana")] == [old.id, new.id]
    assert house.phone_events("kim") == []
    assert house.push.held == {}


def test_killed_before_the_server_has_said_that_it_took_the_message(
    build: Build, before: Path
) -> None:
    house = build(body=BODY, checkout=before)
    house.start()
    house.settle()
    held = dict(house.push.held)
    assert held
    house.push.on_publish = lambda event: None if "delay" in event.said else house.signal(SIGKILL)
    house.set_clock(HEADS_UP)
    house.ended()
    house.push.on_publish = lambda _: None
    house.checkout = ROOT
    house.start()
    house.set_clock(HEADS_UP + LEASE)
    house.settle()
    first, second = house.phone_events("ana")
    assert first.said["sequence_id"] == second.said["sequence_id"], "the second copy has another id"
    rows = house.rows(
        "SELECT state, attempts, maybe FROM delivery WHERE step = 'heads-up' AND operation = 'send'"
    )
    assert rows == [("sent", 2, 1)]
    assert set(house.push.held) == set(held)
