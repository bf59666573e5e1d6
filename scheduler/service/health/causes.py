"""What is wrong with the reminders by their last tick, each with what to do about it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Literal

from scheduler.machine.clock import Readings
from scheduler.messages.ways_out import give_it
from scheduler.service.health.tick_file import NotFollowed, Pulse, is_of_now

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
    "differs",
    "other-key",
]
# Whoever it is about hears of a door over another way, or was never to hear of one; a calendar
# reminds nobody.
_NOTES = frozenset(
    {"way-broken", "way-failed", "no-way", "only-one", "calendar", "differs", "other-key"}
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
WATCH_YOURSELF = "Until then, watch the door yourself."
_NOT_RUNNING = Cause(
    kind="not-running",
    what="The reminders are not running.",
    remedy=f"Start Duskfold on the machine where it is installed. {WATCH_YOURSELF}",
    command="To start them: duskfold serve",
)
UNREADABLE = Cause(
    kind="unreadable",
    what="The data cannot be read just now, so nobody can say how the reminders are doing.",
    remedy="Until it can be read again, watch the door yourself.",
)
# What to do about a changed profile that is right in itself and not in force.
TO_FOLLOW: dict[NotFollowed, str] = {
    "nobody": "Change the profile again so that somebody can be told.",
    "another-site": (
        "If only its name has changed, write the old id beside it under [site]. If it is another "
        "place, write the new id there, then restart Duskfold on its machine to take it over."
    ),
    "secret": f"{give_it(in_file=False)}, or change the profile so that it is not needed.",
    "secret-file": f"{give_it(in_file=True)}. Or change the profile so that it is not needed.",
}
WHAT_IS_MISSING = "To see what is missing: duskfold check"
_MEND_THE_CLOCK = (
    "If it is right, say so. If not, set the clock of Duskfold's machine, or connect it to the "
    "network."
)
_AGREE = "If it is right: duskfold health --agree-clock"


def unreadable(reason: str) -> Cause:
    """The data file cannot be used; the terminal says why."""
    return replace(UNREADABLE, command=f"The data file cannot be used: {reason}.")


def causes_of(pulse: Pulse | None, readings: Readings, said: Said) -> list[Cause]:
    """What the last tick shows to be wrong now, the worst first; `said` tells an instant."""
    if pulse is None:
        return [_NOT_RUNNING]
    return [
        *_silent(pulse, readings, said),
        *_of_the_clock(pulse, said),
        *_not_written(pulse, readings),
        *_of_the_profile(pulse),
        *_deaf(pulse, said),
    ]


def _silent(pulse: Pulse, readings: Readings, said: Said) -> Iterator[Cause]:
    if is_of_now(pulse.boot_s, pulse, readings):
        return
    since = said(_at(pulse.wall))
    if pulse.stopped:
        what = f"The reminders are not running. They were stopped on {since}."
        yield replace(_NOT_RUNNING, what=what)
    else:
        yield replace(
            _NOT_RUNNING,
            kind="silent",
            what=f"The reminders have not been heard from since {since}.",
            remedy=f"Restart Duskfold, or the machine it runs on. {WATCH_YOURSELF}",
        )


def _of_the_clock(pulse: Pulse, said: Said) -> Iterator[Cause]:
    if pulse.trust == "untrusted":
        yield Cause(
            kind="clock-behind",
            what="This machine's clock seems wrong: it shows a time that is already past.",
            remedy=f"No reminders go out until it is right. {_MEND_THE_CLOCK} {WATCH_YOURSELF}",
            command=_AGREE,
        )
    if pulse.trust == "doubtful":
        yield Cause(
            kind="clock-ahead",
            what=(
                f"The clock of Duskfold's machine may be wrong: it shows {said(_at(pulse.wall))}, "
                "far ahead of what it showed before."
            ),
            remedy=f"The reminders go by it. {_MEND_THE_CLOCK}",
            command=_AGREE,
        )


def how_far_apart(pulse: Pulse) -> str:
    """By how much the host's clock is wrong, as "3 min ahead of the database's"."""
    way = "ahead of" if pulse.ahead_s > 0 else "behind"
    return f"{max(1, round(abs(pulse.ahead_s) / 60))} min {way} the database's"


def _apart(pulse: Pulse) -> Iterator[Cause]:
    yield Cause(
        kind="clock-apart",
        what=(
            f"The clock of Duskfold's machine is {how_far_apart(pulse)}, so it leaves "
            "the reminders to the other hosts."
        ),
        remedy=(
            "Set both clocks from the network. While no other host sends reminders, this one still "
            "tells of open doors by its own clock."
        ),
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
        why = f": {pulse.fault}" if pulse.fault else ""
        yield Cause(
            kind="not-written",
            what=f"The reminders cannot write down what they do{why}.",
            remedy=(
                "They carry on from memory. Check the disk of Duskfold's machine: it may be full "
                "or write-protected."
            ),
        )


def _of_the_profile(pulse: Pulse) -> Iterator[Cause]:
    if pulse.unplanned:
        names = ", ".join(pulse.unplanned)
        yield Cause(
            kind="not-planned",
            what=f"There are no reminders for {names}, as the evening cannot be worked out.",
            remedy="That is a fault in the program. Watch that door yourself.",
        )
    if pulse.not_followed:
        why, lacks = pulse.not_followed, pulse.not_followed_kind in {"secret", "secret-file"}
        yield Cause(
            kind="not-followed",
            what=f"The changed profile is not in force: {why}. The old one still is.",
            remedy=TO_FOLLOW[pulse.not_followed_kind],
            command=WHAT_IS_MISSING if lacks else "",
        )
    elif pulse.profile_problems:
        yield Cause(
            kind="not-followed",
            what="The changed profile cannot be used, so the old one is still in force.",
            remedy="Check the profile again: something is wrong with it.",
            command="To see what is wrong: duskfold check",
        )


def _deaf(pulse: Pulse, said: Said) -> Iterator[Cause]:
    if pulse.deaf:
        what = f"Answers from phones cannot be heard: {pulse.deaf}."
        if pulse.deaf_since:
            since = said(_at(pulse.deaf_since))
            what = f"Answers from phones have not been heard since {since}: {pulse.deaf}."
        yield Cause(
            kind="deaf",
            what=what,
            remedy="Say on these pages that a door is shut, as the buttons on phones do not work.",
        )


def _at(told: str) -> datetime:
    return datetime.fromisoformat(told).astimezone(UTC)


def differs(host: str) -> Cause:
    """A host's file is not the profile in force on all of them."""
    return Cause(
        kind="differs",
        what=f"The profile's file on {host} is not the one in force.",
        remedy="Make it the same there, or save it while Duskfold runs, so that all hosts use it.",
        command="To use it on every host, run there: duskfold accept",
    )


def other_key(host: str) -> Cause:
    """A host signs with another key than the others."""
    return Cause(
        kind="other-key",
        what=f"{host} has a different signing.key, so the other hosts do not accept what it signs.",
        remedy="Links, buttons and calendars from there may not work until it has the same key.",
        command="Copy signing.key there from another host, then restart Duskfold there.",
    )


def at_the_terminal(cause: Cause) -> str:
    """The cause as a terminal says it."""
    return f"{cause.what} {cause.command}".rstrip()
