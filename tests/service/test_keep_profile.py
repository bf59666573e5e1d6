"""A profile changed on the pages: checked, kept whole or not at all, put back, taken over."""

import threading
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.alerts.delivery import Delivery, Key, Matter, Message, Outcome
from scheduler.alerts.phone import Subscription
from scheduler.alerts.step import decode
from scheduler.cares.diary.profile_entries import ProfileChanged
from scheduler.journal import access, claims, entries, memos
from scheduler.journal.store import Journal, open_journal
from scheduler.machine.paths import NoProfile, find_profile
from scheduler.profile.change import Change, Set, Unset, changed
from scheduler.profile.who_may import Voice
from scheduler.service.data_place import DataPlace
from scheduler.service.diary import Refused, Speaker
from scheduler.service.diary_asked import asked_for
from scheduler.service.diary_pages import page
from scheduler.service.household import profile_text
from scheduler.service.household.keep_profile import (
    Edit,
    Kept,
    KeptProfile,
    NotDone,
    Overtaken,
    Preview,
    Unusable,
    begin,
)
from scheduler.service.household.marked_text import mark_of
from scheduler.service.household.open_profile import Household
from scheduler.service.household.reload import has_profile
from scheduler.service.household.versions import versions
from scheduler.service.people import phones
from scheduler.watch.opening import OpenedWatch, open_watch
from tests.alerts.orchard import TEXT, household
from tests.sinks.postgres import Postgres

NOW = datetime(2026, 12, 21, 12, tzinfo=UTC)
TODAY = date(2026, 12, 21)
OWNER, MEMBER, SITTER = (Voice(kind=kind) for kind in ("owner", "member", "sitter"))
LATER = Set(("lockup", "cap"), "22:00")


def by(voice: Voice = OWNER, who: str = "Ana", at: datetime = NOW) -> Speaker:
    return Speaker(who=who, now=at, today=TODAY, voice=voice, person_id=who.lower())


def doing(*changes: Change) -> Edit:
    return lambda text: changed(text, changes)


@dataclass
class Desk:
    """The pages' profile in a folder of its own, and whoever changes it."""

    folder: Path
    journal: Journal
    server: str = ""
    text: str = TEXT
    moment: datetime = field(default=NOW)

    def __post_init__(self) -> None:
        found = begin(self.place, self.text, NOW - timedelta(days=1))
        assert isinstance(found, Household), found

    @property
    def place(self) -> DataPlace:
        return DataPlace(self.folder, self.server)

    @property
    def file(self) -> Path:
        return self.folder / "duskfold.toml"

    @property
    def pages(self) -> KeptProfile:
        return KeptProfile(journal=self.journal, place=self.place, given=self.file)

    @property
    def mark(self) -> str:
        return self.pages.editable(NOW).mark

    def keep(self, *changes: Change, voice: Voice = OWNER, base: str = "") -> Kept | NotDone:
        self.moment += timedelta(minutes=1)
        by_now = by(voice, at=self.moment)
        return self.pages.keep(by_now, base or self.mark, doing(*changes))

    @property
    def in_force(self) -> str:
        with self.journal.reading() as connection:
            found = memos.last_accepted(connection)
        assert found
        return found[1]

    @property
    def said(self) -> list[ProfileChanged]:
        with self.journal.reading() as connection:
            told = entries.of_family(connection, "orchard", "profile")
        return [one.what for one in told if isinstance(one.what, ProfileChanged)]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    (tmp_path / "data").mkdir()
    with closing(open_journal(tmp_path / "data" / "journal.sqlite3")) as journal:
        yield Desk(tmp_path / "data", journal)


# -- kept whole, or not at all ------------------------------------------------------------------


def test_a_change_is_in_the_file_in_force_and_in_the_diary(desk: Desk) -> None:
    kept = desk.keep(LATER)
    assert isinstance(kept, Kept)
    assert (kept.number, len(kept.differences)) == (2, 1)
    assert desk.file.read_text() == desk.in_force == changed(TEXT, [LATER])
    assert desk.file.stat().st_mode & 0o777 == 0o600
    begun, said = desk.said
    assert (begun.how, begun.number) == ("begun", 1)
    assert (said.how, said.number, said.more) == ("changed", 2, 0)
    assert [(one.where, one.before, one.after) for one in said.differs] == [
        (("lockup", "cap"), "", kept.differences[0].after)
    ]


def test_what_changes_nothing_is_no_version_and_no_entry(desk: Desk) -> None:
    desk.keep(LATER)
    assert desk.keep(LATER) == Kept(number=2, differences=())
    assert len(desk.said) == 2


