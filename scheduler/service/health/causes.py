"""What is wrong with the reminders by their last tick, each with what to do about it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Literal

from scheduler.machine.clock import Readings
from scheduler.service.health.tick_file import NotFollowed, Pulse, is_of_now
from scheduler.wording.service.faults import (
    ButtonsDeaf,
    ClockApart,
    ClockWrong,
    DataUnreadable,
    HostDiffers,
    NotInForce,
    NotPlanned,
    NotRunning,
    NotWritten,
    ToFollowIt,
)
from scheduler.wording.spoken import in_a_row
from scheduler.wording.told_later import told
from scheduler.wording.words import Words

CauseKind = Literal[
    "not-running",
    "nobody",
    "silent",
    "clock-behind",
    "clock-ahead",
    "clock-apart",
    "not-written",
    "unreadable",
    "not-planned",
    "not-followed",
    "not-getting-through",
    "cut-off",
    "not-reached",
    "deaf",
    "way-broken",
    "way-failed",
    "no-way",
    "only-one",
    "calendar",
    "dark",
    "differs",
    "other-key",
    "phone",
]
# Whoever it is about hears of a door over another way, or was never to hear of one; a calendar
# reminds nobody; what would ring if this machine stopped is no matter of whether it runs.
_NOTES = frozenset(
    {
        *("way-broken", "way-failed", "no-way", "only-one"),
        *("calendar", "dark", "differs", "other-key", "phone"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """Something that is wrong with the reminders, as a sentence, and what to do about it.

    `remedy` is for a page: no command stands in it. `command` is what a terminal adds.
    """

    kind: CauseKind
    what: str
    remedy: str
    command: str = ""

    @property
    def counts(self) -> bool:
        """Whether the reminders cannot be relied on because of it; else it is only a note."""
        return self.kind not in _NOTES


Said = Callable[[datetime], str]
# What to do about a changed profile that is right in itself and not in force.
TO_FOLLOW: dict[NotFollowed, Words] = {
    "nobody": ToFollowIt.nobody,
    "another-site": ToFollowIt.another_site,
    "secret": ToFollowIt.secret,
    "secret-file": ToFollowIt.secret_file,
}


def unreadable(reason: str = "") -> Cause:
    """The data file cannot be used; the terminal says why, where that is known."""
    return Cause(
        kind="unreadable",
        what=DataUnreadable.what(),
        remedy=DataUnreadable.remedy(),
        command=DataUnreadable.command(why=told(reason)) if reason else "",
    )


def causes_of(pulse: Pulse | None, readings: Readings, said: Said) -> list[Cause]:
    """What the last tick shows to be wrong now, the worst first; `said` tells an instant."""
    if pulse is None:
        return [_not_running(NotRunning.what())]
    return [
        *_silent(pulse, readings, said),
        *_of_the_clock(pulse, said),
        *_not_written(pulse, readings),
        *_of_the_profile(pulse),
        *_deaf(pulse, said),
    ]


def _not_running(what: str) -> Cause:
    return Cause(
        kind="not-running",
        what=what,
        remedy=NotRunning.start(),
        command=NotRunning.command(),
    )


def _silent(pulse: Pulse, readings: Readings, said: Said) -> Iterator[Cause]:
    if is_of_now(pulse.boot_s, pulse, readings):
        return
    since = said(_at(pulse.wall))
    if pulse.stopped:
        yield _not_running(NotRunning.stopped(since=since))
    else:
        found = _not_running(NotRunning.silent(since=since))
        yield replace(found, kind="silent", remedy=NotRunning.restart())


def _of_the_clock(pulse: Pulse, said: Said) -> Iterator[Cause]:
    if pulse.trust == "untrusted":
        yield Cause(
            kind="clock-behind",
            what=ClockWrong.behind(),
            remedy=ClockWrong.behind_remedy(),
            command=ClockWrong.command(),
        )
    if pulse.trust == "doubtful":
        yield Cause(
            kind="clock-ahead",
            what=ClockWrong.ahead(time=said(_at(pulse.wall))),
            remedy=ClockWrong.ahead_remedy(),
            command=ClockWrong.command(),
        )


def minutes_apart(pulse: Pulse) -> int:
    """By how much the host's clock is wrong, ahead or behind."""
    return max(1, round(abs(pulse.ahead_s) / 60))


def _apart(pulse: Pulse) -> Iterator[Cause]:
    what = ClockApart.ahead if pulse.ahead_s > 0 else ClockApart.behind
    yield Cause(
        kind="clock-apart",
        what=what(minutes=minutes_apart(pulse)),
        remedy=ClockApart.remedy(),
    )


def _not_written(pulse: Pulse, readings: Readings) -> Iterator[Cause]:
    if pulse.ahead_s:
        yield from _apart(pulse)
        return
    complete = pulse.complete_boot_s
    # Of reminders that stand still nothing more is said of the disk than they said last.
    runs = is_of_now(pulse.boot_s, pulse, readings)
    at_boot_s = readings.boot_s if runs else pulse.boot_s
    if complete is None or at_boot_s - complete > pulse.oldest_tick_s:
        what = NotWritten.what()
        if pulse.fault:
            what = NotWritten.because(why=told(pulse.fault))
        yield Cause(kind="not-written", what=what, remedy=NotWritten.remedy())


def _of_the_profile(pulse: Pulse) -> Iterator[Cause]:
    if pulse.unplanned:
        yield Cause(
            kind="not-planned",
            what=NotPlanned.what(houses=in_a_row(pulse.unplanned)),
            remedy=NotPlanned.remedy(),
        )
    if pulse.not_followed:
        lacks = pulse.not_followed_kind in {"secret", "secret-file"}
        yield Cause(
            kind="not-followed",
            what=NotInForce.because(why=told(pulse.not_followed)),
            remedy=TO_FOLLOW[pulse.not_followed_kind](),
            command=NotInForce.missing_command() if lacks else "",
        )
    elif pulse.profile_problems:
        yield Cause(
            kind="not-followed",
            what=NotInForce.unusable(),
            remedy=NotInForce.unusable_remedy(),
            command=NotInForce.unusable_command(),
        )


def _deaf(pulse: Pulse, said: Said) -> Iterator[Cause]:
    if pulse.deaf:
        what = ButtonsDeaf.what(why=told(pulse.deaf))
        if pulse.deaf_since:
            since = said(_at(pulse.deaf_since))
            what = ButtonsDeaf.since(since=since, why=told(pulse.deaf))
        yield Cause(kind="deaf", what=what, remedy=ButtonsDeaf.remedy())


def _at(text: str) -> datetime:
    return datetime.fromisoformat(text).astimezone(UTC)


def differs(host: str) -> Cause:
    """A host's file is not the profile in force on all of them."""
    return Cause(
        kind="differs",
        what=HostDiffers.profile(host=host),
        remedy=HostDiffers.profile_remedy(),
        command=HostDiffers.profile_command(),
    )


def other_key(host: str) -> Cause:
    """A host signs with another key than the others."""
    return Cause(
        kind="other-key",
        what=HostDiffers.key(host=host),
        remedy=HostDiffers.key_remedy(),
        command=HostDiffers.key_command(),
    )


def at_the_terminal(cause: Cause) -> str:
    """The cause as a terminal says it."""
    return f"{cause.what} {cause.command}".rstrip()
