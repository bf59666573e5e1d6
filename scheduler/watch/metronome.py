"""Keeps the tick going: APScheduler beats, a guard on monotonic time sees to it that it does.

APScheduler waits by the time of day, so a clock set back would stop it for as long: the guard
pulls the next beat to now. It cannot restart a thread that died, so it ends the process then, and
the supervisor starts a new one.
"""

import logging
import threading
from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass, field
from datetime import UTC, timedelta

from apscheduler.executors.pool import ThreadPoolExecutor
from apscheduler.jobstores.base import JobLookupError
from apscheduler.schedulers.background import BackgroundScheduler

from scheduler.machine.clock import Clock, now
from scheduler.machine.clock_trust import STEP_S

_LOOKS = 3  # while a tick may stand still
_HOUSEKEEPING_S = 60.0
_HOUSEKEEPING_FIRST = timedelta(seconds=5)
_log = logging.getLogger(__name__)


class Metronome:
    """Beats every `period_s` and calls `tick`; calls `housekeeping` once a minute, first soon."""

    def __init__(
        self, tick: Callable[[], object], housekeeping: Callable[[], object], *, period_s: float
    ) -> None:
        """Sets everything up and starts nothing."""
        # No stored jobs, no dates, no grace limit: the journal alone knows what is due. A job
        # store on SQLite kills the scheduler's thread when the file is locked (measured).
        self._scheduler = BackgroundScheduler(
            timezone=UTC,
            executors={"default": ThreadPoolExecutor(1), "slow": ThreadPoolExecutor(1)},
            job_defaults={"coalesce": True, "max_instances": 1, "misfire_grace_time": None},
        )
        self._beat = self._scheduler.add_job(tick, "interval", seconds=period_s, id="tick")
        self._scheduler.add_job(
            housekeeping,
            "interval",
            seconds=max(period_s, _HOUSEKEEPING_S),
            id="housekeeping",
            next_run_time=now() + _HOUSEKEEPING_FIRST,
            executor="slow",
        )

    def start(self) -> None:
        """Begins to beat; the first beat comes after one period."""
        self._scheduler.start()

    def beat_now(self) -> None:
        """Pulls the next beat to now."""
        try:
            # The machine's own clock: it is the one that APScheduler goes by.
            self._beat.modify(next_run_time=now())
        except JobLookupError:
            _log.exception("metronome.no_beat")

    def stop(self) -> None:
        """Ends; a tick under way is waited for."""
        self._scheduler.shutdown(wait=True)


@dataclass(slots=True)
class Guard:
    """Watches the metronome and the clock from a thread of its own.

    `begun_s` and `complete_s` are monotonic seconds of the last tick begun and completed.
    """

    clock: Clock
    _: KW_ONLY
    still_s: float
    incomplete_s: float
    begun_s: Callable[[], float]
    complete_s: Callable[[], float]
    beat_now: Callable[[], None]
    die: Callable[[str], None]
    _stop: threading.Event = field(default_factory=threading.Event)
    _thread: threading.Thread = field(init=False)

    def start(self) -> None:
        """Begins to watch."""
        self._thread = threading.Thread(target=self._watch, name="duskfold-guard", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Ends the watch."""
        self._stop.set()
        self._thread.join()

    def _watch(self) -> None:
        last = self.clock.read()
        while not self._stop.wait(self.still_s / _LOOKS / _LOOKS):
            readings = self.clock.read()
            step_s = (readings.wall - last.wall).total_seconds()
            if abs(step_s - (readings.boot_s - last.boot_s)) > STEP_S:
                self.beat_now()
            last = readings
            if readings.monotonic_s - self.begun_s() > self.still_s:
                self.die("the tick stands still")
            elif readings.monotonic_s - self.complete_s() > self.incomplete_s:
                self.die("no tick was complete for too long")
