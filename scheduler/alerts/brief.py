"""The morning brief: today's jobs, tonight's times, and whatever is not in order."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from scheduler.alerts.delivery import USUAL, Message
from scheduler.alerts.text import TITLE_LENGTH

AFTER_A_RESTART = (
    "Duskfold was restarted, perhaps by a power cut. Look at: light timer, water heater, electric "
    "fence, clock of the door."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Brief:
    """What the brief is made of; times are written out already.

    `tonight` has one line a house; `jobs` the jobs of the day with their round; `seasons` what
    changes; `worries` whatever is not in order, in plain sentences.
    """

    site_name: str
    lock_up: str
    minutes: int
    tonight: tuple[str, ...]
    jobs: tuple[str, ...]
    seasons: tuple[str, ...] = ()
    worries: tuple[str, ...] = field(default=())


def brief(of: Brief) -> Message:
    """The message: lock-up and jobs in the title, worries first in the body."""
    count = len(of.jobs)
    jobs = f"{count} job{'' if count == 1 else 's'}, {of.minutes} min" if count else "no jobs"
    title = f"Today: lock up {of.lock_up}, {jobs}"
    if of.worries:
        title += f"; {len(of.worries)} to look at"
    body = "\n".join(
        [
            *of.worries,
            *_part("Tonight", of.tonight),
            *_part("Jobs", of.jobs),
            *_part("New today", of.seasons),
        ]
    )
    return Message(
        title=title[:TITLE_LENGTH],
        body=body,
        stem=f"Today at {of.site_name}"[:TITLE_LENGTH],
        priority=USUAL,
    )


def _part(heading: str, lines: Sequence[str]) -> list[str]:
    return [f"{heading}:", *(f"- {line}" for line in lines)] if lines else []