def test_a_look_before_keeping_shows_what_would_differ_and_keeps_nothing(desk: Desk) -> None:
    seen = desk.pages.preview(by(), desk.mark, doing(LATER))
    assert isinstance(seen, Preview)
    assert seen.household.profile.lockup.cap is not None
    assert [one.where for one in seen.differences] == [("lockup", "cap")]
    assert desk.file.read_text() == desk.in_force == TEXT


def test_what_cannot_be_used_is_told_by_its_key_and_not_kept(desk: Desk) -> None:
    wrong = [Set(("lockup", "cap"), "half past"), Set(("coop", "walnut", "floor"), "big")]
    found = desk.keep(*wrong)
    assert isinstance(found, Unusable)
    assert {one.key for one in found.problems} == {("lockup", "cap"), ("coop", 0, "floor")}
    assert desk.file.read_text() == desk.in_force == TEXT


def test_a_second_one_sees_what_the_first_did_and_nothing_is_lost(desk: Desk) -> None:
    base = desk.mark
    assert isinstance(desk.keep(LATER, base=base), Kept)
    second = Set(("rounds", "weekly_day"), "sunday")
    told = desk.keep(second, base=base)
    assert isinstance(told, Overtaken)
    assert (told.who, [one.where for one in told.since]) == ("Ana", [("lockup", "cap")])
    assert isinstance(desk.keep(second, base=told.editable.mark), Kept)
    assert desk.in_force == changed(TEXT, [LATER, second])


def test_line_ends_of_a_file_stay_as_they_are(desk: Desk) -> None:
    desk.file.write_bytes(TEXT.replace("\n", "\r\n").encode())
    assert isinstance(desk.keep(LATER), Kept)
    assert desk.file.read_bytes().count(b"\r\n") == desk.file.read_bytes().count(b"\n") > 0
    assert isinstance(desk.keep(Unset(("lockup", "cap"))), Kept)


# -- who may -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("voice", "change", "may"),
    [
        (MEMBER, Set(("flock", "girls", "kind"), "heavy"), True),
        (MEMBER, Set(("cares", "litter-stirring", "every"), "5 days"), True),
        (MEMBER, LATER, False),
        (MEMBER, Set(("person", "ben", "push"), "https://push.example.org/other"), False),
        (MEMBER, Set(("site", "latitude"), 52.5), False),
        (SITTER, Set(("flock", "girls", "kind"), "heavy"), False),
        (OWNER, LATER, True),
    ],
)
def test_members_change_birds_and_jobs_and_owners_everything(
    desk: Desk, voice: Voice, change: Change, may: bool
) -> None:
    assert isinstance(desk.keep(change, voice=voice), Kept if may else Refused)
    assert (desk.in_force == TEXT) is not may


def test_a_member_smuggles_nothing_in_beside_the_birds(desk: Desk) -> None:
    both = [Set(("flock", "girls", "kind"), "heavy"), LATER]
    assert isinstance(desk.keep(*both, voice=MEMBER), Refused)
    assert desk.in_force == TEXT


# -- the last way to reach anybody ------------------------------------------------------------


def test_a1_the_last_way_to_reach_anybody_stays(desk: Desk) -> None:
    nobody = [Unset(("person", who)) for who in ("ana", "ben", "cleo")]
    found = desk.keep(*nobody)
    assert isinstance(found, Refused)
    assert "Nobody could be told" in found.question
    assert desk.in_force == TEXT


def heard(desk: Desk, person_id: str, address: str) -> None:
    """A message to that address went out."""
    key = Key(site_id="orchard", subject_id="orchard", day=TODAY, step=decode("test"), opening=0,
              person_id=person_id, channel="push")  # fmt: skip
    one = Delivery(
        key=key,
        matter=Matter(words=Message("Test", "This is a test.")),
        due_at=NOW,
        useful_until=NOW + timedelta(days=1),
        address=address,
    )
    with desk.journal.writing() as writing:
        claims.add_tried(writing.connection, one, Outcome(kind="sent"), NOW)


def test_the_last_way_that_was_tried_stays_until_another_was(desk: Desk) -> None:
    heard(desk, "ana", "https://push.example.org/ana")
    moved = Set(("person", "ana", "push"), "https://push.example.org/new")
    for change in (moved, Unset(("person", "ana", "push")), Unset(("person", "ana"))):
        found = desk.keep(change)
        assert isinstance(found, Refused)
        assert "Ana by push" in found.question
        assert "test message" in found.question
    assert isinstance(desk.keep(Unset(("person", "cleo"))), Kept), "that was none"
    heard(desk, "ben", "https://push.example.org/ben")
    assert isinstance(desk.keep(moved), Kept)


