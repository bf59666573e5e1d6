"""The message of an emergency: what is to be done, where and when, at once."""

from collections.abc import Sequence
from dataclasses import dataclass

from scheduler.alerts.delivery import LOUD, Message
from scheduler.alerts.text import TITLE_LENGTH

STEP = "urgent-"  # how the step of each such message begins


@dataclass(frozen=True, slots=True, kw_only=True)
class Urgent:
    """One urgent job: what, when ("now", "today at 13:05"), and why."""

    what: str
    when: str
    why: str


def emergency(jobs: Sequence[Urgent], link: str = "") -> Message:
    """The first job with its time in the title, every one with its reason in the body."""
    first, *others = jobs
    more = f", and {len(others)} more" if others else ""
    room = TITLE_LENGTH - len(f", {first.when}{more}")
    what = first.what if len(first.what) <= room else first.what[: room - 1].rstrip() + "…"
    title = f"{what}, {first.when}{more}"
    body = "\n".join(f"{_capital(job.when)}: {job.what}. {job.why}" for job in jobs)
    return Message(title=title, body=body, stem=title, priority=LOUD, link=link)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
