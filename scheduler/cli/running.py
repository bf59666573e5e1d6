"""Runs the long-running service in this process: signals in, exit status out."""

import logging
import signal
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from types import FrameType
from typing import Any

from scheduler.cli.faults import CANNOT_USE, FAILED, by_program, complain, failed_on
from scheduler.cli.terminal import is_terminal
from scheduler.journal.fault import JournalFault
from scheduler.machine.child_process import KeptRunning
from scheduler.machine.clock import Clock, SystemClock
from scheduler.service.data_place import DataPlace
from scheduler.service.people.open_channels import NOTHING
from scheduler.service.reachable import reaches_anybody
from scheduler.watch.opening import NobodyToTell, OpenedWatch, open_watch
from scheduler.watch.process import Pace, Watch
from scheduler.wording.cli.refusals import Faults
from scheduler.wording.cli.running import RemindersStart

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
    wired: Mapping[str, Any] = NOTHING,
) -> int:
    """Exit status 0 when asked to stop; 1 when the journal fails, 2 for the profile.

    `beside` gives the process that is to run as long as this one does. Unless it `needs_somebody`
    it runs while nobody can be told, and begins to remind as soon as somebody can. `wired` is for
    a test's own push service.
    """
    logging.raiseExceptions = False  # a full log disk must not stop the reminders
    clock = clock or SystemClock()
    try:
        now = clock.read().wall
        opened = open_watch(path, place, environment, now, needs_somebody=needs_somebody)
        if isinstance(opened, NobodyToTell):
            return _nobody(path, opened)
        if isinstance(opened, tuple):
            complain(*map(str, opened), by_program(RemindersStart.not_started()))
            return CANNOT_USE
        watch = Watch(opened, environment=environment, clock=clock, pace=pace, wired=wired)
    except JournalFault as fault:
        complain(by_program(Faults.data_file(why=fault)))
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
        complain(by_program(RemindersStart.last_is_used(profile=path)))
    for lack in opened.lacks:
        complain(by_program(RemindersStart.lack(how=lack.how, by=lack.by)))
    profile = opened.household.profile
    if opened.lacks:
        complain(by_program(RemindersStart.who_is_cut_off()))
    if opened.lacks and not reaches_anybody(profile, opened.lacks):
        complain(by_program(RemindersStart.nobody_told()))
    elif not reaches_anybody(profile):
        complain(by_program(RemindersStart.names_nobody(profile=path)))
    elif is_terminal(sys.stdout):  # a supervisor's log has no use for it
        print(RemindersStart.running(site=opened.household.profile.site.name))


def _nobody(path: Path, found: NobodyToTell) -> int:
    if found.lacks:
        lines = [
            RemindersStart.without(profile=path, how=lack.how, by=lack.by) for lack in found.lacks
        ]
    elif not found.people:
        lines = [RemindersStart.nobody(profile=path)]
    else:
        lines = [
            RemindersStart.no_way(profile=path, number=number, person=person.name)
            for number, person in enumerate(found.people, start=1)
        ]
    complain(*lines, by_program(RemindersStart.pages_alone()))
    return CANNOT_USE
