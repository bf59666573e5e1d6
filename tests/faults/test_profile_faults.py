"""F1–F10 of FAULTS.md: profiles edited, broken, half-written, huge, hostile."""

import os
import subprocess
import sys
import time
import unicodedata
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes
from email.policy import default as modern
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduler.alerts.delivery import Message, Outgoing
from scheduler.channels.letter import composed
from scheduler.channels.ntfy_message import content
from scheduler.channels.wire_text import shortened
from scheduler.journal.store import open_journal
from scheduler.machine.secrets import SecretFault, secret
from scheduler.profile.text_fields import forbidden_character
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.household.open_profile import Household, read_profile
from tests.faults.house import (
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    ROOT,
    SITE,
    TWO_COOPS,
    House,
)
from tests.faults.test_clock import HOUSEKEEPING
from tests.sinks.push import shown_title
from tests.sinks.smtp import PASSWORD, USER
from tests.unhurried import UNHURRIED, unhurried

Build = Callable[..., House]
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
AGAIN = "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
NEXT = "Nobody has said it is shut: Walnut, 12 hens, due 16:33"
REFUSED = "The changed profile has 1 problem, so the old one is still in force"


TICKS_ALONE = """
import sys
from datetime import timedelta
sys.argv = sys.argv[3:]
from scheduler.watch import metronome
metronome._HOUSEKEEPING_FIRST = timedelta(days=1)
from tests.faults.root import main
sys.exit(main())
"""


@pytest.fixture
def house(build: Build) -> House:
    """The usual house with a shorter tick."""
    return build(period_s=0.03)


def taken_over(house: House, number: int) -> None:
    house.wait(lambda: house.pulse and house.pulse.profile_number == number, "not taken over")
    house.settle()


def test_f1_an_open_evening_keeps_its_ladder_its_people_and_its_count(house: House) -> None:
    house.start()
    house.at("16:19")
    late = '[lockup]\nbasis = "sunset"\nafter_sunset = "90 min"\n'
    house.write_profile(house.body.replace("hens = 12", "hens = 30") + late)
    taken_over(house, 2)
    house.at("16:27")
    house.at("16:34")
    assert house.phone("ana")[-2:] == [NOW, AGAIN]
    assert house.phone("kim") == [NEXT]
    house.say(count=12)
    house.at("16:36")
    assert house.phone("kim")[-1] == "Nan shut the door at 16:34, all 12 in. Nothing to do."
    house.at("16:40", house.day + timedelta(days=1))
    house.at("17:30")
    assert house.phone("ana")[-1].startswith("Lock up now: Walnut, 30 hens, by ")


@unhurried
def test_f1_who_has_left_is_not_called_and_who_is_new_comes_tomorrow(house: House) -> None:
    house.start()
    house.at("16:19")
    kim = PEOPLE.index('[[person]]\nname = "Kim"')
    lea = PEOPLE[kim:].replace("Kim", "Lea").replace("kim", "lea")
    house.write_profile(house.body.replace(PEOPLE[kim:], lea))
    taken_over(house, 2)
    for clock in ("16:27", "16:34"):
        house.at(clock)
    assert house.phone("ana")[-1] == NEXT, "the next one takes the step of who has left"
    assert house.phone("kim") == []
    assert house.smtp.accepted.all() == []
    left = "Kim is no longer reminded: from tomorrow Ana, then Lea"
    assert house.phone("lea") == [left]
    house.say(count=12)
    house.settle()
    house.at("12:30", house.day + timedelta(days=1))
    for clock in ("16:20", "16:27", "16:35"):
        house.at(clock)
    assert house.phone("lea") == [left, NEXT.replace("16:33", "16:34")]
    assert house.phone("kim") == []


def test_f1_what_was_confirmed_stays_confirmed(house: House) -> None:
    house.start()
    house.at("16:19")
    house.say(count=12)
    house.settle()
    told = house.phone("ana")
    house.write_profile(house.body.replace("hens = 12", "hens = 13"))
    taken_over(house, 2)
    house.at("17:30")
    assert house.phone("ana") == told


