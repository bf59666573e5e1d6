"""F11–F14 of FAULTS.md: the profile changed on the pages while the reminders run."""

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from scheduler.machine.paths import PROFILE_NAME
from scheduler.profile.change import Change, Set, Unset, changed
from scheduler.profile.who_may import Voice
from scheduler.service.diary import Speaker
from scheduler.service.household.keep_profile import Kept, KeptProfile
from tests.faults.house import House, household_of
from tests.unhurried import unhurried

HEADS_UP = "Lock up at 16:18: Walnut, 12 hens, by 16:33"
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
REFUSED = "The changed profile has 1 problem, so the old one is still in force"


class HouseOnPages(House):
    """A house whose profile lies in its data folder, where the pages change it."""

    @property
    def profile_path(self) -> Path:
        return self.data / PROFILE_NAME

    def change(self, *changes: Change) -> Kept:
        """What an owner keeps on a page."""
        now = self.now
        by = Speaker(
            who="Ana", now=now, today=now.astimezone(self.zone).date(), voice=Voice(kind="owner")
        )
        with self.journal() as journal:
            pages = KeptProfile(journal=journal, place=self.place, given=self.profile_path)
            base = pages.editable(now).mark
            kept = pages.keep(by, base, lambda text: changed(text, changes))
        assert isinstance(kept, Kept), kept
        return kept

    def follows(self, number: int) -> None:
        """Waits until the reminders go by that version."""
        self.wait(lambda: self.pulse and self.pulse.profile_number == number, "not followed")
        self.settle()


@pytest.fixture
def house(tmp_path: Path) -> Iterator[HouseOnPages]:
    with ExitStack() as stack:
        yield stack.enter_context(household_of(HouseOnPages, tmp_path, period_s=0.03))


def test_f11_an_alert_that_is_moved_on_a_page_comes_at_its_new_time(house: HouseOnPages) -> None:
    house.start()
    house.change(Set(("reminders", "heads_up"), "40 min"))
    house.follows(2)
    house.at("15:37")
    assert not house.phone("ana")
    house.at("15:39")
    assert house.phone("ana") == [HEADS_UP]
    assert house.profile_path.read_text().count("40 min") == 1
    assert len(house.rows("SELECT number FROM accepted_profile")) == 2, "it was accepted once"


def test_f12_whoever_is_taken_out_on_a_page_is_told_nothing_more(house: HouseOnPages) -> None:
    house.start()
    house.change(Unset(("person", "ana")))
    house.follows(2)
    house.at("16:19")
    assert not house.phone("ana")
    assert NOW in house.phone("kim")


def test_f13_a_kill_between_the_journal_and_the_file_loses_no_change(
    house: HouseOnPages, monkeypatch: pytest.MonkeyPatch
) -> None:
    house.start()
    before = house.profile_path.read_text()

    def never(_: Path) -> None:
        raise OSError(5, "the process is gone")

    with monkeypatch.context() as patched:
        patched.setattr("scheduler.service.household.profile_text.put_in_place", never)
        house.change(Set(("reminders", "heads_up"), "40 min"))
    assert house.profile_path.read_text() == before
    house.follows(2)
    house.stop()
    house.start()
    house.follows(2)
    assert "40 min" in house.profile_path.read_text()
    house.at("15:39")
    assert house.phone("ana") == [HEADS_UP]


@unhurried
def test_f14_a_mistake_made_by_hand_leaves_what_the_pages_kept_in_force(
    house: HouseOnPages,
) -> None:
    house.start()
    house.change(Set(("reminders", "heads_up"), "40 min"))
    house.follows(2)
    kept = house.profile_path.read_text()
    house.profile_path.write_text(kept.replace("latitude = 51.5", "latitude = 151.5"))
    house.wait(lambda: REFUSED in house.phone("ana"), "nobody was told")
    house.at("15:39")
    assert house.phone("ana") == [REFUSED, HEADS_UP]
    assert house.phone("kim") == [REFUSED]
    house.profile_path.write_text(kept)
    house.wait(lambda: house.pulse and not house.pulse.profile_problems, "still refused")
    house.follows(2)
