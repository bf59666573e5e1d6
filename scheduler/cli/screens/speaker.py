"""Who says something at the terminal: `--by NAME`, else the first person of the profile."""

import sys

from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.profile.called import NOBODY, called, not_called
from scheduler.profile.values import Profile


def speaker(command: str, profile: Profile, who: str | None) -> str:
    """The person's name; ends with the nearest spelling when there is no such person."""
    if who is None:
        return profile.person[0].name if profile.person else "somebody"
    if person := called(who, profile.person):
        return person.name
    unknown = not_called(who, profile.person, NOBODY)
    said = f'--by: found "{who}"; accepted: {unknown.accepted}. {unknown.hint}'.rstrip()
    complain(f"duskfold {command}: {said}")
    sys.exit(CANNOT_USE)
