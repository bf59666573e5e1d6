"""The message of an emergency: what is to be done, where and when, at once; and that it is over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduler.alerts.delivery import LOUD, QUIET, Message
from scheduler.cares.records import BIRD_KINDS, ReportKind
from scheduler.messages.phrases import TITLE_LENGTH, begun
from scheduler.profile.words import capitalized

_OVER: Mapping[ReportKind, tuple[str, str]] = {
    "heat": ("heat", "The heat is over"),
    "frost": ("frost", "The hard frost is over"),
    "snow": ("snow", "The snow is gone"),
    "storm": ("a storm", "The storm is over"),
    "predator": ("a predator", "No predator is about any more"),
    "order": ("a housing order", "The housing order has ended"),
    "illness": ("ill birds", "No bird is ill any more"),
    "medicine": ("a medicine", "The treatment has ended"),
    "broody": ("a broody hen", "No hen is broody any more"),
}
_ROOM_FOR_NAME = 16
_LEAST_OF_JOB = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Urgent:
    """One urgent job: what, when ("now", "today at 13:05"), and why."""

    what: str
    when: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reported:
    """What was reported, in words; its `degrees` where they were told, by whom and at what time."""

    words: str
    degrees: str
    who: str
    clock: str


def emergency(jobs: Sequence[Urgent], reported: Sequence[Reported] = (), link: str = "") -> Message:
    """The first job with its time, the degrees and who says so in the title; all in the body."""
    first, *others = jobs
    more = f", and {len(others)} more" if others else ""
    told = _mark(reported)
    for end in (f", {first.when}{told}{more}", f", {first.when}{told}"):
        if len(first.what) + len(end) <= TITLE_LENGTH:
            break
    room = max(TITLE_LENGTH - len(end), _LEAST_OF_JOB)
    title = f"{_cut(first.what, room)}{end}"[:TITLE_LENGTH]
    lines = [_said(one) for one in reported]
    lines += [f"{capitalized(job.when)}: {job.what}. {job.why}" for job in jobs]
    return Message(title, "\n".join(lines), priority=LOUD, link=link)


def over(  # noqa: PLR0913 - what has ended, and what has not
    kind: ReportKind,
    words: str,
    *,
    who: str,
    taken_back: bool,
    holds_today: bool = False,
    holds: Sequence[str] = (),
    opened: Sequence[str] = (),
) -> Message:
    """What was reported has ended, or was taken back, and what was urgent by it is so no more.

    The houses `opened` are let out again as planned.

    What `holds_today` has not ended yet: today is its last day. Where others of its kind hold, by
    which nothing is urgent, it is not said to be over.
    """
    by, (what, ended) = _short(who) or "somebody", _OVER[kind]
    if holds_today:
        title = f"{begun(by)} says: today is the last day of {what}"
    elif holds:
        done = "took back" if taken_back else "ended"
        title = f"{begun(by)} {done} a report of {what}: off the urgent list"
    elif taken_back:
        title = f"{begun(by)} took back the report of {what}: off the urgent list"
    else:
        title = f"{ended}, says {by}: off the urgent list"
    title = title[:TITLE_LENGTH]
    until = "It holds until tonight. " if holds_today else ""
    out = f" Let out again as planned: {', '.join(opened)}." if opened else ""
    body = f"{until}{_it_was(words, holds)}{out} {_if_wrong(kind)}"
    return Message(title, body, priority=QUIET)


def eased(  # noqa: PLR0913 - what has gone, and what is left
    kind: ReportKind,
    words: str,
    *,
    who: str,
    taken_back: bool,
    holds: Sequence[str],
    urgent: Sequence[str],
) -> Message:
    """One report has ended, or was taken back, while others of its kind hold: which, what to do.

    Where all that is urgent is ticked, nothing is said to be urgent.
    """
    by, (what, _) = _short(who) or "somebody", _OVER[kind]
    said = f"{begun(by)} {'took back' if taken_back else 'ended'} a report of {what}"
    title = f"{said}: another still holds"[:TITLE_LENGTH]
    to_do = f" Still urgent: {'; '.join(urgent)}." if urgent else ""
    body = f"{_it_was(words, holds)}{to_do} {_if_wrong(kind)}"
    return Message(title, body, priority=QUIET)


def back(kind: ReportKind, words: str, *, who: str, urgent: Sequence[str]) -> Message:
    """What was said to be over, or was taken back, holds again, and what is urgent by it."""
    what, _ = _OVER[kind]
    said = f"{begun(_short(who) or 'somebody')} put the report of {what} back"
    title = f"{said}: urgent again"[:TITLE_LENGTH]
    body = f"It is: {words}. Urgent again: {'; '.join(urgent)}. {_if_wrong(kind)}"
    return Message(title, body, priority=QUIET)


def _it_was(words: str, holds: Sequence[str]) -> str:
    still = f" Still so: {'; '.join(holds)}." if holds else ""
    return f"It was: {words}.{still}"


def _if_wrong(kind: ReportKind) -> str:
    page = "Birds" if kind in BIRD_KINDS else "Weather"
    return f"If that is wrong, say so on the page {page}."


def _mark(reported: Sequence[Reported]) -> str:
    """The degrees and who says so, in brackets; empty where neither is known."""
    for one in reported:
        says = f"says {_short(one.who)}" if one.who else ""
        if told := ", ".join(filter(None, (one.degrees, says))):
            return f" ({told})"
    return ""


def _said(one: Reported) -> str:
    by = f"{begun(one.who)} reported" if one.who else "Reported"
    return f"{by} at {one.clock}: {one.words}."


def _short(who: str) -> str:
    """The name as a title has room for it; of nobody in particular without where they sat."""
    return "somebody" if who.startswith("somebody ") else _cut(who, _ROOM_FOR_NAME)


def _cut(text: str, room: int) -> str:
    return text if len(text) <= room else text[: room - 1].rstrip() + "…"
