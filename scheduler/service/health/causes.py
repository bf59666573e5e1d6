"""What is wrong with the reminders by their last tick, each with what to do about it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Literal

from scheduler.alerts.words.ways_out import give_it
from scheduler.machine.clock import Readings
from scheduler.service.health.tick_file import NotFollowed, Pulse, is_of_now

CauseKind = Literal[
    "not-running",
    "nobody",
    "silent",
    "clock-behind",
    "clock-ahead",
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
]
# Whoever it is about hears of a door over another way, or was never to hear of one; a calendar
# reminds nobody.
_NOTES = frozenset({"way-broken", "way-failed", "no-way", "only-one", "calendar"})


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
Found = Cause | None
WATCH_YOURSELF = "Until then watch the door yourself."
_NOT_RUNNING = Cause(
    kind="not-running",
    what="The reminders are not running.",
    remedy=f"Start Duskfold on the machine where it is installed. {WATCH_YOURSELF}",
    command="Start them: duskfold serve",
)
UNREADABLE = Cause(
    kind="unreadable",
    what="The data cannot be read just now, so nobody can say how the reminders fare.",
    remedy="Until it can be read again watch the door yourself.",
)
_TO_FOLLOW: dict[NotFollowed, str] = {
    "nobody": "Change the profile again, so that somebody can be told by it.",
    "another-site": (
        "If only its name has changed, write the old id beside it under [site]. If it is another "
        "place, write the new id there, and start Duskfold on its machine again to take it over."
    ),
    "secret": f"{give_it(in_file=False)}; or change the profile so that it is not needed.",
    "secret-file": f"{give_it(in_file=True)}; or change the profile so that it is not needed.",
}
_WHAT_IS_MISSING = "What is missing: duskfold check"
_TO_FIND_OUT: dict[NotFollowed, str] = dict.fromkeys(("secret", "secret-file"), _WHAT_IS_MISSING)


def to_follow(kind: NotFollowed) -> str:
    """What to do about a changed profile that is right in itself and not in force."""
    return _TO_FOLLOW[kind]


def unreadable(reason: str) -> Cause:
    """The data file cannot be used; the terminal says why."""
    return replace(UNREADABLE, command=f"The data file cannot be used: {reason}.")


def causes_of(pulse: Pulse | None, readings: Readings, said: Said) -> list[Cause]:
    """What the last tick shows to be wrong now, the worst first; `said` tells an instant."""
    if pulse is None:
        return [_NOT_RUNNING]
    found = (
        _silent(pulse, readings, said),
        _clock_behind(pulse),
        _clock_ahead(pulse, said),
        _not_written(pulse, readings),
        _not_planned(pulse),
        _not_followed(pulse),
        _deaf(pulse, said),
    )
    return [one for one in found if one]


def _silent(pulse: Pulse, readings: Readings, said: Said) -> Found:
    if is_of_now(pulse.boot_s, pulse, readings):
        return None
    if pulse.stopped:
        since = said(_at(pulse.wall))
        return replace(
            _NOT_RUNNING, what=f"The reminders are not running: they were stopped on {since}."
        )
    return Cause(
        kind="silent",
        what=f"The reminders have not been heard from since {said(_at(pulse.wall))}.",
        remedy=f"Start Duskfold's machine again, or Duskfold on it. {WATCH_YOURSELF}",
        command="Start them: duskfold serve",
    )


def _clock_behind(pulse: Pulse) -> Found:
    if pulse.trust != "untrusted":
        return None
    return Cause(
        kind="clock-behind",
        what="The clock of this machine seems wrong: it shows a time that is already past.",
        remedy=(
            "No reminders go out meanwhile. If it is right, say so; if not, set the clock of "
            f"Duskfold's machine, or connect it to the network. {WATCH_YOURSELF}"
        ),
        command="If it is right: duskfold health --agree-clock",
    )


def _clock_ahead(pulse: Pulse, said: Said) -> Found:
    if pulse.trust != "doubtful":
        return None
    return Cause(
        kind="clock-ahead",
        what=(
            f"The clock of Duskfold's machine may be wrong: it shows {said(_at(pulse.wall))}, "
            "which is far ahead of what it showed before."
        ),
        remedy=(
            "Reminders go by it. If it is right, say so; if not, set the clock of Duskfold's "
            "machine, or connect it to the network."
        ),
        command="If it is right: duskfold health --agree-clock",
    )


def _not_written(pulse: Pulse, readings: Readings) -> Found:
    complete = pulse.complete_boot_s
    # Of reminders that stand still nothing more is said of the disk than they said last.
    runs = is_of_now(pulse.boot_s, pulse, readings)
    at_boot_s = readings.boot_s if runs else pulse.boot_s
    if complete is not None and at_boot_s - complete <= pulse.oldest_tick_s:
        return None
    why = f": {pulse.fault}" if pulse.fault else ""
    return Cause(
        kind="not-written",
        what=f"The reminders cannot write down what they do{why}.",
        remedy=(
            "They go on from memory. Look at the disk of Duskfold's machine: it may be full, or "
            "may not be written."
        ),
    )


def _not_planned(pulse: Pulse) -> Found:
    if not pulse.unplanned:
        return None
    return Cause(
        kind="not-planned",
        what=f"No reminders for {', '.join(pulse.unplanned)}: the evening cannot be worked out.",
        remedy="That is a fault of the program. Watch that door yourself.",
    )


def _not_followed(pulse: Pulse) -> Found:
    if pulse.not_followed:
        return Cause(
            kind="not-followed",
            what=(
                f"The changed profile is not in force: {pulse.not_followed}. The old one is in "
                "force."
            ),
            remedy=to_follow(pulse.not_followed_kind),
            command=_TO_FIND_OUT.get(pulse.not_followed_kind, ""),
        )
    if pulse.profile_problems:
        return Cause(
            kind="not-followed",
            what="The changed profile cannot be used; the old one is in force.",
            remedy="Look at the profile again: something in it is not right.",
            command="What is wrong: duskfold check",
        )
    return None


def _deaf(pulse: Pulse, said: Said) -> Found:
    if not pulse.deaf:
        return None
    since = f" since {said(_at(pulse.deaf_since))}" if pulse.deaf_since else ""
    return Cause(
        kind="deaf",
        what=f"Answers from phones cannot be heard{since}: {pulse.deaf}.",
        remedy="Say on these pages that a door is shut; the buttons on phones do not work.",
    )


def _at(told: str) -> datetime:
    return datetime.fromisoformat(told).astimezone(UTC)


def at_the_terminal(cause: Cause) -> str:
    """The cause as a terminal says it."""
    return f"{cause.what} {cause.command}".rstrip()