def test_whoever_let_in_the_last_phone_that_rings_is_not_taken_out(desk: Desk) -> None:
    session = access.SignedIn(
        id_hash="s", person_id="ben", device="iPhone", made_at=NOW, until=NOW + timedelta(days=9),
        through=("ana",),
    )  # fmt: skip
    with desk.journal.writing() as writing:
        access.sign_in(writing.connection, "orchard", session)
    given = Subscription(endpoint="https://x", p256dh="p", auth="a", key_id="k")
    phone = phones.add(
        desk.journal, "orchard", person_id="ben", session="s", label="iPhone", subscription=given,
        now=NOW,
    )  # fmt: skip
    phones.rang(desk.journal, "orchard", phone.id, "yes", NOW, quiet=False)
    found = desk.keep(Unset(("person", "ana")))
    assert isinstance(found, Refused)
    assert "Ben by phone alert" in found.question
    assert isinstance(desk.keep(Unset(("person", "cleo"))), Kept)


# -- versions ------------------------------------------------------------------------------------


def test_any_of_the_last_twenty_can_be_put_back(desk: Desk) -> None:
    for minute in range(25):
        assert isinstance(desk.keep(Set(("lockup", "cap"), f"22:{minute:02}")), Kept)
    kept = versions(desk.journal, "orchard")
    assert [one.number for one in kept] == [*range(26, 6, -1)]
    assert {one.who for one in kept} == {"Ana"}
    assert all(one.can_be_put_back for one in kept)
    assert [one.where for one in kept[0].differences] == [("lockup", "cap")]
    back = desk.pages.put_back(by(), 7, desk.mark)
    assert isinstance(back, Kept)
    assert desk.in_force == changed(TEXT, [Set(("lockup", "cap"), "22:05")])
    assert versions(desk.journal, "orchard")[0].put_back == 7
    assert isinstance(desk.pages.put_back(by(), 3, desk.mark), Refused)


def test_whoever_is_put_back_gets_new_keys(desk: Desk) -> None:
    assert isinstance(desk.keep(Unset(("person", "ben"))), Kept)
    assert isinstance(desk.pages.put_back(by(), 1, desk.mark), Kept)
    with desk.journal.reading() as connection:
        assert access.generations(connection, "orchard")["ben"] > 0


# -- by hand, meanwhile ---------------------------------------------------------------------------


def test_what_was_changed_by_hand_meanwhile_is_seen_and_kept(desk: Desk) -> None:
    base = desk.mark
    by_hand = TEXT.replace("hens = 12", "hens = 11  # one was sold")
    desk.file.write_text(by_hand)
    told = desk.keep(LATER, base=base)
    assert isinstance(told, Overtaken)
    assert [one.where[-1] for one in told.since] == ["hens"]
    assert isinstance(desk.keep(LATER), Kept)
    assert desk.in_force == changed(by_hand, [LATER])


def test_a_mistake_made_by_hand_is_shown_and_never_written_over(desk: Desk) -> None:
    broken = TEXT.replace("latitude = 51.5", "latitude = 151.5")
    desk.file.write_text(broken)
    seen = desk.pages.editable(NOW)
    assert (seen.text, [one.line for one in seen.problems]) == (TEXT, [4])
    assert isinstance(desk.keep(LATER), Refused)
    assert desk.file.read_text() == broken
    assert isinstance(desk.pages.put_back(by(), 1, desk.mark), Kept)
    assert desk.file.read_text() == desk.in_force == TEXT


# -- killed and full -----------------------------------------------------------------------------


class Killed(BaseException):
    """Stands for the end of the process at that place."""