BROKEN = [
    ("latitude = 51.5", "latitude = 91.5"),
    ("latitude = 51.5", "latitude ="),
    ('timezone = "Europe/London"', 'timezone = "Europe/Londn"'),
    ("hens = 12", "hens = 0"),
    ("hens = 12", "hens = twelve"),
    ('name = "Walnut"', 'nane = "Walnut"'),
    ("[[coop]]", "[coop"),
    ('letout = "none"', 'letout = "nine"'),
    ('brief = "none"', 'brief = "25:00"'),
    ("port = {mail}", "port = 0"),
    ('region = "UK"', 'region = "Mars"'),
    ('from = "coop@example.net"', 'password = "straw"\nfrom = "coop@example.net"'),
]


@unhurried
def test_f2_a_broken_profile_changes_nothing_and_is_told_once(build: Build) -> None:
    house = build(period_s=0.03)
    house.start()
    house.at("15:50")
    whole = house.body
    for number, (old, new) in enumerate(BROKEN, start=1):
        assert old in whole
        house.set_clock(house.now + timedelta(seconds=61))
        house.write_profile(whole.replace(old, new))
        house.wait(lambda: house.pulse and house.pulse.profile_problems, f"not refused: {new}")
        house.settle()
        assert [fault for fault in house.faults if "the old one is still in force" in fault], "O9"
        for name in ("ana", "kim"):
            said = [
                title for title in house.phone(name) if "the old one is still in force" in title
            ]
            assert len(said) == number, f"not told once: {new}"
        house.write_profile(whole)
        house.wait(lambda: house.pulse and not house.pulse.profile_problems, "not mended")
        house.wait(lambda: house.faults == [], "health stays bad")
    house.at("16:19")
    assert house.phone("ana")[-1] == NOW
    assert "straw" not in house.log
    assert "straw" not in str([event.said for event in house.push.events.all()])


