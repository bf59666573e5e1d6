"""A device that belongs to nobody, such as a tablet in the kitchen, and the name it is known by."""

from collections.abc import Collection
from dataclasses import dataclass

from scheduler.profile.by_name import called
from scheduler.profile.problem import Unreadable
from scheduler.profile.text_fields import read_line
from scheduler.profile.values import Profile
from scheduler.wording.profile.names_of_things import ScreenNames

_MARK = "screen:"  # no person's id has a colon
LONGEST_SCREEN = 33  # with the mark as long as a person's id at most is


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """A shared screen; its id stands where else that of a person does."""

    name: str

    @property
    def id(self) -> str:
        """What sessions and sign-in links keep: no person can have such an id."""
        return f"{_MARK}{self.name}"

    @property
    def words(self) -> str:
        """What it is called among people: "Kitchen (shared screen)"."""
        return ScreenNames.called(name=self.name)


def screen_of(person_id: str) -> Screen | None:
    """The screen that has this id; None where it is a person's."""
    is_screen = person_id.startswith(_MARK)
    return Screen(name=person_id.removeprefix(_MARK)) if is_screen else None


def is_of(person_id: str, people: Collection[str]) -> bool:
    """Whether that is one of the people, or a screen, which is nobody's."""
    return person_id in people or person_id.startswith(_MARK)


def new_screen(name: str, profile: Profile) -> Screen:
    """The screen of that name.

    Raises:
        Unreadable: it is no name, too long, or what somebody of the profile is called.
    """
    if not profile.person:
        raise Unreadable(ScreenNames.needs_people())
    read = read_line(name.strip(), LONGEST_SCREEN)
    if person := called(read, profile.person):
        raise Unreadable(ScreenNames.of_nobody(), ScreenNames.of_a_person(name=person.name))
    return Screen(name=read)