@pytest.mark.parametrize("place", ["prepare", "accept", "put_in_place"])
def test_killed_while_keeping_it_is_the_old_one_or_the_new_one_everywhere(
    desk: Desk, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def die(*_: object) -> None:
        raise Killed

    where = "scheduler.service.household.keep_profile"
    target = f"{where}.accept" if place == "accept" else f"{where}.profile_text.{place}"
    with monkeypatch.context() as patched:
        patched.setattr(target, die)
        with pytest.raises(Killed):
            desk.keep(LATER)
    after = desk.pages.editable(NOW)
    assert desk.file.read_text() == desk.in_force == after.text
    assert after.text == (changed(TEXT, [LATER]) if place == "put_in_place" else TEXT)
    assert not profile_text.is_prepared(desk.folder)
    assert isinstance(desk.keep(LATER), Kept)


def test_a_full_disk_changes_nothing_and_says_so(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("scheduler.service.household.keep_profile.profile_text.prepare", full)
        found = desk.keep(LATER)
    assert isinstance(found, Refused)
    assert "No space left on device" in found.question
    assert desk.file.read_text() == desk.in_force == TEXT
    assert len(desk.said) == 1


def test_of_two_at_the_same_moment_one_is_kept_and_the_other_told(desk: Desk) -> None:
    base, found = desk.mark, list[object]()

    def change(minute: int) -> None:
        with closing(open_journal(desk.folder / "journal.sqlite3")) as journal:
            pages = KeptProfile(journal=journal, place=desk.place, given=desk.file)
            found.append(pages.keep(by(), base, doing(Set(("lockup", "cap"), f"22:0{minute}"))))

    threads = [threading.Thread(target=change, args=(minute,)) for minute in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(type(one).__name__ for one in found) == ["Kept", *["Overtaken"] * 3]
    assert desk.file.read_text() == desk.in_force != TEXT


# -- elsewhere ---------------------------------------------------------------------------------


def test_a_profile_elsewhere_is_read_only_until_it_is_taken_over_once(tmp_path: Path) -> None:
    given, folder = tmp_path / "mine.toml", tmp_path / "data"
    folder.mkdir()
    given.write_text(TEXT)
    with closing(open_journal(folder / "journal.sqlite3")) as journal:
        pages = KeptProfile(journal=journal, place=DataPlace(folder), given=given)
        seen = pages.editable(NOW)
        assert (seen.read_only, seen.text) == (str(given), TEXT)
        assert isinstance(pages.keep(by(), seen.mark, doing(LATER)), Refused)
        assert isinstance(pages.take_over(by(MEMBER)), Refused)
        assert isinstance(pages.take_over(by()), Kept)
        assert not pages.editable(NOW).read_only
        assert isinstance(pages.keep(by(), mark_of(TEXT), doing(LATER)), Kept)
        assert isinstance(pages.take_over(by()), Refused)
    assert given.read_text() == TEXT
    kept = folder / "duskfold.toml"
    assert kept.read_text() == changed(TEXT, [LATER])
    assert find_profile(given, {}, folder) == kept
    assert find_profile(None, {"DUSKFOLD_PROFILE": str(given)}, folder) == kept
    other = tmp_path / "other.toml"
    assert find_profile(other, {}, folder) == other


def test_the_profile_of_the_data_folder_comes_after_the_one_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, folder = tmp_path / "here", tmp_path / "data"
    here.mkdir()
    folder.mkdir()
    monkeypatch.chdir(here)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    missing = find_profile(None, {}, folder)
    assert isinstance(missing, NoProfile)
    assert str(folder / "duskfold.toml") in missing.looked_at
    (folder / "duskfold.toml").write_text(TEXT)
    assert find_profile(None, {}, folder) == folder / "duskfold.toml"
    (here / "duskfold.toml").write_text(TEXT)
    assert find_profile(None, {}, folder) == Path("duskfold.toml")


# -- on a server -------------------------------------------------------------------------------


@pytest.mark.postgresql
def test_on_a_server_the_profile_is_a_row_and_there_is_no_file(
    tmp_path: Path, postgres: Postgres, empty_journal: str
) -> None:
    server = postgres.url(postgres.new_database(empty_journal))
    place = DataPlace(tmp_path, server)
    with closing(open_journal(server)) as journal:
        assert not has_profile(tmp_path / "duskfold.toml", place)
        desk = Desk(tmp_path, journal, server)
        assert has_profile(desk.file, place)
        assert isinstance(desk.keep(LATER), Kept)
        assert desk.in_force == changed(TEXT, [LATER])
        assert isinstance(desk.pages.put_back(by(), 1, desk.mark), Kept)
        assert desk.in_force == TEXT
        opened = open_watch(desk.file, desk.place, {}, NOW)
        assert isinstance(opened, OpenedWatch)
        assert (opened.household.text, opened.refused) == (TEXT, None)
        opened.journal.close()
    assert not desk.file.exists()


def test_every_change_is_an_entry_that_others_can_read_without_addresses(desk: Desk) -> None:
    desk.keep(Set(("coop", "walnut", "floor"), "2.9 m²"))
    desk.keep(Set(("person", "ben", "push"), "https://push.example.org/secret"))
    desk.pages.put_back(by(at=desk.moment), 1, desk.mark)
    told = page(desk.journal, household(), asked_for("changes", None, None, None), NOW)
    lines = sorted(
        (line for day in told.days for line in day.lines), key=lambda line: line.entry.number
    )
    assert [line.text.partition(":")[0] for line in lines] == [
        "Duskfold was set up", "Changed", "Changed", "An earlier version was put back",
    ]  # fmt: skip
    assert "31.2\N{NO-BREAK SPACE}sq ft" in lines[1].text
    assert "Ben" in lines[2].text
    assert "secret" not in "".join(line.text for line in lines)
    assert {line.who for line in lines[1:]} == {"Ana"}
