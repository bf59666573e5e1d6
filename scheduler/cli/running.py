"""Runs the long-running service in this process: signals in, exit status out."""

import logging
import signal
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from types import FrameType

from scheduler.cli.faults import CANNOT_USE, FAILED, complain, failed_on
from scheduler.cli.terminal import is_terminal
from scheduler.journal.fault import JournalFault
from scheduler.machine.child_process import KeptRunning
from scheduler.machine.clock import Clock, SystemClock
from scheduler.service.data_place import DataPlace
from scheduler.service.reachable import reaches_anybody
from scheduler.watch.opening import NobodyToTell, OpenedWatch, open_watch
from scheduler.watch.process import Pace, Watch

_USUAL_PACE = Pace()


def run_watch(  # noqa: PLR0913, PLR0917 - what a composition root hands in
    path: Path,
    place: DataPlace,
    environment: Mapping[str, str],
    clock: Clock | None = None,
    pace: Pace = _USUAL_PACE,
    beside: Callable[[OpenedWatch], KeptRunning] | None = None,
    *,
    needs_somebody: bool = True,
) -> int:
    """Exit status 0 when asked to stop; 1 when the journal fails, 2 for the profile.

    `beside` gives the process that is to run as long as this one does. Unless it `needs_somebody`
    it runs while nobody can be told, and begins to remind as soon as somebody can.
    """
    logging.raiseExceptions = False  # a full log disk must not stop the reminders
    clock = clock or SystemClock()
    try:
        now = clock.read().wall
        opened = open_watch(path, place, environment, now, needs_somebody=needs_somebody)
        if isinstance(opened, NobodyToTell):
            return _nobody(path, opened)
        if isinstance(opened, tuple):
            complain(*map(str, opened), "duskfold: the reminders were not started.")
            return CANNOT_USE
        watch = Watch(opened, environment=environment, clock=clock, pace=pace)
    except JournalFault as fault:
        complain(f"duskfold: the data file cannot be used. {fault}")
        return FAILED
    except OSError as error:
        return failed_on(path, error)

    def asked(number: int, frame: FrameType | None) -> None:
        del number, frame
        watch.stop.set()

    signal.signal(signal.SIGTERM, asked)
    signal.signal(signal.SIGINT, asked)
    _say_it_runs(path, opened)
    pages = beside(opened) if beside else None
    if pages:
        pages.start()
    watch.run()
    if pages:
        pages.stop()
    return 0


def _say_it_runs(path: Path, opened: OpenedWatch) -> None:
    if opened.refused is not None:
        complain(
            f"duskfold: {path} cannot be used yet, so the profile accepted last is used instead. "
            "To see why: duskfold health, duskfold check"
        )
    for lack in opened.lacks:
        complain(f"duskfold: {lack.how}. Until it is there, nothing goes out by {lack.by}.")
    profile = opened.household.profile
    if opened.lacks:
        complain("duskfold: to see who that cuts off: duskfold health")
    if opened.lacks and not reaches_anybody(profile, opened.lacks):
        complain(
            "duskfold: nobody can be told, so no reminders go out. The pages and calendars still "
            "run."
        )
    elif not reaches_anybody(profile):
        complain(
            f"duskfold: no reminders go out, because {path} names nobody who can be told. "
            "The pages and calendars still run. The reminders start by themselves once it "
            "gives somebody push or mail."
        )
    elif is_terminal(sys.stdout):  # a supervisor's log has no use for it
        name = opened.household.profile.site.name
        print(
            f"The reminders for {name} are running. Ctrl-C stops them. To see how they are: "
            "duskfold health"
        )


def _nobody(path: Path, found: NobodyToTell) -> int:
    if not found.people:
        lines = ["[[person]]: found nobody; accepted: at least one person with push or mail"]
    else:
        lines = [
            f"person.{number}: found no way to tell {person.name}; accepted: push, or mail with a "
            "[mail] table, or service"
            for number, person in enumerate(found.people, start=1)
        ]
    if found.lacks:
        lines = [f"{lack.how}. Without it, nothing goes out by {lack.by}" for lack in found.lacks]
    complain(
        *(f"{path}: {line}" for line in lines),
        "duskfold: nobody can be told, so the reminders were not started. Until somebody can be, "
        "`duskfold serve` runs the pages and calendars alone.",
    )
    return CANNOT_USE
