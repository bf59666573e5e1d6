"""The message of an emergency: what is to be done, where and when, at once; and that it is over."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from scheduler.alerts.delivery import LOUD, QUIET, Message
from scheduler.cares.records import BIRD_KINDS, ReportKind
from scheduler.messages.phrases import TITLE_LENGTH, begun
from scheduler.wording.messages.emergency import Emergency, Ended, IsOver, ReportOf
from scheduler.wording.spoken import in_a_row, one_by_one
from scheduler.wording.words import Words

_OVER: Mapping[ReportKind, tuple[Words, Words]] = {
    "heat": (ReportOf.heat, IsOver.heat),
    "frost": (ReportOf.frost, IsOver.frost),
    "snow": (ReportOf.snow, IsOver.snow),
    "storm": (ReportOf.storm, IsOver.storm),
    "predator": (ReportOf.predator, IsOver.predator),
    "order": (ReportOf.order, IsOver.order),
    "illness": (ReportOf.illness, IsOver.illness),
    "medicine": (ReportOf.medicine, IsOver.medicine),
    "broody": (ReportOf.broody, IsOver.broody),
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
    told = _told(reported)
    title = _job_title(first, told, len(others))
    if len(title(first.what)) > TITLE_LENGTH:
        title = _job_title(first, told, 0)
    room = max(TITLE_LENGTH - len(title("")), _LEAST_OF_JOB)
    lines = [_said(one) for one in reported]
    lines += [Emergency.line(when=job.when, job=job.what, why=job.why) for job in jobs]
    cut = title(_cut(first.what, room))[:TITLE_LENGTH]
    return Message(cut, "\n".join(lines), priority=LOUD, link=link)


def _job_title(first: Urgent, told: str, others: int) -> Callable[[str], str]:
    """The title of that job."""
    when = first.when
    if told and others:
        return lambda job: Emergency.job_told_and_more(job=job, when=when, told=told, count=others)
    if told:
        return lambda job: Emergency.job_told(job=job, when=when, told=told)
    if others:
        return lambda job: Emergency.job_and_more(job=job, when=when, count=others)
    return lambda job: Emergency.job(job=job, when=when)


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
    by, (what, ended) = _short(who) or Ended.somebody(), _OVER[kind]
    if holds_today:
        title = Ended.last_day(who=begun(by), what=what())
    elif holds:
        says = Ended.took_back_one if taken_back else Ended.ended_one
        title = says(who=begun(by), what=what())
    elif taken_back:
        title = Ended.took_back(who=begun(by), what=what())
    else:
        title = ended(who=by)
    body = [Ended.until_tonight()] if holds_today else []
    body += _it_was(words, holds)
    if opened:
        body.append(Ended.let_out_again(houses=in_a_row(opened)))
    body.append(_if_wrong(kind))
    return Message(title[:TITLE_LENGTH], " ".join(body), priority=QUIET)


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
    by, (what, _) = begun(_short(who) or Ended.somebody()), _OVER[kind]
    says = Ended.took_back_another if taken_back else Ended.ended_another
    body = _it_was(words, holds)
    if urgent:
        body.append(Ended.still_urgent(jobs=one_by_one(urgent)))
    body.append(_if_wrong(kind))
    title = says(who=by, what=what())[:TITLE_LENGTH]
    return Message(title, " ".join(body), priority=QUIET)


def back(kind: ReportKind, words: str, *, who: str, urgent: Sequence[str]) -> Message:
    """What was said to be over, or was taken back, holds again, and what is urgent by it."""
    what, _ = _OVER[kind]
    title = Ended.put_back(who=begun(_short(who) or Ended.somebody()), what=what())
    body = [
        Ended.it_is(report=words),
        Ended.urgent_again(jobs=one_by_one(urgent)),
        _if_wrong(kind),
    ]
    return Message(title[:TITLE_LENGTH], " ".join(body), priority=QUIET)


def _it_was(words: str, holds: Sequence[str]) -> list[str]:
    still = [Ended.still_so(reports=one_by_one(holds))] if holds else []
    return [Ended.it_was(report=words), *still]


def _if_wrong(kind: ReportKind) -> str:
    return Ended.if_wrong_birds() if kind in BIRD_KINDS else Ended.if_wrong_weather()


def _told(reported: Sequence[Reported]) -> str:
    """The degrees and who says so; empty where neither is known."""
    for one in reported:
        says = Emergency.says(who=_short(one.who)) if one.who else ""
        if told := in_a_row(list(filter(None, (one.degrees, says)))):
            return told
    return ""


def _said(one: Reported) -> str:
    if one.who:
        return Emergency.reported_by(who=begun(one.who), at=one.clock, report=one.words)
    return Emergency.reported(at=one.clock, report=one.words)


def _short(who: str) -> str:
    """The name as a title has room for it; of nobody in particular without where they sat."""
    return "somebody" if who.startswith("somebody ") else _cut(who, _ROOM_FOR_NAME)


def _cut(text: str, room: int) -> str:
    return text if len(text) <= room else text[: room - 1].rstrip() + "…"
