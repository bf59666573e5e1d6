"""The name of a shared screen: what it may be, and that no person is ever taken for one."""

import pytest

from scheduler.profile.problem import Unreadable
from scheduler.profile.shared_screen import LONGEST_SCREEN, Screen, is_of, new_screen, screen_of
from tests.conftest import SMALL, declared

PROFILE = declared(f'{SMALL}[[person]]\nname = "Ana"\n')


@pytest.mark.parametrize(
    "name", ["Kitchen", "Küche beim Fenster", "screen:x", "k" * LONGEST_SCREEN]
)
def test_a_screen_is_known_by_its_name_and_is_nobody_s(name: str) -> None:
    screen = new_screen(f" {name} ", PROFILE)
    assert screen_of(screen.id) == Screen(name=name)
    assert len(screen.id) <= 40, "as long as the journal keeps"
    assert screen.id not in {person.id for person in PROFILE.person}
    assert is_of(screen.id, ())
    assert (is_of("ana", {"ana"}), is_of("kim", {"ana"}), screen_of("ana")) == (True, False, None)


@pytest.mark.parametrize(
    ("name", "accepted"),
    [
        ("", "one line of text, at most 33 characters"),
        ("k" * 34, "one line of text, at most 33 characters"),
        ("Kit\nchen", "one line of text, at most 33 characters"),
        ("ANA", "a name that nobody here has"),
    ],
)
def test_every_other_name_is_refused(name: str, accepted: str) -> None:
    with pytest.raises(Unreadable) as refused:
        new_screen(name, PROFILE)
    assert refused.value.accepted == accepted


def test_where_nobody_has_a_name_to_choose_there_is_no_screen() -> None:
    with pytest.raises(Unreadable):
        new_screen("Kitchen", declared(SMALL))
