"""Who says something at the terminal: `--by NAME`, else the profile's only person."""

import sys

from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.profile.called import NOBODY, called, not_called
from scheduler.profile.values import Profile

NOBODY_IN_PARTICULAR = "somebody at the terminal"


def speaker(command: str, profile: Profile, who: str | None) -> str:
    """The person's name; ends with the nearest spelling when there is no such person.

    Of several people nobody knows which of them sits there, and all of them are to hear of it.
    """
    if who is None:
        names = [person.name for person in profile.person]
        return names[0] if len(names) == 1 else NOBODY_IN_PARTICULAR
    if person := called(who, profile.person):
        return person.name
    complain(f"duskfold {command}: {unknown_speaker(profile, who)}")
    sys.exit(CANNOT_USE)


def unknown_speaker(profile: Profile, who: str | None) -> str:
    """What is wrong with the name of whoever says it, or nothing."""
    if who is None or called(who, profile.person):
        return ""
    unknown = not_called(who, profile.person, NOBODY)
    return f'--by: found "{who}"; accepted: {unknown.accepted}. {unknown.hint}'.rstrip()