@unhurried
def test_f3_a_profile_that_is_being_written_is_not_loaded(build: Build) -> None:
    house = build(period_s=0.4)  # a part is written within a tick, on a busy machine too
    house.start()
    text = house.profile_path.read_text().replace("hens = 12", "hens = 11")
    # Without its last table the text is a whole profile, but another one: nobody gets mail.
    cuts = [0, len(text) // 2, text.index("[mail]"), len(text)]
    before = house.pulse
    with house.profile_path.open("w") as file:
        for start, end in pairwise(cuts):
            file.write(text[start:end])
            file.flush()
            seen = house.pulse
            house.wait(lambda seen=seen: house.pulse != seen, "no tick")  # type: ignore[misc] # mypy has no type for it
            assert house.pulse
            assert before
            assert (house.pulse.profile_problems, house.pulse.profile_number) == (0, 1)
    taken_over(house, 2)
    assert "profile.problem" not in house.log
    house.at("16:19")
    assert house.phone("ana") == [NOW.replace("12", "11")]


@unhurried
def test_f4_a_profile_that_is_broken_at_boot_gives_way_to_the_last_good_one(house: House) -> None:
    house.start()
    house.at("15:50")
    house.stop()
    house.write_profile(house.body.replace("latitude = 51.5", "latitude = 91.5"))
    house.start()
    house.at("16:19")
    assert REFUSED in house.phone("ana")
    assert NOW in house.phone("ana")
    house.wait(lambda: house.faults, "health does not know")
    house.write_profile(house.body.replace("latitude = 91.5", "latitude = 51.5"))
    house.wait(lambda: house.faults == [], "health stayed bad")


@unhurried
def test_f4_without_a_last_good_one_the_start_is_refused(house: House) -> None:
    house.write_profile(house.body.replace("latitude = 51.5", "latitude = 91.5"))
    house.start(ready=False)
    assert house.ended() == 2
    assert "site.latitude" in house.log
    house.write_profile(house.body.replace("latitude = 91.5", "latitude = 51.5"))


@unhurried
def test_f5_a_coop_that_is_deleted_runs_out_its_ladder(build: Build) -> None:
    house = build(body=SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE, period_s=0.03)
    house.start()
    house.at("16:19")
    house.write_profile(SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE)
    taken_over(house, 2)
    house.at("16:34")
    assert house.phone("kim") == ["Nobody has said it is shut: Walnut and Barn, 20 hens, due 16:33"]
    house.say(coop="walnut", count=12)
    house.at("16:44")
    assert house.phone("kim")[-1] == "Is the door shut? Barn, 8 hens, due 16:33"
    house.say(coop="barn", count=8)
    house.at("16:59")
    assert house.phone("kim")[-1].startswith("Nan shut the doors ")


@unhurried
def test_f5_the_days_of_a_deleted_coop_are_cancelled_in_the_feed(build: Build) -> None:
    early = '[coop.lockup]\nbasis = "sunset"\nafter_sunset = "5 min"\n'
    coops = TWO_COOPS.replace('name = "Barn"\n', f'name = "Barn"\n{early}', 1)
    house = build(body=SITE + coops + QUIET_MORNINGS + PEOPLE, period_s=0.03)
    house.start()
    house.at("16:05")
    assert any(title.startswith("Lock up now: Barn, 8 hens") for title in house.phone("ana"))
    request = FeedRequest(first=house.day, days=3)
    with house.journal() as journal:
        publish(journal, house.household(), request, house.now)
        house.write_profile(SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE)
        taken_over(house, 2)
        feed = publish(journal, house.household(), request, house.now)[0].content.decode()
    events = {
        event.split("UID:")[1].split("@")[0]: "STATUS:CANCELLED" in event
        for event in feed.split("BEGIN:VEVENT")[1:]
    }
    days = [house.day + timedelta(days=number) for number in range(3)]
    assert not events.get(f"lockup-barn-{house.day}"), "called off while the door is open"
    assert [events[f"lockup-barn-{day}"] for day in days[1:]] == [True, True]
    assert [events[f"lockup-walnut-{day}"] for day in days] == [False] * 3
    house.at("16:29")
    assert house.phone("kim") == ["Nobody has said it is shut: Barn, 8 hens, due 16:28"]
    house.say(coop="barn", count=8)
    assert house.rows("SELECT coop_id FROM closing") == [("barn",)]


def test_f5_a_flock_that_is_deleted_is_counted_this_evening(build: Build) -> None:
    second = '[[flock]]\nname = "Others"\nhens = 8\n'
    house = build(body=SITE + ONE_COOP + second + QUIET_MORNINGS + PEOPLE, period_s=0.03)
    house.start()
    house.at("16:19")
    house.write_profile(house.body.replace(second, ""))
    taken_over(house, 2)
    house.at("16:27")
    assert house.phone("ana")[-1] == AGAIN.replace("12", "20")


@unhurried
def test_f6_five_years_of_backlog_are_one_message(house: House) -> None:
    house.start()
    house.at("15:00")
    house.stop()
    house.set_clock(house.now.replace(year=2031), synchronised=True)
    began = time.monotonic()
    house.start()
    assert time.monotonic() - began < 10
    house.settle()
    # From 21 December 2026 to the evening before 21 December 2031, leap year 2028 included.
    assert house.phone("kim") == ["No reminders went out on 1,826 evenings since Mon 21 Dec"]
    days = house.rows("SELECT count(DISTINCT day) FROM delivery WHERE day > '2026-12-31'")
    assert days[0][0] <= 4


@unhurried
def test_f6_two_hundred_flocks_after_five_years_are_a_few_ticks(
    build: Build, capsys: pytest.CaptureFixture[str]
) -> None:
    coops = "".join(
        f'[[coop]]\nname = "House {n}"\n[[flock]]\nname = "Flock {n}"\n'
        f'coop = "house-{n}"\nhens = {n % 40 + 1}\n'
        for n in range(200)
    )
    # Ticks alone: whether housekeeping comes round before the end hangs on how busy the machine
    # is, and then it works on a year of two hundred calendars and forgets the evening of 2026.
    ticks_alone = [sys.executable, "-c", TICKS_ALONE]
    house = build(body=SITE + coops + QUIET_MORNINGS + PEOPLE, period_s=0.03, wrap=ticks_alone)
    house.start()
    house.at("16:19")
    assert house.phone("ana") == ["Lock up now: 200 houses, 4100 hens, by 16:33"]
    house.say()
    house.settle()
    house.stop()
    house.set_clock(house.local("16:19").replace(year=2031), synchronised=True)
    house.start()
    first_s = _busy_s(house)
    house.settle()
    assert first_s < 10, "start and first tick take too long"
    days = "SELECT count(DISTINCT day) FROM delivery WHERE day > '2026-12-31'"
    assert house.rows(days)[0][0] <= 4, "more than the window is planned"
    memory = [_resident_mb(house)]
    slowest_s = 0.0
    for number in range(1, 21):
        # Each of these ticks has the whole window to plan: the clock was set.
        began_s = _busy_s(house)
        house.set_clock(house.now + timedelta(seconds=30 * number), wall_only=True)
        next_tick(house)
        slowest_s = max(slowest_s, _busy_s(house) - began_s)
        memory.append(_resident_mb(house))
    assert house.rows(days)[0][0] <= 4
    assert slowest_s < 2 + 2 * house.period_s
    assert memory[-1] - memory[10] < 8, f"memory grows: {memory}"
    with capsys.disabled():
        print(
            f"\n[F6] 200 flocks: start {first_s:.1f} s, slowest of 20 ticks {slowest_s:.2f} s "
            f"(two periods at most), resident {memory[0]:.0f} to {memory[-1]:.0f} MB"
        )


@unhurried
def test_a16_what_housekeeping_forgets_after_years_is_asked_for_by_nobody(build: Build) -> None:
    house = build(wrap=[sys.executable, "-c", HOUSEKEEPING])
    house.start()
    house.at("16:19")
    assert house.phone("ana")[-1] == NOW
    house.say(count=12)
    house.settle()
    house.stop()
    house.forget()
    house.set_clock(house.local("16:19").replace(year=2031), synchronised=True)
    house.start()
    house.wait(
        lambda: not house.rows("SELECT 1 FROM delivery WHERE day < '2031-01-01' AND step = 'now'"),
        "nothing was forgotten",
    )
    # What was said stays, and what goes out now is written down.
    assert house.rows("SELECT count FROM closing") == [(12,)]
    house.settle()
    assert len(house.phone("kim")) == 1


def next_tick(house: House) -> None:
    since = house.now
    house.wait(lambda: house.pulse and datetime.fromisoformat(house.pulse.wall) >= since, "no tick")


def _busy_s(house: House) -> float:
    """How long a processor has worked for the watch: not how long it waited for one (proc(5))."""
    assert house.process
    fields = Path(f"/proc/{house.process.pid}/stat").read_text().rpartition(")")[2].split()
    user, system = fields[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


def _resident_mb(house: House) -> float:
    assert house.process
    status = Path(f"/proc/{house.process.pid}/status").read_text()
    [line] = [line for line in status.splitlines() if line.startswith("VmRSS:")]
    return int(line.split()[1]) / 1024


NASTY = [
    "🐔 Hühnerhaus 家",
    "عَش",
    "e\u0301" * 40,
    "👩‍🌾" * 10,
    "a" * 80,
]


@pytest.mark.parametrize("name", NASTY, ids=range(len(NASTY)))
@unhurried
def test_f7_any_script_reaches_mail_push_and_calendar_unharmed(name: str, tmp_path: Path) -> None:
    text = (SITE + ONE_COOP).replace("Walnut", name)
    text = text.replace("[[coop]]\n", '[[coop]]\nid = "w"\n').replace(
        "[[flock]]\n", '[[flock]]\ncoop = "w"\n'
    )
    found = read_profile(text.encode(), "test", datetime(2026, 1, 1, tzinfo=UTC))
    assert isinstance(found, Household), found
    name = found.profile.coop[0].name
    mail, push = wires(name)
    assert name in mail["Subject"]
    assert name in str(push["title"])
    journal = open_journal(tmp_path / "journal.sqlite3")
    try:
        at = datetime(2026, 12, 21, 12, tzinfo=UTC)
        feeds = publish(journal, found, FeedRequest(), at)
    finally:
        journal.close()
    for feed in feeds:
        assert all(len(line) <= 75 for line in feed.content.split(b"\r\n"))
        feed.content.decode()


@settings(max_examples=100 if UNHURRIED else 15)
@given(name=st.text(st.characters(), max_size=90))
@example(name="a\\" * 40)
@example(name="=?utf-8?q?x?=")
@example(name="🐓" * 80)
@example(name=".\n.")
@unhurried
def test_f7_any_name_is_refused_or_goes_through_to_every_wire(
    tmp_path_factory: pytest.TempPathFactory, name: str
) -> None:
    body = SITE + '[[coop]]\nid = "w"\nname = NAME\n[[flock]]\nname = "G"\nhens = 12\n'
    text = body.replace("NAME", _toml(name)).encode("utf-8", "surrogatepass")
    found = read_profile(text, "test.toml", datetime(2026, 1, 1, tzinfo=UTC))
    if isinstance(found, tuple):
        assert all(problem.line for problem in found), "refused without its place"
        return
    kept = found.profile.coop[0].name
    assert kept == unicodedata.normalize("NFC", name.strip())
    mail, push = wires(kept)
    assert list(mail) == list(wires("Ana")[0])
    assert mail["Subject"].split() == shortened(f"Lock up {kept}", 200).split()
    assert push["title"] == shortened(f"Lock up {kept}", 250)
    journal = open_journal(tmp_path_factory.mktemp("wire") / "journal.sqlite3")
    try:
        at = datetime(2026, 12, 21, 12, tzinfo=UTC)
        feeds = publish(journal, found, FeedRequest(days=1), at)
    finally:
        journal.close()
    for feed in feeds:
        assert all(len(line) <= 75 for line in feed.content.split(b"\r\n"))
        assert b"\n" not in feed.content.replace(b"\r\n", b"")
        assert b"\r" not in feed.content.replace(b"\r\n", b"")
        feed.content.decode()


@pytest.mark.parametrize(
    "name", ["a\u202eb", "a\x00b", "a\ud800b", "a\u2028b", "a\x0bb", "x" * 10_000, "a\r\nBcc: x"]
)
def test_f7_f8_what_could_break_a_message_is_refused_with_its_place(name: str) -> None:
    text = SITE + ONE_COOP.replace("Walnut", "NAME")
    content_ = text.replace('"NAME"', _toml(name)).encode("utf-8", "surrogatepass")
    found = read_profile(content_, "test.toml", datetime(2026, 1, 1, tzinfo=UTC))
    assert isinstance(found, tuple)
    assert any(problem.line for problem in found)


def _toml(text: str) -> str:
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    escaped = "".join(f"\\u{ord(c):04x}" if ord(c) < 32 or ord(c) == 127 else c for c in plain)
    return f'"{escaped}"'


@pytest.mark.parametrize(
    "name", ["A\r\nBcc: all@example.org", 'B"; x', "C\nX-Evil: 1", "D\r\n\r\n"]
)
def test_f8_a_name_cannot_add_a_header_or_break_a_message(name: str) -> None:
    mail, push = wires(name)
    assert set(mail) == set(wires("Ana")[0])
    assert "Bcc" not in mail
    assert forbidden_character(str(push["title"])) is None


@pytest.mark.parametrize(
    "line",
    [
        'mail = "kim@example.org\\r\\nRCPT TO:<all@example.org>"',
        'mail = "kim@example.org>\\nBcc: <all@example.org"',
        'mail = "<kim@example.org>"',
        'mail = "kim@example.org, all@example.org"',
        'push = "https://push.example.org/kim\\r\\nX-Evil: 1"',
        'push = "https://push.example.org/kim HTTP/1.1"',
    ],
)
def test_f8_an_address_cannot_add_a_command_or_a_header(line: str) -> None:
    key = line.partition(" = ")[0]
    person = "".join(f"{one}\n" for one in PEOPLE.splitlines() if not one.startswith(f"{key} ="))
    text = SITE + ONE_COOP + person.replace('name = "Kim"', f'name = "Kim"\n{line}')
    text = text.replace("{push}", "https://push.example.org").replace("{mail}", "587")
    text = text.replace("{secret}", "q7w2")
    found = read_profile(text.encode(), "test.toml", datetime(2026, 1, 1, tzinfo=UTC))
    assert isinstance(found, tuple), "it was accepted"
    assert [(problem.key[0], problem.key[-1]) for problem in found] == [("person", key)]


def test_f8_a_name_with_marks_arrives_over_the_real_wires(build: Build) -> None:
    name = 'W"; <x@b.org>, 🐔 =?utf-8?q?x?=\\'
    body = (SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE).replace('"Walnut"', _toml(name))
    body = body.replace('name = "Kim"', "name = 'Kim, \"K\" <k@example.org>'")
    house = build(body=body.replace("[[person]]", '[[person]]\nid = "p{n}"'), period_s=0.03)
    house.write_profile(_numbered(house.body))
    house.start()
    for clock in ("16:19", "16:27", "16:34"):
        house.at(clock)
    assert house.phone("kim") == [f"Nobody has said it is shut: {name}, 12 hens, due 16:33"]
    [mail] = house.mails()
    assert mail.parsed["Subject"] == f"Lock up {name}: 12 hens by 16:33"
    assert [str(one) for one in mail.parsed["To"].addresses] == [
        '"Kim, \\"K\\" <k@example.org>" <kim@example.org>'
    ]
    assert mail.parsed["Bcc"] is None
    assert house.smtp.commands.all().count("RCPT kim@example.org") == 1
    assert house.smtp.mails.all() == [mail]


def _numbered(body: str) -> str:
    """Each "{n}" replaced by a number of its own."""
    first, *others = body.split("{n}")
    return first + "".join(f"{number}{part}" for number, part in enumerate(others))


def wires(name: str) -> tuple[dict[str, str], dict[str, object]]:
    """The headers of the mail as it is read again, and the push as the server reads it."""
    outgoing = Outgoing(
        operation="send",
        message=Message(title=f"Lock up {name}", body=name, stem=f"Lock up {name}"),
        address="ana@example.org",
        person_name=name,
        message_id="a" * 32,
        thread_id="b" * 32,
    )
    wire = composed(outgoing, "coop@example.net", datetime(2026, 12, 21, tzinfo=UTC))
    mail = message_from_bytes(wire, policy=modern)
    push = content(outgoing, topic="t", answers_to="https://push.example.net/a", button_token="")
    push["title"] = shown_title(push["title"])
    return dict(mail.items()), dict(push)


@pytest.mark.parametrize(
    "bomb",
    [
        b"a" * 2_000_000,
        b"x = " + b"[" * 5000 + b"]" * 5000,
        b"x = " + b"{a = " * 5000 + b"1" + b"}" * 5000,
        b"[a" + b".b" * 50_000 + b"]\n",
        b"x = " + b"9" * 200_000,
        b"".join(b"k%d = 1\n" % number for number in range(20_000)),
        b"[[coop]]\n" * 20_000,
        b"[[person]]\nnames = 1\n" * 10_000,  # took 40 s
        b'[[person]]\npassword = "a"\n' * 7_000,  # took 30 s
    ],
    ids=[
        *("two megabytes", "brackets", "braces", "dots", "digits"),
        *("keys", "coops", "people", "passwords"),
    ],
)
def test_f9_bombs_are_refused_in_a_second(bomb: bytes) -> None:
    began_s = time.process_time()  # of this process alone: a busy machine takes longer
    found = read_profile(bomb, "test.toml", datetime(2026, 1, 1, tzinfo=UTC))
    assert isinstance(found, tuple)
    assert time.process_time() - began_s < 1


@unhurried
def test_f9_a_hundred_megabytes_put_in_place_cost_the_watch_nothing(build: Build) -> None:
    house = build(period_s=0.03)
    house.start()
    house.at("15:50")
    before_mb = _resident_mb(house)
    huge = house.folder / "huge.toml"
    with huge.open("wb") as file:
        file.write(house.profile_path.read_bytes())
        file.truncate(100_000_000)
    began_s = time.monotonic()
    huge.replace(house.profile_path)
    house.wait(lambda: house.pulse and house.pulse.profile_problems, "not refused")
    assert time.monotonic() - began_s < 2, "the ticks stood still"
    house.at("16:19")
    assert house.phone("ana")[-1] == NOW
    assert _resident_mb(house) - before_mb < 20
    house.write_profile(house.body)


def test_f10_a_secret_file_that_is_missing_stops_nobody_else_s_reminders(
    build: Build, tmp_path: Path
) -> None:
    house = build(
        environment={
            "DUSKFOLD_MAIL_PASSWORD": "",
            "DUSKFOLD_MAIL_PASSWORD_FILE": str(tmp_path / "gone"),
        }
    )
    house.start()
    assert "DUSKFOLD_MAIL_PASSWORD_FILE" in house.log
    assert "No such file" in house.log
    assert "nothing goes out by mail" in house.log
    house.at("16:19")
    assert house.phone("ana")[-1] == NOW
    assert house.mails() == []


def test_f10_a_secret_file_is_trimmed_and_a_readable_one_is_warned_of(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "password"
    path.write_text(" straw\r\n\n")
    path.chmod(0o644)
    environment = {"DUSKFOLD_MAIL_PASSWORD_FILE": str(path)}
    assert secret("mail-password", environment) == "straw"
    assert "secret.readable_by_all" in caplog.text
    assert "straw" not in caplog.text
    path.write_text("\n")
    with pytest.raises(SecretFault, match="empty"):
        secret("mail-password", environment)


def test_f10_a_readable_secret_file_with_a_new_line_logs_in(build: Build, tmp_path: Path) -> None:
    path = tmp_path / "password"
    path.write_text(f"{PASSWORD}\r\n")
    path.chmod(0o644)
    given_ = {"DUSKFOLD_MAIL_PASSWORD": "", "DUSKFOLD_MAIL_PASSWORD_FILE": str(path)}
    house = build(environment=given_, period_s=0.03)
    house.start()
    for clock in ("16:19", "16:27", "16:34"):
        house.at(clock)
    assert [mail.user for mail in house.mails()] == [USER]
    assert "secret.readable_by_all variable=DUSKFOLD_MAIL_PASSWORD" in house.log


def test_f10_a_secret_that_is_gone_keeps_the_old_profile_in_force(
    build: Build, tmp_path: Path
) -> None:
    path = tmp_path / "password"
    path.write_text(PASSWORD)
    given_ = {"DUSKFOLD_MAIL_PASSWORD": "", "DUSKFOLD_MAIL_PASSWORD_FILE": str(path)}
    house = build(environment=given_, period_s=0.03)
    house.start()
    path.unlink()
    house.write_profile(house.body.replace("hens = 12", "hens = 11"))
    house.wait(lambda: house.pulse and house.pulse.profile_problems, "not told")
    house.settle()
    assert house.phone("ana") == ["The changed profile is not in force: the old one still is"]
    house.wait(lambda: house.faults, "health does not know")
    for clock in ("16:19", "16:27", "16:34"):
        house.at(clock)
    house.wait(lambda: len(house.mails()) == 1, "mail lost its password")
    path.write_text(PASSWORD)
    house.write_profile(house.body.replace("hens = 11", "hens = 10"))
    house.wait(lambda: house.faults == [], "health stayed bad")


@unhurried
def test_the_command_line_leaves_the_running_profile_alone(house: House) -> None:
    house.start()
    done = subprocess.run(
        [sys.executable, "-m", "scheduler", "-p", str(house.profile_path), "check"],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )
    assert done.returncode in {0, 1}
    assert house.pulse
    assert house.pulse.profile_number == 1
    assert house.day == date(2026, 12, 21)
